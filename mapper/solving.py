"""From the request to the one map that is entered.

With a driver's step the rounded map is the map, everywhere; the one before rounding is its
``exact``, for those who ask for it by name.
"""

from __future__ import annotations

from mapper.mapping.solve import MapRequest, TabletMap, solve_exact


def solve(request: MapRequest) -> TabletMap:
    """The map that was asked for, as it is entered.

    With a driver's step it is rounded to that step, and its ``exact`` is the map before rounding.
    Raises RequestError where it cannot be had.

    >>> from mapper import Desktop, Display, MapRequest, Tablet
    >>> solved = solve(MapRequest(Tablet(240, 152), Desktop((Display(1920, 1080),))))
    >>> solved.area_built_mm
    Rect(left=0.0, top=8.5, width=240.0, height=135.0)
    >>> solved.built_mm_to_desktop_px.point(120, 76)
    (960.0, 540.0)
    """
    exact = solve_exact(request)
    if request.step is None:
        return exact
    # Fractions and the search are for maps with a step only.
    from mapper.rounding.rounded import rounded

    return rounded(exact)
