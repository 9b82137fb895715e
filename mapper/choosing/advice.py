"""What is good about one workstation, what to change first, and what each change costs.

Every finding is a value beside a recommendation; every change was carried out and judged
(``mapper.choosing.remedies``) and is put into words above this floor.

Findings are put in order by how far a value lies outside its band, as a share of the band's nearest
end: what strains the body counts twice, looks a quarter. That the neck helps the eyes is told and
never advised against.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.choosing.findings import map_findings, sitting_findings, sitting_of
from mapper.choosing.remedies import RemedySearch, RequestChange
from mapper.choosing.travel import USUAL_HAND

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mapper.choosing.recommended import Band
    from mapper.choosing.sitting import Finding
    from mapper.choosing.travel import HandScatter
    from mapper.mapping.solve import TabletMap
    from mapper.seat import Seat

# What counts most when changes are put in order: what strains the body, then what spoils the
# drawing, then looks. A decision of this project; within a class the value that is farthest outside
# its band comes first.
WEIGHTS = {
    "distance": 2.0,
    "top": 2.0,
    "centre": 2.0,
    "gaze": 2.0,
    "side": 2.0,
    "width": 0.25,
}


@dataclass(frozen=True, slots=True)
class Advice:
    """What was found at one workstation, and what to change.

    ``findings`` are in the order of a report, ``changes`` the most pressing first; ``unknown``
    names what could not be judged. ``area_used_percent`` and ``screen_used_percent`` are those of
    the map: what the present setting costs.
    """

    findings: tuple[Finding, ...]
    changes: tuple[RequestChange, ...]
    unknown: tuple[str, ...]
    area_used_percent: float
    screen_used_percent: float

    def finding(self, key: str) -> Finding | None:
        """The finding about ``key``."""
        return next((finding for finding in self.findings if finding.key == key), None)


def advise(
    solved: TabletMap,
    seat: Seat | None,
    band: Band,
    use: str | None = None,
    hand: HandScatter = USUAL_HAND,
) -> Advice:
    """The findings and changes for one workstation, whose map is as it is entered.

    ``use`` names what ``band`` is for, None for a band of the user's own; ``hand`` is the hand that
    hits targets. ``unknown`` holds ``size`` (of the display), ``counts`` (the tablet's resolution),
    ``seat`` and ``height`` (of the display). Raises RequestError for a seat that cannot be for this
    display.
    """
    findings, unknown = map_findings(solved, band, use, hand), []
    if solved.reference.mm_per_px is None:
        unknown.append("size")
    if solved.request.tablet.counts_per_mm is None:
        unknown.append("counts")
    sitting = sitting_of(solved, seat)
    if sitting is None:
        unknown.append("seat")
    else:
        if not sitting.height_known:
            unknown.append("height")
        findings += sitting_findings(sitting)
    outside = _most_pressing_first([finding for finding in findings if finding.side != "inside"])
    changes: list[RequestChange] = []
    if outside:
        judge = RemedySearch.of(solved, seat, band, hand)
        for finding in outside:
            # What one change mends needs no other: it is named once.
            if any(finding.key in change.mends for change in changes):
                continue
            change = judge.remedy(finding)
            if change is not None:
                changes.append(change)
    summary = solved.summary
    used = summary.area_used_percent, summary.screen_used_percent
    return Advice(tuple(findings), tuple(changes), tuple(unknown), *used)


def cheapest_first(changes: Iterable[RequestChange]) -> list[RequestChange]:
    """Changes in the order of what they cost; what is to be bought comes last."""
    return sorted(changes, key=lambda change: (change.buys, change.cost))


def _most_pressing_first(outside: list[Finding]) -> list[Finding]:
    pressing = {finding.key: finding.excess * WEIGHTS.get(finding.key, 1.0) for finding in outside}
    if {"scale", "target"} <= pressing.keys():
        # Another scale may mend small targets, so it comes first.
        pressing["scale"] = max(pressing["scale"], pressing["target"])
    return sorted(outside, key=lambda finding: -pressing[finding.key])
