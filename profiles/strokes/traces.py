"""What the traces in files say of a map: read, found, fitted and compared."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from mapper.affine import Affine
from mapper.phrases import phrase
from mapper.problems import EvenstrokeError, Problem, RequestError
from mapper.tracing.diagnosis import ALIKE, EXACT, SURE, diagnose
from mapper.tracing.measure import measure, other_reading, whole_map
from profiles.picture_files import LARGEST_BYTES
from profiles.standard import ending_of
from profiles.strokes.canvas import edge_error
from profiles.strokes.drawing import read_drawing
from profiles.strokes.tracing import Traced, flattened, trace_picture, trace_points

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.desk import Desktop
    from mapper.mapping.solve import TabletMap
    from mapper.rect import Rect
    from mapper.tracing.diagnosis import Diagnosis
    from mapper.tracing.measure import MeasuredMap, MeasuredScales
    from mapper.tracing.outline import Array, KnownOutline
    from mapper.tracing.sizing import AreaSize
    from profiles.known_things import KnownThing


#: A trace of more points is none: a minute's has ten thousand.
MOST_TRACED = 150_000
#: Nor is one of more strokes: each costs time, however short it is.
MOST_STROKES = 5_000
# A pen that is held at the edge of the screen stays on its last pixel.
_EDGE_PX = 2.0
# Places that contradict the sizes so much were not read as the things lay.
_AT_ODDS = 3.0
# Of the way round a paper with round corners, its sides are at least this share.
_STRAIGHT = 0.7
# A drawing lies on no more papers, frames and margins than so many.
_MOST_PAPERS = 16


@dataclass(frozen=True, slots=True)
class TraceRequest:
    """The request of ``evenstroke trace``.

    ``files`` hold the traces, with one of ``things`` and of ``crops`` for each. ``meant`` is the
    map that was set and ``profile`` its name. ``nib_mm`` is the thickness of the pen's tip,
    ``origin_px`` the desktop's pixel at a picture's top left.
    """

    files: tuple[str, ...]
    things: tuple[KnownThing, ...]
    crops: tuple[Rect | None, ...]
    meant: TabletMap | None = None
    profile: str = ""
    nib_mm: float = 0.0
    canvas_zoom_percent: float | None = None
    pixel_ratio: float = 1.0
    origin_px: tuple[float, float] = (0.0, 0.0)
    place_error_mm: float = 0.5
    tolerance_percent: float = 1.0


@dataclass(frozen=True, slots=True)
class TraceReport:
    """All that ``evenstroke trace`` found out.

    ``meant`` and ``finding`` are None where there was nothing to compare with, ``whole`` where no
    places were given. ``canvas_zoom_percent`` is the zoom of the canvas that was typed; ``profile``
    names what was compared with; ``canvases`` are the files of which only a part was taken for the
    canvas, with that part in px of the picture. ``other`` is the measurement if the ``thing`` lay
    the other way, its long side upright instead of across or the reverse.
    """

    measured: MeasuredScales
    whole: MeasuredMap | None = None
    meant: TabletMap | None = None
    finding: Diagnosis | None = None
    profile: str = ""
    canvas_zoom_percent: float = 100.0
    canvases: tuple[tuple[str, Rect], ...] = ()
    other: MeasuredScales | None = None
    thing: KnownThing | None = None

    @property
    def lies_upright(self) -> bool:
        """Whether the thing's long side was read as lying upright, not along the screen's width."""
        turn = self.measured.thing_turn_deg
        return turn is not None and abs(turn.value) > 45


def _untold(_done: int, _count: int) -> None:
    """Nobody waits to hear it."""


def trace_report(
    request: TraceRequest, told: Callable[[int, int], None] = _untold
) -> tuple[TraceReport, list[Traced]]:
    """The report on the traces of a request, and the traces that it is based on.

    ``told`` is called before each way of reading them, with how many are done and how many there
    are. Raises RequestError with the problems of all files at once.
    """
    meant = request.meant
    # The pixels of the desktop in one of the picture: fewer where the picture was doubled, more
    # where the canvas was enlarged.
    zoom_percent = request.canvas_zoom_percent or 100.0
    scale = zoom_percent / 100 / request.pixel_ratio
    to_desktop = Affine(scale, 0, request.origin_px[0], 0, scale, request.origin_px[1])
    traced: list[Traced] = []
    problems: list[Problem] = []
    for file, thing, crop in zip(request.files, request.things, request.crops, strict=True):
        try:
            traced.append(_traced(file, thing.outline(request.nib_mm), to_desktop, crop))
        except EvenstrokeError as error:
            problems.extend(error.problems)
        else:
            problems.extend(_edge_problems(traced[-1], meant))
    if problems:
        raise RequestError(*problems)
    places = [thing.place_seen_mm for thing in request.things]
    if len(traced) > 1 and sum(place is not None for place in places) == 1:
        instead = phrase('Type for example --of "card at 60,45mm" --of "card at 160,100mm"')
        raise RequestError(
            Problem(
                "--of", phrase("at least two objects need a place, or none"), phrase("one"), instead
            )
        )
    readings = sorted(_readings(traced, request, told), key=lambda reading: reading.doubt)
    best = readings[0]
    unsaid = any(
        each.trace.lies_upright and not thing.lay
        for each, thing in zip(traced, request.things, strict=True)
    )
    others = (each.measured for each in readings if each.lies_upright != best.lies_upright)
    other = next(others, None) if unsaid else None
    canvases = tuple((each.name, each.canvas_px) for each in traced if each.canvas_px is not None)
    report = TraceReport(
        best.measured,
        best.whole,
        meant,
        best.finding,
        request.profile,
        zoom_percent,
        canvases,
        other,
        request.things[0],
    )
    return report, best.traced


def _readings(
    traced: list[Traced], request: TraceRequest, told: Callable[[int, int], None]
) -> list[_Reading]:
    """The traces read in every way in which the things may have lain, the plainest first.

    A thing lay as was said, or either way; and its picture lies as the thing did, or a quarter
    turned.
    """
    long = [index for index, each in enumerate(traced) if each.trace.lies_upright is not None]
    if not long:
        told(0, 1)
        return [_Reading.of(traced, request, 0, laid_upright=False)]
    said = all(request.things[index].lay for index in long)
    ways = list(itertools.product(("",) if said else ("across", "upright"), (False, True)))
    found: list[_Reading] = []
    for unsaid, turned in ways:
        told(len(found), len(ways))
        upright = [(thing.lay or unsaid) == "upright" for thing in request.things]
        read = _read_as_laid(traced, [each != turned for each in upright])
        found.append(_Reading.of(read, request, long[0], laid_upright=upright[long[0]]))
    return found


@dataclass(frozen=True, slots=True)
class _Reading:
    """The measurement if the things lay in one of two ways, and how it compares with the map."""

    traced: list[Traced]
    measured: MeasuredScales
    whole: MeasuredMap | None
    finding: Diagnosis | None
    lies_upright: bool | None

    @classmethod
    def of(
        cls, traced: list[Traced], request: TraceRequest, first: int, *, laid_upright: bool
    ) -> _Reading:
        """The measurement of ``traced``, read for one way of lying of the ``first`` long thing."""
        traces = [each.trace for each in traced]
        places = [thing.place_seen_mm for thing in request.things]
        whole = (
            whole_map(traces, places, request.place_error_mm)
            if len(traces) > 1 and any(places)
            else None
        )
        measured = measure(traces, whole)
        lies = traces[first].lies_upright
        if request.meant is None:
            return cls(traced, measured, whole, None, lies)
        finding = diagnose(
            measured,
            request.meant,
            whole=whole,
            tolerance_percent=request.tolerance_percent,
            laid_upright=laid_upright,
            laid_said=bool(request.things[first].lay),
            zoom_known=request.canvas_zoom_percent is not None,
        )
        return cls(traced, measured, whole, finding, lies)

    @property
    def doubt(self) -> tuple[int, float]:
        """A number that sorts readings, the likeliest first.

        First come those whose sizes agree, then a usual slip that predicts two numbers, then those
        that do not lean; among these the truest shapes.
        """
        if self.finding is None:
            return 0, math.log(self.measured.stretch.value)
        cause = self.finding.cause
        if self.finding.agrees or cause.name == "orientation not told":
            return 0, 0.0
        if self.whole is not None and self.whole.unexplained > _AT_ODDS:
            return 4, self.whole.unexplained
        if cause.name in (*EXACT, *ALIKE) and cause.chi2 <= SURE:
            return 1, cause.chi2
        # A hand lays things askew, but a driver's map does not lean.
        return 3 if self.measured.leans else 2, abs(
            math.log(1 + self.finding.ratio_off_percent / 100)
        )


def _edge_problems(traced: Traced, meant: TabletMap | None) -> tuple[Problem, ...]:
    """The problem of a trace along the edges of the screen that was meant.

    There the pen is stopped: its area is smaller than the thing.
    """
    if meant is None:
        return ()
    points, screen = traced.picture_to_desktop.points(traced.points_px), meant.screen_px
    across = np.minimum(np.abs(points[:, 0] - screen.left), np.abs(points[:, 0] - screen.right))
    down = np.minimum(np.abs(points[:, 1] - screen.top), np.abs(points[:, 1] - screen.bottom))
    share = float(np.mean(np.minimum(across, down) <= _EDGE_PX))
    return edge_error(traced.name, share).problems if share > 0.4 else ()


def _read_as_laid(traced: list[Traced], upright: list[bool]) -> list[Traced]:
    """The traces, read again for things whose long sides lay along the screen's height or width.

    ``upright`` holds True for the height, one for each trace.
    """
    read = []
    for each, wanted in zip(traced, upright, strict=True):
        now = each
        if each.trace.lies_upright is not None and each.trace.lies_upright != wanted:
            other = other_reading(each.picture_to_desktop.points(each.points_px), each.trace)
            now = each if other is None else replace(each, trace=other)
        read.append(now)
    return read


def area_of(request: TraceRequest, traced: list[Traced], desktop: Desktop) -> AreaSize:
    """The active area, from traces made with the whole of it on the whole of ``desktop``.

    Where a nib was given, the pen keeps half of it off the edge and no more is taken off. Raises
    RequestError if the traces cannot tell.
    """
    from mapper.tracing.sizing import NIB_SD_MM, area_size, card_trace

    # A card lies one way here and the other way there, and the whole tablet on the whole screen
    # never squeezes it so much that one looks like the other: of the two readings the rounder map
    # is the true one.
    both_ways = [
        [_read_as_laid([each], [upright])[0] for upright in (False, True)] for each in traced
    ]
    traced = [min(ways, key=lambda way: measure([way.trace]).stretch.value) for ways in both_ways]
    target = desktop.rect_px
    outlines = [each.trace.outline for each in traced]
    laid_out = [
        card_trace(
            measure([each.trace], of_wobble_alone=True), (outline.width_mm, outline.height_mm)
        )
        for each, outline in zip(traced, outlines, strict=True)
    ]
    ratio = desktop.width_over_height
    if request.nib_mm:
        return area_size(
            laid_out, (target.width, target.height), ratio, nib_mm=0.0, nib_sd_mm=NIB_SD_MM / 2
        )
    return area_size(laid_out, (target.width, target.height), ratio)


def _traced(file: str, outline: KnownOutline, to_desktop: Affine, crop: Rect | None) -> Traced:
    """The trace of ``outline`` in ``file``, a picture or recorded points."""
    if ending_of(file, LARGEST_BYTES) not in {".csv", ".tsv", ".json", ".svg"}:
        return trace_picture(file, outline, to_desktop, crop_px=crop)
    # Of a file that the pad kept, what the pen did on the screen: that is what the driver made.
    drawing = read_drawing(file, by_hand=False, most_points=MOST_TRACED)
    if drawing.in_mm:
        must = phrase("the points must be px of the screen, as the pen made them there")
        raise RequestError(
            Problem(
                file, must, phrase("mm on the tablet"), phrase("Save the strokes with columns x,y")
            )
        )
    if len(drawing.strokes) > MOST_STROKES:
        must = phrase("must have at most {most_strokes} strokes", most_strokes=MOST_STROKES)
        instead = phrase("Save the traced line alone")
        raise RequestError(Problem(file, must, str(len(drawing.strokes)), instead))
    paths = _without_papers([flattened(stroke.outline) for stroke in drawing.strokes])
    return trace_points(Path(file).name, paths, outline, to_desktop, crop)


def _without_papers(paths: list[Array]) -> list[Array]:
    """The paths but those that are the paper on which all others lie, or a paper on that."""
    lows = np.array([path.min(axis=0) for path in paths])
    highs = np.array([path.max(axis=0) for path in paths])
    left = np.full(len(paths), fill_value=True)
    for _ in range(_MOST_PAPERS):
        if left.sum() < 2:
            break
        small = 1e-6 * (highs - lows).max(axis=1, keepdims=True)
        holds_all = (lows - small <= lows[left].min(axis=0)).all(axis=1)
        holds_all &= (highs + small >= highs[left].max(axis=0)).all(axis=1)
        held = np.flatnonzero(left & holds_all)
        paper = next((at for at in held if _runs_along_its_box(paths[at])), None)
        if paper is None:
            break
        left[paper] = False
    return [path for path, stays in zip(paths, left, strict=True) if stays]


def _runs_along_its_box(path: Array) -> bool:
    """Whether a path runs along the sides of its own box.

    Only round corners may leave the sides, as no hand does.
    """
    if len(path) < 4:
        return False
    low, high = path.min(axis=0), path.max(axis=0)
    small = 1e-6 * float(np.max(high - low))
    closed = np.concatenate([path, path[:1]])
    lengths = np.hypot(*np.diff(closed, axis=0).T)
    on = (np.abs(closed - low) <= small) | (np.abs(closed - high) <= small)
    along = (on[:-1] & on[1:] & (np.abs(np.diff(closed, axis=0)) <= small)).any(axis=1)
    return float(lengths[along].sum()) > _STRAIGHT * float(lengths.sum())
