"""Published recommendations and rules of the trade, each with its name and where it comes from.

They are bands to be shown beside a value, not verdicts: people, tasks and eyes differ, and local rules come first.
"""

from __future__ import annotations

from dataclasses import dataclass

from mapper.problems import Problem, RequestError, nearest, quoted
from mapper.units import positive

#: Where a value comes from: read in the source, written down from memory of it, or only what people of the trade say.
PUBLISHED, FROM_MEMORY, PRACTICE = "published", "from memory", "common practice, no source"
#: Or what the user says is so.
OWN = "your own"

#: Printed with everything that speaks of eyes, neck or hands.
CAUTION = (
    "Rules of thumb for healthy adults, not medical advice. Take breaks and look into the distance often; change your "
    "posture; if anything hurts, tingles or blurs, stop and see a professional. Your local rules and whoever is "
    "responsible for your workplace come first."
)


@dataclass(frozen=True, slots=True)
class Band:
    """From ``low`` to ``high``, both included; both above zero. ``source`` says who says so."""

    low: float
    high: float
    source: str = OWN

    def __post_init__(self) -> None:
        for name in ("low", "high"):
            object.__setattr__(self, name, positive(getattr(self, name), "band"))
        if self.low > self.high:
            raise RequestError(Problem("band", "must go from low to high", quoted(f"{self.low:g}-{self.high:g}")))

    def side(self, value: float) -> str:
        """Where ``value`` lies: ``below``, ``inside`` or ``above``."""
        return "below" if value < self.low else "above" if value > self.high else "inside"


#: Comfortable scale factors by use. All are rules of thumb of the trade: common practice, no source.
BAND_USES = {
    "illustration": Band(2.0, 3.5, PRACTICE),
    "handwriting": Band(1.0, 2.0, PRACTICE),
    "lettering": Band(1.5, 2.5, PRACTICE),
    "retouching": Band(1.5, 3.0, PRACTICE),
    "sculpting": Band(2.5, 4.0, PRACTICE),
    "teaching": Band(2.0, 4.0, PRACTICE),
}


def band_for(use: str) -> Band:
    """The comfortable band of a use. Raises RequestError naming the nearest use."""
    if use in BAND_USES:
        return BAND_USES[use]
    near = nearest(use, BAND_USES)
    must = f"must be one of {', '.join(BAND_USES)}"
    raise RequestError(Problem("use", must, quoted(use), f"Did you mean {near}?" if near else ""))


@dataclass(frozen=True, slots=True)
class Recommendation:
    """One recommendation: ``low`` and ``high`` in ``unit``, None where it is open on that side.

    ``short`` is the source in a few words. ``standing`` is one of PUBLISHED, FROM_MEMORY, PRACTICE and
    OWN.
    """

    about: str
    unit: str
    low: float | None
    high: float | None
    short: str
    source: str
    standing: str

    def side(self, value: float) -> str:
        """Where ``value`` lies: ``below``, ``inside`` or ``above``; a billionth of slack for values that were solved."""
        slack = 1e-9 * max(1.0, abs(value))
        if self.low is not None and value < self.low - slack:
            return "below"
        return "above" if self.high is not None and value > self.high + slack else "inside"

    @property
    def cited(self) -> str:
        """Source and standing in a few words."""
        return self.short if self.standing in {PUBLISHED, OWN} else f"{self.short} ({self.standing})"


_OSHA = "OSHA computer workstation guidance"

#: By key; the order is that of a report.
RECOMMENDED = {
    "distance": Recommendation(
        "eyes to the screen", "mm", 508.0, 1016.0, "OSHA", f"{_OSHA}: 20 to 40 inches", FROM_MEMORY
    ),
    "top": Recommendation(
        "top edge under eye level",
        "degrees",
        0.0,
        None,
        "OSHA",
        f"{_OSHA}: at or slightly below eye level",
        FROM_MEMORY,
    ),
    "centre": Recommendation(
        "centre under eye level",
        "degrees",
        15.0,
        20.0,
        "OSHA",
        f"{_OSHA}: 15 to 20 degrees below horizontal",
        FROM_MEMORY,
    ),
    "gaze": Recommendation(
        "lowest line of sight",
        "degrees",
        None,
        60.0,
        "ISO 9241-3",
        "ISO 9241-3: 0 to 60 degrees below horizontal",
        FROM_MEMORY,
    ),
    "side": Recommendation(
        "farthest to one side",
        "degrees",
        None,
        35.0,
        "OSHA",
        f"{_OSHA}: displays within 35 degrees to the side",
        FROM_MEMORY,
    ),
    "eyes": Recommendation(
        "edges, for the eyes alone",
        "degrees",
        None,
        15.0,
        "Bahill and others 1975",
        "Bahill, Adler and Stark 1975: most natural eye movements are 15 degrees or less",
        FROM_MEMORY,
    ),
    "width": Recommendation(
        "width of the picture seen",
        "degrees",
        32.0,
        57.0,
        "24 in at 36 in, 50 in at 40 in",
        "24 inch at 36 inches fills 32 degrees, 50 inch at 40 inches fills 57",
        PRACTICE,
    ),
    "sharpness": Recommendation(
        "one pixel seen",
        "arc-minutes",
        None,
        1.0,
        "ITU-R BT.2022",
        "ITU-R BT.1845 and BT.2022: design distance at one arc-minute per pixel",
        FROM_MEMORY,
    ),
    "text": Recommendation(
        "height of a letter seen",
        "arc-minutes",
        20.0,
        22.0,
        "ISO 9241-3",
        "ISO 9241-3: 20 to 22 arc-minutes preferred",
        FROM_MEMORY,
    ),
    "stretch": Recommendation(
        "stretch of shapes",
        "times",
        None,
        1.015,
        "Regan and Hamstra 1992",
        "Regan and Hamstra 1992: noticed from 1.5 to 3 percent",
        FROM_MEMORY,
    ),
    "counts": Recommendation(
        "counts for one pixel",
        "counts",
        1.0,
        None,
        "arithmetic",
        "arithmetic: below 1 some pixels cannot be reached",
        PUBLISHED,
    ),
}

#: W3C CSS Values and Units: the reference pixel is 1/96 inch seen from 28 inches, about 0.0213 degrees.
REFERENCE_PIXEL_MM, REFERENCE_DISTANCE_MM = 25.4 / 96, 28 * 25.4
