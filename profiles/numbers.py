"""Numbers that a person types: one alone, a range, a proportion.

Each function reads a text and raises RequestError, naming ``where`` the text was typed and saying
what to type instead.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, TypeVar

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.units import MOST_DIGITS, NUMBER, positive, with_decimal_point

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.choosing.recommended import Band

Number = TypeVar("Number", int, float)

# Both are compiled where they are used: start-up is a feature. As many people write a scale (2.5x,
# 2.5 fois) or an angle (10°), and minutes (1h30).
_TIMES = "times|-?fach|mal|fois|veces|倍|مرة|مرات"
_NUMBER_TYPED = rf"[x×]?\s*({NUMBER})\s*(?:[x×°]|deg(?:rees)?|{_TIMES})?"
_DURATION = rf"({NUMBER})\s*h(?:ours?)?\s*(?:(\d{{1,2}})\s*(?:m(?:in)?)?)?"


def plain_number(text: str, where: str) -> float:
    """A number with a decimal point or comma: ``2,5``, ``2.5x``, ``10°``."""
    text = with_decimal_point(text, where)
    match = re.fullmatch(_NUMBER_TYPED, text.strip().lower())
    if not match or len(match.group(1)) > MOST_DIGITS:
        raise RequestError(
            Problem(where, phrase("must be a number"), quoted(text), phrase("Type for example 2.5"))
        )
    return float(match.group(1))


def minutes(text: str, where: str) -> float:
    """Minutes: ``90``, ``90 min``, ``2h``, ``1h30``. Raises RequestError for anything else."""
    match = re.fullmatch(_DURATION, text.strip().lower())
    if match is None:
        return plain_number(text.strip().removesuffix("min").removesuffix("m"), where)
    return 60 * plain_number(match[1], where) + float(match[2] or 0)


def whole_number(text: str, where: str) -> int:
    """A whole number: ``12``."""
    value = plain_number(text, where)
    if not value.is_integer():
        raise RequestError(Problem(where, phrase("must be a whole number"), quoted(text)))
    return int(value)


def bounded(
    read: Callable[[str, str], Number], least: float, most: float, unit: str = ""
) -> Callable[[str, str], Number]:
    """A reader like ``read`` that accepts only numbers from ``least`` to ``most``."""

    def read_bounded(text: str, where: str) -> Number:
        value = read(text, where)
        if not least <= value <= most:
            raise RequestError(
                Problem(
                    where,
                    phrase(
                        "must be from {least} to {most}{unit}",
                        least=f"{least:g}",
                        most=f"{most:g}",
                        unit=unit,
                    ),
                    quoted(text),
                )
            )
        return value

    return read_bounded


def parse_band(text: str, where: str) -> Band:
    """A band from its two ends: ``2.2-3`` or ``2.2 to 3``."""
    match = re.fullmatch(r"\s*([0-9.,]+)\s*(?:[-\u2013]|to)\s*([0-9.,]+)\s*", text)
    if not match:
        raise RequestError(
            Problem(
                where, phrase("must be two numbers"), quoted(text), phrase("Type for example 2.2-3")
            )
        )
    # Most commands type none, and start-up is a feature.
    from mapper.choosing.recommended import Band

    return Band(plain_number(match.group(1), where), plain_number(match.group(2), where))


def parse_aspect(text: str, where: str) -> tuple[float, float]:
    """Width to height: ``16:9``, ``16x9`` or ``16/9``."""
    match = re.fullmatch(r"\s*([0-9.,]+)\s*[:x/]\s*([0-9.,]+)\s*", text)
    if not match:
        raise RequestError(
            Problem(
                where,
                phrase("must be width to height"),
                quoted(text),
                phrase("Type for example 16:9"),
            )
        )
    across, down = (positive(plain_number(part, where), where) for part in match.groups())
    return across, down
