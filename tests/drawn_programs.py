"""Invented paint programs and hands.

What stands beside a trace, what lies beneath it, and how a hand goes round a thing.

A third of the windows, of the hands and of the driver's states was set aside by seed before
anything was tuned (``HELD_WINDOWS``, ``HELD_HANDS``, ``HELD_STATES``): what is counted of them was
not used to set a number. None imitates a program: rings, frames and rows at random. Agg draws,
which shares no code with what reads.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

import numpy as np
from PIL import Image

from mapper.tracing.outline import KnownOutline, Placed
from tests.drawn_windows import Sheet, grey, panel, words

WINDOWS = (
    "plain white",
    "a coin on a large white picture",
    "a colour wheel beside",
    "brush rings beside",
    "a rounded dialog above",
    "a watermark beneath",
    "a navigator with a small copy",
    "squared paper",
    "dotted paper",
    "a photo beneath",
    "a stroke to the edge",
    "round buttons",
    "ruled paper",
    "a gradient beneath",
    "a frame and a centre cross",
    "framed thumbnails beside",
)
#: Those in which something even stands that is no trace.
EVEN = frozenset(
    {
        "a colour wheel beside",
        "brush rings beside",
        "a rounded dialog above",
        "a watermark beneath",
        "round buttons",
        "a frame and a centre cross",
        "framed thumbnails beside",
    }
)
HANDS = (
    "steady",
    "shaky",
    "slow",
    "broad line",
    "slipped",
    "two strokes",
    "a gap",
    "twice round",
    "a tail",
    "by pressure",
    "pencil",
    "jpeg",
    "corners cut",
    "keeps outside",
    "sparse points",
)
STATES = (
    "right",
    "turned 90",
    "turned 180",
    "turned 270",
    "mirrored left to right",
    "mirrored top to bottom",
    "turned 90 and mirrored",
    "whole tablet",
    "left half of the display",
    "top half of the display",
    "canvas at 50 %",
    "canvas at 200 %",
    "area moved",
    "area smaller",
    "width too small",
    "height too small",
    "inches for mm",
    "another display",
    "all displays",
    "another thing",
    "rotated by 15 degrees",
)


def _third(names: tuple[str, ...]) -> frozenset[str]:
    """A third of the names, by seed alone."""
    return frozenset(Random(28).sample(sorted(names), len(names) // 3))


HELD_WINDOWS, HELD_HANDS, HELD_STATES = _third(WINDOWS), _third(HANDS), _third(STATES)

THINGS = {
    "card": KnownOutline(85.6, 53.98, 3.18),
    "coin 23.25mm": KnownOutline.circle(23.25),
    "circle 60mm": KnownOutline.circle(60),
    "square 50mm": KnownOutline(50, 50),
    "a6": KnownOutline(148, 105),
}
_POINTS = 900


@dataclass(frozen=True)
class Stroke:
    """One stroke: points (n, 2) in px and the width of the line at each, px."""

    points: np.ndarray
    widths: np.ndarray


def wander(random, waves, count=_POINTS):
    """A wander of unit spread round a closed line, of about so many waves."""
    spectrum = np.fft.rfft(random.normal(size=count)) * np.exp(-np.arange(count // 2 + 1) / waves)
    spectrum[0] = 0
    drawn = np.fft.irfft(spectrum, count)
    return drawn / drawn.std()


def off_mm(random, hand):
    """How far off the edge the pen is along one round, mm."""
    waves, spread = {"shaky": (40, 0.09), "slow": (4, 0.1)}.get(hand, (12, 0.09))
    spread *= float(np.exp(random.uniform(-0.35, 0.5)))
    off = spread * wander(random, waves) + 0.012 * random.normal(size=_POINTS)
    if hand == "keeps outside":
        off += random.uniform(0.05, 0.15)
    if hand == "slipped":
        wide, far = random.uniform(0.03, 0.08), random.uniform(0.8, 2.5)
        at = (np.arange(_POINTS) / _POINTS - random.random() + 0.5) % 1 - 0.5
        off += far * np.exp(-((at / wide) ** 2) * 4)
    return off


def hand_strokes(random, hand, outline, matrix, centre, stroke_px):  # noqa: C901, PLR0917 - one branch a hand
    """The strokes of a hand that goes round ``outline``, seen through ``matrix`` at ``centre``."""
    placed = Placed(outline, np.asarray(matrix, dtype=float), np.asarray(centre, dtype=float))
    boundary = placed.boundary(_POINTS)
    scale = float(np.sqrt(abs(np.linalg.det(matrix))))

    def once():
        off = off_mm(random, hand)
        start = random.integers(_POINTS)
        points = boundary.points_px + boundary.normals * (off * scale)[:, None]
        if hand == "corners cut" and not outline.is_circle:
            points = _cut(points, random.uniform(2, 4) * scale)
        return np.roll(points, start, axis=0)

    points = once()
    rounds = [np.concatenate([points, points[:1]])]
    if hand == "two strokes":
        half, over = _POINTS // 2, round(random.uniform(0.03, 0.1) * _POINTS)
        again = np.roll(once(), 0, axis=0)
        # The second hand starts where the first one ended.
        near = int(np.argmin(np.hypot(*(again - points[half]).T)))
        again = np.roll(again, -near, axis=0)
        rounds = [points[: half + over], again[: half + over]]
    elif hand == "a gap":
        rounds = [points[: round((1 - random.uniform(0.04, 0.12)) * _POINTS)]]
    elif hand == "twice round":
        again = once()
        near = int(np.argmin(np.hypot(*(again - points[-1]).T)))
        rounds = [np.concatenate([points, np.roll(again, -near, axis=0)])]
    elif hand == "a tail":
        first, last = points[0], points[-1]
        out = (first - centre) / np.hypot(*(first - centre))
        side = np.array([-out[1], out[0]])
        far = random.uniform(6, 16) * scale
        come = first + np.linspace(1, 0, 60)[:, None] * (out * far + side * random.normal() * far)
        leave = last + np.linspace(0, 1, 60)[:, None] * (out * far - side * random.normal() * far)
        rounds = [np.concatenate([come, points, leave])]
    if hand == "sparse points":
        rounds = [each[:: random.integers(8, 16)] for each in rounds]
        rounds = [np.concatenate([each, each[:1]]) for each in rounds]
    if hand == "broad line":
        stroke_px = random.uniform(14, 26)
    strokes = []
    for each in rounds:
        widths = np.full(len(each), stroke_px)
        if hand == "by pressure":
            press = np.interp(np.arange(len(each)), np.arange(_POINTS), wander(random, 6))
            widths = stroke_px * np.clip(1 + 0.45 * press, 0.25, 2.0)
        strokes.append(Stroke(each, widths))
    return strokes


def _cut(points, radius_px):
    """The closed line with its corners smoothed, as a quick hand rounds them."""
    step = float(np.median(np.hypot(*np.diff(points, axis=0).T)))
    width = max(1, round(radius_px / step / 2))
    kernel = np.exp(-(np.linspace(-2, 2, 4 * width + 1) ** 2))
    kernel /= kernel.sum()
    wide = np.concatenate([points[-2 * width :], points, points[: 2 * width]])
    return np.stack([np.convolve(wide[:, axis], kernel, "valid") for axis in (0, 1)], axis=1)


@dataclass(frozen=True)
class Drawn:
    """The truth about a picture: px per mm across and down; the canvas in px."""

    window: str
    hand: str
    thing: str
    outline: KnownOutline
    x_px_per_mm: float
    y_px_per_mm: float
    canvas: tuple[float, float, float, float]


def draw_program(path, number, *, window, hand="steady", thing=None, empty=False):  # noqa: C901, PLR0912, PLR0915 - one branch a kind
    """Save picture ``number`` of a kind at ``path``, its ending by the hand; its truth."""
    random = np.random.default_rng((28, number, WINDOWS.index(window), HANDS.index(hand)))
    large = window == "a coin on a large white picture"
    width, height = (
        (2560, 1440) if large else ((1400, 1000), (1600, 1000), (1920, 1080))[random.integers(3)]
    )
    dark = window != "plain white" and not large and random.random() < 0.25
    fill, ink, edge = (grey(45), grey(205), grey(75)) if dark else (grey(236), grey(60), grey(200))
    paper = grey(30) if dark else ((1.0, 1.0, 1.0) if random.random() < 0.7 else (0.98, 0.96, 0.9))
    if large or window == "plain white":
        paper = (1.0, 1.0, 1.0)
    sheet = Sheet((width, height), paper)
    left, top, right, bottom = 0.0, 0.0, float(width), float(height)
    ground = None
    if window == "a photo beneath":
        ground = _photo(random, width, height)
    elif window == "a gradient beneath":
        one, two = random.uniform(0.6, 1.0, 3), random.uniform(0.6, 1.0, 3)
        share = np.linspace(0, 1, height)[:, None, None]
        ground = np.broadcast_to(one * (1 - share) + two * share, (height, width, 3))
    if ground is not None:
        from matplotlib.image import BboxImage
        from matplotlib.transforms import Bbox, IdentityTransform, TransformedBbox

        image = BboxImage(TransformedBbox(Bbox([[0, 0], [width, height]]), IdentityTransform()))
        image.set_data(np.ascontiguousarray(ground))
        sheet.figure.add_artist(image)
        sheet.order += 1
        image.set_zorder(-1)
    if window not in {"plain white", "a coin on a large white picture", "a stroke to the edge"}:
        sheet.box(0, 0, width, 30, fill=edge)
        sheet.text(12, 15, words(random, 3), ink)
        sheet.box(0, height - 24, width, 24, fill=fill, line=edge)
        sheet.text(12, height - 12, words(random, 4), ink)
        top, bottom = 30.0, height - 24.0
    if window in EVEN | {"a navigator with a small copy"} and window != "a watermark beneath":
        sheet.box(
            right - 320, top, 320, bottom - top, fill=paper if number % 2 else fill, line=edge
        )
        right -= 320
        x0 = right
        if window == "a colour wheel beside":
            radius = random.uniform(80, 140)
            middle = (x0 + 160, top + 30 + radius)
            for share in (1.0, 0.82):
                sheet.dot(*middle, radius * share, line=ink, thick=random.uniform(1.5, 4))
            sheet.box(middle[0] - radius * 0.5, middle[1] - radius * 0.5, radius, radius, line=ink)
            if number % 3 == 0:
                for turn in np.linspace(0, 2 * np.pi, 90):
                    x, y = (
                        middle[0] + radius * 0.9 * np.cos(turn),
                        middle[1] + radius * 0.9 * np.sin(turn),
                    )
                    sheet.dot(x, y, 7, fill=tuple(0.5 + 0.5 * np.cos(turn + np.arange(3) * 2.1)))
        elif window == "brush rings beside":
            y = top + 70
            while y < bottom - 90:
                radius = random.uniform(26, 60)
                sheet.dot(x0 + 90, y, radius, line=ink, thick=random.uniform(1, 3))
                sheet.dot(x0 + 230, y, radius * 0.7, line=ink, thick=random.uniform(1, 6))
                y += 2 * radius + 24
        elif window == "round buttons":
            for row, y in enumerate(np.arange(top + 60, bottom - 60, 110)):
                for column in range(3):
                    sheet.dot(x0 + 56 + 104 * column, y, 42, line=ink, thick=2)
                    if (row + column) % 2:
                        sheet.box(
                            x0 + 36 + 104 * column, y - 20, 40, 40, line=ink, thick=2, round_px=6
                        )
        elif window == "framed thumbnails beside":
            for y in np.arange(top + 20, bottom - 190, 190):
                sheet.box(x0 + 30, y, 260, 164, line=ink, thick=2, round_px=10)
                sheet.text(x0 + 44, y + 176, words(random, 2), ink)
        elif window != "a navigator with a small copy":
            panel(sheet, random, x0, top, 320, bottom - top, fill, ink, edge)
    if window in {"squared paper", "ruled paper"}:
        step = random.uniform(18, 40)
        faint = tuple(0.78 * np.array(paper) + 0.22 * np.array((0.2, 0.5, 0.9)))
        for y in np.arange(top + step, bottom, step):
            sheet.box(left, y, right - left, 1, fill=faint)
        if window == "squared paper":
            for x in np.arange(left + step, right, step):
                sheet.box(x, top, 1, bottom - top, fill=faint)
    if window == "dotted paper":
        step = random.uniform(24, 40)
        for y in np.arange(top + step, bottom, step):
            for x in np.arange(left + step, right, step):
                sheet.dot(x, y, 1.6, fill=grey(150))
    if window == "a frame and a centre cross":
        sheet.box(left + 40, top + 40, right - left - 80, bottom - top - 80, line=ink, thick=2)
        sheet.box((left + right) / 2 - 14, (top + bottom) / 2 - 1, 28, 2, fill=ink)
        sheet.box((left + right) / 2 - 1, (top + bottom) / 2 - 14, 2, 28, fill=ink)
    if window == "a watermark beneath":
        faint = tuple(0.82 * np.array(paper) + 0.18 * np.array(ink))
        middle, radius = (left + 0.8 * (right - left), top + 0.72 * (bottom - top)), 110
        sheet.dot(*middle, radius, line=faint, thick=7)
        sheet.text(middle[0] - 60, middle[1], words(random, 2), faint, 16)
    if window == "a rounded dialog above":
        x, y = left + 0.62 * (right - left), top + 0.6 * (bottom - top)
        sheet.box(x, y, 300, 190, fill=paper, line=ink, thick=2, round_px=14)
        sheet.text(x + 24, y + 40, words(random, 3), ink)
        sheet.box(x + 180, y + 140, 90, 32, line=ink, thick=1.5, round_px=8)
    if thing is None:
        thing = list(THINGS)[random.integers(len(THINGS))]
    if large:
        thing = "coin 23.25mm"
    outline = THINGS[thing]
    aspect = float(np.exp(random.uniform(-0.1, 0.1)))
    turn = 0.0 if outline.is_circle else np.radians(random.uniform(-4, 4))
    room = 0.5 if window in {"a rounded dialog above", "a watermark beneath"} else 0.66
    scale = (
        room
        * random.uniform(0.7, 1.0)
        * min((right - left) / outline.width_mm, (bottom - top) / outline.height_mm)
    )
    if outline.width_mm < 30:
        scale = min(scale, random.uniform(8, 14))
    if large:
        scale, aspect = 84 / 23.25, 1.0
    x, y = scale * np.sqrt(aspect), scale / np.sqrt(aspect)
    cos, sin = np.cos(turn), np.sin(turn)
    matrix = np.diag([x, y]) @ np.array([[cos, -sin], [sin, cos]])
    share = (
        (0.32, 0.36) if window in {"a rounded dialog above", "a watermark beneath"} else (0.5, 0.5)
    )
    centre = np.array([left + share[0] * (right - left), top + share[1] * (bottom - top)])
    centre = centre + random.uniform(-0.02, 0.02, 2) * (right - left)
    colour = tuple(
        np.array(grey(235) if dark else (0.08, 0.09, 0.14))
        + random.uniform(-0.05, 0.02, 3).clip(-0.05, 0.02)
    )
    colour = tuple(np.clip(colour, 0, 1))
    if not empty:
        strokes = hand_strokes(
            random, hand, outline, matrix, centre, random.uniform(2, 7) if not large else 2.5
        )
        if window == "a stroke to the edge":
            end = strokes[-1].points[-1]
            way = np.array(
                [0.0 if random.random() < 0.5 else width - 1.0, end[1] + random.normal() * 60]
            )
            tail = end + np.linspace(0, 1, 80)[:, None] * (way - end)
            strokes.append(Stroke(tail, np.full(80, 3.0)))
        for stroke in strokes:
            _ink(sheet, stroke, colour, random if hand == "pencil" else None)
        if window == "a navigator with a small copy":
            small = 260 / (right - left)
            sheet.box(right + 30, top + 40, 260, small * (bottom - top), line=ink)
            for stroke in strokes:
                moved = (stroke.points - (left, top)) * small + (right + 30, top + 40)
                sheet.stroke(moved, colour, 1.2, closed=False)
    image = Image.fromarray(sheet.pixels())
    image.save(path, **({"quality": 55} if str(path).endswith(".jpg") else {}))
    return Drawn(window, hand, thing, outline, float(x), float(y), (left, top, right, bottom))


def _ink(sheet, stroke, colour, random):
    """Draw a stroke; with ``random`` as a pencil on rough paper does."""
    from matplotlib.collections import LineCollection
    from matplotlib.transforms import IdentityTransform

    flipped = np.column_stack([stroke.points[:, 0], sheet.height - stroke.points[:, 1]])
    if random is None and np.ptp(stroke.widths) == 0:
        sheet.stroke(stroke.points, colour, stroke.widths[0], closed=False)
        return
    pieces = np.stack([flipped[:-1], flipped[1:]], axis=1)
    colours = np.tile((*colour, 1.0), (len(pieces), 1))
    if random is not None:
        colours[:, 3] = np.clip(random.uniform(0.1, 1.2, len(pieces)), 0, 1)
    sheet.order += 1
    lines = LineCollection(
        pieces,
        linewidths=0.72 * stroke.widths[:-1],
        colors=colours,
        capstyle="round" if random is None else "butt",
        transform=IdentityTransform(),
    )
    lines.set_zorder(sheet.order)
    sheet.figure.add_artist(lines)


def _photo(random, width, height):
    """Soft patches of colour with a little grain, light enough for a dark line."""
    coarse = random.uniform(0.45, 1.0, (7, 10, 3))
    soft = Image.fromarray((255 * coarse).astype(np.uint8)).resize(
        (width, height), Image.Resampling.BICUBIC
    )
    grain = random.normal(0, 0.012, (height, width, 1))
    return np.clip(np.asarray(soft) / 255 + grain, 0, 1)
