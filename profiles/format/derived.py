"""What follows from a map, as parts of the profile document: each thing once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import msgspec

from mapper.mapping.solve import DisplayFigures, TabletMap, unturned_map
from profiles.format import schema
from profiles.written import written

if TYPE_CHECKING:
    from mapper.affine import Affine
    from mapper.mapping.forms import RectForm
    from mapper.rect import Rect

#: The keys of the document that follow from the others.
DERIVED = tuple(
    name
    for name in schema.Profile.__struct_fields__
    if name not in schema.Described.__struct_fields__
)

#: The units in which the document, and data for other programs, give an area. A unit that drivers
#: have besides is for reports: what is read from files stays as it is.
AREA_UNITS = frozenset(schema.AreaPart.__struct_fields__) - {"frame", "angle_deg"}


def derived_parts(solved: TabletMap) -> dict[str, Any]:
    """The derived parts of the document by their keys; None where one does not apply."""
    return {
        "area": _area_part(solved),
        "screen": schema.ScreenPart(px=_edges(solved.screen_px)),
        "summary": msgspec.convert(solved.summary, schema.Summary, from_attributes=True),
        "figures": [figures_part(figures) for figures in solved.figures],
        "matrix": schema.MatrixPart(
            built_unit_to_desktop_unit=rows_of(solved.built_unit_to_desktop_unit)
        ),
        "unturned": _unturned_part(solved),
        "before_rounding": _before_rounding(solved),
    }


def _area_part(solved: TabletMap) -> schema.AreaPart:
    edges: dict[str, Any] = {
        unit: _edges(form) for unit, form in solved.forms.items() if unit in AREA_UNITS
    }
    return schema.AreaPart(**edges, angle_deg=solved.area_angle_deg or None)


def _unturned_part(solved: TabletMap) -> schema.AreaMm | None:
    if not solved.area_angle_deg:
        return None
    return schema.AreaMm(mm=_edges(unturned_map(solved).area_built_mm))


def _before_rounding(solved: TabletMap) -> schema.AreaMm | None:
    if solved.request.step is None:
        return None
    # Fractions and the search are for maps with a step only.
    from mapper.rounding.rounded import before_rounding

    before, after = _edges(before_rounding(solved).area_built_mm), _edges(solved.area_built_mm)
    same = written(msgspec.to_builtins(before)) == written(msgspec.to_builtins(after))
    return None if same else schema.AreaMm(mm=before)


def _edges(rect: Rect | RectForm) -> schema.EdgesPart:
    return msgspec.convert(rect, schema.EdgesPart, from_attributes=True)


def figures_part(figures: DisplayFigures) -> schema.FiguresPart:
    """The figures of one display as the document has them."""
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


def rows_of(affine: Affine) -> schema.Matrix:
    """The rows of a homogeneous matrix, without negative zeros, which nobody can read aloud."""
    x_row, y_row, last = ((row[0] + 0.0, row[1] + 0.0, row[2] + 0.0) for row in affine.rows)
    return x_row, y_row, last
