"""What somebody can touch: printed crosses, squared paper, dots of their own, the corner marks.

Places are measured as the artist sees the tablet, from its upper left corner, since that is how
somebody counts squares or lays a ruler; ``Sheet`` has them as built too, as the fit wants them. A
sheet of four dots is touched twice, so that the scatter is known.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, one_of
from mapper.touching.crosses import INWARD, crosses

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.mapping.solve import TabletMap

SHEETS = ("printed", "squared", "dots", "marks")
#: The squares of common paper, mm.
SQUARE_MM = 5.0
#: Of fewer dots no map and no scatter is known.
LEAST_DOTS = 4
#: With fewer crosses than this each is touched twice.
_ONCE_FROM = 8
#: The crosses of the printed sheet that lie nearest to the corners.
_CORNERS = (0, 2, 6, 8)


class Sheet(NamedTuple):
    """The crosses in the order in which they are asked for.

    ``seen_mm`` and ``built_mm`` are their places in both frames, mm; ``numbers`` the number that
    each bears, from 1; ``anywhere`` says that the sheet lies at no known place.
    """

    kind: str
    seen_mm: tuple[tuple[float, float], ...]
    built_mm: tuple[tuple[float, float], ...]
    numbers: tuple[int, ...]
    anywhere: bool


def sheet_of(
    kind: str,
    meant: TabletMap,
    *,
    anywhere: bool = False,
    dots_seen_mm: Sequence[tuple[float, float]] = (),
) -> Sheet:
    """The crosses of a sheet for the map ``meant``.

    ``dots_seen_mm`` are the places of one's own dots. ``anywhere`` counts for squared paper and
    dots; the others lie where the tablet does. Raises RequestError for an unknown kind, and for
    dots that are too few or lie outside the tablet.
    """
    one_of(kind, SHEETS, phrase("sheet"))
    tablet = meant.request.tablet
    printed = [tablet.built_to_seen.point(*cross) for cross in crosses(meant)]
    places = {
        "printed": printed,
        "squared": [_on_squares(place) for place in printed],
        "dots": list(dots_seen_mm),
        "marks": [printed[at] for at in _CORNERS],
    }[kind]
    if len(set(places)) < LEAST_DOTS:
        must = phrase("must have at least {least} dots at different places", least=LEAST_DOTS)
        raise RequestError(Problem(phrase("sheet"), must, str(len(set(places)))))
    anywhere = anywhere and kind in {"squared", "dots"}
    active = tablet.active_seen_mm
    outside = [
        place
        for place in places
        if not (0 <= place[0] <= active.width and 0 <= place[1] <= active.height)
    ]
    if outside and not anywhere:
        must = phrase(
            "must lie on the active area, {width} × {height} mm as you see it",
            width=f"{active.width:g}",
            height=f"{active.height:g}",
        )
        came = phrase("{x}, {y}", x=f"{outside[0][0]:g}", y=f"{outside[0][1]:g}")
        raise RequestError(Problem(phrase("dot"), must, came))
    to_built = ~tablet.built_to_seen
    numbers = list(range(1, len(places) + 1))
    if len(places) < _ONCE_FROM:
        places, numbers = places * 2, numbers * 2
    built = tuple(to_built.point(*place) for place in places)
    return Sheet(kind, tuple(places), built, tuple(numbers), anywhere)


def grid_sheet(across_mm: float, down_mm: float) -> Sheet:
    """Nine crossings of squared paper for a tablet of unknown size, on an area of about this size.

    Raises RequestError for less than four squares either way.
    """
    if min(across_mm, down_mm) < 4 * SQUARE_MM:
        must = phrase("must be at least {least} mm both ways", least=f"{4 * SQUARE_MM:g}")
        came = phrase("{across} × {down} mm", across=f"{across_mm:g}", down=f"{down_mm:g}")
        raise RequestError(Problem(phrase("paper"), must, came))
    places = tuple(_on_squares((x * across_mm, y * down_mm)) for y in INWARD for x in INWARD)
    return Sheet("squared", places, places, tuple(range(1, 10)), anywhere=True)


def _on_squares(place: tuple[float, float]) -> tuple[float, float]:
    x, y = place
    return SQUARE_MM * round(x / SQUARE_MM), SQUARE_MM * round(y / SQUARE_MM)
