"""The artist's own drawing: a raster picture, an SVG, or strokes recorded as points.

It is read once and drawn under any map. A drawing has a size of its own (px, or the unit of the
file) and is laid into the tablet's area as large as it fits. Points in mm stay where the hand made
them.
"""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mapper.affine import Affine
from mapper.paths import Outline, Style
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.rect import Rect
from profiles.doubts import doubt
from profiles.files import at_line, read_bounded, read_text
from profiles.picture_files import LARGEST_BYTES, ORIENTATION, halved, in_8_bits, picture, upright
from profiles.standard import ending_of
from profiles.strokes.svg_budget import refuse_costly

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from PIL import Image as PillowImage

# A drawing program's SVG; an hour of strokes at 200 points a second.
_LARGEST_SVG_BYTES = 64 * 1024 * 1024
_LARGEST_TEXT_BYTES = 32 * 1024 * 1024
MOST_POINTS = 720_000
#: The length of all lines, in widths of the drawing, at most: a drawn line costs memory for each
#: pixel that it crosses.
MOST_WIDTHS = 10_000
_LARGEST_OF_16_BITS = 65_535
#: A larger picture is halved: none that we draw is nearly as fine.
MOST_KEPT_PIXELS = 50_000_000

#: No drawing lies farther from its origin, in its own unit, so that squares are still numbers.
FARTHEST = 1e6

#: Share of the area's width or height that stays free on each side of a drawing.
_MARGIN = 0.04

_HINT = phrase("Give a .png, .jpg, .webp or .svg drawing, or strokes as .csv or .json")


@dataclass(frozen=True, slots=True)
class Stroke:
    """One path of a drawing, in the drawing's own unit, with its colours.

    ``look`` is None for those of the theme.
    """

    outline: Outline
    look: Style | None


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing with either ``raster`` or ``strokes``.

    ``bounds`` is what it covers, in px or in its own unit. ``in_mm``: the numbers of ``strokes``
    are mm on the tablet, seen frame, and stay where they are. ``subject`` is what it shows, as the
    title in an SVG says; empty where nothing says it.
    """

    name: str
    bounds: Rect
    raster: PillowImage.Image | None = None
    strokes: tuple[Stroke, ...] = ()
    in_mm: bool = False
    subject: str = ""

    def onto_area(self, area_seen_mm: Rect) -> Affine:
        """The map from the drawing's own unit to seen mm: centred in the area, as large as it fits.

        _MARGIN of the area stays free on each side. A drawing in mm stays where it is.
        """
        if self.in_mm:
            return Affine.identity()
        room_x = area_seen_mm.width * (1 - 2 * _MARGIN)
        room_y = area_seen_mm.height * (1 - 2 * _MARGIN)
        scale = min(room_x / self.bounds.width, room_y / self.bounds.height)
        (from_x, from_y), (to_x, to_y) = self.bounds.centre, area_seen_mm.centre
        return Affine(scale, 0, to_x - scale * from_x, 0, scale, to_y - scale * from_y)


def read_drawing(
    path: str,
    *,
    by_hand: bool = True,
    most_points: int = MOST_POINTS,
    most_pixels: int = MOST_KEPT_PIXELS,
) -> Drawing:
    """The drawing at ``path``, whose ending names its kind.

    A file of the pad holds what the pen did on the screen, in px, and what the hand did on the
    tablet, in mm: ``by_hand`` picks the latter. Of recorded strokes ``most_points`` are read. A
    picture of more than ``most_pixels`` is halved until it has no more. Raises RequestError for
    what cannot be read.
    """
    ending = ending_of(path, LARGEST_BYTES)
    if ending in {".csv", ".tsv"}:
        return _drawing_of_points(path, *_csv_strokes(path, _text(path), most_points))
    if ending == ".json":
        strokes = _json_strokes(path, _text(path), most_points, by_hand=by_hand)
        return _drawing_of_points(path, *strokes)
    if ending == ".svg":
        return _read_svg(path)
    if ending in {".png", ".jpg", ".jpeg", ".webp", ".gif", ".tif", ".tiff", ".bmp"}:
        raster = upright(*_decoded(path, most_pixels))
        return Drawing(Path(path).name, Rect(0, 0, raster.width, raster.height), raster=raster)
    raise RequestError(
        Problem(
            path,
            phrase("must be a drawing"),
            phrase("the ending {ending}", ending=quoted(ending)) if ending else "",
            _HINT,
        )
    )


def _text(path: str) -> str:
    return read_text(path, _LARGEST_TEXT_BYTES, "drawing", _HINT)


def _decoded(path: str, most_pixels: int) -> tuple[PillowImage.Image, int]:
    """The picture as its file has it, in RGB or RGBA, and its EXIF orientation."""
    # A JPEG's decoder does the first halving itself where much is to be halved.
    halved_from = most_pixels if most_pixels < MOST_KEPT_PIXELS else None
    with picture(path, _HINT, halved_from=halved_from) as opened:
        stored: PillowImage.Image = opened
        if stored.mode.startswith("I"):
            stored = in_8_bits(stored, 0, _LARGEST_OF_16_BITS)
        see_through = "A" in stored.getbands() or "transparency" in stored.info
        mode = "RGBA" if see_through else "RGB"
        while stored.width * stored.height > most_pixels:
            stored = halved(stored, mode)
        # Pillow's convert copies even where there is nothing to do, and a large drawing is large
        # twice.
        return stored if stored.mode == mode else stored.convert(mode), opened.getexif().get(
            ORIENTATION, 1
        )


def _read_svg(path: str) -> Drawing:
    """The shapes of an SVG as paths, with their transforms applied.

    Curves stay curves, arcs become cubics.
    """
    from svgelements import SVG
    from svgelements import Path as SvgPath
    from svgelements import Shape as SvgShape
    from svgelements import Title as SvgTitle

    content = read_bounded(path, _LARGEST_SVG_BYTES, "drawing")
    plainer = refuse_costly(content, path)
    try:
        # At 25.4 user units to the inch a length in mm is its own number.
        parsed = SVG.parse(io.BytesIO(content), reify=False, ppi=25.4)
        strokes, subject = [], ""
        for element in parsed.elements():
            if isinstance(element, SvgTitle) and not subject:
                subject = " ".join((element.title or "").split())
            if isinstance(element, SvgShape) and element.values.get("visibility") != "hidden":
                drawn = SvgPath(element)
                outline = _outline_of(drawn)
                if outline.points:
                    strokes.append(Stroke(outline, _look_of(drawn)))
    # The library raises whatever its parser stumbles over.
    except Exception as error:  # noqa: BLE001
        raise RequestError(
            Problem(path, phrase("must be an SVG drawing"), str(error), _HINT)
        ) from None
    strokes = [
        stroke for stroke in strokes if stroke.look is None or stroke.look.fill or stroke.look.line
    ]
    if not strokes:
        raise RequestError(
            Problem(
                path,
                phrase("must hold shapes or paths"),
                "",
                phrase("Text and pictures in an SVG are not drawn"),
            )
        )
    if plainer:
        doubt(", ".join(plainer), Path(path).name)
    return Drawing(
        Path(path).name,
        _bounds(path, [stroke.outline for stroke in strokes]),
        strokes=tuple(strokes),
        subject=subject,
    )


def _outline_of(path: Any) -> Outline:
    """``path``, of svgelements, through its transform.

    The library would do both, but in the square of the number of arcs.
    """
    from svgelements import Arc, Close, CubicBezier, Line, Move, QuadraticBezier

    matrix = path.transform

    def xy(point: Any) -> tuple[float, float]:
        x, y = float(point.x), float(point.y)
        return matrix.a * x + matrix.c * y + matrix.e, matrix.b * x + matrix.d * y + matrix.f

    commands: list[tuple[Any, ...]] = []
    for piece in path:
        if isinstance(piece, Move):
            commands.append(("M", *xy(piece.end)))
        elif isinstance(piece, Close):
            commands.append(("Z",))
        elif isinstance(piece, Line):
            commands.append(("L", *xy(piece.end)))
        elif isinstance(piece, CubicBezier):
            commands.append(("C", *xy(piece.control1), *xy(piece.control2), *xy(piece.end)))
        elif isinstance(piece, Arc):
            # Before the transform, as the library does not carry arcs through a shear correctly.
            curves = piece.as_cubic_curves(math.ceil(abs(piece.sweep) / _CURVE_RAD))
            commands += [
                ("C", *xy(curve.control1), *xy(curve.control2), *xy(curve.end)) for curve in curves
            ]
        elif isinstance(piece, QuadraticBezier):
            # A quadratic is a cubic whose controls lie two thirds of the way to its one.
            (x0, y0), (x1, y1), (x2, y2) = xy(piece.start), xy(piece.control), xy(piece.end)
            control1 = x0 + 2 / 3 * (x1 - x0), y0 + 2 / 3 * (y1 - y0)
            control2 = x2 + 2 / 3 * (x1 - x2), y2 + 2 / 3 * (y1 - y2)
            commands.append(("C", *control1, *control2, x2, y2))
    return Outline(tuple(commands))


#: The angle of an arc that becomes one cubic, rad: it leaves the arc by less than 2 millionths of
#: the radius.
_CURVE_RAD = math.tau / 10

# What stands for a gradient or a pattern, which are not drawn: the shape must not vanish with them.
_FOR_PATTERNS = "#9a9a9a"


def _look_of(element: Any) -> Style:
    """The colours and line width of an SVG ``element``."""

    def name(paint: Any, written: object) -> str:
        if isinstance(written, str) and written.strip().startswith("url("):
            return _FOR_PATTERNS
        if paint is None or paint.value is None or not paint.alpha:
            return ""
        return f"#{paint.hexrgb.removeprefix('#')}"

    line = name(element.stroke, element.values.get("stroke"))
    width = 0.0
    if line and element.stroke_width is not None:
        width = float(element.implicit_stroke_width)
    fill = name(element.fill, element.values.get("fill"))
    return Style(fill=fill, line=line if width > 0 else "", width=width)


def _drawing_of_points(path: str, strokes: list[list[tuple[float, float]]], in_mm: bool) -> Drawing:
    """The drawing made of ``strokes``, each a list of points."""
    outlines = [Outline.line(points) for points in strokes if len(points) > 1]
    if not outlines:
        raise RequestError(
            Problem(
                path,
                phrase("must hold at least one stroke of two points"),
                "",
                _STROKES_HINT,
            )
        )
    bounds = _bounds(path, outlines)
    return Drawing(
        Path(path).name,
        bounds,
        strokes=tuple(Stroke(outline, None) for outline in outlines),
        in_mm=in_mm,
    )


def _bounds(path: str, outlines: Sequence[Outline]) -> Rect:
    """The rectangle round all ``outlines``.

    Raises RequestError naming ``path`` where they are a single point, too far from the origin, too
    small, or too long.
    """
    lefts, tops, rights, bottoms = zip(*(outline.bounds for outline in outlines), strict=True)
    left, top = min(lefts), min(tops)
    width, height = max(rights) - left, max(bottoms) - top
    largest = max(width, height)
    if not largest > 0:
        raise RequestError(
            Problem(path, phrase("must be more than one point"), phrase("a single point"))
        )
    farthest = max(abs(edge) for edge in (left, top, left + width, top + height))
    # Said as "not below", since what overflowed to no number is neither below nor beyond.
    if not farthest < FARTHEST or largest < 1 / FARTHEST:
        must = phrase(
            "must lie within {farthest} px or mm of its origin, and be larger than a millionth of "
            "a px or mm",
            farthest=f"{FARTHEST:,.0f}",
        )
        raise RequestError(
            Problem(
                path,
                must,
                phrase(
                    "its farthest point at {farthest}, its size {largest}",
                    farthest=f"{farthest:.3g}",
                    largest=f"{largest:.3g}",
                ),
            )
        )
    if not sum(map(_length, outlines)) <= MOST_WIDTHS * largest:
        must = phrase(
            "must have lines at most {most_widths} times as long as the drawing is wide",
            most_widths=MOST_WIDTHS,
        )
        raise RequestError(
            Problem(
                path,
                must,
                phrase("longer ones"),
                phrase("Leave out some of them, or export it as a picture"),
            )
        )
    # A straight line has no height; a rectangle must.
    return Rect(left, top, max(width, largest * 1e-3), max(height, largest * 1e-3))


def _length(outline: Outline) -> float:
    """The length of all lines, with curves measured along their control points."""
    total, last = 0.0, (0.0, 0.0)
    for name, *numbers in outline.commands:
        for here in zip(numbers[::2], numbers[1::2], strict=True):
            total += 0.0 if name == "M" else math.dist(last, here)
            last = here
    return total


_STROKES_HINT = phrase(
    "Write a CSV with the columns stroke,x,y (or stroke,x_mm,y_mm for mm on the "
    "tablet), or a JSON list of strokes, each a list of [x, y]"
)


def _csv_strokes(
    path: str, text: str, most_points: int
) -> tuple[list[list[tuple[float, float]]], bool]:
    """The strokes of a CSV and whether they are in mm.

    Its columns are ``x,y`` or ``x_mm,y_mm``, and ``stroke`` where there are several. An empty row
    begins a new stroke too.
    """
    rows: Iterator[list[str]] = csv.reader(
        io.StringIO(text), delimiter="\t" if "\t" in text.partition("\n")[0] else ","
    )
    rows = _rows(path, rows, most_points)
    heads = [head.strip().lower() for head in next(rows, [])]
    in_mm = {"x_mm", "y_mm"} <= set(heads)
    names = ("x_mm", "y_mm") if in_mm else ("x", "y")
    if not set(names) <= set(heads):
        raise RequestError(
            Problem(
                path,
                phrase("the first line must name the columns"),
                quoted(",".join(heads)),
                _STROKES_HINT,
            )
        )
    at_x, at_y = heads.index(names[0]), heads.index(names[1])
    at_stroke = heads.index("stroke") if "stroke" in heads else None
    strokes: list[list[tuple[float, float]]] = [[]]
    last: str | None = None
    for line, row in enumerate(rows, 2):
        if not any(cell.strip() for cell in row):
            strokes.append([])
            continue
        try:
            point = (_number(row[at_x]), _number(row[at_y]))
            stroke = None if at_stroke is None else row[at_stroke].strip()
        except RequestError:
            raise
        except (ValueError, IndexError):
            raise RequestError(
                Problem(at_line(path, line), phrase("must hold two numbers"), quoted(",".join(row)))
            ) from None
        if stroke != last:
            strokes.append([])
            last = stroke
        strokes[-1].append(point)
    return strokes, in_mm


def _rows(path: str, rows: Iterator[list[str]], most_points: int) -> Iterator[list[str]]:
    try:
        for count, row in enumerate(rows):
            _refuse_points(path, count, most_points)
            yield row
    except csv.Error as error:
        raise RequestError(
            Problem(path, phrase("must be a table of points"), str(error), _STROKES_HINT)
        ) from None


def _number(value: Any) -> float:
    found = math.nan if isinstance(value, bool) else float(value)
    if not math.isfinite(found):
        raise ValueError(value)
    return found


def _json_strokes(
    path: str, text: str, most_points: int, *, by_hand: bool
) -> tuple[list[list[tuple[float, float]]], bool]:
    """The strokes of a JSON text and whether they are in mm.

    It is ``[[[x, y], ...], ...]`` or ``{"unit": "mm", "strokes": [...]}``; a point may also be
    ``{"x": ..., "y": ...}``. A file of the pad holds such a part under ``hand`` beside the strokes
    on its screen.
    """
    # What is read takes far more memory than its text. So the signs are counted first: as many as a
    # file of the pad with the most points may have.
    _refuse_points(
        path,
        max((text.count("[") + text.count("{")) // 3, text.count(":") // 3, text.count(",") // 6),
        most_points,
    )
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise RequestError(
            Problem(path, phrase("must be JSON"), str(error), _STROKES_HINT)
        ) from None
    if by_hand and isinstance(data, dict):
        data = data.get("hand", data)
    in_mm = isinstance(data, dict) and data.get("unit") == "mm"
    strokes = data.get("strokes") if isinstance(data, dict) else data
    try:
        lists = [_points_of(stroke) for stroke in strokes or ()]
        _refuse_points(path, sum(map(len, lists)), most_points)
        read = [[_json_point(point) for point in points] for points in lists]
    except RequestError:
        raise
    except (TypeError, ValueError, KeyError, OverflowError) as error:
        raise RequestError(
            Problem(path, phrase("must be a list of strokes"), str(error), _STROKES_HINT)
        ) from None
    return read, in_mm


def _refuse_points(path: str, count: int, most: int) -> None:
    if count > most:
        must = phrase("must have at most {most_points} points", most_points=most)
        raise RequestError(
            Problem(
                path,
                must,
                phrase("more"),
                phrase("Save every second or third point, or fewer strokes"),
            )
        )


def _points_of(stroke: Any) -> list[Any]:
    points = stroke["points"] if isinstance(stroke, dict) else stroke
    if not isinstance(points, list):
        raise TypeError("a stroke must be a list of points")
    return points


def _json_point(point: Any) -> tuple[float, float]:
    x, y = (point["x"], point["y"]) if isinstance(point, dict) else point[:2]
    return _number(x), _number(y)
