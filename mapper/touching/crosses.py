"""Where the crosses of a touch test lie: spread over the area that was meant."""

from __future__ import annotations

from mapper.mapping.solve import TabletMap
from mapper.touching.setting import DriverSetting

#: How far inward the rows and columns lie, as shares of the area.
INWARD = (0.1, 0.5, 0.9)


def crosses(meant: TabletMap) -> list[tuple[float, float]]:
    """Nine crosses well inside the area, built mm, row by row, on whole mm.

    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> desktop = Desktop((Display(1920, 1080),))
    >>> crosses(solve(MapRequest(Tablet(240, 152), desktop)))[:3]
    [(24.0, 22.0), (120.0, 22.0), (216.0, 22.0)]
    """
    setting = DriverSetting.of(meant)
    back, target = ~setting.built_mm_to_px, setting.target_px
    places = [
        back.point(target.left + x * target.width, target.top + y * target.height)
        for y in INWARD
        for x in INWARD
    ]
    return [(float(round(x)), float(round(y))) for x, y in places]
