"""A scene as SVG text: roles become classes, themes custom properties, and words stay words.

One writer has two uses. ``document`` is a file of its own, its colours written out, since not every
program that shows SVG knows custom properties. ``fragment`` goes into a page whose style sheet
(``style_sheet``) has the classes and, for each theme, the colours as ``--ground``, ``--hand`` and
so on; a script finds its handles by their ids.

Units are mm of the sheet (the view box), written to a hundredth, finer than any screen shows.

Text is laid out for DejaVu Sans and its like: it can be selected, searched and read aloud.
"""

from __future__ import annotations

import base64
import io
import re
from html import escape
from itertools import groupby
from typing import TYPE_CHECKING

from mapper.rect import Rect
from mapper.units import MM_PER_INCH
from render.canvas.scene import Handle, Image, Mark, Scene, Text
from render.canvas.theme import ROLES, Style, palette

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from mapper.paths import Outline

#: The font that is measured, then whatever there is.
FONTS = '"DejaVu Sans", sans-serif'
_PLACES = 2
#: Half the side of what can be hit of a handle, in mm of the sheet: a little over 24 px at the
#: usual 96 px to the inch.
HIT_MM = 12.5 * MM_PER_INCH / 96


def document(scene: Scene, *, theme: str = "light") -> str:
    """``scene`` as an SVG file's text, as large as its sheet.

    Raises RequestError for an unknown theme.
    """
    colours = palette(theme)
    used = {mark.role for mark in scene.marks}
    rules = "".join(
        _css_rule(role, style, colours) for role, style in ROLES.items() if role in used
    )
    width, height = _number(scene.width_mm), _number(scene.height_mm)
    body = "".join(_groups(scene, "clip"))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" aria-labelledby="title description">\n'
        f'<title id="title">{_xml_text(scene.title)}</title>\n'
        f'<desc id="description">{_xml_text(scene.description)}</desc>\n'
        f"<style>text{{font-family:{FONTS}}}{rules}</style>\n"
        f'<rect width="{width}" height="{height}" fill="{colours["ground"]}"/>\n{body}</svg>\n'
    )


def fragment(scene: Scene, *, name: str, label: str) -> str:
    """``scene`` as an SVG element for a page.

    ``name`` is the prefix of the ids in it; ``label`` is what a screen reader calls the picture.
    """
    width, height = _number(scene.width_mm), _number(scene.height_mm)
    handles = "".join(_handle(handle, name) for handle in scene.handles)
    role = "group" if handles else "img"
    return (
        f'<svg id="{name}" viewBox="0 0 {width} {height}" role="{role}" '
        f'aria-label="{_xml_text(label)}" aria-describedby="{name}-words">\n'
        f'<desc id="{name}-words">{_xml_text(scene.description)}</desc>\n'
        f"{''.join(_groups(scene, name, hidden=True))}"
        f'<g class="handles" id="{name}-handles">{handles}</g></svg>\n'
    )


def style_sheet(scope: str) -> str:
    """The CSS rules of all roles inside ``scope``, with colours as custom properties.

    For example ``.scope .hand{stroke:var(--hand);...}``.
    """
    named = {name: f"var(--{name.replace('_', '-')})" for name in palette("light")}
    return "".join(f"{scope} {_css_rule(role, style, named)}" for role, style in ROLES.items())


def properties(theme: str) -> str:
    """The colours of a theme as CSS custom properties: ``--ground:#FAF8F3;...``."""
    return "".join(
        f"--{name.replace('_', '-')}:{colour};" for name, colour in palette(theme).items()
    )


def theme_rules() -> str:
    """The CSS rules that set the colours of all themes, each where it is chosen."""
    return (
        f":root{{{properties('light')}}}\n"
        f"@media(prefers-color-scheme:dark){{:root{{{properties('dark')}}}}}\n"
        f"@media print{{:root{{{properties('print')}}}}}\n"
    )


def _css_rule(role: str, style: Style, colours: dict[str, str]) -> str:
    """The CSS rule of one role."""
    parts = [f"fill:{colours[style.fill] if style.fill else 'none'}"]
    if style.line:
        parts.append(f"stroke:{colours[style.line]};stroke-width:{style.width_mm:g}")
        dashes = " ".join(f"{length:g}" for length in style.dash_mm)
        parts.append(
            f"stroke-dasharray:{dashes}" if dashes else "stroke-linecap:round;stroke-linejoin:round"
        )
    if style.em_mm:
        # A presentation attribute gives the size, which a single mark may have of its own.
        parts += ["font-weight:bold"] if style.bold else []
    return f".{role}{{{';'.join(parts)}}}"


def _groups(scene: Scene, name: str, *, hidden: bool = False) -> Iterator[str]:
    """The marks as ``g`` elements, one for each group of the scene and for what lies between.

    ``hidden`` hides the marks from screen readers, which then read the description alone.
    """
    clips: dict[Rect, str] = {}
    hide = ' aria-hidden="true"' if hidden else ""
    ends = {group.start: group for group in scene.groups}
    at = 0
    while at < len(scene.marks):
        group = ends.get(at)
        stop = group.stop if group else min((s for s in ends if s > at), default=len(scene.marks))
        id_ = f' id="{name}-{group.name}" class="{group.name}-side"' if group else ""
        yield f"<g{id_}{hide}>{''.join(_marks(scene.marks[at:stop], name, clips))}</g>\n"
        at = stop


def _marks(marks: Iterable[Mark], name: str, clips: dict[Rect, str]) -> Iterator[str]:
    for clip, run in groupby(marks, key=lambda mark: None if isinstance(mark, Text) else mark.clip):
        body = "".join(map(_mark, run))
        if clip is None:
            yield body
            continue
        if clip not in clips:
            clips[clip] = f"{name}-{len(clips)}"
            yield f'<clipPath id="{clips[clip]}"><rect {_box(clip)}/></clipPath>'
        yield f'<g clip-path="url(#{clips[clip]})">{body}</g>'


def _mark(mark: Mark) -> str:
    if isinstance(mark, Text):
        return _text(mark)
    if isinstance(mark, Image):
        return _image(mark)
    if mark.look is None:
        return f'<path class="{mark.role}" d="{path_data(mark.outline)}"/>'
    # A person's own colours, which every theme keeps.
    line = ""
    if mark.look.line:
        line = f'stroke="{mark.look.line}" stroke-width="{_number(mark.look.width)}"'
    look = (
        f'fill="{mark.look.fill or "none"}" {line} stroke-linecap="round" stroke-linejoin="round"'
    )
    return f'<path d="{path_data(mark.outline)}" {look}/>'


def _text(mark: Text) -> str:
    x, y = _number(mark.x_mm), _number(mark.y_mm)
    attributes = f'class="{mark.role}" x="{x}" y="{y}" font-size="{_number(mark.em_mm)}"'
    if mark.anchor != "start":
        attributes += f' text-anchor="{mark.anchor}"'
    if mark.turn_deg:
        attributes += f' transform="rotate({_number(mark.turn_deg)} {x} {y})"'
    if "  " in mark.text:
        attributes += ' xml:space="preserve"'
    return f"<text {attributes}>{_xml_text(mark.text)}</text>"


def _image(mark: Image) -> str:
    from PIL import Image as PillowImage

    out = io.BytesIO()
    PillowImage.frombytes(mark.mode, (mark.width_px, mark.height_px), mark.pixels).save(
        out, "PNG", compress_level=6
    )
    data = base64.b64encode(out.getvalue()).decode()
    return (
        f'<image {_box(mark.box_mm)} preserveAspectRatio="none" '
        f'href="data:image/png;base64,{data}"/>'
    )


def path_data(outline: Outline) -> str:
    """An outline as the data of an SVG path."""
    return "".join(command[0] + " ".join(map(_number, command[1:])) for command in outline.commands)


def _handle(handle: Handle, name: str) -> str:
    """A handle as a slider, or as a plain mark that says why it stays.

    A pointer or the arrow keys pull the slider.
    """
    mark = f'<path class="{"stay" if handle.stays else "tick"}" d="{path_data(handle.outline)}"/>'
    if handle.stays:
        # Its line is thin: what can be pointed at is a broad one that nobody sees.
        broad = mark.replace('class="stay"', 'class="hit"')
        words = f"{_xml_text(handle.label)}: {_xml_text(handle.stays)}"
        return (
            f'<g id="{name}-{handle.name}" class="stays" role="img" aria-label="{words}">'
            f"<title>{_xml_text(handle.stays)}</title>{broad}{mark}</g>"
        )
    left, top, right, bottom = handle.outline.bounds
    left, right = min(left, (left + right) / 2 - HIT_MM), max(right, (left + right) / 2 + HIT_MM)
    top, bottom = min(top, (top + bottom) / 2 - HIT_MM), max(bottom, (top + bottom) / 2 + HIT_MM)
    hit = _box(Rect(left, top, right - left, bottom - top))
    values = (
        f'aria-valuemin="{_number(handle.least)}" aria-valuemax="{_number(handle.most)}" '
        f'aria-valuenow="{_number(handle.value)}"'
    )
    return (
        f'<g id="{name}-{handle.name}" class="handle {handle.way}" role="slider" tabindex="0" '
        f'aria-label="{_xml_text(handle.label)}" '
        f'aria-orientation="{handle.way}" {values} aria-valuetext="{_xml_text(handle.says)}" '
        f'data-pull="{handle.name}" '
        f'data-per-unit="{handle.per_sheet_mm:.6g}" data-step="{handle.step:g}">'
        f'<rect class="hit" {hit}/>{mark}</g>'
    )


def _box(rect: Rect) -> str:
    """The attributes of an SVG element that is a rectangle."""
    return (
        f'x="{_number(rect.left)}" y="{_number(rect.top)}" '
        f'width="{_number(rect.width)}" height="{_number(rect.height)}"'
    )


def _number(value: float) -> str:
    """A number in as few digits as it needs."""
    text = f"{value:.{_PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def _xml_text(text: str) -> str:
    """``text`` escaped for XML; characters that XML forbids become the replacement character."""
    return escape(re.sub("[\0-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]", "\ufffd", text))
