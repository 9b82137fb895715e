"""A scene as a file: PNG, WebP, SVG or PDF, with bytes that depend on nothing but the scene.

``render.canvas.svg`` writes SVG. PNG and WebP come from matplotlib's Agg canvas, PDF from its PDF
writer, both by the object API without pyplot. Neighbouring marks of one role become one
collection, so that a picture costs hardly more than an empty figure.
"""

from __future__ import annotations

import io
import os
from contextlib import contextmanager
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mapper.affine import Affine
from mapper.paths import Style
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.units import MM_PER_INCH
from profiles.doubts import doubt
from profiles.files import refuse_existing, write_whole
from profiles.standard import is_standard
from render.canvas.letter_widths import font_path
from render.canvas.lettering import letters
from render.canvas.scene import Image, Mark, Scene, Shape, Text
from render.canvas.scripts import is_plain, outline, width_em, without_font
from render.canvas.svg import document
from render.canvas.theme import palette, style

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from matplotlib.figure import Figure
    from PIL import Image as PillowImage

    from mapper.paths import Outline
    from mapper.rect import Rect

#: File name endings and the kind of picture each stands for.
KINDS = {".png": "png", ".svg": "svg", ".pdf": "pdf", ".webp": "webp"}

#: How wide a PNG or WebP picture is unless a width is asked for.
WIDTH_PX = 1600

_POINTS_PER_MM = 72 / MM_PER_INCH

# Hinting would move letters by fractions of a pixel.
_SETTINGS = {
    "pdf.fonttype": 42,
    "pdf.compression": 9,
    "text.hinting": "no_hinting",
    "path.simplify": False,
}

_CODES = {"M": 1, "L": 2, "C": 4, "Z": 79}


def ending_of(path: str | os.PathLike[str]) -> str:
    """The ending of the name of ``path``, in small letters; ``.png`` on standard output."""
    return ".png" if is_standard(path) else Path(path).suffix.lower()


def kind_of(path: str | os.PathLike[str]) -> str:
    """The kind of picture that the name of ``path`` asks for.

    Raises RequestError for another ending.
    """
    ending = ending_of(path)
    if ending not in KINDS:
        endings = ", ".join(KINDS)
        came = phrase("no ending")
        if ending:
            came = phrase("the ending {ending}", ending=quoted(ending))
        raise RequestError(
            Problem(
                os.fspath(path),
                phrase("the name must end in {endings}", endings=endings),
                came,
                phrase("Type for example preview.png"),
            )
        )
    return KINDS[ending]


def save(
    scene: Scene,
    path: str | os.PathLike[str],
    *,
    theme: str = "light",
    width_px: int = WIDTH_PX,
    force: bool = False,
) -> None:
    """Draw ``scene`` into the file at ``path``, whole or not at all.

    The ending of the name says which kind of picture it is (``KINDS``). ``width_px`` counts for PNG
    and WebP; SVG and PDF have the sheet's own size in mm. Raises RequestError for an unknown ending
    or theme, for a file that exists (unless ``force``) and for a file that cannot be written.
    """
    kind = kind_of(path)
    refuse_existing(path, force=force)
    write_whole(path, to_bytes(scene, kind, theme=theme, width_px=width_px), force=force)


def to_bytes(scene: Scene, kind: str, *, theme: str = "light", width_px: int = WIDTH_PX) -> bytes:
    """The bytes of a picture file of ``scene``; ``kind`` is png, webp, svg or pdf.

    The same scene gives the same bytes. Raises RequestError for an unknown theme.
    """
    if kind == "svg":
        return document(scene, theme=theme).encode()
    if kind == "pdf":
        return pdf_pages([scene], theme=theme)
    out = io.BytesIO()
    picture = pixels(scene, theme=theme, width_px=width_px)
    if kind == "webp":
        picture.save(out, "WEBP", lossless=True, method=4)
    else:
        from PIL.PngImagePlugin import PngInfo

        info = PngInfo()
        info.add_text("Title", scene.title)
        info.add_text("Description", scene.description)
        dots_per_inch = width_px / (scene.width_mm / MM_PER_INCH)
        picture.save(out, "PNG", compress_level=3, pnginfo=info, dpi=(dots_per_inch, dots_per_inch))
    return out.getvalue()


def pixels(scene: Scene, *, theme: str = "light", width_px: int = WIDTH_PX) -> PillowImage.Image:
    """``scene`` as an RGB image of ``width_px``."""
    from PIL import Image as PillowImage

    with _settings():
        drawn = figure(scene, theme=theme, width_px=width_px)
        drawn.canvas.draw()
        canvas: Any = drawn.canvas
        width, height = canvas.get_width_height()
        return PillowImage.frombuffer(
            "RGBA", (width, height), canvas.buffer_rgba(), "raw", "RGBA", 0, 1
        ).convert("RGB")


@contextmanager
def _settings() -> Iterator[None]:
    """Our settings of matplotlib while something is drawn.

    A program that uses matplotlib too gets its own settings back.
    """
    from matplotlib import rc_context

    settings: Any = _SETTINGS
    with rc_context(settings):
        yield


def figure(
    scene: Scene, *, theme: str = "light", width_px: int = WIDTH_PX, vector: bool = False
) -> Figure:
    """``scene`` as a matplotlib figure with an Agg canvas.

    Each run of neighbouring marks of one role is one artist. ``vector`` is for a figure that is
    saved as PDF.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    colours = palette(theme)
    height_px = max(1, round(width_px * scene.height_mm / scene.width_mm))
    dots_per_inch = width_px / scene.width_mm * MM_PER_INCH
    drawn = Figure(
        # A thousandth of a pixel more, since the canvas cuts off what is left of a pixel.
        figsize=((width_px + 1e-3) / dots_per_inch, (height_px + 1e-3) / dots_per_inch),
        dpi=dots_per_inch,
        facecolor=colours["ground"],
        edgecolor="none",
    )
    FigureCanvasAgg(drawn)
    painter = _Painter(drawn, scene, colours, vector)
    _doubt_letters(scene)
    for level, (_, run) in enumerate(groupby(scene.marks, key=_run_key)):
        marks = list(run)
        shapes = [mark for mark in marks if isinstance(mark, Shape)]
        if shapes:
            painter.shapes(shapes, level)
        for mark in marks:
            painter.text_or_image(mark, level)
    return drawn


def _doubt_letters(scene: Scene) -> None:
    """Say which letters of the scene no font has."""
    missing = "".join(without_font(mark.text, bold=style(mark.role).bold) for mark in scene.texts)
    if missing:
        each = "".join(dict.fromkeys(missing))
        doubt(
            phrase("no font of this computer has {letters}; boxes are drawn instead", letters=each)
        )


def _run_key(mark: Mark) -> tuple[Any, ...] | None:
    return (mark.role, mark.clip, mark.look) if isinstance(mark, Shape) else None


class _Painter:
    """Puts marks into one figure, each at its level of the pile."""

    def __init__(self, drawn: Figure, scene: Scene, colours: dict[str, str], vector: bool) -> None:
        from matplotlib.transforms import Affine2D

        self.drawn = drawn
        self.scene = scene
        self.colours = colours
        self.vector = vector
        # By way of the inch, the figure's own unit, so that the vector writers can draw at their
        # dots per inch.
        to_inches = (
            Affine2D()
            .scale(1 / MM_PER_INCH, -1 / MM_PER_INCH)
            .translate(0, scene.height_mm / MM_PER_INCH)
        )
        self.to_figure = to_inches + drawn.dpi_scale_trans

    def shapes(self, shapes: list[Shape], level: int) -> None:
        """Shapes of one role, one clip and one look."""
        from matplotlib.collections import PathCollection

        role_style, look, clip = style(shapes[0].role), shapes[0].look, shapes[0].clip
        if look is None:
            look = Style(
                self.colours.get(role_style.fill, ""),
                self.colours.get(role_style.line, ""),
                role_style.width_mm,
            )
        artist = PathCollection(
            [_path(shape.outline) for shape in shapes],
            facecolors=look.fill or "none",
            edgecolors=look.line or "none",
            linewidths=look.width * _POINTS_PER_MM,
            # A dash is given in widths of its line.
            linestyles=[(0, [length / role_style.width_mm for length in role_style.dash_mm])]
            if role_style.dash_mm
            else "solid",
            capstyle="butt" if role_style.dash_mm else "round",
            joinstyle="round",
            transform=self.to_figure,
            zorder=level,
        )
        self.drawn.add_artist(artist)
        self._clip(artist, clip)

    def text_or_image(self, mark: Mark, level: int) -> None:
        if isinstance(mark, Text):
            self._text(mark, level)
        elif isinstance(mark, Image):
            self._image(mark, level)

    def _text(self, mark: Text, level: int) -> None:
        role_style = style(mark.role)
        if not is_plain(letters(mark.text), bold=role_style.bold):
            self._outlined(mark, level)
            return
        self.drawn.text(
            mark.x_mm,
            mark.y_mm,
            letters(mark.text),
            transform=self.to_figure,
            fontproperties=_font(role_style.bold, mark.em_mm),
            color=self.colours[role_style.fill],
            horizontalalignment={"start": "left", "middle": "center", "end": "right"}[mark.anchor],
            verticalalignment="baseline",
            rotation=-mark.turn_deg,
            rotation_mode="anchor",
            # A label such as "$5 pad" is no formula.
            parse_math=False,
            zorder=level,
        )

    def _outlined(self, mark: Text, level: int) -> None:
        """A text with letters of other fonts, as filled outlines."""
        from matplotlib.patches import PathPatch

        role_style = style(mark.role)
        bold, em = role_style.bold, mark.em_mm
        wide = width_em(mark.text, bold=bold) * em
        start = {"start": 0.0, "middle": wide / 2, "end": wide}[mark.anchor]
        onto = Affine(1, 0, mark.x_mm, 0, 1, mark.y_mm)
        if mark.turn_deg:
            onto = Affine.rotation_about(mark.turn_deg, mark.x_mm, mark.y_mm) @ onto
        drawn = outline(mark.text, bold=bold).through(onto @ Affine(em, 0, -start, 0, em, 0))
        colour = self.colours[role_style.fill]
        patch = PathPatch(
            _path(drawn), facecolor=colour, linewidth=0, transform=self.to_figure, zorder=level
        )
        self.drawn.add_artist(patch)

    def _image(self, mark: Image, level: int) -> None:
        import numpy as np

        box, wide, high = mark.box_mm, self.scene.width_mm, self.scene.height_mm
        place = (box.left / wide, 1 - box.bottom / high, box.width / wide, box.height / high)
        axes = self.drawn.add_axes(place, frameon=False, zorder=level)
        axes.set_axis_off()
        grid = np.frombuffer(mark.pixels, dtype=np.uint8).reshape(
            mark.height_px, mark.width_px, len(mark.mode)
        )
        # On a canvas of pixels the image is fitted to them; a vector file keeps its pixels as they
        # are.
        interpolation = "none" if self.vector else "antialiased"
        self._clip(axes.imshow(grid, aspect="auto", interpolation=interpolation), mark.clip)

    def _clip(self, artist: Any, clip: Rect | None) -> None:
        from matplotlib.transforms import Bbox, TransformedBbox

        if clip is not None:
            box = Bbox.from_extents(clip.left, clip.top, clip.right, clip.bottom)
            artist.set_clip_box(TransformedBbox(box, self.to_figure))


def _path(outline: Outline) -> Any:
    from matplotlib.path import Path as DrawnPath

    points: list[tuple[float, float]] = []
    codes: list[int] = []
    for name, *numbers in outline.commands:
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True)) or [(0.0, 0.0)]
        points += pairs
        codes += [_CODES[name]] * len(pairs)
    return DrawnPath(points, codes)


def _font(bold: bool, em_mm: float) -> Any:
    from matplotlib.font_manager import FontProperties

    # By its file, which spares the search among all fonts of the machine and always finds the same
    # one.
    return FontProperties(fname=font_path(bold), size=em_mm * _POINTS_PER_MM)


def pdf_pages(scenes: Sequence[Scene], *, theme: str = "print") -> bytes:
    """A PDF with one page for each scene, as large as the scene's sheet.

    Title and description of the document are those of the first scene.
    """
    from matplotlib.backends.backend_pdf import PdfPages

    out = io.BytesIO()
    metadata = _pdf_metadata(scenes[0])
    with _settings(), PdfPages(out, metadata=metadata) as pages:
        for scene in scenes:
            pages.savefig(
                figure(scene, theme=theme, vector=True), facecolor="auto", edgecolor="auto"
            )
    return out.getvalue()


def _pdf_metadata(scene: Scene) -> dict[str, Any]:
    # The dates and the writer's version would make two drawings of one scene differ.
    return {
        "CreationDate": None,
        "ModDate": None,
        "Producer": None,
        "Creator": None,
        "Title": scene.title,
        "Subject": scene.description,
    }
