"""Student's t in plain Python: how many standard errors hold a share of what chance does."""

from __future__ import annotations

import math
from functools import lru_cache


def chance_within(angle: float, freedom: int) -> float:
    """The chance that ``|t| <= sqrt(freedom) * tan(angle)``, for a whole number of freedom.

    The finite sums of Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 (odd) and
    26.7.4 (even), written from memory; the tests compare with scipy.
    """
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = freedom % 2 == 1
    total, term = 0.0, cosine if odd else 1.0
    for step in range(3 if odd else 2, freedom + 1, 2):
        total += term
        term *= cosine * cosine * (step - 1) / step
    return 2 / math.pi * (angle + sine * total) if odd else sine * total


@lru_cache(maxsize=1024)
def student_t(sure: float, freedom: int) -> float:
    """The t that chance keeps within ``-t`` to ``t`` with the probability ``sure``.

    ``freedom`` are the degrees of freedom; infinite without any.

    >>> round(student_t(0.95, 12), 3)
    2.179
    """
    if freedom < 1:
        return math.inf
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        if chance_within(middle, freedom) < sure:
            low = middle
        else:
            high = middle
    return math.sqrt(freedom) * math.tan(low)
