"""Where a person sits before the main display."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from mapper.phrases import Phrase, phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.units import finite, positive, readable

MOST_TILT_DEG = 90.0
#: The place of one who sits before the middle of all displays.
MIDDLE = "middle"


# Made once each: a search for what would help tries many seats.
@cache
def _field(name: str) -> Phrase:
    """How a problem names a field of a seat."""
    return phrase("seat {field}", field=name)


@dataclass(frozen=True, slots=True)
class Seat:
    """A person before the main display.

    ``distance_mm`` is the straight line from the eyes to the middle of the picture. The others are
    None where not known: ``top_below_eyes_mm``, how far the top edge of the picture lies under eye
    level (negative: above it); ``tilt_deg``, how far the display's top leans back (negative:
    forwards); ``curve_radius_mm``, the radius of a curved display (1800 for one sold as 1800R),
    where None stands for a flat one; ``ahead``, the label of the display that is straight ahead, or
    ``middle`` for the middle of all, where None stands for the main display. Raises RequestError
    for a distance or radius not above zero and a tilt beyond 90 degrees.

    >>> Seat(650, tilt_deg=5).tilt_deg
    5.0
    """

    distance_mm: float
    top_below_eyes_mm: float | None = None
    tilt_deg: float | None = None
    curve_radius_mm: float | None = None
    ahead: str | None = None

    def __post_init__(self) -> None:
        object.__setattr__(
            self,
            "distance_mm",
            positive(self.distance_mm, _field("distance_mm")),
        )
        if self.top_below_eyes_mm is not None:
            drop = finite(self.top_below_eyes_mm, _field("top_below_eyes_mm"))
            object.__setattr__(self, "top_below_eyes_mm", drop)
        if self.tilt_deg is not None:
            tilt = finite(self.tilt_deg, _field("tilt_deg"))
            if abs(tilt) > MOST_TILT_DEG:
                must = phrase(
                    "must be between -{most_tilt} and {most_tilt} degrees",
                    most_tilt=f"{MOST_TILT_DEG:g}",
                )
                raise RequestError(Problem("seat tilt_deg", must, quoted(tilt)))
            object.__setattr__(self, "tilt_deg", tilt)
        if self.curve_radius_mm is not None:
            object.__setattr__(
                self,
                "curve_radius_mm",
                positive(self.curve_radius_mm, _field("curve_radius_mm")),
            )
        if self.ahead is not None:
            readable(self.ahead, _field("ahead"))
