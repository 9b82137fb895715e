"""Counts what reading an SVG will cost before it is read: a small file can ask for any work.

One quick pass with expat counts elements, depth, characters, numbers of paths and style rules, and
multiplies uses out, since a ``use`` of a group of uses draws everything below it again. The limits
together cost some 8 s and 400 MB.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from xml.parsers import expat

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError

MOST_DRAWN = 20_000
MOST_DEPTH = 200
MOST_NUMBERS = 600_000
#: In attributes, but for what they point at (a picture may stand there), and in style sheets.
MOST_CHARACTERS = 8_000_000
MOST_RULES = 5_000
#: Style rules times elements: each rule is held against each element.
MOST_MATCHES = 20_000_000

_NUMBER = re.compile(r"[0-9]+")
# An arc and what follows its letter; e is part of a number.
_ARCS = re.compile(r"[aA][^b-df-zB-DF-Z]*")
#: An arc of seven numbers becomes up to ten curves of six, a round element up to twelve of them.
_NUMBERS_FOR_ARC_NUMBER, _NUMBERS_FOR_ROUND = 8, 80
_ROUND = frozenset({"circle", "ellipse", "rect"})
_POINTS_ELSEWHERE = frozenset({"href", "xlink:href"})
_INSTEAD = phrase("Save a simpler drawing, or export it as a picture")


@dataclass(slots=True)
class _Element:
    """One element of an SVG, with the counts of all in it.

    ``size`` is the number of elements, itself included and uses aside; ``numbers`` are those in
    their paths; ``uses`` are the ids that are used in it.
    """

    size: int = 1
    numbers: int = 0
    uses: list[str] = field(default_factory=list)


#: What is not drawn as it is meant, by the element or the property that asks for it.
_ELEMENTS = {
    "text": phrase("words are left out"),
    "image": phrase("embedded pictures are left out"),
}
_ELEMENTS |= dict.fromkeys(
    ("linearGradient", "radialGradient", "pattern"), phrase("gradients and patterns are grey")
)
_ELEMENTS |= dict.fromkeys(
    ("clipPath", "mask", "filter"), phrase("clips, masks and filters have no effect")
)
_DASHES = phrase("dashed lines are whole")


def refuse_costly(content: bytes, where: str) -> tuple[str, ...]:
    """What of an SVG will not be drawn as it is meant, in phrases.

    Raises RequestError naming ``where`` and the limit for an SVG beyond one. Other faults are left
    to its reader.
    """
    look = _Counter(where)
    parser = expat.ParserCreate()
    parser.StartElementHandler = look.start
    parser.EndElementHandler = look.end
    parser.CharacterDataHandler = look.text
    try:
        parser.Parse(content, True)
    except RequestError:
        raise
    except (expat.ExpatError, ValueError, LookupError):
        # What is no XML, or in an unknown encoding, is for the reader to refuse.
        return ()
    look.finish()
    return tuple(look.simplified)


class _Counter:
    """The counts of an SVG, as expat walks over its elements."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.open: list[_Element] = []
        self.named: dict[str, _Element] = {}
        self.total = self.numbers = self.rules = self.characters = 0
        self.simplified: dict[str, None] = {}
        self.in_style = False
        self.whole = _Element(0)
        self.counted: dict[int, tuple[int, int]] = {}

    def refuse(self, must: str, came: str) -> None:
        raise RequestError(Problem(self.where, must, came, _INSTEAD))

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """Count an element that opens; called by expat."""
        element = _Element()
        self.open.append(element)
        self.total += 1
        if len(self.open) > MOST_DEPTH:
            self.refuse(
                phrase("must nest at most {most_depth} groups", most_depth=MOST_DEPTH), "more"
            )
        if self.total > MOST_DRAWN:
            self.refuse(
                phrase("must have at most {most_drawn} elements", most_drawn=MOST_DRAWN), "more"
            )
        plain = name.rpartition(":")[2]
        self.spend(
            sum(len(value) for key, value in attributes.items() if key not in _POINTS_ELSEWHERE)
        )
        element.numbers = _NUMBERS_FOR_ROUND if plain in _ROUND else 0
        for key in ("d", "points"):
            if key in attributes:
                arcs = "".join(_ARCS.findall(attributes[key])) if key == "d" else ""
                element.numbers += _count(attributes[key]) + (_NUMBERS_FOR_ARC_NUMBER - 1) * _count(
                    arcs
                )
        self.numbers += element.numbers
        self.refuse_numbers(self.numbers)
        if plain == "use":
            target = attributes.get("href") or attributes.get("xlink:href") or ""
            element.uses.append(target.removeprefix("#"))
        self.in_style = plain == "style"
        if plain in _ELEMENTS:
            self.simplified[_ELEMENTS[plain]] = None
        if attributes.get("stroke-dasharray", "none") != "none" or "dasharray" in attributes.get(
            "style", ""
        ):
            self.simplified[_DASHES] = None
        if "id" in attributes:
            self.named.setdefault(attributes["id"], element)

    def refuse_numbers(self, count: int) -> None:
        if count > MOST_NUMBERS:
            must = phrase(
                "must have at most {most_numbers} numbers in its paths, those of arcs counted "
                "{numbers_for_arc_number} times",
                most_numbers=MOST_NUMBERS,
                numbers_for_arc_number=_NUMBERS_FOR_ARC_NUMBER,
            )
            self.refuse(must, "more")

    def spend(self, characters: int) -> None:
        """Count characters of paths and styles."""
        self.characters += characters
        if self.characters > MOST_CHARACTERS:
            self.refuse(
                phrase(
                    "must have at most {most_characters} characters in its paths and styles",
                    most_characters=MOST_CHARACTERS,
                ),
                "more",
            )

    def text(self, text: str) -> None:
        """Count what a style sheet holds; called by expat."""
        if self.in_style:
            self.spend(len(text))
            self.rules += text.count("{")
            if "dasharray" in text:
                self.simplified[_DASHES] = None
            if self.rules > MOST_RULES or self.rules * self.total > MOST_MATCHES:
                self.refuse(
                    phrase("must have at most {most_rules} style rules", most_rules=MOST_RULES),
                    "more",
                )

    def end(self, name: str) -> None:
        """Add the counts of an element that closes to the one around it; called by expat."""
        del name
        self.in_style = False
        closed = self.open.pop()
        above = self.open[-1] if self.open else self.whole
        above.size += closed.size
        above.numbers += closed.numbers
        above.uses += closed.uses

    def finish(self) -> None:
        """Check the limits that need the whole SVG."""
        if self.rules * self.total > MOST_MATCHES:
            self.refuse(
                phrase(
                    "must have at most {most_matches} pairs of a style rule and an element",
                    most_matches=MOST_MATCHES,
                ),
                "more",
            )
        self.count_drawn(self.whole, ())

    def count_drawn(self, element: _Element, above: tuple[int, ...]) -> tuple[int, int]:
        """How many elements and numbers are drawn for this one, its uses multiplied out.

        ``above`` are the ids of the elements that are being drawn.
        """
        if id(element) in above:
            self.refuse(
                phrase("must not use an element within itself"),
                phrase("a use that draws itself endlessly"),
            )
        if len(above) > MOST_DEPTH:
            self.refuse(
                phrase("must nest at most {most_depth} uses", most_depth=MOST_DEPTH), "more"
            )
        if id(element) not in self.counted:
            count, numbers = element.size, element.numbers
            for target in element.uses:
                if target in self.named:
                    more, further = self.count_drawn(self.named[target], (*above, id(element)))
                    count, numbers = count + more, numbers + further
                if count > MOST_DRAWN:
                    self.refuse(
                        phrase(
                            "must draw at most {most_drawn} elements, uses counted each time",
                            most_drawn=MOST_DRAWN,
                        ),
                        "more",
                    )
                self.refuse_numbers(numbers)
            self.counted[id(element)] = count, numbers
        return self.counted[id(element)]


def _count(text: str) -> int:
    return len(_NUMBER.findall(text))
