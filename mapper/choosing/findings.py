"""Every figure of a workstation for which there is a recommendation, with that recommendation."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.choosing.recommended import PRACTICE, PUBLISHED, RECOMMENDED, Band, Recommendation
from mapper.choosing.sitting import Finding, seat_findings, sitting_in_arc, straight_ahead
from mapper.choosing.travel import TARGETS_PX, USUAL_HAND, smallest_sure_target_mm
from mapper.phrases import phrase

if TYPE_CHECKING:
    from mapper.choosing.sitting import Sitting
    from mapper.choosing.travel import HandScatter
    from mapper.mapping.solve import TabletMap
    from mapper.seat import Seat


def map_findings(
    solved: TabletMap, band: Band, use: str | None, hand: HandScatter = USUAL_HAND
) -> list[Finding]:
    """Scale, stretch, counts per pixel and the smallest sure target, as far as they are known.

    ``use`` names what ``band`` is for, None for a band of the user's own. ``hand`` is the hand that
    hits targets.
    """
    figures = solved.figures_on(solved.reference)
    scale = solved.summary.scale_factor
    found = []
    if scale is not None:
        who = phrase("your own band")
        if use and band.source == PRACTICE:
            who = phrase("{use}, a rule of thumb", use=use)
        recommended = Recommendation(
            phrase("scale factor"), "", band.low, band.high, who, who, band.source
        )
        found.append(Finding("scale", scale, recommended))
    found.append(Finding("stretch", figures.distortion.stretch, RECOMMENDED["stretch"]))
    if figures.counts_per_px_x is not None and figures.counts_per_px_y is not None:
        counts = min(figures.counts_per_px_x, figures.counts_per_px_y)
        found.append(Finding("counts", counts, RECOMMENDED["counts"]))
    pitch = solved.reference.mm_per_px
    if scale is not None and pitch is not None:
        sure_px = smallest_sure_target_mm(scale, hand.mm) / pitch[0]
        button_px = TARGETS_PX["button"] * solved.reference.zoom
        recommended = Recommendation(
            phrase("smallest target hit reliably"),
            "px",
            None,
            button_px,
            phrase("W3C WCAG 2.2, for taps that land about {mm} mm off", mm=f"{hand.mm:.2g}"),
            phrase("W3C WCAG 2.2, success criterion 2.5.8: targets of 24 by 24 CSS pixels"),
            phrase("{source}; the hand: {hand}", source=PUBLISHED, hand=hand.source),
        )
        found.append(Finding("target", sure_px, recommended))
    return found


def sitting_of(solved: TabletMap, seat: Seat | None) -> Sitting | None:
    """The main display and those of known size beside it, in an arc; None where that cannot be.

    Raises RequestError for a seat that cannot be.
    """
    desktop = solved.request.desktop
    if seat is None or desktop.primary.mm_per_px is None:
        return None
    row = [display for display in desktop.displays if display.mm_per_px is not None]
    ahead = straight_ahead(seat, row, desktop.primary)
    return sitting_in_arc(row, seat, desktop.primary, ahead=ahead)


def sitting_findings(sitting: Sitting) -> list[Finding]:
    """The findings about the seat for which a change may be advised: those about comfort."""
    return [finding for finding in seat_findings(sitting) if finding.recommendation.comfort]
