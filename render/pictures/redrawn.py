"""The artist's drawing alone, as it comes out: a raster in pixels, or an SVG with its curves."""

from __future__ import annotations

import io
import math
import os
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline, Style
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from profiles.files import refuse_existing, write_whole
from render.canvas.draw import KINDS, ending_of, kind_of, save
from render.canvas.scene import Easel, Scene
from render.pictures.panels import Demonstration
from render.pictures.warp import warped
from render.sentences.say import Name, say
from render.sentences.words import map_title

if TYPE_CHECKING:
    from PIL import Image as PillowImage

    from mapper.mapping.solve import TabletMap
    from profiles.strokes.drawing import Drawing

#: Raster kinds beside those of draw.KINDS that a redrawn raster may be written as.
RASTER_KINDS = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG", ".webp": "WEBP"}

# The longer side of a redrawn vector drawing, whose own unit may be anything.
_SHEET_MM = 240.0


def shape_change(solved: TabletMap, drawing: Drawing) -> Affine:
    """What the map does to the shape of the drawing on the reference display, and nothing else.

    Linear, from the drawing's own unit to the same unit, scaled so that the direction that comes
    out shortest keeps its length: nothing is lost, and a true map changes nothing.
    """
    shown = Demonstration.of(solved, probes=(), drawing=drawing)
    pane = next(pane for pane in shown.panes if pane.display == solved.reference)
    to_glass = shown.desk_mm_to_glass_mm(pane) @ shown.drawing_to_desk_mm()
    a, b, d, e = to_glass.linear
    longest = (math.hypot(a + e, d - b) + math.hypot(a - e, b + d)) / 2
    scale = longest / abs(to_glass.determinant)
    # Within a thousandth of a millionth of no change there is none: sizes in mm are not exact.
    a, b, d, e = (round(value * scale, 9) + 0.0 for value in (a, b, d, e))
    return Affine(a, b, 0, d, e, 0)


def redrawn_raster(solved: TabletMap, drawing: Drawing) -> PillowImage.Image:
    """The raster drawing as it comes out, just large enough to hold it."""
    assert drawing.raster is not None
    change = shape_change(solved, drawing)
    if change == Affine.identity():
        return drawing.raster
    box = change.rect(drawing.bounds)
    size = max(1, round(box.width)), max(1, round(box.height))
    to_canvas = Affine.between(box, Rect(0, 0, *size)) @ change
    straight = change.b == 0 == change.d
    return warped(drawing.raster if straight else drawing.raster.convert("RGBA"), to_canvas, *size)


def redrawn_scene(solved: TabletMap, drawing: Drawing) -> Scene:
    """The vector drawing as it comes out, on its paper, 240 mm along its longer side."""
    change = shape_change(solved, drawing)
    box = change.rect(drawing.bounds)
    scale = _SHEET_MM / max(box.width, box.height)
    easel = Easel(box.width * scale, box.height * scale)
    to_sheet = Affine.between(box, Rect(0, 0, easel.width_mm, easel.height_mm)) @ change
    easel.shape(Outline.rect(drawing.bounds).through(to_sheet), "paper-fill")
    for stroke in drawing.strokes:
        outline = stroke.outline.through(to_sheet)
        if stroke.look is None:
            easel.shape(outline, "ink-line")
        else:
            look = Style(stroke.look.fill, stroke.look.line, stroke.look.width * scale)
            easel.shape(outline, "drawing", look=look)
    name = Name(drawing.name)
    words = say("The drawing {name} as it comes out. {map}.", name=name, map=map_title(solved))
    title = say("{name} as it comes out", name=name)
    return easel.scene(title=title, description=words)


def save_redrawn(
    solved: TabletMap, drawing: Drawing, path: str | os.PathLike[str], *, force: bool = False
) -> None:
    """Write the drawing as it comes out to the file at ``path``.

    A raster is written as .png, .jpg or .webp, anything else as ``draw.save`` does. Raises
    RequestError as ``draw.save`` does, and for a raster that would become too large.
    """
    if drawing.raster is None:
        save(redrawn_scene(solved, drawing), path, force=force)
        return
    ending = ending_of(path)
    if ending not in RASTER_KINDS:
        if ending in KINDS:
            # A raster in a vector file gains nothing: say what to type instead.
            raise RequestError(
                Problem(
                    os.fspath(path),
                    phrase("a raster drawing is written as .png, .jpg or .webp"),
                    ending,
                )
            )
        kind_of(path)
    refuse_existing(path, force=force)
    picture = redrawn_raster(solved, drawing)
    if RASTER_KINDS[ending] == "JPEG" and "A" in picture.getbands():
        # JPEG knows no transparency: what is left free is paper.
        paper = picture.copy()
        paper.paste((255, 255, 255, 255), (0, 0, *picture.size))
        paper.alpha_composite(picture)
        picture = paper.convert("RGB")
    out = io.BytesIO()
    picture.save(out, RASTER_KINDS[ending], quality=92)
    write_whole(path, out.getvalue(), force=force)
