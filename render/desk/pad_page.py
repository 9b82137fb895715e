"""The page of the pad: HTML, style, script and numbers in one text that needs nothing else.

Python computes every matrix and number; the script only applies them. Whatever comes from a profile is escaped, and
the Content-Security-Policy lets nothing run or load but the one style and the one script that are in the page.
"""

from __future__ import annotations

import base64
import hashlib
import json
import math
import re
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from mapper.mapping.entry import Entry
from render.canvas.theme import palette
from render.desk.entry import answer_parts
from render.desk.pad_maps import (
    PadMap,
    desktop_px_to_glass_mm,
    desktop_px_to_hand_mm,
    glass_mm_per_px,
    remedy,
    scale_steps,
)
from render.words import circle_state, fixed, map_sentence, number, tilt_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.affine import Affine
    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect

#: Half the width of a probe under the hand, mm, and lengths for the ruler, mm: the script takes the largest that fits.
PROBE_SIZES_MM = (2, 3, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200)
BARS_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)

#: The modules of the script, each after what it imports.
SCRIPTS = ("pad_shape.js", "pad_words.js", "pad_views.js", "pad_keep.js", "pad_screen.js", "pad_spread.js", "pad.js")

_COLOURS = ("ground", "plate", "glass", "ink", "muted", "rule", "hand", "hand_tint", "result", "ghost", "bezel")
_FIELD = re.compile(r"\{\{(\w+)\}\}")
_MODULE_LINE = re.compile(r"^import [^;]*;\n|^export (?=const |function )", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Page:
    """A finished page, and the Content-Security-Policy that it also carries itself."""

    html: str
    policy: str


def page(today: PadMap, others: Sequence[PadMap], *, file_stem: str) -> Page:
    """The page that compares ``today`` with ``others``, and that stands alone and sends nothing.

    ``file_stem`` begins the names of kept files.
    """
    light, dark = (
        " ".join(f"--{name.replace('_', '-')}: {palette(theme)[name]};" for name in _COLOURS)
        for theme in ("light", "dark")
    )
    style = _filled(_part("pad_page.css"), light=light, dark=dark) + _part("static/pad/pad.css")
    script = script_in_one()
    policy = _policy(style, script)
    html = _filled(
        _part("pad.html"),
        policy=escape(policy),
        title=escape(f"{today.name}: Evenstroke pad"),
        style=style,
        workstation=escape(today.name),
        pad=pad_part(today, others, file_stem=file_stem, alone=True),
        script=script,
    )
    return Page(html, policy)


def pad_part(
    today: PadMap, others: Sequence[PadMap], *, file_stem: str, save_to: str | None = None, alone: bool = False
) -> str:
    """The pad as a part of a page: HTML that ``pad.js`` brings to life. Arguments as for ``page``.

    ``save_to`` is the address that strokes are sent to; without it they are kept as the browser keeps downloads. ``alone``: whether the page holds nothing else, so that its keys are the pad's wherever the focus is.
    """
    steps = scale_steps(today.map)
    better = remedy(today, others)
    setting = _setting(today.map)
    return _filled(
        _part("pad_part.html"),
        said=escape(f"{_sentence(today.map)} Draw a circle here, with your driver as it is today."),
        enter="" if better is None else f"<p>{_enter_sentence(better)}</p>",
        pictures="\n".join(_pictures(today, others, steps, better)),
        keep="Save" if save_to else "Keep",
        numbers=_as_json(
            _numbers(today, others, steps, file_stem, save_to)
            | {
                "alone": alone,
                "setting": setting,
                "setting_percent": today.map.figures_on(today.map.reference).distortion.oval_percent,
            }
        ),
    )


def script_in_one() -> str:
    """The modules of the pad's script as one that needs no server: without their imports, each after what it uses."""
    whole = "\n".join(_part(f"static/pad/{name}") for name in SCRIPTS)
    start = 'for (const root of document.querySelectorAll(".pad")) mountPad(root);'
    return f'"use strict";\n(() => {{\n{_MODULE_LINE.sub("", whole)}\n{start}\n}})();'


def _part(name: str) -> str:
    # A browser reads all line ends as LF before it hashes; a checkout may hold others.
    return (files("render.desk") / name).read_text("utf-8").replace("\r\n", "\n")


def _filled(template: str, **fields: str) -> str:
    """``template`` with each ``{{name}}`` replaced once; what is filled in is never looked at again."""
    return _FIELD.sub(lambda match: fields[match.group(1)], template)


def _policy(style: str, script: str) -> str:
    """Content Security Policy Level 3: nothing but this style and this script, by their hashes."""
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src {_hash(script)}",
            f"style-src {_hash(style)}",
            "img-src data:",
            "connect-src 'none'",
            "base-uri 'none'",
            "form-action 'none'",
            "require-trusted-types-for 'script'",
            "trusted-types 'none'",
        )
    )


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _as_json(data: dict[str, Any]) -> str:
    """JSON that can stand in a script element: no character that HTML could read as its end."""
    text = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return text.replace("&", r"\u0026").replace("<", r"\u003c").replace(">", r"\u003e")


def _numbers(
    today: PadMap,
    others: Sequence[PadMap],
    steps: Sequence[tuple[float, TabletMap]],
    file_stem: str,
    save_to: str | None,
) -> dict[str, Any]:
    solved = today.map
    to_hand = desktop_px_to_hand_mm(solved)
    scales = [
        {
            "scale": number(scale),
            "sentence": _sentence(each),
            "enter": _enter(PadMap("", each, today.entry)),
            "desktop_px_to_mm": _six(desktop_px_to_glass_mm(solved, each)),
        }
        for scale, each in steps
    ]
    pictures = [to_hand, *(desktop_px_to_glass_mm(solved, each) for each in (solved, *(other.map for other in others)))]
    return {
        "file_stem": re.sub(r"[^A-Za-z0-9_-]+", "-", file_stem).strip("-")[:60] or "pad",
        "save_to": save_to,
        "screen_middle_px": solved.screen_px.centre,
        "displays_px": [(display.width_px, display.height_px) for display in solved.reached],
        "size_known": all(each.reference.mm_per_px for each in (solved, *(other.map for other in others))),
        "today_mm_per_px": glass_mm_per_px(solved.reference)[0],
        "hand_mm_to_desktop_px": _six(~to_hand),
        "desktop_px_to_seen_mm": _six(~solved.seen_mm_to_desktop_px),
        # The scale row's picture starts where its slider does.
        "pictures": [*map(_six, pictures), *(scales[_start(steps, solved)]["desktop_px_to_mm"] for _ in scales[:1])],
        "scales": scales,
        "probes": {"circle": [_circle()], "grid": _grid()},
        "probe_sizes_mm": PROBE_SIZES_MM,
        "bars_mm": BARS_MM,
    }


def _six(affine: Affine) -> list[float]:
    return [affine.a, affine.b, affine.c, affine.d, affine.e, affine.f]


def _circle(corners: int = 180) -> list[tuple[float, float]]:
    """A circle of radius 1, closed; at 180 corners it lies within 0.02 % of a true one."""
    turns = (index / corners * math.tau for index in range(corners + 1))
    return [(round(math.cos(turn), 9), round(math.sin(turn), 9)) for turn in turns]


def _grid(squares: int = 8) -> list[list[tuple[float, float]]]:
    """Lines from -1 to 1 along x and y."""
    places = [index * 2 / squares - 1 for index in range(squares + 1)]
    return [[(at, -1.0), (at, 1.0)] for at in places] + [[(-1.0, at), (1.0, at)] for at in places]


def _sentence(solved: TabletMap) -> str:
    return map_sentence(solved)


def _setting(solved: TabletMap) -> str:
    """What the map adds to every shape, as a clause; empty where it adds nothing."""
    figures = solved.figures_on(solved.reference)
    distortion = figures.distortion
    state = circle_state(distortion.stretch, distortion.oval_percent, distortion.longer_axis_deg)
    tilt = tilt_words(figures.tilt_deg)
    shape = "" if state == "round" else f"makes it {state.removesuffix(' than tall').removesuffix(' than wide')}"
    if state.endswith("longer than wide"):
        shape = f"makes it {state.removesuffix(' than wide')} one way, along a slant"
    turn = f"turns it {tilt}" if tilt else ""
    words = " and ".join(filter(None, (shape, turn)))
    return f"the setting {words}" if words else ""


def _enter(each: PadMap) -> str:
    """The rectangle to enter, in the form that the driver asks for."""
    solved = each.map
    if each.entry == Entry():
        left, top, width, height = _rectangle(solved.area_built_mm, 2)
        words = f"Tablet area: {width} x {height} mm from {left},\N{NO-BREAK SPACE}{top}."
    else:
        sentence, numbers = answer_parts(solved, each.entry)
        words = sentence.format(*(f"{one.text}\N{NO-BREAK SPACE}{one.word}" for one in numbers))
    if solved.screen_px != solved.target_px:
        left, top, width, height = _rectangle(solved.screen_px, 1)
        words += f" Screen: {width} x {height} px from {left},\N{NO-BREAK SPACE}{top}."
    return words


def _enter_sentence(each: PadMap) -> str:
    """The same as the end of the large sentence, in HTML."""
    solved = each.map
    if each.entry == Entry():
        left, top, width, height = (f"<b>{value}</b>" for value in _rectangle(solved.area_built_mm, 2))
        words = (
            f'Enter <span class="nb">{left} mm from the left</span>, <span class="nb">{top} mm from the top</span>, '
            f'<span class="nb">{width} mm wide</span> and <span class="nb">{height} mm high</span>'
        )
    else:
        sentence, numbers = answer_parts(solved, each.entry)
        spans = (f'<span class="nb"><b>{one.text}</b> {one.word}</span>' for one in numbers)
        words = sentence.removesuffix(".").format(*spans)
    if solved.screen_px != solved.target_px:
        left, top, width, height = (f"<b>{value}</b>" for value in _rectangle(solved.screen_px, 1))
        words += (
            f', and on the screen <span class="nb">{left} px from the left</span>, '
            f'<span class="nb">{top} px from the top</span>, <span class="nb">{width} px wide</span> and '
            f'<span class="nb">{height} px high</span>'
        )
    turn = solved.request.tablet.turn_deg
    turned = f", with the rotation in your tablet's settings at {turn}°" if turn else ""
    if solved.area_angle_deg and each.entry == Entry():
        turned = f", with the area turned by {number(solved.area_angle_deg, 2)}°"
    return f"{words}{turned}, and shapes come out as your hand draws them."


def _rectangle(rect: Rect, places: int) -> list[str]:
    return [number(value, places) for value in (rect.left, rect.top, rect.width, rect.height)]


def _start(steps: Sequence[tuple[float, TabletMap]], solved: TabletMap) -> int:
    """The step that is nearest to today's scale factor."""
    own = solved.summary.scale_factor or 1.0
    return min(range(len(steps)), key=lambda index: abs(steps[index][0] - own))


def _pictures(
    today: PadMap, others: Sequence[PadMap], steps: Sequence[tuple[float, TabletMap]], better: PadMap | None
) -> list[str]:
    """The figures: the better map first and large, then the hand, today, every other map, the row of scale factors."""
    own = [("hand", "Your hand", "What the hand did on the tablet.", "")]
    own.append(("today", "Today, as on the sheet", _sentence(today.map), _enter(today)))
    own += [("map", other.name, _sentence(other.map), _enter(other)) for other in others]
    figures = [_figure(index, *each, wide=index > 1 and others[index - 2] is better) for index, each in enumerate(own)]
    figures.sort(key=lambda figure: not figure.startswith(_WIDE))
    if steps:
        figures.append(_scales_figure(len(own), steps, _start(steps, today.map), today.entry))
    return figures


_WIDE = '<figure class="wide">'


def _figure(index: int, role: str, name: str, sentence: str, enter: str, *, wide: bool) -> str:
    return (
        f"{_WIDE if wide else '<figure>'}<h3><bdi>{escape(name)}</bdi></h3>\n"
        f"{_canvas(index, role, f'{name}. {sentence}')}\n"
        '<p class="ruler" aria-hidden="true"></p>\n'
        '<p class="measured"></p>\n'
        f"<p>{escape(sentence)}</p>\n" + (f"<p>{escape(enter)}</p>\n" if enter else "") + "</figure>"
    )


def _scales_figure(index: int, steps: Sequence[tuple[float, TabletMap]], start: int, entry: Entry) -> str:
    scale, solved = steps[start]
    return (
        f"{_WIDE}<h3>Another scale factor</h3>\n"
        f"{_canvas(index, 'scales', _sentence(solved))}\n"
        '<p class="ruler" aria-hidden="true"></p>\n'
        '<p class="measured"></p>\n'
        '<p class="pick"><label for="pad-scale-pick">Scale</label>'
        f'<input type="range" id="pad-scale-pick" min="0" max="{len(steps) - 1}" step="1" value="{start}" '
        f'aria-valuetext="{number(scale)}"><output id="pad-scale-value" for="pad-scale-pick">{fixed(scale, 2)}</output></p>\n'
        f'<p id="pad-scale-sentence">{escape(_sentence(solved))}</p>\n'
        f'<p id="pad-scale-enter">{escape(_enter(PadMap("", solved, entry)))}</p>\n</figure>'
    )


def _canvas(index: int, role: str, label: str) -> str:
    return f'<canvas data-picture="{index}" data-role="{role}" role="img" aria-label="{escape(label)}"></canvas>'
