"""What a linear map does to shapes: Tissot's indicatrix in closed form.

Scales that differ by less than 1e-12, relative, are one scale, so that a true map has stretch 1 and
no longer axis, not a stretch and axis made of rounding error.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.units import agree, finite

#: The smallest change of proportions that people see, percent: "as low as 1.6% at (a/b)REF = 1.0"
#: (D. Regan and S. J. Hamstra 1992, abstract, doi 10.1016/0042-6989(92)90046-l).
NOTICED_STRETCH_PERCENT = 1.6

_ELEMENTS = tuple(
    phrase("matrix element {name}", name=name) for name in ("m11", "m12", "m21", "m22")
)


class Distortion(NamedTuple):
    """All distortion figures of one linear map from the hand to the glass.

    The map is from mm under the hand, seen frame, to mm on the glass.

    ========================= ================================================================
    ``scale_x, scale_y``      mm on the glass for 1 mm along x, y under the hand
    ``longest, shortest``     semi-axes a ≥ b of the ellipse that a circle of radius 1 mm
                              becomes, mm
    ``stretch``               a / b
    ``oval_percent``          (scale_x / scale_y - 1) · 100; positive: wider than tall
    ``angle_error_deg``       2·asin((a - b) / (a + b)), the largest error of any angle drawn
    ``areal_scale``           a·b, mm² per mm²
    ``longer_axis_deg``       direction of a on the glass, from x towards y, in [0, 180);
                              None where a = b
    ========================= ================================================================

    Formulas: J. P. Snyder, Map Projections: A Working Manual, USGS Professional Paper 1395 (1987),
    equations 4-10 to 4-14, there for h, k and theta', here for the four elements of the matrix: ``a
    + b = |(m11 + m22, m21 - m12)|``, ``a - b = |(m11 - m22, m12 + m21)|`` for a map that does not
    mirror.

    >>> stretched = Distortion.of_linear(2.5, 0.0, 0.0, 2.0)
    >>> stretched.stretch, stretched.oval_percent
    (1.25, 25.0)
    """

    scale_x: float
    scale_y: float
    longest: float
    shortest: float
    stretch: float
    oval_percent: float
    angle_error_deg: float
    areal_scale: float
    longer_axis_deg: float | None

    @classmethod
    def of_linear(cls, m11: float, m12: float, m21: float, m22: float) -> Distortion:
        """The figures of ``x' = m11·x + m12·y``, ``y' = m21·x + m22·y``.

        A mirrored map has the same figures as its mirror image. Raises RequestError for a map that
        flattens the plane, whose stretch is without bound.
        """
        m11, m12, m21, m22 = (
            finite(value, name) for name, value in zip(_ELEMENTS, (m11, m12, m21, m22), strict=True)
        )
        determinant = m11 * m22 - m12 * m21
        scale_x, scale_y = math.hypot(m11, m21), math.hypot(m12, m22)
        straight, crossed = math.hypot(m11 + m22, m21 - m12), math.hypot(m11 - m22, m12 + m21)
        longest = (straight + crossed) / 2
        # (straight - crossed) / 2 would cancel digits; the determinant over the long axis keeps
        # them.
        shortest = abs(determinant) / longest if longest else 0.0
        if not shortest:
            raise RequestError(
                Problem(
                    "map",
                    phrase("must not flatten the plane"),
                    phrase("determinant {determinant}", determinant=f"{determinant!r}"),
                )
            )
        if m12 == 0 == m21:
            # Axis to axis, as nearly every map is: the axes are the scales themselves.
            longest, shortest = max(scale_x, scale_y), min(scale_x, scale_y)
        if agree(longest, shortest):
            return cls(longest, longest, longest, longest, 1.0, 0.0, 0.0, longest * longest, None)
        # Half the sum of these two is the long axis on the glass (SVD of a 2 by 2 matrix).
        axis = (math.atan2(m21 + m12, m11 - m22) + math.atan2(m21 - m12, m11 + m22)) / 2
        return cls(
            scale_x,
            scale_y,
            longest,
            shortest,
            longest / shortest,
            (scale_x / scale_y - 1) * 100,
            # 2·asin((a - b) / (a + b)) by its tangent: exact near 0 and near 180 degrees alike.
            math.degrees(2 * math.atan2(longest - shortest, 2 * math.sqrt(longest * shortest))),
            longest * shortest,
            # Twice, as a hair below 0 becomes 180 itself, not a hair below it, in the first.
            math.degrees(axis) % 180.0 % 180.0,
        )
