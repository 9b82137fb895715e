"""Traces as a paint program would save them, drawn by Skia.

Skia shares no code with what measures them.
"""

import numpy as np
import pytest

from mapper.tracing.outline import Placed

# Its wheel links to libraries of the system that a bare machine may lack.
skia = pytest.importorskip(
    "skia",
    reason="skia needs libEGL and libGL (Debian: apt-get install libegl1 libgl1)",
    exc_type=ImportError,
)


def matrix_of(x_px_per_mm, y_px_per_mm, turn_deg=0.0):
    """The matrix (2, 2) in px per mm that turns and then scales along both axes."""
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return np.diag([x_px_per_mm, y_px_per_mm]) @ np.array([[cos, -sin], [sin, cos]])


def draw_trace(
    path,
    outline,
    matrix,
    *,
    centre_px=None,
    size_px=(1200, 1000),
    stroke_px=5.0,
    ground=(255, 255, 255),
    ink=(30, 40, 60),
    wobble_mm=0.0,
    seed=0,
    gap=0.0,
    extra=None,
):
    """Save a picture of a KnownOutline as a hand would trace it.

    ``matrix`` is in px per mm. ``wobble_mm`` is the spread of a slow wobble with some twelve waves
    to the round, ``gap`` the share left out. ``extra(canvas, paint)`` draws more.
    """
    centre = np.array(centre_px or (size_px[0] / 2 + 3.3, size_px[1] / 2 - 2.6), dtype=float)
    boundary = Placed(outline, np.array(matrix, dtype=float), centre).boundary(900)
    random = np.random.default_rng(seed)
    waves = np.fft.rfft(random.normal(size=900)) * np.exp(-np.arange(451) / 12)
    waves[0] = 0
    wander = np.fft.irfft(waves)
    scale = np.sqrt(abs(np.linalg.det(matrix)))
    points = (
        boundary.points_px + boundary.normals * (wander / wander.std() * wobble_mm * scale)[:, None]
    )
    points = points[round(gap * 900) :]
    surface = skia.Surface(*size_px)
    canvas = surface.getCanvas()
    canvas.clear(skia.Color(*ground))
    paint = skia.Paint(
        AntiAlias=True,
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=stroke_px,
        Color=skia.Color(*ink),
        StrokeCap=skia.Paint.kRound_Cap,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    drawn = skia.Path()
    drawn.addPoly([skia.Point(float(x), float(y)) for x, y in points], not gap)
    canvas.drawPath(drawn, paint)
    if extra:
        extra(canvas, paint)
    surface.makeImageSnapshot().save(str(path))
