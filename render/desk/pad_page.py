"""The page of the pad: HTML, style, script and numbers in one text that needs nothing else.

Python computes every matrix and number; the script only applies them. Whatever comes from a profile
is escaped, and the Content-Security-Policy lets nothing run or load but the one style and the one
script that are in the page.
"""

from __future__ import annotations

import base64
import hashlib
import math
import re
from dataclasses import astuple, replace
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, PackageLoader

from mapper.mapping.entry import Entry
from render.canvas.svg import theme_rules
from render.desk.markup import teach
from render.desk.pad_maps import (
    PadMap,
    desktop_px_to_glass_mm,
    desktop_px_to_hand_mm,
    glass_mm_per_px,
    remedy,
    scale_steps,
)
from render.desk.script_texts import pad_texts
from render.sentences.entry import answer_sentences, screen_sentence
from render.sentences.say import paragraph, say, unmarked
from render.sentences.strokes import setting_sentences
from render.sentences.words import map_sentence, number, rotation_sentence, to_type

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect

#: Half the width of a probe under the hand, mm, and lengths for the ruler, mm: the script takes the
#: largest that fits.
PROBE_SIZES_MM = (2, 3, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200)
BARS_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)

#: The modules of the script, each after what it imports.
SCRIPTS = (
    "say.js",
    "fill.js",
    "pad/pad_shape.js",
    "pad/pad_words.js",
    "pad/pad_views.js",
    "pad/pad_keep.js",
    "pad/pad_modal.js",
    "pad/pad_screen.js",
    "pad/pad_spread.js",
    "pad/pad.js",
)

_MODULE_LINE = re.compile(r"^import [^;]*;\n|^export (?=const |function |class )", re.MULTILINE)


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("render.desk"), autoescape=True, trim_blocks=True, lstrip_blocks=True
    )
    teach(made)
    made.policies["json.dumps_kwargs"] = {"allow_nan": False, "separators": (",", ":")}
    return made


def page(today: PadMap, others: Sequence[PadMap], *, file_stem: str) -> str:
    """The page that compares ``today`` with ``others``, and that stands alone and sends nothing.

    ``file_stem`` begins the names of kept files.
    """
    style = "".join((theme_rules(), _part("pad_page.css"), _part("static/pad/pad.css")))
    script = script_in_one()
    return (
        _templates()
        .get_template("pad_alone.html")
        .render(
            policy=_policy(style, script),
            style=style,
            name=today.name,
            pad=pad_part(today, others, file_stem=file_stem, alone=True),
            script=script,
        )
    )


def pad_part(
    today: PadMap,
    others: Sequence[PadMap],
    *,
    file_stem: str,
    file_name: str = "",
    save_to: str | None = None,
    alone: bool = False,
    called: str = "",
    is_new: bool = False,
) -> str:
    """The pad as a part of a page: HTML that ``pad.js`` brings to life.

    Arguments as for ``page``. ``called`` is the name of today's picture. With ``is_new`` today's
    setting is the one to be shown, and the others are what was before it: they stand in front.

    ``file_name`` begins the names of kept files where they are called otherwise than the strokes
    that are remembered. ``save_to`` is the address that strokes are sent to; without it they are
    kept as the browser keeps downloads. ``alone``: whether the page holds nothing else, so that its
    keys are the pad's wherever the focus is.
    """
    steps = scale_steps(today.map)
    # The step of the row that is nearest to today's scale factor: where its slider starts.
    own = today.map.summary.scale_factor or 1.0
    start = min(range(len(steps)), key=lambda index: abs(steps[index][0] - own), default=0)
    better = None if is_new else remedy(today, others)
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", file_stem).strip("-")[:60] or "pad"
    fields: dict[str, Any] = {}
    if better is not None:
        fields = {"to_type": _remedy_sentences(better)}
    return (
        _templates()
        .get_template("pad_part.html")
        .render(
            said=_asks(today, is_new=is_new),
            **_pictures(today, others, [steps[start]] if steps else [], called, is_new=is_new),
            start=start,
            numbers={
                **_numbers(today, others, steps, start),
                "file_stem": stem,
                "file_name": file_name or stem,
                "save_to": save_to,
                "alone": alone,
            },
            **fields,
        )
    )


def script_in_one() -> str:
    """The modules of the pad's script as one script that needs no server.

    They stand without their imports, each after what it uses.
    """
    whole = "\n".join(_part(f"static/{name}") for name in SCRIPTS)
    start = 'for (const root of document.querySelectorAll(".pad")) mountPad(root, say);'
    return f'"use strict";\n(() => {{\n{_MODULE_LINE.sub("", whole)}\n{start}\n}})();'


def _part(name: str) -> str:
    # A browser reads all line ends as LF before it hashes; a checkout may hold others.
    return (files("render.desk") / name).read_text("utf-8").replace("\r\n", "\n")


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


def _numbers(
    today: PadMap, others: Sequence[PadMap], steps: Sequence[tuple[float, TabletMap]], start: int
) -> dict[str, Any]:
    solved = today.map
    to_hand = desktop_px_to_hand_mm(solved)
    scales = [
        {
            "scale": number(scale),
            "label": say(
                "Scale factor {scale}. {sentence}",
                scale=number(scale),
                sentence=map_sentence(each),
            ),
            "sentence": map_sentence(each),
            "enter": _enter(PadMap("", each, today.entry)),
            "desktop_px_to_mm": astuple(desktop_px_to_glass_mm(solved, each)),
        }
        for scale, each in steps
    ]
    maps = [solved, *(other.map for other in others)]
    pictures = [
        astuple(affine)
        for affine in (to_hand, *(desktop_px_to_glass_mm(solved, each) for each in maps))
    ]
    return {
        "texts": pad_texts(),
        "setting": setting_sentences(solved),
        "setting_percent": solved.figures_on(solved.reference).distortion.oval_percent,
        "screen_middle_px": solved.screen_px.centre,
        "displays_px": [(display.width_px, display.height_px) for display in solved.reached],
        "size_known": all(each.reference.mm_per_px for each in maps),
        "today_mm_per_px": glass_mm_per_px(solved.reference)[0],
        "hand_mm_to_desktop_px": astuple(~to_hand),
        "desktop_px_to_seen_mm": astuple(~solved.seen_mm_to_desktop_px),
        # The scale row's picture starts where its slider does.
        "pictures": [*pictures, *(each["desktop_px_to_mm"] for each in scales[start : start + 1])],
        "scales": scales,
        "probes": {"circle": [_circle()], "grid": _grid()},
        "probe_sizes_mm": PROBE_SIZES_MM,
        "bars_mm": BARS_MM,
    }


def _circle(corners: int = 180) -> list[tuple[float, float]]:
    """A circle of radius 1, closed; at 180 corners it lies within 0.02 % of a true one."""
    turns = (index / corners * math.tau for index in range(corners + 1))
    return [(round(math.cos(turn), 9), round(math.sin(turn), 9)) for turn in turns]


def _grid(squares: int = 8) -> list[list[tuple[float, float]]]:
    """Lines from -1 to 1 along x and y."""
    places = [index * 2 / squares - 1 for index in range(squares + 1)]
    return [[(at, -1.0), (at, 1.0)] for at in places] + [[(-1.0, at), (1.0, at)] for at in places]


def _remedy_sentences(better: PadMap) -> list[str]:
    """What to type so that circles come out round, a sentence each."""
    solved = better.map
    found: list[str] = [*answer_sentences(solved, better.entry)]
    if solved.screen_px != solved.target_px:
        found.append(screen_sentence(solved, better.entry))
    rotation = rotation_sentence(solved.request.tablet.turn_deg)
    return [
        *found,
        *([rotation] if rotation else []),
        say("Then circles come out as your hand draws them."),
    ]


def _enter(each: PadMap) -> str:
    """The rectangle to enter, in the form that the settings ask for; the usual one in short."""
    if replace(each.entry, comma=False) == Entry():
        found: list[str] = [
            say(
                "Tablet area: {width} × {height} mm, {left} mm from the left and {top} mm from "
                "the top.",
                **_rectangle(each.map.area_built_mm, 2, each.entry),
            )
        ]
    else:
        found = [unmarked(sentence) for sentence in answer_sentences(each.map, each.entry)]
    if each.map.screen_px != each.map.target_px:
        found.append(
            say(
                "Display: {width} × {height} pixels, {left} from the left and {top} from the top.",
                **_rectangle(each.map.screen_px, 1, each.entry),
            )
        )
    return paragraph(found)


def _rectangle(rect: Rect, places: int, entry: Entry) -> dict[str, str]:
    sides = (rect.left, rect.top, rect.width, rect.height)
    values = (to_type(value, places, entry) for value in sides)
    return dict(zip(("left", "top", "width", "height"), values, strict=True))


def _asks(today: PadMap, *, is_new: bool) -> str:
    """What the setting of today does, and that a circle shows it."""
    does = map_sentence(today.map)
    if is_new:
        return say("{map} Draw a circle here: these numbers are typed in.", map=does)
    return say("{map} Draw a circle here, with your tablet's settings as they are today.", map=does)


def _pictures(
    today: PadMap,
    others: Sequence[PadMap],
    scale: Sequence[tuple[float, TabletMap]],
    called: str,
    *,
    is_new: bool,
) -> dict[str, list[dict[str, Any]]]:
    """The pictures of the page: ``maps`` side by side, and ``rest`` that is folded away.

    Each has the index of its matrix: the hand, today, every other map, one of the row of scales.
    """
    name = called or say("With your setting today")
    own: dict[str, Any] = {"role": "today", "name": name, "map": today}
    besides: list[dict[str, Any]] = [
        {"role": "map", "name": other.name, "map": other} for other in others
    ]
    hand: dict[str, Any] = {
        "role": "hand",
        "name": say("Your hand"),
        "sentence": say("What the hand did on the tablet."),
    }
    row: list[dict[str, Any]] = [
        {
            "role": "scales",
            "name": say("Another scale factor"),
            "map": PadMap("", each, today.entry),
            "wide": True,
        }
        for _, each in scale
    ]
    for index, picture in enumerate([hand, own, *besides, *row]):
        picture["index"] = index
        if "map" in picture:
            picture |= {
                "sentence": map_sentence(picture["map"].map),
                "enter": _enter(picture["map"]),
            }
    return {"maps": [*besides, own] if is_new else [own, *besides], "rest": [hand, *row]}
