"""A short animation: what is drawn leaves the tablet and lands on the glass."""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline
from profiles.files import refuse_existing, write_whole
from render.canvas.draw import pixels
from render.canvas.scene import Easel, Scene
from render.pictures.frame import SHEET_MM, draw_title, page
from render.pictures.panels import (
    DEFAULT_PROBES,
    Demonstration,
    draw_drawing,
    draw_screens,
    draw_tablet,
)
from render.pictures.preview import describe, turn_notes, what_was_done
from render.pictures.probes import grid
from render.pictures.stage import NO_WORDS, Stage, Words
from render.sentences.measures import bare_length
from render.sentences.say import say

if TYPE_CHECKING:
    import os

    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect
    from profiles.strokes.drawing import Drawing
    from render.pictures.stage import Places

#: File name endings of moving pictures and what Pillow calls them.
MOTION_KINDS = {".gif": "GIF", ".apng": "PNG"}

#: How wide an animation is unless a width is asked for: it is looked at on a page, and it has many
#: pictures.
WIDTH_PX = 960

_STEPS = 20
_STEP_MS, _FIRST_MS, _LAST_MS = 60, 1000, 2600
_COLOURS = 128


@dataclass(frozen=True, slots=True)
class Frame:
    """One picture of an animation and how long it is shown."""

    scene: Scene
    duration_ms: int


def motion_frames(
    solved: TabletMap,
    *,
    units: str = "mm",
    text: bool = True,
    size_mm: tuple[float, float] = SHEET_MM,
    probes: tuple[str, ...] = DEFAULT_PROBES,
    drawing: Drawing | None = None,
) -> list[Frame]:
    """The frames, from the hand's shape at rest to the screen's at rest.

    The arguments are those of ``preview_scene``.
    """
    bare_length(0.0, units)
    shown = Demonstration.of(solved, probes=probes, drawing=drawing)
    empty = replace(shown, probes={}, step_mm=None, drawing=None)
    description = describe(solved, units=units)
    hand, screen = (_hand_words(solved), Words(say("On the display")))
    if not text:
        hand, screen = NO_WORDS, NO_WORDS
    stage = Stage(shown, hand, screen)
    # Where the headings leave too little room, on a narrow sheet, they go.
    room = _room(Easel(*size_mm), shown, units, text)
    if stage.best(room.width, room.height)[0] < 0.4 * Stage(shown).best(room.width, room.height)[0]:
        stage = Stage(shown)
    places = stage.places(room, *stage.best(room.width, room.height))
    frames = []
    for step in range(_STEPS + 1):
        easel = Easel(*size_mm)
        _room(easel, shown, units, text)
        # Slow at both ends: 3s² - 2s³.
        s = step / _STEPS
        share = s * s * (3 - 2 * s)
        if step == _STEPS:
            stage.draw(easel, places)
        else:
            stage.draw_beam(easel, places)
            draw_tablet(easel, shown, places.desk_mm_to_sheet)
            draw_screens(easel, empty, places.glass_mm_to_sheet)
            stage.draw_words(easel, places)
            if step:
                _draw_between(easel, shown, places, share)
        rest_ms = {0: _FIRST_MS, _STEPS: _LAST_MS}.get(step, _STEP_MS)
        frames.append(Frame(easel.scene(title=shown.title, description=description), rest_ms))
    return frames


def _hand_words(solved: TabletMap) -> Words:
    """What stands at the tablet: where it is turned, that the turn has to be set as well."""
    turned = solved.request.tablet.turn_deg
    return Words(say("Under the hand"), tuple(turn_notes()) if turned else ())


def _room(easel: Easel, shown: Demonstration, units: str, text: bool) -> Rect:
    """Draw the title, and return the room that it leaves."""
    if not text:
        return page(easel)
    return draw_title(easel, shown.title, what_was_done(shown.solved, units=units), page(easel))


def _draw_between(easel: Easel, shown: Demonstration, places: Places, share: float) -> None:
    """Draw all shapes at ``share`` of their way from the tablet to the reference display."""
    start = places.desk_mm_to_sheet
    pane = next(
        (pane for pane in shown.panes if pane.display == shown.solved.reference), shown.panes[0]
    )
    end = places.glass_mm_to_sheet @ shown.desk_mm_to_glass_mm(pane)
    here = Affine(
        *(
            (1 - share) * one + share * other
            for one, other in zip(_elements(start), _elements(end), strict=True)
        )
    )
    corners = shown.area_corners_desk_mm
    area = Outline.line(corners, closed=True).through(here)
    easel.shape(area, "glass")
    if shown.drawing is not None:
        draw_drawing(easel, shown, here, "result", None)
    if shown.step_mm is not None:
        easel.shape(grid(corners, shown.step_mm).through(here), "result-grid")
    easel.shape(area, "screen-edge")
    for shapes in shown.probes.values():
        for shape in shapes:
            easel.shape(shape.outline.through(here), "result-thin" if shape.thin else "result")


def _elements(affine: Affine) -> tuple[float, ...]:
    return affine.a, affine.b, affine.c, affine.d, affine.e, affine.f


def save_motion(
    frames: list[Frame],
    path: str | os.PathLike[str],
    *,
    theme: str = "light",
    width_px: int = WIDTH_PX,
    force: bool = False,
) -> None:
    """Write the animation to the file at ``path``, whole or not at all.

    The name ends in .gif (128 colours) or .apng; the animation repeats for ever. Raises
    RequestError as ``draw.save`` does.
    """
    from PIL import Image

    refuse_existing(path, force=force)
    kind = MOTION_KINDS[Path(path).suffix.lower()]
    pictures = [pixels(frame.scene, theme=theme, width_px=width_px) for frame in frames]
    if kind == "GIF":
        # One palette for all, from the two ends put together, so that no colour flickers.
        both = Image.new("RGB", (pictures[0].width, 2 * pictures[0].height))
        both.paste(pictures[0], (0, 0))
        both.paste(pictures[-1], (0, pictures[0].height))
        colours = both.quantize(_COLOURS, dither=Image.Dither.NONE)
        pictures = [
            picture.quantize(palette=colours, dither=Image.Dither.NONE) for picture in pictures
        ]
    out = io.BytesIO()
    pictures[0].save(
        out,
        kind,
        save_all=True,
        append_images=pictures[1:],
        duration=[frame.duration_ms for frame in frames],
        loop=0,
        optimize=kind == "GIF",
    )
    write_whole(path, out.getvalue(), force=force)
