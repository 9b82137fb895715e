"""What follows from a map, as parts of the profile document."""

from __future__ import annotations

import math
from typing import Any

import msgspec

from mapper.affine import Affine
from mapper.mapping.forms import rect_forms
from mapper.mapping.solve import DisplayFigures, TabletMap, unturned_map
from mapper.mapping.windows import logical_rect
from mapper.rect import Rect
from profiles.format import schema

#: The keys of the document that follow from the others.
DERIVED = ("area", "screen", "figures", "summary", "matrix", "unrotated", "before_rounding")


def derived_parts(solved: TabletMap) -> dict[str, Any]:
    """The derived parts of the document by their keys; None where one does not apply."""
    return {
        **_parts(solved),
        "unrotated": _unrotated_part(solved.exact),
        "before_rounding": _before_rounding(solved),
    }


def _parts(solved: TabletMap) -> dict[str, Any]:
    """What every map has, the exact and the unrotated one too."""
    return {
        "area": _area_part(solved),
        "screen": _screen_part(solved),
        "figures": [_figures_part(figures) for figures in solved.figures],
        "summary": msgspec.convert(solved.summary, schema.Summary, from_attributes=True),
        "matrix": schema.MatrixPart(
            built_mm_to_desktop_px=_matrix(solved.built_mm_to_desktop_px),
            built_unit_to_desktop_unit=_matrix(solved.built_unit_to_desktop_unit),
            desktop_px_to_built_mm=_matrix(solved.desktop_px_to_built_mm),
        ),
    }


def _before_rounding(solved: TabletMap) -> schema.BeforeRounding | None:
    if solved.request.step is None:
        return None
    # Fractions and the search are for maps with a step only.
    from mapper.rounding.rounded import rounding_cost

    cost = msgspec.convert(rounding_cost(solved), schema.CostPart, from_attributes=True)
    return schema.BeforeRounding(cost=cost, **_parts(solved.exact))


def _unrotated_part(exact: TabletMap) -> schema.UnrotatedPart | None:
    if not exact.area_angle_deg:
        return None
    other = unturned_map(exact)
    tilt_deg = other.figures_on(other.reference).tilt_deg
    old, new = exact.area_seen_mm, other.area_seen_mm
    cost = schema.UnrotatedCost(
        tilt_deg=tilt_deg,
        # The chord of the tilt: how far the end of a stroke lies from where it should.
        drift_mm_per_100_mm=200 * math.sin(math.radians(abs(tilt_deg)) / 2),
        area_percent=(new.width / old.width * (new.height / old.height) - 1) * 100,
    )
    return schema.UnrotatedPart(cost=cost, **_parts(other))


def _area_part(solved: TabletMap) -> schema.AreaPart:
    tablet = solved.request.tablet
    built = rect_forms(solved.area_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    seen = None
    if tablet.turn_deg:
        forms = rect_forms(solved.area_seen_mm, tablet.active_seen_mm, tablet.counts_per_mm)
        seen = msgspec.convert(forms, schema.Forms, from_attributes=True)
    angle_deg = solved.area_angle_deg or None
    return msgspec.convert(
        {**built, "seen": seen, "angle_deg": angle_deg}, schema.AreaPart, from_attributes=True
    )


def _screen_part(solved: TabletMap) -> schema.ScreenPart:
    screen = solved.screen_px
    if all(display.zoom == 1 for display in solved.reached):
        return schema.ScreenPart(px=_pixels(screen))
    parts = []
    for display in solved.reached:
        part, logical = display.rect_px.overlap(screen), logical_rect(display, screen)
        if part is None or logical is None:
            continue
        own = Rect(part.left - display.left_px, part.top - display.top_px, part.width, part.height)
        parts.append(
            schema.OnDisplay(display=display.label, px=_pixels(own), logical_px=_pixels(logical))
        )
    return schema.ScreenPart(px=_pixels(screen), displays=parts)


def _pixels(rect: Rect) -> schema.PixelRect:
    return msgspec.convert(rect, schema.PixelRect, from_attributes=True)


def _figures_part(figures: DisplayFigures) -> schema.FiguresPart:
    distortion, known = figures.distortion, figures.size_known
    return schema.FiguresPart(
        display=figures.display,
        scale_x=distortion.scale_x if known else None,
        scale_y=distortion.scale_y if known else None,
        stretch=distortion.stretch,
        oval_percent=distortion.oval_percent,
        angle_error_deg=distortion.angle_error_deg,
        areal_scale=distortion.areal_scale if known else None,
        longer_axis_deg=distortion.longer_axis_deg,
        tilt_deg=figures.tilt_deg or None,
        counts_per_px_x=figures.counts_per_px_x,
        counts_per_px_y=figures.counts_per_px_y,
    )


def _matrix(affine: Affine) -> schema.Matrix:
    # + 0.0 turns a negative zero, which nobody can read aloud, into a zero.
    x_row, y_row, last = ((row[0] + 0.0, row[1] + 0.0, row[2] + 0.0) for row in affine.rows)
    return x_row, y_row, last
