"""How large the active area is: touched crosses, while all of it reaches the whole desktop.

That is how a driver is set before anybody sets it. The sheet may lie anywhere and turned, since
only scales count: the width is the desktop's over the scale along the screen's x, the height that
along its y. Its interval is that of the fit (Student's t) and what paper shrinks by
(``PAPER_PERCENT``), which the proportions are free of.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem
from mapper.touching.fit import fit_touches
from mapper.touching.slips import set_right
from mapper.touching.student import student_t
from mapper.touching.verdict import PAPER_PERCENT, held_at_edges
from mapper.tracing.measurement import Measurement
from mapper.tracing.sizing import AreaSize, like_proportions

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Desktop
    from mapper.touching.fit import Touch
    from mapper.touching.slips import Slip

_SURE = 0.95


class TouchedArea(NamedTuple):
    """The size of the active area as touched crosses tell it, and what was wrong with touches.

    ``scatter_mm`` is one standard deviation of a touch.
    """

    size: AreaSize
    slips: tuple[Slip, ...]
    touches: int
    scatter_mm: float


def touched_area(touches: Sequence[Touch], desktop: Desktop) -> TouchedArea:
    """The active area, as the artist sees it, by crosses touched while it reaches the desktop.

    Raises AnswerIsNo where the touches give no map, or cannot say how sure it is.
    """
    target = desktop.rect_px
    kept, slips = set_right([held_at_edges(touch, desktop, target) for touch in touches])
    fit = fit_touches(kept)
    if fit is None or fit.freedom < 1:
        must = phrase("must be at least four crosses that do not lie on one line")
        came = phrase("{count} that can be used", count=len(kept))
        raise AnswerIsNo(Problem("touches", must, came, phrase("Touch nine, in three rows")))
    to_px, step = fit.to_px, student_t(_SURE, fit.freedom)
    across, down = math.hypot(to_px.a, to_px.b), math.hypot(to_px.d, to_px.e)
    variances = (
        fit.x_spread.slope_variance(to_px.a / across, to_px.b / across),
        fit.y_spread.slope_variance(to_px.d / down, to_px.e / down),
    )
    width, height = (
        _within(length / scale, step * fit.scatter_mm * math.sqrt(each) + PAPER_PERCENT / 100)
        for length, scale, each in (
            (target.width, across, variances[0]),
            (target.height, down, variances[1]),
        )
    )
    ratio = _within(width.value / height.value, step * fit.scatter_mm * math.sqrt(sum(variances)))
    alike = like_proportions(ratio, desktop.width_over_height)
    size = AreaSize(width, height, ratio, None, both_ways=True, like_target=alike)
    return TouchedArea(size, tuple(slips), len(kept), fit.scatter_mm)


def _within(value: float, share: float) -> Measurement:
    return Measurement.about(value, value * share)
