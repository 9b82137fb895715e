"""Objects of known size that people trace: how one is typed, and where on the tablet it lay.

========== ===========================================================================
by name    ``card``, ``disc``, ``a4``, ``a5``, ``a6``, ``letter``
by size    ``coin 23.25mm``, ``circle 60mm``, ``square 50mm``, ``rectangle 80x50mm``,
           ``rectangle 80x50mm radius 3mm``
with place ``card at 60,45mm``: its centre, from the top left of the active area as you
           see it
with turn  ``card across``: its long side along the screen's width; ``card upright``: its
           long side towards you; without it, either is possible
========== ===========================================================================
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, found_at, nearest, quoted
from mapper.units import NUMBER, decimal_comma, parse_length_mm

if TYPE_CHECKING:
    from mapper.tracing.outline import KnownOutline

#: Width, height and corner radius in mm. Card: ISO/IEC 7810 ID-1, and
#: the radius of ISO/IEC 7813 (7810 allows 2.88 to 3.48 mm). Disc: IEC 60908 and ECMA-130.
#: a4 to a6: ISO 216. letter: ANSI/ASME Y14.1 size A.
NAMED = {
    "card": (85.60, 53.98, 3.18),
    "disc": (120.0, 120.0, 60.0),
    "a4": (297.0, 210.0, 0.0),
    "a5": (210.0, 148.0, 0.0),
    "a6": (148.0, 105.0, 0.0),
    "letter": (279.4, 215.9, 0.0),
}
_SIZED = ("coin", "circle", "square", "rectangle")
THING_HINT = phrase(
    'Type card, disc, a4, a5, a6, letter, "coin 23.25mm", "circle 60mm", "square '
    '50mm" or "rectangle 80x50mm"'
)
SMALLEST_MM, LARGEST_MM = 5.0, 2000.0

_LENGTH = rf"{NUMBER}\s*(?:mm|cm|in|inch)"
# A thing with its place: "card at 60,45mm".
_PLACE = re.compile(
    rf"""
    (.*?) \s+at\s+
    ({NUMBER})\s*(mm|cm|in|inch)? \s*,\s*
    ({NUMBER})\s*(mm|cm|in|inch) \s*
    """,
    re.IGNORECASE | re.VERBOSE,
)
# How its long side lies, said behind it: "card upright".
_LAY = re.compile(r"\s(across|upright)$", re.IGNORECASE)
# The sides of a rectangle, and the radius of its corners: "80x50mm radius 3mm".
_SIDES = re.compile(
    rf"""
    ({NUMBER})\s*(mm|cm|in|inch)? \s*[xX\u00d7*]\s*
    ({NUMBER})\s*(mm|cm|in|inch)
    (?:\s+radius\s+({_LENGTH}))?
    """,
    re.IGNORECASE | re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class KnownThing:
    """A thing of known size, and how it was laid.

    Its sides and the radius of its corners are in mm, the long side first; a circle is a thing
    whose radius is half of both. ``place_seen_mm`` is where its centre lay, None where that was not
    typed; ``lay`` is "across" where its long side was said to lie along the screen's width,
    "upright" where it pointed towards the hand, and empty where nobody said.
    """

    name: str
    width_mm: float
    height_mm: float
    radius_mm: float
    place_seen_mm: tuple[float, float] | None = None
    lay: str = ""

    @property
    def is_even_sided(self) -> bool:
        """Whether it is as wide as high, so that a quarter turn changes nothing."""
        return self.width_mm == self.height_mm

    def typed(self, *, lay: str = "", sides_mm: tuple[float, float] | None = None) -> str:
        """The option that says this thing, lying so, or with other sides."""
        words, _, place = self.name.partition(" at ")
        words = _LAY.sub("", words)
        if sides_mm is not None and self.is_even_sided:
            words = f"{'circle' if self.radius_mm else 'square'} {sum(sides_mm) / 2:.1f}mm"
        elif sides_mm is not None:
            words = "rectangle {:.1f}x{:.1f}mm".format(*sides_mm)
            words += f" radius {self.radius_mm:g}mm" if self.radius_mm else ""
        lay = lay or self.lay
        return f'--of "{words}{lay and f" {lay}"}{place and f" at {place}"}"'

    def outline(self, nib_mm: float = 0.0) -> KnownOutline:
        """The outline of a pen that goes along it, whose middle stays half of ``nib_mm`` off."""
        # Here and not above: what is typed is checked before numpy is paid for.
        from mapper.tracing.outline import KnownOutline

        return KnownOutline(self.width_mm, self.height_mm, self.radius_mm).grown(nib_mm / 2)


def parse_thing(text: str, where: str) -> KnownThing:
    """The thing that a person typed.

    Raises RequestError naming ``where`` and saying what to type instead.
    """
    rest, place = text.strip(), None
    match = _PLACE.fullmatch(rest)
    if match:
        rest, x, x_unit, y, y_unit = match.groups()
        place = parse_length_mm(x + (x_unit or y_unit), where), parse_length_mm(y + y_unit, where)
    elif re.search(r"\sat\b", rest):
        instead = phrase("Type for example card at 60,45mm")
        raise RequestError(
            Problem(where, phrase("a place must be two lengths after at"), quoted(text), instead)
        )
    words = rest.split(maxsplit=1)
    lay = _LAY.search(rest)
    if lay:
        words = rest[: lay.start()].split(maxsplit=1)
    name = words[0].lower() if words else ""
    size = words[1].strip() if len(words) > 1 else ""
    with found_at(where):
        width, height, radius = _sizes(name, size, text, where)
    for length in (width, height):
        if not SMALLEST_MM <= length <= LARGEST_MM:
            must = phrase(
                "must be from {smallest} to {largest} mm large",
                smallest=f"{SMALLEST_MM:g}",
                largest=f"{LARGEST_MM:g}",
            )
            raise RequestError(Problem(where, must, quoted(text)))
    if not 0 <= radius <= min(width, height) / 2:
        raise RequestError(
            Problem(where, phrase("the radius must be at most half the shorter side"), quoted(text))
        )
    lies = lay.group(1).lower() if lay else ""
    return KnownThing(text.strip(), max(width, height), min(width, height), radius, place, lies)


def _sizes(name: str, size: str, text: str, where: str) -> tuple[float, float, float]:
    """Width, height and radius in mm of the thing ``name`` with the ``size`` typed after it.

    Raises RequestError naming ``where``, with the whole ``text``.
    """
    if name in NAMED and not size:
        return NAMED[name]
    if name in NAMED:
        raise RequestError(
            Problem(
                where, phrase("{name} has a size of its own", name=name), quoted(text), THING_HINT
            )
        )
    if name in {"coin", "circle", "square"}:
        if not size:
            raise RequestError(
                Problem(
                    where,
                    phrase("{name} needs its size", name=name),
                    quoted(text),
                    phrase('Type for example "{name} 40mm"', name=name),
                )
            )
        length = parse_length_mm(size, where)
        return length, length, 0.0 if name == "square" else length / 2
    if name == "rectangle":
        match = _SIDES.fullmatch(size)
        if not match:
            problem = decimal_comma(size, where)
            instead = phrase(
                'Type for example "rectangle 80x50mm" or "rectangle 80x50mm radius 3mm"'
            )
            raise RequestError(
                problem
                or Problem(where, phrase("rectangle needs its two sides"), quoted(text), instead)
            )
        width, width_unit, height, unit, radius = match.groups()
        return (
            parse_length_mm(width + (width_unit or unit), where),
            parse_length_mm(height + unit, where),
            parse_length_mm(radius, where) if radius else 0.0,
        )
    near = nearest(name, (*NAMED, *_SIZED))
    instead = phrase("Did you mean {near}?", near=near) if near else THING_HINT
    raise RequestError(
        Problem(where, phrase("must be an object of known size"), quoted(text), instead)
    )
