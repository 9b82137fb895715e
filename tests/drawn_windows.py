"""Invented screenshots: a made-up window around a canvas with a traced outline.

Drawn by matplotlib's Agg. Twelve kinds of layout, light and dark, from a seed. None imitates a
program: boxes, lines, dots and words at random. Agg shares no code with what finds the canvas and
measures the trace.
"""

from dataclasses import dataclass

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyBboxPatch, Polygon, Rectangle
from matplotlib.transforms import IdentityTransform
from PIL import Image

from mapper.tracing.outline import KnownOutline, Placed

KINDS = (
    "panels on three sides",
    "a sheet on a grey table",
    "palettes that float over the canvas",
    "a page of text beside it",
    "a window on a wallpaper",
    "the canvas alone with a status line",
    "panels as white as the canvas",
    "a checkerboard",
    "a sketch beneath",
    "tabs and rows of buttons",
    "rulers, guides and a grid",
    "two canvases, one empty",
)
COUNT = 48
SIZES = ((1280, 800), (1600, 1000), (1920, 1080), (1366, 768))
THINGS = (
    ("card", KnownOutline(85.6, 53.98, 3.18)),
    ("coin 40mm", KnownOutline.circle(40)),
    ("square 50mm", KnownOutline(50, 50)),
    ("circle 60mm", KnownOutline.circle(60)),
    ("rectangle 90x60mm", KnownOutline(90, 60)),
)
WORDS = (
    "layer brush edit view soft round blend size flow hue paper grain undo line fill mask ink help"
).split()


@dataclass(frozen=True)
class Shot:
    """The truth about a screenshot.

    ``thing`` was traced and ``outline`` is its KnownOutline; the scales are in px per mm, the
    canvas in px.
    """

    kind: str
    thing: str
    outline: KnownOutline
    x_px_per_mm: float
    y_px_per_mm: float
    canvas: tuple[float, float, float, float]


class Sheet:
    """A figure of w by h pixels with y downwards."""

    def __init__(self, size_px, ground):
        self.width, self.height = size_px
        self.figure = Figure(
            figsize=(self.width / 100, self.height / 100), dpi=100, facecolor=ground
        )
        self.agg = FigureCanvasAgg(self.figure)
        self.order = 0

    def add(self, artist, snap=False):
        self.order += 1
        artist.set_transform(IdentityTransform())
        artist.set_zorder(self.order)
        artist.set_snap(snap)
        self.figure.add_artist(artist)

    def box(self, left, top, width, height, fill=None, line=None, thick=1.0, round_px=0.0):  # noqa: PLR0917
        look = {
            "facecolor": fill or "none",
            "edgecolor": line or "none",
            "linewidth": 0.72 * thick if line else 0,
        }
        if round_px:
            bottom = self.height - top - height
            shape = FancyBboxPatch(
                (left + round_px, bottom + round_px),
                width - 2 * round_px,
                height - 2 * round_px,
                boxstyle=f"round,pad={round_px}",
                **look,
            )
            self.add(shape)
        else:
            self.add(
                Rectangle((left, self.height - top - height), width, height, **look), snap=True
            )

    def dot(self, x, y, radius, fill=None, line=None, thick=1.0):  # noqa: PLR0917
        look = {"facecolor": fill or "none", "edgecolor": line or "none", "linewidth": 0.72 * thick}
        self.add(Circle((x, self.height - y), radius, **look))

    def text(self, x, y, words, colour, size=9):
        self.order += 1
        self.figure.text(
            x,
            self.height - y,
            words,
            color=colour,
            fontsize=0.72 * size * 1.4,
            va="center",
            transform=IdentityTransform(),
            zorder=self.order,
        )

    def stroke(self, points, colour, thick, closed=True):
        flipped = np.column_stack([points[:, 0], self.height - points[:, 1]])
        look = {"facecolor": "none", "edgecolor": colour, "linewidth": 0.72 * thick}
        self.add(Polygon(flipped, closed=closed, joinstyle="round", capstyle="round", **look))

    def pixels(self):
        self.agg.draw()
        return np.asarray(self.agg.buffer_rgba())[..., :3].copy()


def grey(level):
    return (level / 255,) * 3


def words(random, count=1):
    return " ".join(random.choice(WORDS, count))


def icons(sheet, random, left, top, width, height, ink, every=34):  # noqa: PLR0917
    """Draw small pictures in rows: boxes, rings, bars and discs."""
    for y in np.arange(top + every / 2, top + height - every / 3, every):
        for x in np.arange(left + every / 2, left + width - every / 3, every):
            which, size = random.integers(4), every * 0.28
            if which == 0:
                sheet.box(x - size, y - size, 2 * size, 2 * size, line=ink, thick=1.5, round_px=2)
            elif which == 1:
                sheet.dot(x, y, size, line=ink, thick=1.5)
            elif which == 2:
                sheet.dot(x, y, size, fill=ink)
            else:
                sheet.box(x - size, y - 2, 2 * size, 4, fill=ink)


def panel(sheet, random, left, top, width, height, fill, ink, edge):  # noqa: PLR0917
    """Draw a panel with a heading, sliders, a colour disc, rows of words and swatches."""
    sheet.box(left, top, width, height, fill=fill, line=edge)
    y = top + 16
    while y < top + height - 30:
        which = random.integers(5)
        if which == 0:
            sheet.text(left + 8, y, words(random, 2), ink)
            y += 22
        elif which == 1:
            sheet.box(left + 8, y, width - 16, 4, fill=edge)
            sheet.dot(left + 8 + random.uniform(0.1, 0.9) * (width - 16), y + 2, 6, fill=ink)
            y += 20
        elif which == 2 and y + width * 0.8 < top + height:
            radius = width * 0.32
            for index, share in enumerate((1.0, 0.8, 0.55)):
                sheet.dot(
                    left + width / 2,
                    y + radius,
                    radius * share,
                    fill=(*random.uniform(0.2, 0.9, 2), 0.3 * index),
                )
            y += 2 * radius + 16
        elif which == 3:
            for column in range(int((width - 16) // 18)):
                sheet.box(left + 8 + 18 * column, y, 15, 15, fill=tuple(random.uniform(0, 1, 3)))
            y += 24
        else:
            sheet.box(left + 6, y, width - 12, 22, line=edge, round_px=4)
            sheet.text(left + 14, y + 11, words(random), ink)
            y += 28


def wobbly(random, outline, matrix, centre, wobble_mm):
    """The outline as a hand goes round it.

    It wanders slowly, in about twelve waves, and shakes finely.
    """
    boundary = Placed(outline, matrix, centre).boundary(700)
    waves = np.fft.rfft(random.normal(size=700)) * np.exp(-np.arange(351) / 12)
    waves[0] = 0
    wander = np.fft.irfft(waves)
    off = (wander / wander.std() * wobble_mm + 0.01 * random.normal(size=700)) * np.sqrt(
        np.linalg.det(matrix)
    )
    return boundary.points_px + boundary.normals * off[:, None]


def draw_window(path, number, *, kind=None):  # noqa: C901, PLR0912, PLR0915 - one branch a kind of window
    """Save screenshot ``number`` at ``path`` (PNG or JPEG by its name); the result is its truth."""
    random = np.random.default_rng((20, number))
    kind = KINDS[number % len(KINDS)] if kind is None else kind
    size_px = SIZES[random.integers(len(SIZES))]
    width, height = size_px
    dark = bool((number // len(KINDS)) % 2)
    fill, ink, edge = (grey(45), grey(205), grey(75)) if dark else (grey(236), grey(60), grey(200))
    table = grey(30) if dark else grey(160)
    paper = (
        grey(28)
        if dark and random.random() < 0.5
        else (1.0, 1.0, 1.0)
        if random.random() < 0.7
        else (0.98, 0.96, 0.9)
    )
    if kind == "panels as white as the canvas":
        fill = paper
    sheet = Sheet(size_px, table)
    left, top, right, bottom = 0.0, 0.0, float(width), float(height)
    if kind == "a window on a wallpaper":
        for row in range(0, height, 4):
            shade = row / height
            sheet.box(0, row, width, 4, fill=(0.2 + 0.3 * shade, 0.35, 0.6 - 0.3 * shade))
        icons(sheet, random, 10, 10, 80, height - 20, (1, 1, 1), 76)
        left, top, right, bottom = 130.0, 60.0, width - 90.0, height - 70.0
    if kind != "the canvas alone with a status line":
        sheet.box(left, top, right - left, 28, fill=edge)
        sheet.text(left + 10, top + 14, words(random, 3), ink)
        for index in range(3):
            sheet.dot(right - 20 - 22 * index, top + 14, 6, fill=ink)
        top += 28
        sheet.box(left, top, right - left, 24, fill=fill)
        for index in range(6):
            sheet.text(left + 12 + 70 * index, top + 12, words(random), ink)
        top += 24
    sheet.box(left, bottom - 22, right - left, 22, fill=fill, line=edge)
    sheet.text(left + 10, bottom - 11, words(random, 4), ink)
    bottom -= 22
    if kind == "tabs and rows of buttons":
        sheet.box(left, top, right - left, 84, fill=fill, line=edge)
        icons(sheet, random, left + 8, top + 4, right - left - 16, 76, ink)
        top += 84
        for index in range(4):
            sheet.box(
                left + 4 + 130 * index,
                top,
                124,
                26,
                fill=paper if index == 1 else fill,
                line=edge,
                round_px=4,
            )
            sheet.text(
                left + 16 + 130 * index, top + 13, words(random, 2), ink if not dark else grey(150)
            )
        top += 28
        sheet.box(right - 14, top, 14, bottom - top, fill=fill)
        sheet.box(right - 11, top + 40, 8, 120, fill=ink, round_px=3)
        right -= 14
    sides = kind not in {
        "the canvas alone with a status line",
        "palettes that float over the canvas",
        "tabs and rows of buttons",
    }
    if sides:
        panel(sheet, random, right - 210, top, 210, bottom - top, fill, ink, edge)
        right -= 210
    if kind in {
        "panels on three sides",
        "a checkerboard",
        "a window on a wallpaper",
        "a sheet on a grey table",
    }:
        sheet.box(left, top, 48, bottom - top, fill=fill, line=edge)
        icons(sheet, random, left + 7, top + 6, 36, bottom - top - 20, ink)
        left += 48
    if kind == "a page of text beside it":
        wide = 0.32 * (right - left)
        sheet.box(left, top, wide, bottom - top, fill=(1, 1, 1))
        for line, y in enumerate(np.arange(top + 20, bottom - 10, 17)):
            if line % 9 != 8:
                sheet.text(left + 14, y, words(random, 8)[: int(wide / 8)], grey(20))
        left += wide
    if kind == "two canvases, one empty":
        middle = left + (right - left) * (0.4 if number % 2 else 0.35)
        sheet.box(left, top, middle - left - 4, bottom - top, fill=paper)
        left = middle
    if kind == "rulers, guides and a grid":
        sheet.box(left, top, right - left, 18, fill=fill)
        sheet.box(left, top, 18, bottom - top, fill=fill)
        for index, x in enumerate(np.arange(left + 20, right, 10)):
            sheet.box(
                x, top + (4 if index % 5 == 0 else 12), 1, 14 if index % 5 == 0 else 6, fill=ink
            )
        for index, y in enumerate(np.arange(top + 20, bottom, 10)):
            sheet.box(
                left + (4 if index % 5 == 0 else 12), y, 14 if index % 5 == 0 else 6, 1, fill=ink
            )
        left, top = left + 18, top + 18
    if kind == "a sheet on a grey table":
        margin = random.uniform(24, 60)
        sheet.box(left, top, right - left, bottom - top, fill=table)
        left, top, right, bottom = left + margin, top + margin, right - margin, bottom - margin
        if number % 24 < 12:
            sheet.box(
                left + 5, top + 5, right - left, bottom - top, fill=grey(20) if dark else grey(125)
            )
    if kind == "panels as white as the canvas":
        sheet.box(left, top, right - left, bottom - top, fill=paper)
    else:
        sheet.box(
            left,
            top,
            right - left,
            bottom - top,
            fill=paper,
            line=edge if number % 3 == 0 else None,
        )
    if kind == "a checkerboard":
        cell = int(random.choice([6, 8, 12, 16]))
        tones = (grey(60), grey(80)) if sum(paper) < 1 else (grey(255), grey(204))
        for row, y in enumerate(np.arange(top, bottom, cell)):
            for column, x in enumerate(np.arange(left, right, cell)):
                high, wide = min(cell, bottom - y), min(cell, right - x)
                sheet.box(x, y, wide, high, fill=tones[(row + column) % 2])
    light_on_dark = sum(paper) < 1
    shade = np.array([0.95, 0.95, 0.9]) if light_on_dark else np.array([0.1, 0.1, 0.12])
    colour = tuple(
        np.clip(
            shade + random.uniform(-0.1, 0.35 if not light_on_dark else 0.05, 3) * (1, 0.4, 1), 0, 1
        )
    )
    if kind == "rulers, guides and a grid":
        faint = tuple(0.88 * np.array(paper) + 0.12 * shade)
        for x in np.arange(left + 40, right, 40):
            sheet.box(x, top, 1, bottom - top, fill=faint)
        for y in np.arange(top + 40, bottom, 40):
            sheet.box(left, y, right - left, 1, fill=faint)
        sheet.box(left + 0.31 * (right - left), top, 1, bottom - top, fill=(0.2, 0.7, 0.9))
    if kind == "a sketch beneath":
        faint = tuple(0.65 * np.array(paper) + 0.35 * shade)
        for _ in range(14):
            start = random.uniform((left + 20, top + 20), (right - 20, bottom - 20))
            bend = np.cumsum(np.cumsum(random.normal(0, 0.35, (160, 2)), axis=0), axis=0) + start
            inside = np.clip(bend, (left + 8, top + 8), (right - 8, bottom - 8))
            sheet.stroke(inside, faint, random.uniform(1.5, 3), closed=False)
    name, outline = THINGS[random.integers(len(THINGS))]
    aspect = float(np.exp(random.uniform(-0.12, 0.12)))
    turn = 0.0 if outline.is_circle else np.radians(random.uniform(-4, 4))
    room = 0.5 if kind == "palettes that float over the canvas" else 0.72
    scale = (
        room
        * random.uniform(0.75, 1.0)
        * min((right - left) / outline.width_mm, (bottom - top) / outline.height_mm)
    )
    x, y = scale * np.sqrt(aspect), scale / np.sqrt(aspect)
    cos, sin = np.cos(turn), np.sin(turn)
    matrix = np.diag([x, y]) @ np.array([[cos, -sin], [sin, cos]])
    centre = np.array([(left + right) / 2, (top + bottom) / 2]) + random.uniform(-0.02, 0.02, 2) * (
        right - left
    )
    points = wobbly(random, outline, matrix, centre, random.uniform(0.06, 0.2))
    if number % 5 == 2:
        points = np.roll(points, random.integers(700), axis=0)[20:]
    sheet.stroke(points, colour, random.uniform(2, 8), closed=number % 5 != 2)
    if kind == "palettes that float over the canvas":
        for index in range(3):
            x0 = (left + 20, right - 210, right - 200)[index]
            y0 = (top + 30, top + 24, bottom - 180)[index]
            panel(
                sheet,
                random,
                x0,
                y0,
                120 if index == 0 else 180,
                150 if index else 280,
                fill,
                ink,
                edge,
            )
    if number % 7 == 3:
        # A cursor that shows how large the brush is.
        sheet.dot(
            left + 0.06 * (right - left),
            bottom - 0.1 * (bottom - top),
            11,
            line=ink if sum(paper) > 1 else grey(200),
        )
    image = Image.fromarray(sheet.pixels())
    image.save(path, **({"quality": 88} if str(path).endswith(".jpg") else {}))
    return Shot(kind, name, outline, float(x), float(y), (left, top, right, bottom))
