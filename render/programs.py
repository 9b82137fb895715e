"""What other programs ask for besides the values: a map as plain data and as a picture.

They have it from the package ``evenstroke``. Pictures are loaded when one is drawn.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.mapping import solve
from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted

if TYPE_CHECKING:
    import os


def show_in_notebooks() -> None:
    """Let notebooks show a map as its picture."""
    solve.svg_of = to_svg


def to_plain(result: object) -> Any:
    """``result`` as dicts, lists, text and numbers, for JSON or YAML.

    A map gives the rectangle to enter in every unit and form (``area``), the pixels reached
    (``screen``), the scale factor (``summary``), the figures of each display and the matrices; a
    workstation gives its profile, as ``save`` writes it; another value or a list of them its
    fields. Keys carry their units; what is not known is left out. Raises RequestError for a
    workstation whose map was altered.

    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
    >>> data = to_plain(solve(MapRequest(Tablet(240, 152), desktop)))
    >>> data["area"]["mm"]["height"], data["summary"]["scale_factor"]
    (135.0, 2.4905271)
    """
    if isinstance(result, TabletMap):
        from render.reports.map_data import map_data

        data = map_data(result)
        return {key: value for key, value in data.items() if value is not None}
    from profiles.format.document import Workstation
    from profiles.format.document import to_plain as profile
    from profiles.plain import plain

    return profile(result) if isinstance(result, Workstation) else plain(result)


def draw(
    of: object,
    path: str | os.PathLike[str],
    *,
    theme: str = "light",
    units: str = "mm",
    width_px: int = 1600,
    force: bool = False,
) -> None:
    """Draw a map, or that of a workstation, into the file at ``path``.

    The ending of the name says the kind: .png, .svg, .pdf or .webp. ``theme`` is light, dark or
    print, ``units`` mm or in; ``width_px`` counts for PNG and WebP. Raises RequestError for another
    ending, theme or unit, and for a file that is there already unless ``force`` is set.

    >>> import os
    >>> from tempfile import TemporaryDirectory
    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> solved = solve(MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),))))
    >>> with TemporaryDirectory() as folder:
    ...     draw(solved, f"{folder}/map.svg", theme="dark")
    ...     os.listdir(folder)
    ['map.svg']
    """
    from render.canvas.draw import save
    from render.pictures.preview import preview_scene

    scene = preview_scene(_map_of(of), units=units)
    save(scene, path, theme=theme, width_px=width_px, force=force)


def to_svg(of: object, *, theme: str = "light", units: str = "mm") -> str:
    """The picture of a map, or of a workstation's, as the text of an SVG.

    ``theme`` is light, dark or print, ``units`` mm or in. Raises RequestError for others.

    >>> from mapper import Desktop, Display, MapRequest, Tablet, solve
    >>> solved = solve(MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),))))
    >>> to_svg(solved).startswith("<svg")
    True
    """
    from render.canvas.svg import document
    from render.pictures.preview import preview_scene

    return document(preview_scene(_map_of(of), units=units), theme=theme)


def _map_of(of: object) -> TabletMap:
    if isinstance(of, TabletMap):
        return of
    from profiles.format.document import Workstation

    if isinstance(of, Workstation):
        return of.map
    must = phrase("must be a map or a workstation")
    instead = phrase("Give what solve makes of a request")
    raise RequestError(Problem("of", must, quoted(type(of).__name__), instead))
