"""A map as plain text for the terminal: what to enter, what it does, and to which display."""

from __future__ import annotations

from mapper.forms import RectForm, rect_forms
from mapper.solve import DisplayFigures, TabletMap
from render.words import fixed, map_sentence, number

__all__ = ["map_text"]

# Enough places for any driver's form, and no more than a person can type: a micrometre, a ten-thousandth of an inch.
_PLACES = {"mm": 3, "inch": 4, "percent": 3, "counts": 1}
_HEADS = {"mm": "mm", "inch": "inches", "percent": "% of active area", "counts": "counts"}
_ROWS = (
    ("left", "left"),
    ("top", "top"),
    ("right", "right"),
    ("bottom", "bottom"),
    ("width", "width"),
    ("height", "height"),
    ("centre_x", "centre across"),
    ("centre_y", "centre down"),
    ("up_from_bottom", "up from bottom"),
)


def map_text(solved: TabletMap) -> str:
    """The report of one map: sentence, rectangle, screen and figures."""
    lines = [map_sentence(solved), ""]
    lines += _area_lines(solved)
    lines += ["", *_screen_lines(solved)]
    lines += ["", *_figure_lines(solved)]
    return "\n".join(lines) + "\n"


def _area_lines(solved: TabletMap) -> list[str]:
    tablet = solved.request.tablet
    forms = rect_forms(solved.area_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    lines = ["Enter this rectangle in the tablet driver:", *_form_table(forms)]
    if tablet.turn_deg:
        lines[0] = "Enter this rectangle in the tablet driver (the tablet as it was built):"
        seen = rect_forms(solved.area_seen_mm, tablet.active_seen_mm, tablet.counts_per_mm)
        lines += ["", f"The same as you see it, turned {tablet.turn_deg} degrees clockwise:", *_form_table(seen)]
    return lines


def _form_table(forms: dict[str, RectForm]) -> list[str]:
    columns = [
        [_HEADS[unit], *(fixed(getattr(form, key), _PLACES[unit]) for key, _ in _ROWS)] for unit, form in forms.items()
    ]
    widths = [max(map(len, column)) for column in columns]
    labels = ["", *(label for _, label in _ROWS)]
    return [
        f"  {label:<15}" + "  ".join(f"{column[row]:>{width}}" for column, width in zip(columns, widths, strict=True))
        for row, label in enumerate(labels)
    ]


def _screen_lines(solved: TabletMap) -> list[str]:
    screen = solved.screen_px
    place = f"from {number(screen.left, 1)}, {number(screen.top, 1)}"
    size = f"{number(screen.width, 1)} x {number(screen.height, 1)} px"
    return [f"The pen reaches on the screen: {size} {place} ({' + '.join(d.label for d in solved.reached)})"]


def _figure_lines(solved: TabletMap) -> list[str]:
    summary = solved.summary
    rows = []
    if summary.scale_factor is not None:
        rows.append(("scale factor", number(summary.scale_factor, 3), "glass for hand, along the diagonal"))
    rows.append(("area used", f"{number(summary.area_used_percent, 1)} %", "of the active area"))
    rows.append(("screen used", f"{number(summary.screen_used_percent, 1)} %", "of what the pen could reach"))
    lines = _rows(rows)
    for figures in solved.figures:
        lines += ["", f"On {figures.display}:", *_rows(_display_rows(figures))]
        if not figures.size_known:
            lines.append("  Its size is not known: square pixels are assumed, and what needs mm is left out.")
    return lines


def _display_rows(figures: DisplayFigures) -> list[tuple[str, str, str]]:
    distortion = figures.distortion
    rows = [
        ("stretch", number(distortion.stretch, 4), "longer way over shorter way"),
        ("oval", f"{distortion.oval_percent:+.2f} %", "wider (+) or taller (-) than drawn"),
        ("angle error", f"{number(distortion.angle_error_deg, 2)} deg", "the largest of any angle drawn"),
    ]
    if figures.size_known:
        rows.append(("scale across", number(distortion.scale_x, 3), "mm on the glass for 1 mm of hand"))
        rows.append(("scale down", number(distortion.scale_y, 3), ""))
    if figures.counts_per_px_x is not None and figures.counts_per_px_y is not None:
        counts = f"{number(figures.counts_per_px_x, 2)} x {number(figures.counts_per_px_y, 2)}"
        rows.append(("counts per px", counts, "across x down"))
    return rows


def _rows(rows: list[tuple[str, str, str]]) -> list[str]:
    return [f"  {label:<15}{value:<13} {remark}".rstrip() for label, value, remark in rows]
