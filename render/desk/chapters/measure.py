"""Sizes with a bank card: the sheets that a blank's note opens.

No chapter of the page's list: it answers to its verbs alone.

``display`` and ``tablet`` open a sheet; ``pulls``, ``traces`` and ``touches`` say what was measured
and offer it as a change of the letter, ``grid`` which dots of squared paper to touch.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from flask import render_template

from mapper.desk import Desktop, Display
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.touching.area import touched_area
from mapper.touching.sheets import grid_sheet
from mapper.tracing.sizing import CardPull, area_size, card_trace, glass_size
from mapper.units import MM_PER_INCH, mm_of_inches
from profiles.known_things import parse_thing
from profiles.numbers import plain_number
from profiles.shorthand import display_text
from render.desk.bodies import CardMeasured, TouchesSent, body
from render.desk.chapters.took import on_page
from render.desk.chapters.touch import crosses_data
from render.desk.hardware import said_displays, said_tablets
from render.desk.touching import display_under, touches_of
from render.sentences.measures import inches_words, size
from render.sentences.say import Name, say
from render.sentences.sizes import area_sentences, glass_sentences, glass_typed
from render.sentences.touch import mouse_sentence, slip_sentence
from render.sentences.words import number, plain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from flask import Request

    from mapper.tracing.sizing import AreaSize, GlassSize
    from profiles.known_things import KnownThing
    from render.desk.desks import Desk

_MOST_TRIES = 6


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """What a sheet asks for. Raises RequestError with words for the sheet."""
    if verb in {"display", "tablet"}:
        return {"html": render_template(f"chapters/measure_{verb}.html")}
    if verb in {"grid", "touches"}:
        return _touches(desk, verb, body(request, TouchesSent))
    sent = body(request, CardMeasured)
    thing = parse_thing(str(sent.thing)[:80], say("the card"))
    screen_px = _pixels(sent.screen)
    if verb == "pulls":
        return _pulls(desk, sent, thing, screen_px)
    if verb == "traces":
        return _traces(desk, sent, thing, screen_px)
    raise RequestError(Problem("measure", phrase("cannot do this"), verb))


def _pixels(data: tuple[float, float]) -> tuple[int, int]:
    width, height = data
    if not (100 <= width <= 100_000 and 100 <= height <= 100_000):
        raise RequestError(Problem("screen", phrase("must be a width and a height in px")))
    return int(width), int(height)


def _pulls(
    desk: Desk, sent: CardMeasured, thing: KnownThing, screen_px: tuple[int, int]
) -> dict[str, Any]:
    pulls = [CardPull(width, height) for width, height in (sent.pulls or [])[:_MOST_TRIES]]
    found = glass_size(pulls, (thing.width_mm, thing.height_mm), screen_px)
    ways: list[dict[str, Any]] = []
    sentences = list(glass_sentences(found, screen_px))
    if not found.another or len(pulls) >= _MOST_TRIES:
        for each in said_displays():
            if (
                each.display.width_px,
                each.display.height_px,
            ) == screen_px and each.display.width_mm:
                inches = (
                    math.hypot(each.display.width_mm, each.display.height_mm or 0) / MM_PER_INCH
                )
                agree = found.diagonal_in.low <= inches <= found.diagonal_in.high
                reported = inches_words(inches)
                card = inches_words(found.diagonal_in.value)
                sentences.append(_reported(each.name, reported, card, agree=agree))
                title = say("Use {size}, as {name} reports", size=reported, name=Name(each.name))
                ways += display_ways(desk, found, screen_px, title, round(inches, 1))
        for inches in sorted(found.sold_in):
            title = say("Use {size}", size=inches_words(inches, 2))
            ways += display_ways(desk, found, screen_px, title, inches)
        measured = inches_words(found.diagonal_in.value)
        if measured not in {inches_words(inches, 2) for inches in found.sold_in}:
            title = say("Use {size}, as measured", size=measured)
            ways += display_ways(desk, found, screen_px, title, None)
        if not ways:
            sentences.append(
                say(
                    "None of the displays in your description has {width} × {height} pixels. "
                    "Move this window to the one you measure.",
                    width=str(screen_px[0]),
                    height=str(screen_px[1]),
                )
            )
    html = render_template("chapters/measure_result.html", sentences=sentences, ways=ways)
    return {"another": found.another and len(pulls) < _MOST_TRIES, "html": html}


def _reported(name: str, reported: str, measured: str, *, agree: bool) -> str:
    """Whether the size that the hardware reports agrees with what was measured."""
    if agree:
        return say(
            "{name} reports {reported}, which agrees with the card.",
            name=Name(name),
            reported=reported,
        )
    return say(
        "{name} reports {reported}; the card says {measured}. They cannot both be right: choose "
        "the one that you trust.",
        name=Name(name),
        reported=reported,
        measured=measured,
    )


def display_ways(
    desk: Desk, size: GlassSize, screen_px: tuple[int, int], title: str, diagonal_in: float | None
) -> list[dict[str, Any]]:
    """The changes of the letter that put the measured display in its place.

    One where the letter has one display; else one for each display with these pixels.
    """
    solved = desk.now.solved
    if solved is None or len(desk.said.displays) < 2:
        return [
            {"title": title, "change": {"displays": [glass_typed(size, screen_px, diagonal_in)]}}
        ]
    inches = round(size.diagonal_in.value if diagonal_in is None else diagonal_in, 1)
    displays = solved.request.desktop.displays
    alike = [each for each in displays if (each.width_px, each.height_px) == screen_px]
    return [
        {
            "title": title
            if len(alike) == 1
            else say("{title}, for {display}", title=title, display=Name(one.label)),
            "change": {
                "displays": [
                    display_text(each.with_diagonal(mm_of_inches(inches)) if each == one else each)
                    for each in displays
                ]
            },
        }
        for one in alike
    ]


def _touches(desk: Desk, verb: str, sent: TouchesSent) -> dict[str, Any]:
    """The dots of squared paper to touch (``grid``), and what the touches say of the tablet."""
    where = say("paper")
    across, down = (plain_number(str(each), where) for each in (sent.across, sent.down))
    sheet = grid_sheet(across, down)
    screen_px = _pixels(sent.frame.screen)
    desktop = _desktop(desk, screen_px)
    display = display_under(desktop, sent.frame)
    if verb == "grid":
        return {"crosses": crosses_data(sheet)}
    found = touched_area(touches_of(sent.touches, sheet, display, sent.frame), desktop)
    sentences = [
        *(slip_sentence(slip) for slip in found.slips),
        *area_sentences(found.size, len(desktop.displays)),
    ]
    if sent.mouse:
        sentences.append(mouse_sentence())
    return {"html": _area_html(desk, found.size, sentences)}


def _desktop(desk: Desk, screen_px: tuple[int, int]) -> Desktop:
    """The desktop of the letter; where it has none, the screen that the page is on."""
    return Desktop((Display(*screen_px),)) if desk.solved is None else desk.solved.request.desktop


def _traces(
    desk: Desk, sent: CardMeasured, thing: KnownThing, screen_px: tuple[int, int]
) -> dict[str, Any]:
    # numpy comes with it, which a card on the display has no use for.
    from mapper.tracing.measure import measure

    given = sent.traces or []
    if not 1 <= len(given) <= _MOST_TRIES:
        raise RequestError(Problem(phrase("traces"), phrase("must be a list of traces")))
    outline = thing.outline()
    laid_out = [
        card_trace(
            measure([on_page(strokes, thing).trace], of_wobble_alone=True),
            (outline.width_mm, outline.height_mm),
        )
        for strokes in given
    ]
    desktop = _desktop(desk, screen_px)
    target = desktop.rect_px
    found = area_size(laid_out, (target.width, target.height), desktop.width_over_height)
    html = _area_html(desk, found, area_sentences(found, len(desktop.displays)))
    return {"another": not found.both_ways and len(given) < 2, "html": html}


def _area_html(desk: Desk, found: AreaSize, measured: Iterable[str]) -> str:
    """What was measured, what the hardware says of it, and the changes of the letter for both."""
    solved = desk.solved
    sentences = list(measured)
    # The letter has the tablet as it was built.
    built = -1 if desk.said.turn in {"90", "270"} else 1
    sides_mm = [each.value for each in (found.width_mm, found.height_mm)[::built]]
    typed = "{}x{}mm".format(*(plain(each, 1) for each in sides_mm))
    card = "{} × {} mm".format(*(number(each, 1) for each in sides_mm))
    if solved is not None and solved.request.tablet.counts_per_mm is not None:
        typed += f"@{solved.request.tablet.counts_per_mm:g}/mm"
    ways: list[dict[str, Any]] = [
        {"title": say("Use {size}", size=card), "change": {"tablet": typed}}
    ]
    for each in said_tablets():
        sides = (each.tablet.width_mm, each.tablet.height_mm)
        seen = sides[::built]
        agree = found.width_mm.holds(seen[0]) and found.height_mm.holds(seen[1])
        sentences.append(_reported(each.name, size(*sides), card, agree=agree))
        title = say("Use {size}, as {name} reports", size=size(*sides), name=Name(each.name))
        ways.append({"title": title, "change": {"tablet": each.text}})
    return render_template("chapters/measure_result.html", sentences=sentences, ways=ways)
