"""A picture as data: outlines, words and images on a sheet, before any backend draws them.

Everything is in mm of the sheet, x right and y down, origin at its top left. What a mark looks like
is not here: it plays a role (``render.canvas.theme.ROLES``), and a theme gives the role its
colours. An ``Easel`` collects marks in the order in which they lie on each other, and
``Easel.scene`` freezes them::

    easel = Easel(160, 90)
    easel.rect(Rect(10, 10, 60, 40), "plate")
    easel.shape(Outline.circle(40, 30, 12), "hand")
    easel.text("A circle", 10, 60, "label")
    scene = easel.scene(title="A circle", description="A circle on a plate.")
"""

from __future__ import annotations

import math
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from mapper.affine import Affine
from mapper.paths import Outline, Point, Style
from mapper.phrases import has_leftward, in_line
from mapper.rect import Rect
from render.canvas.lettering import CAP, DESCENT, width_mm
from render.canvas.theme import style
from render.sentences.say import runs_leftward

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from PIL import Image as PillowImage


@dataclass(frozen=True, slots=True)
class Shape:
    """An outline and the role it plays.

    ``clip`` is the part of the sheet outside of which it is not shown. ``look`` replaces the role's
    colours where the outline is somebody's own drawing.
    """

    outline: Outline
    role: str
    clip: Rect | None = None
    look: Style | None = None


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text.

    (x_mm, y_mm) is the ``start``, ``middle`` or ``end`` of its base line; ``turn_deg`` turns it
    clockwise about that point.
    """

    text: str
    x_mm: float
    y_mm: float
    role: str
    em_mm: float
    anchor: str = "start"
    turn_deg: float = 0.0

    @property
    def box_mm(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of the text as it lies on the sheet, after its turn."""
        wide = width_mm(self.text, self.em_mm, bold=style(self.role).bold)
        left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[self.anchor]
        cos, sin = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        corners = [
            (x, y) for x in (left, left + wide) for y in (-CAP * self.em_mm, DESCENT * self.em_mm)
        ]
        xs = [self.x_mm + x * cos - y * sin for x, y in corners]
        ys = [self.y_mm + x * sin + y * cos for x, y in corners]
        return min(xs), min(ys), max(xs), max(ys)


_OTHER_END = {"start": "end", "middle": "middle", "end": "start"}


@dataclass(frozen=True, slots=True)
class Image:
    """Pixels on the sheet.

    ``mode`` is ``RGB`` or ``RGBA``, ``pixels`` are the bytes row by row, ``box_mm`` is their place.
    """

    width_px: int
    height_px: int
    mode: str
    pixels: bytes
    box_mm: Rect
    role: str = "image"
    clip: Rect | None = None


Mark = Shape | Text | Image


@dataclass(frozen=True, slots=True)
class Group:
    """The marks from ``start`` up to ``stop`` that belong together: ``hand`` or ``glass``."""

    name: str
    start: int
    stop: int


@dataclass(frozen=True, slots=True)
class Handle:
    """A mark in a live picture that can be pulled, by a pointer or by the arrow keys.

    ``value`` and its bounds ``least`` and ``most`` are in the unit of what is pulled (mm on the
    tablet, px on the desktop), ``per_sheet_mm`` is how much of it one mm of the sheet is, ``step``
    what an arrow key moves. ``way`` is horizontal or vertical. ``label`` names it and ``says`` its
    value in words. ``stays`` says why it cannot be pulled, empty where it can.
    """

    name: str
    label: str
    says: str
    way: str
    outline: Outline
    value: float
    least: float
    most: float
    step: float
    per_sheet_mm: float
    stays: str = ""

    @classmethod
    def staying(cls, name: str, label: str, outline: Outline, why: str) -> Handle:
        """A handle that cannot be pulled, and why; it is shown as a plain mark."""
        return cls(name, label, "", "", outline, 0.0, 0.0, 0.0, 0.0, 0.0, why)


@dataclass(frozen=True, slots=True)
class Scene:
    """A finished picture: its size in mm, its marks from the lowest to the uppermost, and words.

    ``title`` is one line; ``description`` says in words all that the picture shows, for people who
    cannot see it.
    """

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    title: str
    description: str
    groups: tuple[Group, ...] = ()
    handles: tuple[Handle, ...] = ()

    @property
    def texts(self) -> tuple[Text, ...]:
        return tuple(mark for mark in self.marks if isinstance(mark, Text))

    def shapes(self, role: str) -> tuple[Shape, ...]:
        """The shapes that play ``role``, from the lowest to the uppermost."""
        return tuple(mark for mark in self.marks if isinstance(mark, Shape) and mark.role == role)


class Easel:
    """Collects the marks of one picture, the lowest first."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self._marks: list[Mark] = []
        self._groups: list[Group] = []
        self._handles: list[Handle] = []

    @contextmanager
    def group(self, name: str) -> Iterator[None]:
        """Put all marks drawn inside the ``with`` block into one group; groups do not nest."""
        start = len(self._marks)
        yield
        self._groups.append(Group(name, start, len(self._marks)))

    @contextmanager
    def block(self, left_mm: float, width_mm: float = 0.0) -> Iterator[None]:
        """Lay out what is drawn inside the ``with`` block as lines of the language in use run.

        Titles, legends and tables are drawn from ``left_mm`` on; where lines run from the right
        they are mirrored in ``width_mm``, or in as much as they need. What shows the desk itself is
        drawn outside: it is never mirrored. Blocks do not nest.
        """
        start = len(self._marks)
        yield
        if not runs_leftward():
            return
        block = self._marks[start:]
        right_mm = max([left_mm + width_mm, *map(_right_mm, block)])
        sum_mm = left_mm + right_mm
        self._marks[start:] = [_mirrored(mark, sum_mm) for mark in block]

    def handle(self, handle: Handle) -> None:
        """Add a handle that can be pulled in a live picture; picture files leave it out."""
        self._handles.append(handle)

    def shape(
        self, outline: Outline, role: str, *, clip: Rect | None = None, look: Style | None = None
    ) -> None:
        """Draw an outline."""
        self._marks.append(Shape(outline, role, clip, look))

    def line(self, points: Sequence[Point], role: str, *, clip: Rect | None = None) -> None:
        """Draw straight lines from point to point."""
        self.shape(Outline.line(points), role, clip=clip)

    def polygon(self, points: Sequence[Point], role: str, *, clip: Rect | None = None) -> None:
        """Draw straight lines from point to point and back to the first."""
        self.shape(Outline.line(points, closed=True), role, clip=clip)

    def rect(self, rect: Rect, role: str, *, radius: float = 0.0, clip: Rect | None = None) -> None:
        """Draw a rectangle, its corners rounded by ``radius`` mm."""
        self.shape(
            Outline.rounded(rect, radius) if radius > 0 else Outline.rect(rect), role, clip=clip
        )

    def text(
        self,
        text: str,
        x_mm: float,
        y_mm: float,
        role: str,
        *,
        anchor: str = "start",
        level: str = "base",
        turn_deg: float = 0.0,
        em_mm: float | None = None,
    ) -> Text:
        """Write one line of text and return its mark.

        ``anchor`` (start, middle, end) says which part of the line x is; ``level`` (base, top,
        middle) whether y is the base line, or the top or the middle of the capitals.
        """
        em = style(role).em_mm if em_mm is None else em_mm
        drop = {"base": 0.0, "top": CAP * em, "middle": CAP * em / 2}[level]
        angle = math.radians(turn_deg)
        mark = Text(
            _as_line(text),
            x_mm - drop * math.sin(angle),
            y_mm + drop * math.cos(angle),
            role,
            em,
            anchor,
            float(turn_deg),
        )
        self._marks.append(mark)
        return mark

    def image(self, picture: PillowImage.Image, box_mm: Rect, *, clip: Rect | None = None) -> None:
        """Draw a Pillow image, RGB or RGBA, stretched over ``box_mm``."""
        self._marks.append(
            Image(*picture.size, picture.mode, picture.tobytes(), box_mm, "image", clip)
        )

    def hatch(
        self, rect: Rect, role: str, *, spacing_mm: float = 1.6, through: Affine | None = None
    ) -> None:
        """Draw lines at 45 degrees, rising to the right, all over ``rect`` and nowhere else.

        ``through`` is for a ``rect`` in another frame: it maps that frame to the sheet and must
        keep angles.
        """
        if through is not None:
            spacing_mm /= math.sqrt(abs(through.determinant))
        steps = math.floor((rect.width + rect.height) / (spacing_mm * math.sqrt(2)))
        commands: list[tuple[Any, ...]] = []
        for step in range(1, steps + 1):
            along = step * spacing_mm * math.sqrt(2)
            # From the left or lower edge up to the top or right one.
            x0, y0 = max(0.0, along - rect.height), min(rect.height, along)
            x1, y1 = min(rect.width, along), max(0.0, along - rect.width)
            commands += [("M", rect.left + x0, rect.top + y0), ("L", rect.left + x1, rect.top + y1)]
        if commands:
            outline = Outline(tuple(commands))
            self.shape(outline if through is None else outline.through(through), role)

    def scene(self, *, title: str, description: str) -> Scene:
        """The finished picture."""
        return Scene(
            self.width_mm,
            self.height_mm,
            tuple(self._marks),
            title,
            description,
            tuple(self._groups),
            tuple(self._handles),
        )


def _as_line(text: str) -> str:
    """A line so that it moves nothing, and from right to left in a language that is written so.

    A line of such a language may begin with a name in other letters, by which no program may judge
    where it runs (Unicode Standard Annex 9, RLI).
    """
    line = in_line(text)
    if not runs_leftward() or not has_leftward(text):
        return line
    is_isolated = line != text and line.startswith("\N{FIRST STRONG ISOLATE}")
    inner = line[1:-1] if is_isolated else line
    return f"\N{RIGHT-TO-LEFT ISOLATE}{inner}\N{POP DIRECTIONAL ISOLATE}"


def _right_mm(mark: Mark) -> float:
    if isinstance(mark, Text):
        return mark.box_mm[2]
    return mark.outline.bounds[2] if isinstance(mark, Shape) else mark.box_mm.right


def _mirrored(mark: Mark, sum_mm: float) -> Mark:
    """The mark where each x is ``sum_mm`` - x; text stays readable, and an image as it is."""
    if isinstance(mark, Text):
        return replace(mark, x_mm=sum_mm - mark.x_mm, anchor=_OTHER_END[mark.anchor])
    flip = Affine(-1, 0, sum_mm, 0, 1, 0)
    clip = None if mark.clip is None else flip.rect(mark.clip)
    if isinstance(mark, Shape):
        return replace(mark, outline=mark.outline.through(flip), clip=clip)
    return replace(mark, box_mm=flip.rect(mark.box_mm), clip=clip)
