"""From files and options to what the traces in them say."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.problems import EvenstrokeError, Problem, RequestError
from mapper.tracing.diagnosis import diagnose
from mapper.tracing.measure import measure, whole_map
from profiles.strokes.drawing import read_drawing
from profiles.strokes.tracing import Traced, flattened, trace_picture, trace_points

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect
    from mapper.tracing.diagnosis import Finding
    from mapper.tracing.measure import KnownMap, Measured
    from mapper.tracing.outline import KnownOutline
    from profiles.known_things import KnownThing


@dataclass(frozen=True, slots=True)
class TraceRequest:
    """What ``evenstroke trace`` is asked: ``files``, with a thing and a crop for each, and how they were made.

    ``meant`` is the map that was set and ``profile`` what to call it; ``nib_mm`` is the thickness of the pen's tip; ``origin_px`` the desktop's pixel at a picture's top left.
    """

    files: tuple[str, ...]
    things: tuple[KnownThing, ...]
    crops: tuple[Rect | None, ...]
    meant: TabletMap | None = None
    profile: str = ""
    nib_mm: float = 0.0
    canvas_zoom_percent: float = 100.0
    pixel_ratio: float = 1.0
    origin_px: tuple[float, float] = (0.0, 0.0)
    place_error_mm: float = 0.5
    tolerance_percent: float = 1.0


@dataclass(frozen=True, slots=True)
class TraceReport:
    """All that ``evenstroke trace`` found out.

    ``meant`` and ``finding`` are None where there was nothing to compare with; ``whole`` where no places were given.
    ``canvas_zoom_percent`` is what the user said of the canvas; ``profile`` names what was compared with; ``canvases`` are
    the files of which only a part was taken for the canvas, with that part in px of the picture.
    """

    measured: Measured
    whole: KnownMap | None = None
    meant: TabletMap | None = None
    finding: Finding | None = None
    profile: str = ""
    canvas_zoom_percent: float = 100.0
    canvases: tuple[tuple[str, Rect], ...] = ()


def look(request: TraceRequest) -> tuple[TraceReport, list[Traced]]:
    """Read, find, fit, compare. Raises RequestError with the problems of all files at once."""
    meant = request.meant
    # A picture's pixel is this much of the desktop's: fewer where it is doubled, more where the canvas was enlarged.
    scale = request.canvas_zoom_percent / 100 / request.pixel_ratio
    to_desktop = Affine(scale, 0, request.origin_px[0], 0, scale, request.origin_px[1])
    traced: list[Traced] = []
    problems: list[Problem] = []
    for file, thing, crop in zip(request.files, request.things, request.crops, strict=True):
        try:
            traced.append(_traced(file, thing.outline(request.nib_mm), to_desktop, crop))
        except EvenstrokeError as error:
            problems.extend(error.problems)
    if problems:
        raise RequestError(*problems)
    traces = [each.trace for each in traced]
    measured = measure(traces)
    places = [thing.place_seen_mm for thing in request.things]
    whole = None
    if len(traces) > 1 and any(places):
        known = [place for place in places if place is not None]
        if len(known) < len(places):
            instead = 'Type for example --of "card at 60,45mm" --of "card at 160,100mm"'
            raise RequestError(Problem("--of", "either all things need a place, or none", "", instead))
        whole = whole_map(traces, known, request.place_error_mm)
    finding = None
    if meant is not None:
        finding = diagnose(
            measured,
            meant,
            whole=whole,
            tolerance_percent=request.tolerance_percent,
            laid_upright=request.things[0].upright,
        )
    canvases = tuple((each.name, each.canvas_px) for each in traced if each.canvas_px is not None)
    report = TraceReport(measured, whole, meant, finding, request.profile, request.canvas_zoom_percent, canvases)
    return report, traced


def _traced(file: str, outline: KnownOutline, to_desktop: Affine, crop: Rect | None) -> Traced:
    if Path(file).suffix.lower() not in {".csv", ".tsv", ".json", ".svg"}:
        return trace_picture(file, outline, to_desktop, crop_px=crop)
    # Of a file that the pad kept, what the pen did on the screen: that is what the driver made.
    drawing = read_drawing(file, by_hand=False)
    if drawing.in_mm:
        must = "the points must be px of the screen, as the pen made them there"
        raise RequestError(Problem(file, must, "mm on the tablet", "Save the strokes with columns x,y"))
    return trace_points(
        Path(file).name, [flattened(stroke.outline) for stroke in drawing.strokes], outline, to_desktop, crop
    )
