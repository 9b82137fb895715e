"""From the request to the one map that is entered.

With a driver's step the rounded map is the map, everywhere; the one before rounding is its
``exact``, for those who ask for it by name.
"""

from __future__ import annotations

from mapper.mapping.solve import MapRequest, TabletMap, solve_exact


def solve(request: MapRequest) -> TabletMap:
    """The map that was asked for, as it is entered: on the driver's step where one was asked for.

    Its ``exact`` is the map before rounding. Raises RequestError where it cannot be had.
    """
    exact = solve_exact(request)
    if request.step is None:
        return exact
    # Fractions and the search are for maps with a step only.
    from mapper.rounding.rounded import rounded

    return rounded(exact)
