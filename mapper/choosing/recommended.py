"""Published recommendations and rules of the trade, each with its name and where it comes from.

They are bands to be shown beside a value, not verdicts: people, tasks and eyes differ, and local
rules come first.
"""

from __future__ import annotations

from dataclasses import dataclass

from mapper.distortion import NOTICED_STRETCH_PERCENT
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, one_of, quoted
from mapper.units import positive

#: Where a value comes from: the source was opened; others who quote it were; neither was; or it is
#: only what people of the trade say.
PUBLISHED, QUOTED = phrase("published"), phrase("as quoted by others")
UNCHECKED = phrase("not checked against the standard")
PRACTICE = phrase("common practice, no source")
#: Or what the user says is so.
OWN = phrase("your own")

#: Printed with everything that speaks of eyes, neck or hands.
CAUTION = phrase(
    "Rules of thumb for healthy adults, not medical advice. Take breaks and look into the distance "
    "often; change your posture; if anything hurts, tingles or blurs, stop and see a doctor or "
    "physiotherapist. The rules of your workplace and your country come first."
)


def _side(value: float, low: float | None, high: float | None) -> str:
    """Whether ``value`` lies ``below``, ``inside`` or ``above`` the ends that there are.

    Values that were solved have a billionth of slack.
    """
    slack = 1e-9 * max(1.0, abs(value))
    if low is not None and value < low - slack:
        return "below"
    return "above" if high is not None and value > high + slack else "inside"


@dataclass(frozen=True, slots=True)
class Band:
    """From ``low`` to ``high``, both included and above zero; ``source`` says who says so.

    >>> Band(2.0, 3.5).side(4.0)
    'above'
    """

    low: float
    high: float
    source: str = OWN

    def __post_init__(self) -> None:
        for name in ("low", "high"):
            object.__setattr__(self, name, positive(getattr(self, name), phrase("band")))
        if self.low > self.high:
            raise RequestError(
                Problem(
                    phrase("band"),
                    phrase("must go from low to high"),
                    quoted(f"{self.low:g}-{self.high:g}"),
                )
            )

    def side(self, value: float) -> str:
        """Where ``value`` lies: ``below``, ``inside`` or ``above``."""
        return _side(value, self.low, self.high)


#: Comfortable scale factors by use: rules of thumb, common practice, no source.
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
    return BAND_USES[one_of(use, tuple(BAND_USES), phrase("use"))]


@dataclass(frozen=True, slots=True)
class Recommendation:
    """What is recommended about one figure: from ``low`` to ``high``, in ``unit``.

    Either end is None where it is open. ``short`` is the source in a few words, empty where there
    is none. ``standing`` is one of PUBLISHED, QUOTED, UNCHECKED, PRACTICE and OWN. Where it is no
    limit of ``comfort`` it is a fact to know, and no change is advised for it. ``also`` is what
    another source says. What lies outside is mended by a change of the seat where it is
    ``of_seat``, else of the map. The higher its ``weight``, the sooner a change comes: what strains
    the body, then what spoils the drawing, then looks (a decision of this project).
    """

    about: str
    unit: str
    low: float | None
    high: float | None
    short: str
    source: str
    standing: str
    comfort: bool = True
    also: str = ""
    of_seat: bool = False
    weight: float = 1.0

    def side(self, value: float) -> str:
        """Where ``value`` lies: ``below``, ``inside`` or ``above``."""
        return _side(value, self.low, self.high)

    @property
    def cited(self) -> str:
        """Source and standing in a few words, and what another source says."""
        cited = self.short
        if self.standing not in {PUBLISHED, OWN}:
            cited = self.standing
            if self.short:
                cited = phrase("{source}, {standing}", source=self.short, standing=self.standing)
        return phrase("{source}; {also}", source=cited, also=self.also) if self.also else cited


#: By key; the order is that of a report.
RECOMMENDED = {
    "distance": Recommendation(
        phrase("eyes to the display"),
        "mm",
        508.0,
        1016.0,
        phrase("OSHA"),
        phrase("OSHA computer workstation guidance: 20 to 40 inches"),
        QUOTED,
        of_seat=True,
        weight=2.0,
    ),
    "top": Recommendation(
        phrase("top edge below eye level"),
        "degrees",
        0.0,
        None,
        phrase("OSHA"),
        phrase("OSHA computer workstation guidance: at or slightly below eye level"),
        UNCHECKED,
        of_seat=True,
        weight=2.0,
    ),
    "centre": Recommendation(
        phrase("centre below eye level"),
        "degrees",
        15.0,
        20.0,
        phrase("OSHA"),
        phrase("OSHA computer workstation guidance: 15 to 20 degrees below horizontal"),
        QUOTED,
        also=phrase("another source: down to 35 (not checked)"),
        of_seat=True,
        weight=2.0,
    ),
    "gaze": Recommendation(
        phrase("lowest line of sight"),
        "degrees",
        None,
        60.0,
        phrase("ISO 9241-3"),
        phrase("ISO 9241-3: 0 to 60 degrees below horizontal, as quoted by Ankrum 2001"),
        QUOTED,
        of_seat=True,
        weight=2.0,
    ),
    # NUREG-0700, 11.3.1.2-2, measures the same 35 degrees to the display's centre.
    "side": Recommendation(
        phrase("farthest display to one side"),
        "degrees",
        None,
        35.0,
        phrase("OSHA"),
        phrase(
            "OSHA computer workstation guidance: the centre of a display within 35 degrees to the "
            "side"
        ),
        QUOTED,
        of_seat=True,
        weight=2.0,
    ),
    "eyes": Recommendation(
        phrase("side edges, seen without turning the head"),
        "degrees",
        None,
        15.0,
        "",
        phrase("beyond about 15 degrees the head turns with the eyes; people differ"),
        PRACTICE,
        comfort=False,
    ),
    "width": Recommendation(
        phrase("how wide the display looks"),
        "degrees",
        32.0,
        57.0,
        "",
        phrase("32 to 57 degrees across"),
        PRACTICE,
        of_seat=True,
        weight=0.25,
    ),
    "sharpness": Recommendation(
        phrase("how large one pixel looks"),
        "arc-minutes",
        None,
        1.0,
        phrase("ITU-R BT.500"),
        phrase("ITU-R BT.500: one arc-minute per pixel"),
        UNCHECKED,
        comfort=False,
    ),
    "text": Recommendation(
        phrase("how high a letter looks"),
        "arc-minutes",
        20.0,
        22.0,
        phrase("ISO 9241-3"),
        phrase("ISO 9241-3: 20 to 22 arc-minutes preferred, 16 at least"),
        QUOTED,
    ),
    "stretch": Recommendation(
        phrase("stretch of shapes"),
        "times",
        None,
        1 + NOTICED_STRETCH_PERCENT / 100,
        phrase("Regan and Hamstra 1992"),
        phrase(
            "Regan and Hamstra 1992, abstract (doi 10.1016/0042-6989(92)90046-l): {percent} "
            "percent can be seen",
            percent=NOTICED_STRETCH_PERCENT,
        ),
        PUBLISHED,
    ),
    "counts": Recommendation(
        phrase("counts per pixel"),
        "counts",
        1.0,
        None,
        phrase("arithmetic"),
        phrase("arithmetic: below 1 some pixels cannot be reached"),
        PUBLISHED,
    ),
}

#: W3C CSS Values and Units, as quoted: the reference pixel is 1/96 inch seen from 28 inches, about
#: 0.0213 degrees.
REFERENCE_PIXEL_MM, REFERENCE_DISTANCE_MM = 25.4 / 96, 28 * 25.4
