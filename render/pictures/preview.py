"""One map as one picture: tablet and screen to one scale, with a circle and a grid on both."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.mapping.reach import in_reach_percent
from mapper.rect import Rect
from render.canvas.lettering import shortened
from render.canvas.scene import Easel, Scene
from render.pictures.frame import (
    SHEET_MM,
    Figure,
    draw_title,
    figures_height_mm,
    figures_in_a_column,
    figures_in_a_row,
    page,
)
from render.pictures.panels import DEFAULT_PROBES, Demonstration
from render.pictures.stage import Stage, Words
from render.sentences.measures import (
    bare_length,
    display_words,
    length,
    size,
)
from render.sentences.words import (
    circle_parts,
    circle_words,
    map_sentence,
    number,
    rotation_sentence,
    tilt_words,
    turn_words,
)

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from profiles.strokes.drawing import Drawing

NO_BREAK = "\N{NO-BREAK SPACE}"

_FIGURES_WIDE_MM = 54.0

# How many displays a subtitle names one by one, and how wide a label may be there, in letter sizes.
_MOST_NAMED = 4
_LABEL_EM = 11.0

_FIT_WORDS = {
    "full": "the whole tablet on the whole screen",
    "locked": "the tablet trimmed to the screen's shape",
    "cropped": "the screen trimmed to the tablet's shape",
}


def preview_scene(
    solved: TabletMap,
    *,
    units: str = "mm",
    text: bool = True,
    size_mm: tuple[float, float] = SHEET_MM,
    probes: tuple[str, ...] = DEFAULT_PROBES,
    drawing: Drawing | None = None,
) -> Scene:
    """The picture of one map.

    ``units`` is mm or in. Without ``text`` the two bodies fill the sheet. ``size_mm`` is the
    sheet's width and height. ``probes`` names what is drawn under the hand (``probes.PROBES``), and
    ``drawing`` adds the artist's own. Raises RequestError for another unit or an unknown probe.
    """
    bare_length(0.0, units)
    shown = Demonstration.of(solved, probes=probes, drawing=drawing)
    title = map_title(solved)
    easel = Easel(*size_mm)
    if text:
        _draw_with_words(easel, shown, title, units)
    else:
        stage, room = Stage(shown), page(easel)
        scale, arrangement = stage.best(room.width, room.height)
        stage.draw(easel, stage.places(room, scale, arrangement), named=False)
    return easel.scene(title=title, description=describe(solved, units=units))


# The words go where they would leave the two bodies less than this share of what they could have.
_LEAST_SHARE = 0.4


def _draw_with_words(easel: Easel, shown: Demonstration, title: str, units: str) -> None:
    """Draw both bodies with all words that fit.

    A sheet that is too small loses the notes, then the figures, then the headings.
    """
    room = draw_title(easel, title, what_was_done(shown.solved, units=units), page(easel))
    figures = map_figures(shown.solved, units=units)
    tablet_words, screen_words = _tablet_words(shown, units), _screen_words(shown, units)
    bare = Stage(shown)
    least = _LEAST_SHARE * bare.best(room.width, room.height)[0]
    for stage, listed in (
        (Stage(shown, tablet_words, screen_words), figures),
        (Stage(shown, Words(tablet_words.heading), Words(screen_words.heading)), figures),
        (Stage(shown, Words(tablet_words.heading), Words(screen_words.heading)), []),
        (bare, []),
    ):
        scale, arrangement, where, beside = _layout(stage, listed, room)
        if scale >= least:
            break
    stage.draw(easel, stage.places(where, scale, arrangement))
    if listed and beside:
        figures_in_a_column(
            easel,
            listed,
            Rect(room.right - _FIGURES_WIDE_MM, room.top, _FIGURES_WIDE_MM, room.height),
        )
    elif listed:
        figures_in_a_row(easel, listed, room)


def _layout(stage: Stage, figures: list[Figure], room: Rect) -> tuple[float, str, Rect, bool]:
    """Scale, arrangement and room of the two bodies, and whether the figures stand beside them.

    The figures stand below the bodies otherwise.
    """
    if not figures:
        return *stage.best(room.width, room.height), room, False
    high = figures_height_mm(figures, room.width)
    below = Rect(room.left, room.top, room.width, max(room.height - high - 6, 1.0))
    right = Rect(room.left, room.top, max(room.width - _FIGURES_WIDE_MM - 10, 1.0), room.height)
    one, other = stage.best(below.width, below.height), stage.best(right.width, right.height)
    if 1.05 * one[0] >= other[0]:
        return *one, below, False
    return *other, right, True


def map_title(solved: TabletMap) -> str:
    """What happens to a circle, in one sentence without numbers: those are in the figures."""
    return map_sentence(solved, factor=False).removesuffix(".")


def what_was_done(solved: TabletMap, *, units: str = "mm") -> str:
    """Tablet, displays and fit, in one line."""
    request, tablet = solved.request, solved.request.tablet
    reached = solved.reached
    if len(reached) == 1:
        displays = display_words(reached[0])
    elif len(reached) <= _MOST_NAMED:
        displays = " + ".join(_short_label(display.label) for display in reached)
    else:
        displays = f"{len(reached)} displays"
    where = f"a window of {displays}" if request.window_px is not None else displays or "no display"
    fit = f"{request.fit}: {_FIT_WORDS[request.fit]}"
    if request.area_built_mm is not None:
        fit = "the area as it is set"
    elif request.feel is not None:
        fit = f"{request.fit}, for a wanted scale"
    return f"{size(tablet.width_mm, tablet.height_mm, units)} tablet on {where}  ·  {fit}"


def _short_label(label: str) -> str:
    """As much of a display's label as a line about other things can bear."""
    return shortened(label, 1.0, _LABEL_EM)


def map_figures(solved: TabletMap, *, units: str = "mm") -> list[Figure]:
    """The few numbers that matter, each with its caption."""
    figures, summary = solved.figures_on(solved.reference), solved.summary
    area = solved.area_built_mm
    where = f" on {_short_label(solved.reference.label)}" if len(solved.reached) > 1 else ""
    value, words = circle_parts(figures.distortion)
    found = [
        Figure(
            value, (f"{words}: a drawn circle" if words else "what a drawn circle becomes") + where
        )
    ]
    if summary.scale_factor is not None:
        found.append(
            Figure(
                f"{number(summary.scale_factor, 2)} ×",
                f"as large {where[1:] or 'on the screen'}{_elsewhere(solved)}",
            )
        )
    if tilt_words(figures.tilt_deg):
        found.append(Figure(f"{number(figures.tilt_deg, 1)}°", "turned, as the tablet lies askew"))
    else:
        found.append(
            Figure(f"{number(figures.distortion.angle_error_deg, 1)}°", "largest error of an angle")
        )
    in_reach = in_reach_percent(solved)
    if in_reach < 100:
        found.append(
            Figure(f"{number(in_reach, 0)} %", f"of the screen{'s' if where else ''} in reach")
        )
    else:
        found.append(Figure(f"{number(summary.area_used_percent, 0)} %", "of the tablet in use"))
    if solved.area_angle_deg:
        x, y = area.centre
        where = (
            f"turned {number(solved.area_angle_deg, 1)}° about {bare_length(x, units)}, "
            f"{length(y, units)}"
        )
    else:
        where = f"from left {bare_length(area.left, units)}, top {length(area.top, units)}"
    frame = "to enter, as built" if solved.request.tablet.turn_deg else "to enter"
    found.append(Figure(size(area.width, area.height, units), f"{frame}, {where}"))
    return found


def _elsewhere(solved: TabletMap) -> str:
    """The scale factors on the other displays; empty where there are many."""
    other_figures = [
        figures for figures in solved.figures if figures.display != solved.reference.label
    ]
    if len(other_figures) >= _MOST_NAMED:
        return ""
    return "".join(
        f", {number(each.scale_factor)} × on {_short_label(each.display)}"
        for each in other_figures
        if each.scale_factor is not None
    )


def _tablet_words(shown: Demonstration, units: str) -> Words:
    solved, tablet = shown.solved, shown.solved.request.tablet
    orientation = [f"turned {turn_words(tablet.turn_deg)}"] if tablet.turn_deg else []
    orientation += [f"askew by {number(tablet.slant_deg, 1)}°"] if tablet.slant_deg else []
    notes = []
    if solved.area_seen_mm != tablet.active_seen_mm:
        unused = 100 - solved.summary.area_used_percent
        notes.append(
            f"Hatched: out of use, {number(unused, 1 if unused < 10 else 0)}\N{NO-BREAK SPACE}%"
        )
    if shown.step_mm is not None:
        notes.append(f"Grid of {length(shown.step_mm, units)}")
    if tablet.turn_deg:
        notes.append("Triangle: its top edge as built")
        notes.append("Set this turn in the driver too")
    return Words(", ".join(["Under the hand", *orientation]), tuple(notes))


def _screen_words(shown: Demonstration, units: str) -> Words:
    solved, notes = shown.solved, []
    figures = solved.figures_on(solved.reference)
    if solved.screen_px != solved.request.desktop.rect_px or len(solved.reached) < len(shown.panes):
        notes.append("Hatched: out of the pen's reach")
    if shown.has_ghosts:
        notes.append("Dashed: the true shape")
    if not shown.to_scale:
        notes.append("Its size in mm was not given, so square pixels are assumed")
    elif shown.step_mm is not None:
        step = shown.step_mm
        now = size(
            step * figures.distortion.scale_x, step * figures.distortion.scale_y, units
        ).replace(" ", NO_BREAK)
        where = f" on {_short_label(solved.reference.label)}" if len(solved.reached) > 1 else ""
        notes.append(f"Each square of the grid is now {now}{where}")
    heading = "On the screen" if len(shown.panes) == 1 else "On the screens"
    return Words(heading + ("" if shown.to_scale else ", not to scale"), tuple(notes))


def describe(solved: TabletMap, *, units: str = "mm") -> str:
    """All that the picture shows, in sentences, for people who cannot see it."""
    tablet, area, summary = solved.request.tablet, solved.area_seen_mm, solved.summary
    turned = f", turned {turn_words(tablet.turn_deg)}" if tablet.turn_deg else ""
    askew = f", lying askew by {number(tablet.slant_deg, 1)} degrees" if tablet.slant_deg else ""
    place = f"{length(area.left, units)} from the left and {length(area.top, units)} from the top"
    if solved.area_angle_deg:
        place = f"turned by {number(solved.area_angle_deg, 1)} degrees so that it lies upright"
    used = f"{size(area.width, area.height, units)}, {place}"
    sentences = [
        map_sentence(solved),
        (
            f"A tablet with an active area of "
            f"{size(tablet.width_mm, tablet.height_mm, units)}{turned}{askew}."
        ),
        f"Its used area is {used}: {number(summary.area_used_percent, 1)} % of it.",
    ]
    for figures in solved.figures:
        display = next(each for each in solved.reached if each.label == figures.display)
        shape = circle_words(figures.distortion)
        worst = number(figures.distortion.angle_error_deg, 1)
        angles = (
            "angles stay true" if worst == "0" else f"angles are wrong by at most {worst} degrees"
        )
        sentences.append(
            f"On {figures.display} ({display_words(display)}) a drawn circle comes out "
            f"{shape}, and {angles}."
        )
    in_reach = in_reach_percent(solved)
    if in_reach < 100:
        screens = "screens" if len(solved.request.onto) > 1 else "screen"
        sentences.append(f"The pen reaches {number(in_reach, 1)} % of the {screens}.")
    if tablet.turn_deg:
        sentences.append(rotation_sentence(tablet.turn_deg))
    return " ".join(sentences)
