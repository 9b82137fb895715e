"""The mathematics of mapping a tablet's active area onto a screen.

Plain values in, plain values out: no files, no printing; standard library and numpy only (numpy is
imported when many points are mapped, never for a single map).

Conventions, on which every docstring here relies
-------------------------------------------------
* Lengths on the tablet and on the glass are millimetres; lengths on the desktop are device pixels.
* x runs right and y runs down in every frame. Positions are continuous and edge-based: a display of
  1920 px reaches from 0.0 to 1920.0, and the centre of its first pixel is at 0.5.
* built frame: the tablet as its maker built it, origin at its top left. Driver forms are filled in
  here.
* seen frame: the same tablet as the artist sees it after the turn, origin at its top left again.
* desktop frame: px, origin at the top left of the primary display, so positions may be negative.
* desk frame: mm under the hand as the artist sits; the seen frame, unless the tablet lies askew by
  a slant.
* A turn is clockwise as seen from above; angles are degrees from the x axis towards the y axis,
  which is clockwise as seen.

Programs import ``evenstroke``, which has these five names and more; the rest is private:

>>> from mapper import Desktop, Display, MapRequest, Tablet, solve
>>> desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
>>> solved = solve(MapRequest(Tablet(240, 152), desktop, hold="top"))
>>> solved.area_built_mm
Rect(left=0.0, top=0.0, width=240.0, height=135.0)
>>> solved.figures[0].distortion.stretch, round(solved.summary.scale_factor, 3)
(1.0, 2.491)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mapper.desk import Desktop as Desktop
    from mapper.desk import Display as Display
    from mapper.desk import Tablet as Tablet
    from mapper.mapping.solve import MapRequest as MapRequest
    from mapper.solving import solve as solve

_PUBLIC = {
    "Tablet": "mapper.desk",
    "Display": "mapper.desk",
    "Desktop": "mapper.desk",
    "MapRequest": "mapper.mapping.solve",
    "solve": "mapper.solving",
}


def _public(name: str) -> object:
    """The public names, loaded when one is used: ``import mapper`` costs nothing."""
    if name not in _PUBLIC:
        raise AttributeError(f"module 'mapper' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_PUBLIC[name]), name)


# Not by a def: type checkers would take any name for a public one.
globals()["__getattr__"] = _public


def __dir__() -> list[str]:
    return [*globals(), *_PUBLIC]
