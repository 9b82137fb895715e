"""Numbers and lengths: what counts as one, and reading one exactly from what a person types."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from mapper.phrases import any_of, phrase
from mapper.problems import Problem, RequestError, quoted

if TYPE_CHECKING:
    from fractions import Fraction

#: The international inch, exact by definition since 1959 (ISO 31-1 / NIST SP 811, appendix B).
MM_PER_INCH = 25.4

#: Two scales that agree to this are one scale. Each comes from a handful of products and quotients
#: of lengths, every one rounded to 1.1e-16, and no display or hand resolves a millionth of a
#: millionth.
SAME_SCALE = 1e-12

LENGTH_HINT = phrase("Type a number and its unit, for example 240mm, 24cm or 9.4in")

# A unit as ten-thousandths of a millimetre, so that every conversion is one exact integer product.
_TEN_THOUSANDTHS_OF_MM = {
    "mm": 10_000,
    "cm": 100_000,
    "m": 10_000_000,
    "in": 254_000,
    "inch": 254_000,
    '"': 254_000,
    "ft": 3_048_000,
}

#: More digits than any number of a desk has; a longer text is a slip, or an attack on int().
MOST_DIGITS = 30
# 0 to 9 and not \d, which takes the digits of every script and so what cannot be read back.
_DIGITS = rf"[0-9]{{1,{MOST_DIGITS}}}"
NUMBER = rf"[+-]?(?:{_DIGITS}(?:\.(?:{_DIGITS})?)?|\.{_DIGITS})"
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Zµ\"″']*)\s*")
_COMMA = re.compile(r"\d,\d")
_GROUP_OR_DECIMAL = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2},[0-9]{3}(?![0-9.,])")


def agree(one: float, other: float) -> bool:
    """Whether two lengths or scales above zero differ by nothing but rounding.

    They may differ by SAME_SCALE, relative.
    """
    return abs(one - other) <= SAME_SCALE * max(one, other)


def as_typed(value: float) -> Fraction:
    """``value`` as an exact fraction of the shortest decimal that stands for it.

    0.1 is one tenth and not 0.1000000000000000055.
    """
    from fractions import Fraction

    return Fraction(repr(float(value)))


def finite(value: object, where: str) -> float:
    """``value`` as a float; refuses booleans, text, NaN and infinity.

    Numbers of numpy, Decimal and Fraction are numbers. Raises RequestError naming ``where``.
    """
    if isinstance(value, bool) or not (isinstance(value, (int, float)) or _is_real(value)):
        raise RequestError(Problem(where, phrase("must be a number"), quoted(value)))
    try:
        number = float(value)  # type: ignore[arg-type] # what is real has a float
    except OverflowError:
        number = math.inf
    except ValueError:  # Decimal's signalling NaN
        number = math.nan
    if not math.isfinite(number):
        raise RequestError(Problem(where, phrase("must be a finite number"), quoted(value)))
    return number


def _is_real(value: object) -> bool:
    """Whether ``value`` is a real number of another kind than int and float."""
    # Nobody types one: only programs pay for these imports.
    from decimal import Decimal
    from numbers import Real

    return isinstance(value, (Real, Decimal))


def positive(value: object, where: str) -> float:
    """``value`` as a float greater than zero. Raises RequestError naming ``where``."""
    number = finite(value, where)
    if number <= 0:
        raise RequestError(Problem(where, phrase("must be greater than 0"), quoted(value)))
    return number


def readable(text: object, where: str) -> str:
    """``text``, which must say something and be fit to be written to any file.

    A shell hands on bytes that are no UTF-8 as lone surrogates, which no file would take. Raises
    RequestError naming ``where``.
    """
    if not isinstance(text, str):
        raise RequestError(Problem(where, phrase("must be text"), quoted(text)))
    if not text.strip():
        raise RequestError(Problem(where, phrase("must not be empty")))
    try:
        text.encode()
    except UnicodeEncodeError:
        raise RequestError(Problem(where, phrase("must be text in UTF-8"), ascii(text))) from None
    return text


def narrowed(text: str) -> str:
    r"""``text`` with digits, signs and units as ASCII has them, where they are wide or Arabic.

    >>> narrowed("\uff17\uff10\uff0e\uff15 cm"), narrowed("\u0667\u0660\u066b\u0665 cm")
    ('70.5 cm', '70.5 cm')
    """
    return text if text.isascii() else "".join(map(_narrow, text))


def _narrow(letter: str) -> str:
    if letter.isdecimal():
        return str(int(letter))
    if "\uff01" <= letter <= "\uff5e":
        # Full-width forms stand in the order of ASCII.
        return chr(ord(letter) - 0xFF01 + ord("!"))
    return {"\u3000": " ", "\u066b": ".", "\u339c": "mm", "\u339d": "cm"}.get(letter, letter)


def decimal_comma(text: str, where: str) -> Problem | None:
    """The problem with a number written with a decimal comma, or None without such a number."""
    if not _COMMA.search(text):
        return None
    return Problem(
        where,
        phrase("a decimal point is needed, not a comma"),
        quoted(text),
        phrase("Type {number}", number=re.sub(_COMMA, _comma_to_point, text)),
    )


def with_decimal_point(text: str, where: str) -> str:
    """``text`` with a decimal point where its one number has a decimal comma.

    Digits may be full-width or of another script. Raises RequestError before exactly three digits,
    where the comma could group thousands instead.
    """
    text = narrowed(text)
    if _GROUP_OR_DECIMAL.search(text):
        must = phrase("a comma before three digits could be a decimal comma or group thousands")
        instead = phrase(
            "Type {number}, or leave the comma out",
            number=_COMMA.sub(_comma_to_point, text).strip(),
        )
        raise RequestError(Problem(where, must, quoted(text), instead))
    return _COMMA.sub(_comma_to_point, text) if text.count(",") == 1 else text


def _comma_to_point(match: re.Match[str]) -> str:
    return match.group().replace(",", ".")


def exact_decimal(digits: str, factor: int = 1, divisor: int = 1) -> float:
    """The decimal number ``digits`` times ``factor / divisor``, rounded once to the nearest float.

    ``"9.4"`` times 254/10 is 238.76 and not 238.75999999999998: the product is taken in integers,
    and the true division of two integers is correctly rounded.
    """
    whole, _, places = digits.partition(".")
    quotient: float = int(whole + places) * factor / (divisor * 10 ** len(places))
    return quotient


def mm_of_inches(inches: float) -> float:
    """Inches as mm, rounded once.

    Inches count to a millionth. 24 in are 609.6 mm, where 24 * 25.4 is 609.5999999999999.

    >>> mm_of_inches(24)
    609.6
    """
    return exact_decimal(f"{inches:.6f}", 254, 10)


def usual_units(
    number: float, usual_mm: tuple[float, float], units: tuple[str, ...]
) -> tuple[str, ...]:
    """Those of ``units`` in which ``number`` is a usual length.

    ``usual_mm`` is the shortest and the longest usual length. mm and inches where there is no such
    unit.
    """
    low, high = usual_mm
    return tuple(
        u for u in units if low <= number * _TEN_THOUSANDTHS_OF_MM[u] / 10_000 <= high
    ) or ("mm", "in")


def parse_length_mm(
    text: str,
    where: str,
    *,
    unit: str | None = None,
    usual_mm: tuple[float, float] = (math.inf, 0.0),
) -> float:
    """The length that a person typed, in mm.

    ``240mm``, ``24 cm`` and ``9.4in`` are lengths; ``unit`` is used where none is typed, and a
    decimal comma is read as one. Where the unit is missing, the error names those that make the
    number a length from ``usual_mm[0]`` to ``usual_mm[1]``. Zero and negative lengths are for the
    caller to judge. Raises RequestError, naming ``where``, without a number or a unit, and for a
    comma that could group thousands.

    >>> parse_length_mm("9.4in", "width")
    238.76
    >>> parse_length_mm("24", "width", unit="cm")
    240.0
    """
    match = _LENGTH.fullmatch(with_decimal_point(text, where))
    if not match or len(match.group(1)) > MOST_DIGITS:
        raise RequestError(Problem(where, phrase("must be a length"), quoted(text), LENGTH_HINT))
    digits, name = match.group(1), match.group(2).lower() or unit
    if not name:
        units = usual_units(float(digits), usual_mm, ("mm", "cm", "m", "in", "ft"))
        example = any_of([f"{digits.strip()}{each}" for each in units])
        raise RequestError(
            Problem(
                where,
                phrase("a length needs its unit"),
                quoted(text),
                phrase("Type {example}", example=example),
            )
        )
    factor = _TEN_THOUSANDTHS_OF_MM.get("in" if name in {"″", "''"} else name)
    if factor is None:
        raise RequestError(
            Problem(where, phrase("the unit must be mm, cm or in"), quoted(name), LENGTH_HINT)
        )
    return exact_decimal(digits, factor, 10_000)
