"""A whole desk to scale: all displays in their places, the pen's reach, and the tablet below.

The tablet lies as it lies on the desk. Bezels that are not known are drawn 6 mm wide and a tablet's
rim 9 mm; no number depends on them. Displays stand against the neighbour that they touch in pixels,
level in the middle of their shared edge.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.rect import Rect
from render.canvas.labels import Labels
from render.canvas.lettering import CAP, LEADING, shortened, width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.frame import SHEET_MM, draw_title, page
from render.pictures.glass import bezel_mm
from render.pictures.panels import Demonstration, draw_screens, draw_tablet, factor_words, grown
from render.pictures.preview import describe, what_was_done
from render.pictures.probes import nice_step
from render.pictures.stage import ABOVE, Stage
from render.sentences.letter import askew_words
from render.sentences.measures import bare_length, display_words, length, size
from render.sentences.say import Name, paragraph, row_of, say, say_count
from render.sentences.words import number, turn_words

if TYPE_CHECKING:
    from mapper.desk import Display
    from mapper.mapping.solve import TabletMap
    from profiles.strokes.drawing import Drawing
    from render.pictures.glass import Pane

DESK_PROBES = ("circle", "diagonals")


def desk_scene(
    solved: TabletMap,
    *,
    units: str = "mm",
    text: bool = True,
    size_mm: tuple[float, float] = SHEET_MM,
    probes: tuple[str, ...] = DESK_PROBES,
    drawing: Drawing | None = None,
) -> Scene:
    """The desk of one map; the arguments are those of preview.preview_scene."""
    bare_length(0.0, units)
    shown = Demonstration.of(solved, probes=probes, drawing=drawing)
    easel = Easel(*size_mm)
    room = page(easel)
    title = shown.title
    if text:
        room = draw_title(easel, title, what_was_done(solved, units=units), room)
    # Room for names above and below the bodies, and for labels beside them.
    air = style("label").em_mm * LEADING + 1.0 if text else 0.0
    inner = Rect(room.left, room.top + air, room.width, max(room.height - 3.2 * air, 1.0))
    stage = Stage(shown, gap_mm=10.0 + 1.5 * air, arrangements=(ABOVE,))
    places = stage.places(inner, stage.scale(inner.width, inner.height, ABOVE), ABOVE)
    stage.draw_beam(easel, places)
    mark = draw_tablet(easel, shown, places.desk_mm_to_sheet)
    draw_screens(easel, shown, places.glass_mm_to_sheet, named=False, ground="reach")
    if text:
        bodies = [places.tablet, *(_frame(places.glass_mm_to_sheet, pane) for pane in shown.panes)]
        labels = Labels(easel, room, bodies)
        if mark is not None:
            labels.keep_free(mark)
        _name_displays(labels, shown, places.glass_mm_to_sheet)
        _name_tablet(labels, shown, places.tablet, units)
        _scale_bar(labels, shown, room, places.glass_mm_to_sheet.a, units)
        _label_strips(labels, shown, places.desk_mm_to_sheet, places.glass_mm_to_sheet, units)
        if "diagonals" in probes:
            _label_angles(easel, labels, shown, places.desk_mm_to_sheet, places.glass_mm_to_sheet)
    return easel.scene(title=title, description=_description(shown, units))


def _frame(glass_mm_to_sheet: Affine, pane: Pane) -> Rect:
    return glass_mm_to_sheet.rect(grown(pane.rect_mm, bezel_mm(pane.display)))


def _name_displays(labels: Labels, shown: Demonstration, glass_mm_to_sheet: Affine) -> None:
    """Write name, diagonal and pixels above each display, or as much of them as fits."""
    em = style("label").em_mm
    for pane in shown.panes:
        frame = _frame(glass_mm_to_sheet, pane)
        label, words = pane.display.label, display_words(pane.display)
        factor = factor_words(shown.solved, pane.display)
        texts = [
            row_of([each, *factor[at : at + 1]])
            for each in (f"{label}: {words}", f"{label}: {words.split(',')[0]}", label)
            for at in (0, 1)
        ]
        room = max(frame.width + 1.0, 24.0)
        texts = [text for text in texts if width_mm(text, em) <= room] or [
            shortened(label, em, room)
        ]
        wishes = [
            (frame.left + 0.9, frame.top - 1.9, "start"),
            (frame.left + 0.9, frame.bottom + 1.9 + CAP * em, "start"),
        ]
        labels.place(texts, frame.centre, "label", wishes=wishes)


def _name_tablet(labels: Labels, shown: Demonstration, body: Rect, units: str) -> None:
    tablet = shown.solved.request.tablet
    words = size(tablet.width_mm, tablet.height_mm, units)
    orientation: list[str] = []
    if tablet.turn_deg:
        turn = turn_words(tablet.turn_deg)
        orientation.append(say("turned {turn} (triangle: top edge when not turned)", turn=turn))
    if tablet.slant_deg:
        orientation.append(askew_words(tablet.slant_deg))
    name = Name(shortened(tablet.label or say("tablet"), style("label").em_mm, 50.0))
    long = row_of([say("{tablet}: {size}", tablet=name, size=words), *orientation])
    em = style("label").em_mm
    # The mark of the built top edge may stand below the body.
    below = body.bottom + (4.6 if tablet.turn_deg == 180 else 1.9) + CAP * em
    x, _ = body.centre
    labels.place(
        [long, row_of([words, *orientation]), words],
        (x, body.bottom),
        "label",
        wishes=[(x, below, "middle")],
    )


def _scale_bar(labels: Labels, shown: Demonstration, room: Rect, scale: float, units: str) -> None:
    """Draw a bar of round length in the lower left corner, if everything is to scale."""
    if not shown.to_scale:
        words: list[str] = [
            say("Not to scale: the size of a display was not given"),
            say("Not to scale"),
        ]
        labels.place(
            words,
            (room.left, room.bottom),
            "note",
            wishes=[(room.left, room.bottom - 1.2, "start")],
        )
        return
    mm_per_unit = 1.0 if units == "mm" else 25.4
    long_mm = nice_step(34.0 / scale / mm_per_unit) * mm_per_unit
    y = room.bottom - 1.0
    easel = labels.easel
    easel.line([(room.left, y), (room.left + long_mm * scale, y)], "scale-bar")
    for x in (room.left, room.left + long_mm * scale):
        easel.line([(x, y - 1.1), (x, y + 1.1)], "scale-bar")
    labels.keep_free((room.left, y - 1.2, room.left + long_mm * scale, y + 1.2))
    labels.place(
        [length(long_mm, units)],
        (room.left, y - 1.5),
        "note",
        wishes=[(room.left, y - 3.4, "start")],
    )


def _label_strips(
    labels: Labels,
    shown: Demonstration,
    desk_mm_to_sheet: Affine,
    glass_mm_to_sheet: Affine,
    units: str,
) -> None:
    """Write how wide the unused strips are, on the tablet and on each display."""
    solved = shown.solved
    active, area = solved.request.tablet.active_seen_mm, solved.area_seen_mm
    if not solved.request.tablet.slant_deg and not solved.area_angle_deg:
        to_sheet = desk_mm_to_sheet @ shown.seen_to_desk
        for strip, wide_mm in _strips(active, area):
            on_sheet = to_sheet.rect(strip)
            _label_strip(
                labels,
                say("not used: {length}", length=length(wide_mm, units)),
                on_sheet,
                to_sheet.rect(active),
            )
    for pane in shown.panes:
        part = pane.display.rect_px.overlap(solved.screen_px)
        if part is None:
            frame = glass_mm_to_sheet.rect(pane.rect_mm)
            x, y = frame.centre
            middle = [(x, y + CAP * style("chip").em_mm / 2, "middle")]
            words = say("not reached")
            wide = width_mm(words, style("chip").em_mm) + 3.0
            labels.place(
                [words],
                (x, y),
                "chip",
                wishes=middle if frame.width > wide else [],
                inside=frame,
            )
            continue
        to_sheet = glass_mm_to_sheet @ pane.px_to_glass_mm
        for strip, wide_px in _strips(pane.display.rect_px, part):
            _label_strip(
                labels,
                say("not used: {count} px", count=number(wide_px, 0)),
                to_sheet.rect(strip),
                to_sheet.rect(pane.display.rect_px),
            )


def _strips(whole: Rect, part: Rect) -> list[tuple[Rect, float]]:
    """The strips of ``whole`` on the four sides of ``part``, each with its width."""
    least = 1e-6 * max(whole.width, whole.height)
    across = ((whole.left, part.left - whole.left), (part.right, whole.right - part.right))
    down = ((whole.top, part.top - whole.top), (part.bottom, whole.bottom - part.bottom))
    return [
        *((Rect(left, part.top, wide, part.height), wide) for left, wide in across if wide > least),
        *((Rect(part.left, top, part.width, high), high) for top, high in down if high > least),
    ]


def _label_strip(labels: Labels, words: str, strip: Rect, body: Rect) -> None:
    """Write ``words`` beside the body, level with the strip: nothing is written over hatching."""
    x, y = strip.centre
    middle = y + CAP * style("label").em_mm / 2
    if strip.width >= strip.height:
        side = [(body.right + 6.0, middle, "start"), (body.left - 6.0, middle, "end")]
        at = (strip.right, y)
    else:
        side = [(x, body.bottom + 6.0 + CAP * style("label").em_mm, "middle")]
        at = (x, strip.bottom)
    for wish in side:
        edge = {"start": (body.right, y), "end": (body.left, y), "middle": (x, body.bottom)}[
            wish[2]
        ]
        if labels.place_with_leader(words, edge, "label", wish):
            return
    labels.place([words], at, "label")


def _label_angles(
    easel: Easel,
    labels: Labels,
    shown: Demonstration,
    desk_mm_to_sheet: Affine,
    glass_mm_to_sheet: Affine,
) -> None:
    """Draw the angle that a line at 45 degrees has on each body: an arc and its degrees."""
    left, top, right, bottom = (
        Outline.line(shown.area_corners_desk_mm).through(desk_mm_to_sheet).bounds
    )
    area = Rect(left, top, right - left, bottom - top)
    for pane in shown.panes:
        for shape in shown.probes.get(pane.display.label, ()):
            if shape.name != "diagonals":
                continue
            if pane.display == shown.solved.reached[0]:
                # Under the hand 45 degrees are 45 degrees; once is enough.
                _label_angle(easel, labels, shape.outline.through(desk_mm_to_sheet), "hand", area)
            to_sheet = glass_mm_to_sheet @ shown.desk_mm_to_glass_mm(pane)
            part = (glass_mm_to_sheet @ pane.px_to_glass_mm).rect(pane.display.rect_px)
            _label_angle(easel, labels, shape.outline.through(to_sheet), "result", part)


def _label_angle(easel: Easel, labels: Labels, diagonals: Outline, role: str, ground: Rect) -> None:
    """Draw one angle; ``ground`` is what the lines are drawn on, area or display."""
    (x0, y0), (x1, y1) = diagonals.points[0], diagonals.points[1]
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    angle = math.degrees(math.atan2(y0 - y1, x1 - x0))
    reach = math.hypot(x1 - x0, y1 - y0) / 2
    words, label = f"{number(angle, 1)}°", f"{role}-label"
    em = style(label).em_mm
    half = math.radians(angle / 2)
    # So far out that the letters have air between the line and the horizontal, and still inside a
    # circle.
    away = max(0.5 * reach, (CAP * em / 2 + 1.2) / math.tan(half)) if half > 0 else math.inf
    wishes = [(x1 + 1.2, y1 + CAP * em, "start"), (x0 - 1.2, y0, "end"), (x1 + 1.2, y1, "start")]
    if away + width_mm(words, em, bold=True) + 1.0 < 0.8 * reach:
        easel.shape(Outline.arc(x, y, 0.42 * reach, 0.0, -angle), f"{role}-thin")
        easel.line([(x, y), (x + 0.5 * reach, y)], f"{role}-thin")
        wishes = [
            (x + away * math.cos(half), y - away * math.sin(half) + CAP * em / 2, "start"),
            *wishes,
        ]
    labels.place([words], (x1, y1), label, wishes=wishes, inside=ground)


def _description(shown: Demonstration, units: str) -> str:
    solved = shown.solved
    desktop = solved.request.desktop
    sentences = [describe(solved, units=units)]
    if len(desktop.displays) > 1:
        named = [_display_and_reach(display, solved) for display in desktop.displays]
        sentences.append(
            say_count(
                "{count} display stands on the desk: {displays}.",
                "{count} displays stand on the desk: {displays}.",
                len(named),
                displays=row_of(named),
            )
        )
    return paragraph(sentences)


def _display_and_reach(display: Display, solved: TabletMap) -> str:
    part = display.rect_px.overlap(solved.screen_px)
    slots = {"display": Name(display.label), "size": display_words(display)}
    if part is None:
        return say("{display} ({size}, not reached)", **slots)
    if part == display.rect_px:
        return say("{display} ({size}, all of it reached)", **slots)
    return say("{display} ({size}, partly reached)", **slots)
