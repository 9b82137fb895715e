"""One map as one picture: tablet and screen to one scale, with a circle and a grid on both."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.mapping.reach import in_reach_percent
from mapper.phrases import phrase
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
from render.sentences.letter import askew_words
from render.sentences.measures import (
    bare_length,
    display_words,
    length,
    size,
)
from render.sentences.say import Name, paragraph, row_of, say, say_again, say_count
from render.sentences.words import (
    circle_words,
    map_sentence,
    number,
    oval_caption,
    oval_figure,
    oval_way,
    rotation_sentence,
    share_words,
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
    "full": phrase("the whole tablet on the whole display"),
    "locked": phrase("the part of the tablet with the display's proportions"),
    "cropped": phrase("the part of the display with the tablet's proportions"),
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
    title = shown.title
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


def what_was_done(solved: TabletMap, *, units: str = "mm") -> str:
    """Tablet, displays and fit, in one line."""
    request, tablet = solved.request, solved.request.tablet
    reached = solved.reached
    if len(reached) == 1:
        displays = display_words(reached[0])
    elif len(reached) <= _MOST_NAMED:
        displays = " + ".join(_short_label(display.label) for display in reached)
    else:
        displays = say_count("{count} display", "{count} displays", len(reached))
    where = displays or say("no display")
    if request.window_px is not None:
        where = say("a part of {displays}", displays=displays)
    fit = say_again(_FIT_WORDS[request.fit])
    if request.area_built_mm is not None:
        fit = say("the area as it is set")
    elif request.feel is not None:
        fit = say("for a wanted scale factor")
    sides = size(tablet.width_mm, tablet.height_mm, units)
    tablet_on = say("{size} tablet on {displays}", size=sides, displays=where)
    return f"{tablet_on}  ·  {fit}"


def _short_label(label: str) -> str:
    """As much of a display's label as a line about other things can bear."""
    return shortened(label, 1.0, _LABEL_EM)


def map_figures(solved: TabletMap, *, units: str = "mm") -> list[Figure]:
    """The few numbers that matter, each with its caption."""
    figures, summary = solved.figures_on(solved.reference), solved.summary
    several = len(solved.reached) > 1
    found = [Figure(oval_figure(figures.distortion), _circle_caption(solved))]
    if summary.scale_factor is not None:
        found.append(_scale_figure(solved, number(summary.scale_factor)))
    if tilt_words(figures.tilt_deg):
        tilt = say("{degrees}°", degrees=number(figures.tilt_deg, 1))
        found.append(Figure(tilt, say("turned, as the tablet lies askew")))
    else:
        error = say("{degrees}°", degrees=number(figures.distortion.angle_error_deg, 1))
        found.append(Figure(error, say("largest error of an angle")))
    in_reach = in_reach_percent(solved)
    if in_reach < 100:
        of_them = say("of the displays reached") if several else say("of the display reached")
        found.append(Figure(share_words(in_reach), of_them))
    else:
        found.append(Figure(share_words(summary.area_used_percent), say("of the tablet used")))
    area = solved.area_built_mm
    found.append(Figure(size(area.width, area.height, units), _to_enter(solved, units)))
    return found


def _circle_caption(solved: TabletMap) -> str:
    """What the figure of a drawn circle is a figure of, and on which of several displays."""
    shape = solved.figures_on(solved.reference).distortion
    display = Name(_short_label(solved.reference.label))
    alone = len(solved.reached) == 1
    if oval_way(shape) == "round":
        if alone:
            return say("what a drawn circle becomes")
        return say("what a drawn circle becomes on {display}", display=display)
    if alone:
        return say("{shape}: a drawn circle", shape=oval_caption(shape))
    return say("{shape}: a circle on {display}", shape=oval_caption(shape), display=display)


def _to_enter(solved: TabletMap, units: str) -> str:
    """The caption of the size to enter: in which frame, and where it lies."""
    area = solved.area_built_mm
    if solved.area_angle_deg:
        x, y = area.centre
        where = say(
            "angle {degrees}°, centre {x}, {y}",
            degrees=number(solved.area_angle_deg, 1),
            x=bare_length(x, units),
            y=length(y, units),
        )
    else:
        where = say(
            "left {left}, top {top}",
            left=bare_length(area.left, units),
            top=length(area.top, units),
        )
    if solved.request.tablet.turn_deg:
        return say("to enter as if not turned: {where}", where=where)
    return say("to enter: {where}", where=where)


def _scale_figure(solved: TabletMap, times: str) -> Figure:
    """The scale factor, with those on the other displays where they are few."""
    if len(solved.reached) == 1:
        return Figure(times, say("times as large on the display"))
    caption = say("times as large on {display}", display=Name(_short_label(solved.reference.label)))
    others = [each for each in solved.figures if each.display != solved.reference.label]
    if len(others) >= _MOST_NAMED:
        return Figure(times, caption)
    sized = [each for each in others if each.scale_factor is not None]
    further = [
        say(
            "{times} on {display}",
            times=number(each.scale_factor or 0.0),
            display=Name(_short_label(each.display)),
        )
        for each in sized
    ]
    return Figure(times, row_of([caption, *further]))


def _tablet_words(shown: Demonstration, units: str) -> Words:
    solved, tablet = shown.solved, shown.solved.request.tablet
    heading: list[str] = [say("Under the hand")]
    if tablet.turn_deg:
        heading.append(say("turned {turn}", turn=turn_words(tablet.turn_deg)))
    if tablet.slant_deg:
        heading.append(askew_words(tablet.slant_deg))
    notes: list[str] = []
    if solved.area_seen_mm != tablet.active_seen_mm:
        unused = share_words(100 - solved.summary.area_used_percent)
        notes.append(say("Hatched: not used, {share}", share=unused))
    if shown.step_mm is not None:
        notes.append(say("Grid of {length}", length=length(shown.step_mm, units)))
    if tablet.turn_deg:
        notes += turn_notes()
    return Words(row_of(heading), tuple(notes))


def turn_notes() -> list[str]:
    """What stands beside a turned tablet."""
    return [
        say("Triangle: its top edge when it is not turned"),
        say("Set this rotation in the tablet's settings too"),
    ]


def _screen_words(shown: Demonstration, units: str) -> Words:
    solved = shown.solved
    notes: list[str] = []
    figures = solved.figures_on(solved.reference)
    if solved.screen_px != solved.request.desktop.rect_px or len(solved.reached) < len(shown.panes):
        notes.append(say("Hatched: the pen does not reach it"))
    if shown.has_ghosts:
        circles = shown.ghosts_are_circles
        notes.append(say("Dashed: the round shape") if circles else say("Dashed: as it was drawn"))
    if not shown.to_scale:
        notes.append(say("Its size in mm was not given, so square pixels are assumed"))
    elif shown.step_mm is not None:
        step = shown.step_mm
        now = size(
            step * figures.distortion.scale_x, step * figures.distortion.scale_y, units
        ).replace(" ", NO_BREAK)
        note = say("Each square of the grid is now {size}", size=now)
        if len(solved.reached) > 1:
            note = say(
                "Each square of the grid is now {size} on {display}",
                size=now,
                display=Name(_short_label(solved.reference.label)),
            )
        notes.append(note)
    one = len(shown.panes) == 1
    heading = say("On the display") if one else say("On the displays")
    if not shown.to_scale:
        heading = say("{heading}, not to scale", heading=heading)
    return Words(heading, tuple(notes))


def describe(solved: TabletMap, *, units: str = "mm") -> str:
    """All that the picture shows, in sentences, for people who cannot see it."""
    tablet = solved.request.tablet
    tablet_as_is = size(tablet.width_mm, tablet.height_mm, units)
    if tablet.turn_deg:
        turn = turn_words(tablet.turn_deg)
        tablet_as_is = say("{tablet}, turned {turn}", tablet=tablet_as_is, turn=turn)
    if tablet.slant_deg:
        tablet_as_is = say(
            "{tablet}, {askew}", tablet=tablet_as_is, askew=askew_words(tablet.slant_deg)
        )
    sentences: list[str] = [
        map_sentence(solved),
        say("A tablet with an active area of {tablet}.", tablet=tablet_as_is),
        _used_sentence(solved, units),
    ]
    for figures in solved.figures:
        display = next(each for each in solved.reached if each.label == figures.display)
        worst = number(figures.distortion.angle_error_deg, 1)
        angles = say("angles are wrong by at most {degrees} degrees", degrees=worst)
        if worst == "0":
            angles = say("angles stay as they are")
        sentences.append(
            say(
                "On {display} ({size}) a drawn circle comes out {shape}, and {angles}.",
                display=Name(figures.display),
                size=display_words(display),
                shape=circle_words(figures.distortion),
                angles=angles,
            )
        )
    in_reach = in_reach_percent(solved)
    if in_reach < 100:
        reached = share_words(in_reach)
        sentences.append(
            say("The pen reaches {share} of the displays.", share=reached)
            if len(solved.request.onto) > 1
            else say("The pen reaches {share} of the display.", share=reached)
        )
    if tablet.turn_deg:
        sentences.append(rotation_sentence(tablet.turn_deg))
    return paragraph(sentences)


def _used_sentence(solved: TabletMap, units: str) -> str:
    area = solved.area_seen_mm
    slots = {
        "size": size(area.width, area.height, units),
        "share": share_words(solved.summary.area_used_percent),
    }
    if solved.area_angle_deg:
        return say(
            "Its used area is {size}, askew by {degrees}° on the tablet so that it lies straight "
            "in front of you: {share} of the tablet.",
            degrees=number(abs(solved.area_angle_deg), 1),
            **slots,
        )
    return say(
        "Its used area is {size}, {left} from the left and {top} from the top: {share} of the "
        "tablet.",
        left=length(area.left, units),
        top=length(area.top, units),
        **slots,
    )
