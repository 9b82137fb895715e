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
from html import escape
from itertools import groupby
from typing import TYPE_CHECKING

from mapper.units import MM_PER_INCH
from render.canvas.scene import Handle, Image, Mark, Scene, Text
from render.canvas.theme import ROLES, Style, palette

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from mapper.paths import Outline
    from mapper.rect import Rect

FONTS = '"DejaVu Sans", Verdana, sans-serif'
_PLACES = 2
#: Half the side of what can be hit of a handle, in mm of the sheet: a little over 24 px at the
#: usual 96 px to the inch.
HIT_MM = 12.5 * MM_PER_INCH / 96


def document(scene: Scene, *, theme: str = "light") -> str:
    """``scene`` as an SVG file's text, as large as its sheet.

    Raises RequestError for an unknown theme.
    """
    colours = palette(theme)
    rules = "".join(
        _rule(role, style, colours) for role, style in ROLES.items() if _plays(scene, role)
    )
    wide, high = _n(scene.width_mm), _n(scene.height_mm)
    body = "".join(_groups(scene, "clip"))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 '
        f'0 {wide} {high}" '
        'role="img" aria-labelledby="title description">\n'
        f'<title id="title">{_text(scene.title)}</title>\n<desc '
        f'id="description">{_text(scene.description)}</desc>\n'
        f"<style>text{{font-family:{FONTS}}}{rules}</style>\n"
        f'<rect width="{wide}" height="{high}" fill="{colours["ground"]}"/>\n{body}</svg>\n'
    )


def fragment(scene: Scene, *, name: str, label: str) -> str:
    """``scene`` as an SVG element for a page.

    ``name`` is the prefix of the ids in it; ``label`` is what a screen reader calls the picture.
    """
    wide, high = _n(scene.width_mm), _n(scene.height_mm)
    handles = "".join(_handle(handle, name) for handle in scene.handles)
    return (
        f'<svg id="{name}" viewBox="0 0 {wide} {high}" role="group" aria-label="{_text(label)}" '
        f'aria-describedby="{name}-words">\n<desc '
        f'id="{name}-words">{_text(scene.description)}</desc>\n'
        f'{"".join(_groups(scene, name, hidden=True))}<g class="handles" '
        f'id="{name}-handles">{handles}</g></svg>\n'
    )


def style_sheet(scope: str) -> str:
    """The CSS rules of all roles inside ``scope``, with colours as custom properties.

    For example ``.scope .hand{stroke:var(--hand);...}``.
    """
    named = {name: f"var(--{name.replace('_', '-')})" for name in palette("light")}
    return "".join(f"{scope} {_rule(role, style, named)}" for role, style in ROLES.items())


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


def _plays(scene: Scene, role: str) -> bool:
    return any(mark.role == role for mark in scene.marks)


def _rule(role: str, style: Style, colours: dict[str, str]) -> str:
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
            box = (
                f'x="{_n(clip.left)}" y="{_n(clip.top)}" width="{_n(clip.width)}" '
                f'height="{_n(clip.height)}"'
            )
            yield f'<clipPath id="{clips[clip]}"><rect {box}/></clipPath>'
        yield f'<g clip-path="url(#{clips[clip]})">{body}</g>'


def _mark(mark: Mark) -> str:
    if isinstance(mark, Text):
        turn = (
            f' transform="rotate({_n(mark.turn_deg)} {_n(mark.x_mm)} {_n(mark.y_mm)})"'
            if mark.turn_deg
            else ""
        )
        anchor = "" if mark.anchor == "start" else f' text-anchor="{mark.anchor}"'
        place = f'x="{_n(mark.x_mm)}" y="{_n(mark.y_mm)}" font-size="{_n(mark.em_mm)}"'
        spaces = ' xml:space="preserve"' if "  " in mark.text else ""
        return f'<text class="{mark.role}" {place}{anchor}{turn}{spaces}>{_text(mark.text)}</text>'
    if isinstance(mark, Image):
        return _image(mark)
    look = ""
    if mark.look is not None:
        # A person's own colours, which every theme keeps.
        line = (
            f'stroke="{mark.look.line}" stroke-width="{_n(mark.look.width)}"'
            if mark.look.line
            else ""
        )
        look = (
            f' fill="{mark.look.fill or "none"}" {line} stroke-linecap="round" '
            f'stroke-linejoin="round"'
        )
        return f'<path d="{path_data(mark.outline)}"{look}/>'
    return f'<path class="{mark.role}" d="{path_data(mark.outline)}"/>'


def _image(mark: Image) -> str:
    from PIL import Image as PillowImage

    out = io.BytesIO()
    PillowImage.frombytes(mark.mode, (mark.width_px, mark.height_px), mark.pixels).save(
        out, "PNG", compress_level=6
    )
    box = mark.box_mm
    place = (
        f'x="{_n(box.left)}" y="{_n(box.top)}" width="{_n(box.width)}" height="{_n(box.height)}"'
    )
    data = base64.b64encode(out.getvalue()).decode()
    return f'<image {place} preserveAspectRatio="none" href="data:image/png;base64,{data}"/>'


def path_data(outline: Outline) -> str:
    """An outline as the data of an SVG path."""
    return "".join(command[0] + " ".join(map(_n, command[1:])) for command in outline.commands)


def _handle(handle: Handle, name: str) -> str:
    """A handle as a slider, or as a plain mark that says why it stays.

    A pointer or the arrow keys pull the slider.
    """
    mark = f'<path class="{"stay" if handle.stays else "tick"}" d="{path_data(handle.outline)}"/>'
    if handle.stays:
        # Its line is thin: what can be pointed at is a broad one that nobody sees.
        broad = mark.replace('class="stay"', 'class="hit"')
        says = f"{_text(handle.label)}: {_text(handle.stays)}"
        return (
            f'<g id="{name}-{handle.name}" class="stays" role="img" aria-label="{says}">'
            f"<title>{_text(handle.stays)}</title>{broad}{mark}</g>"
        )
    left, top, right, bottom = handle.outline.bounds
    left, right = min(left, (left + right) / 2 - HIT_MM), max(right, (left + right) / 2 + HIT_MM)
    top, bottom = min(top, (top + bottom) / 2 - HIT_MM), max(bottom, (top + bottom) / 2 + HIT_MM)
    hit = f'x="{_n(left)}" y="{_n(top)}" width="{_n(right - left)}" height="{_n(bottom - top)}"'
    values = (
        f'aria-valuemin="{_n(handle.least)}" aria-valuemax="{_n(handle.most)}" '
        f'aria-valuenow="{_n(handle.value)}"'
    )
    return (
        f'<g id="{name}-{handle.name}" class="handle {handle.way}" role="slider" tabindex="0" '
        f'aria-label="{_text(handle.label)}" '
        f'aria-orientation="{handle.way}" {values} aria-valuetext="{_text(handle.says)}" '
        f'data-pull="{handle.name}" '
        f'data-per-unit="{handle.per_sheet_mm:.6g}" data-step="{handle.step:g}"><rect '
        f'class="hit" {hit}/>{mark}</g>'
    )


def _n(value: float) -> str:
    """A number in as few digits as it needs."""
    text = f"{value:.{_PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def _text(text: str) -> str:
    """``text`` escaped for XML; characters that XML forbids become the replacement character."""
    plain = "".join(
        c
        if c in "\t\n" or (c >= " " and not "\ud800" <= c <= "\udfff" and c not in "\ufffe\uffff")
        else "\ufffd"
        for c in text
    )
    return escape(plain)
