"""The formats of the data that commands print: their types, and a JSON Schema of each.

``python -m gallery.data_formats`` writes the schemas into ``gallery/formats``, and a page that
lists them. The data itself is made where it is laid out; a test holds what every command prints
against these types.

What is not known, or does not apply, is absent. Names carry unit and frame; a rectangle is a
``schema.EdgesPart`` in the unit of its key.
"""

from __future__ import annotations

import types
from dataclasses import is_dataclass
from functools import cache
from inspect import cleandoc
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, Union, get_args, get_origin

import msgspec
from msgspec import Meta, Struct

from gallery.data_words import words_of
from mapper.choosing import recommended, travel
from mapper.mapping import entry, seams, windows
from mapper.mapping.forms import UnitName
from mapper.rounding import rounded
from mapper.touching import slips
from mapper.tracing import measure, measurement, sizing
from mapper.trials import next_trial
from profiles.format.schema import (
    DRAFT,
    EdgesPart,
    FiguresPart,
    Matrix,
    ScreenPart,
    Summary,
    like,
)
from profiles.hardware import edid, pen_facts
from profiles.library import audit
from profiles.library.proofs import Found, ProofMark
from profiles.library.trial_book import Felt
from profiles.plain import FRAMES

if TYPE_CHECKING:
    from collections.abc import Iterator

FrameName = Literal["built", "seen", "desktop", "display"]
Side = Literal["below", "inside", "above"]
Instant = Annotated[str, Meta(pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$")]
Day = Annotated[str, Meta(pattern=r"^\d{4}-\d{2}-\d{2}$")]
Share = Annotated[float, Meta(ge=0)]


class Part(Struct, forbid_unknown_fields=True):
    """A mapping within the data, which has no other keys."""


@cache
def _like(result: Any) -> Any:
    """The part with the fields of a ``result``, a dataclass or a named tuple, and so within it."""
    return like(result, Part, _part_of)


def _part_of(hint: Any) -> Any:
    """The type of a field's data: what has fields is a part, a path or a time is text."""
    if is_dataclass(hint) or hasattr(hint, "_fields"):
        return _like(hint)
    if get_origin(hint) in {Union, types.UnionType}:
        return Union[tuple(_part_of(each) for each in get_args(hint))]  # noqa: UP007 - of a tuple
    if get_origin(hint) is tuple:
        kinds = get_args(hint)
        if kinds[-1] is Ellipsis:
            return list[_part_of(kinds[0])]  # type: ignore[misc] # made at run time
        return tuple[tuple(_part_of(each) for each in kinds)]  # type: ignore[misc]
    if hint is Path:
        return str
    return Instant if getattr(hint, "__name__", "") == "datetime" else hint


Band, Recommendation = _like(recommended.Band), _like(recommended.Recommendation)
Travel = _like(travel.Travel)
EntryNumber, Seam, Strips = _like(entry.EntryNumber), _like(seams.Seam), _like(windows.Strips)
RoundingCost = _like(rounded.RoundingCost)
Slip = _like(slips.Slip)
Measurement, Scales = _like(measurement.Measurement), _like(measure.MeasuredScales)
MeasuredSize, ErrorCost = _like(sizing.AreaSize), _like(sizing.ErrorCost)
NextTrial = _like(next_trial.NextTrial)
DisplayFacts, PenFacts = _like(edid.DisplayFacts), _like(pen_facts.PenFacts)
Fault = _like(audit.Fault)


class Point(Part, kw_only=True):
    """A point, in the unit of its key."""

    x: float
    y: float


class RectInFrame(Part, kw_only=True):
    """A rectangle of the tablet in every unit; counts where the resolution is known.

    ``centre`` is its middle, ``from_bottom`` the same rectangle with y running up from the bottom
    of the active area, each by unit.
    """

    frame: Literal["built", "seen"]
    mm: EdgesPart
    inch: EdgesPart
    percent: EdgesPart
    counts: EdgesPart | None = None
    centre: dict[UnitName, Point]
    from_bottom: dict[UnitName, EdgesPart]


class Area(RectInFrame, kw_only=True):
    """The same with what is seen of it where the tablet is turned.

    ``angle_deg`` is how far it is turned clockwise about its own centre, where it is.
    """

    seen: RectInFrame | None = None
    angle_deg: float | None = None


class ScreenOfDisplay(Part, kw_only=True):
    """What is reached of one display, from its own top left: device and logical pixels."""

    display: str
    frame: Literal["display"]
    px: EdgesPart
    logical_px: EdgesPart


class Screen(ScreenPart, kw_only=True):
    """The pixels of the desktop that the pen reaches; of each display where one has a zoom."""

    displays: list[ScreenOfDisplay] | None = None


class Matrices(Part, kw_only=True):
    """The map as homogeneous matrices, row-major, and back."""

    built_mm_to_desktop_px: Matrix
    built_unit_to_desktop_unit: Matrix
    desktop_px_to_built_mm: Matrix


class Map(Part, kw_only=True):
    """A map: the rectangle to enter, the pixels reached, its figures and matrices."""

    area: Area
    screen: Screen
    summary: Summary
    figures: list[FiguresPart]
    matrix: Matrices


class UnturnedCost(Part, kw_only=True):
    """What it costs that the area is not turned.

    ``tilt_deg`` how far a level line comes out of level, ``drift_mm_per_100_mm`` how far the end of
    a stroke of 100 mm is off, ``area_percent`` how much larger or smaller the area is.
    """

    tilt_deg: float
    drift_mm_per_100_mm: float
    area_percent: float


class UnturnedMap(Map, kw_only=True):
    """The map for tablet settings that cannot turn the area, and what it costs."""

    cost: UnturnedCost


class UnroundedMap(Map, kw_only=True):
    """The map before rounding, and what rounding cost."""

    cost: RoundingCost


class Hand(Part, kw_only=True):
    """How fine the hand has to be: mm under it for a pixel, the smallest sure movement, counts."""

    mm_per_px_x: float
    mm_per_px_y: float
    smallest_move_x_mm: float
    smallest_move_y_mm: float
    counts_per_px_x: float | None = None
    counts_per_px_y: float | None = None
    pixels_are_skipped: bool | None = None


class ReachedDisplay(Part, kw_only=True):
    """What the pen reaches of one display, and the part of the tablet for it.

    ``display_logical_px`` counts from the display's own top left; ``out_of_reach_px`` are the
    strips at its four sides that the pen cannot reach.
    """

    display: str
    out_of_reach_percent: float
    desktop_px: EdgesPart | None = None
    display_logical_px: EdgesPart | None = None
    area_built_mm: EdgesPart | None = None
    out_of_reach_px: Strips | None = None


class WholeDesktop(Part, kw_only=True):
    """The area for tablet settings that can only map to the whole desktop.

    ``beyond_built_mm`` is how far it leaves the tablet at each side; ``possible`` says whether it
    does not.
    """

    area_built_mm: EdgesPart
    possible: bool
    beyond_built_mm: Strips


class Frames(Part, kw_only=True):
    """What each frame is whose coordinates stand in the data."""

    built: str | None = None
    seen: str | None = None
    desktop: str | None = None
    display: str | None = None


class Report(Map, kw_only=True):
    """Everything about a desk: what ``report`` prints."""

    format: Literal["evenstroke report 1"]
    frames: Frames
    workstation: str
    unturned: UnturnedMap | None = None
    before_rounding: UnroundedMap | None = None
    enter: list[EntryNumber] | None = None
    unused_built_mm: Strips
    unused_seen_mm: Strips
    shown_percent: float
    hand: Hand
    displays: list[ReachedDisplay]
    seams: list[Seam]
    apart: list[list[str]]
    whole_desktop: WholeDesktop


class Explain(Part, kw_only=True):
    """One rectangle in every unit and form: what ``explain`` prints."""

    format: Literal["evenstroke explain 1"]
    frames: Frames
    area: Area


class TabletRect(Part, kw_only=True):
    """A rectangle of the tablet in one unit."""

    frame: Literal["built"]
    mm: EdgesPart | None = None
    inch: EdgesPart | None = None
    percent: EdgesPart | None = None
    counts: EdgesPart | None = None


class Choice(Part, kw_only=True):
    """One rectangle on the step, of the tablet or of the screen; ``taken`` marks the usual one."""

    area: TabletRect | None = None
    screen: ScreenPart | None = None
    stretch: float
    area_used_percent: float
    screen_used_percent: float
    scale_factor: float | None = None
    taken: bool


class StepChoices(Part, kw_only=True):
    """What ``map --step-choices`` prints."""

    format: Literal["evenstroke step-choices 1"]
    frames: Frames
    choices: list[Choice]


class TableRow(Part, kw_only=True):
    """What to enter on one workstation; ``area`` is absent where its unit is not known there."""

    workstation: str
    area: TabletRect | None = None
    scale_factor: float | None = None
    stretch: float
    revision: int | None = None
    kept: Instant | None = None


class Table(Part, kw_only=True):
    """What ``table`` prints."""

    format: Literal["evenstroke table 1"]
    frames: Frames
    workstations: list[TableRow]


class Wrong(Part, kw_only=True):
    """One thing that is wrong: where, what must hold, what came, what to type instead.

    ``missing`` says that nothing is known, as the file is not there or cannot be read.
    """

    where: str
    must: str
    came: str | None = None
    instead: str | None = None
    missing: bool


class Checked(Part, kw_only=True):
    """One profile that was checked."""

    desk: str
    valid: bool
    workstation: str | None = None
    says: str | None = None
    scale_factor: float | None = None
    problems: list[Wrong]


class Check(Part, kw_only=True):
    """What ``check`` prints."""

    format: Literal["evenstroke check 1"]
    profiles: list[Checked]


class PairBand(Band, kw_only=True):
    """The comfortable band of scale factors, and the work that it is for."""

    use: str | None = None


class PairTablet(Part, kw_only=True):
    """A tablet: its active area as built."""

    label: str | None = None
    width_mm: float
    height_mm: float
    counts_per_mm: float | None = None
    turn_deg: int


class PairDisplay(Part, kw_only=True):
    """A display; its size in mm where that is known."""

    label: str
    width_mm: float | None = None
    height_mm: float | None = None
    width_px: int
    height_px: int


class PairRow(Part, kw_only=True):
    """A tablet with a display, locked to its proportions; ``band`` is where the scale lies."""

    tablet: PairTablet
    display: PairDisplay
    scale_factor: float | None = None
    area_width_mm: float
    area_height_mm: float
    area_lost_percent: float
    counts_per_px: float | None = None
    band: Side | None = None


class Pairs(Part, kw_only=True):
    """What ``pair`` prints."""

    format: Literal["evenstroke pair 1"]
    band: PairBand
    pairs: list[PairRow]
    caution: str | None = None


class Size(Part, kw_only=True):
    """A size in mm, and its diagonal in inches."""

    width_mm: float
    height_mm: float
    diagonal_in: float


class WantedSize(Part, kw_only=True):
    """The display for a tablet, or the active area for a display, of one proportion."""

    tablet: str | None = None
    display: str | Size | None = None
    aspect: str
    active_area: Size | None = None
    band_least: Size
    band_most: Size


class Wanted(Part, kw_only=True):
    """The sizes that give a scale factor: what ``pair --want`` prints."""

    format: Literal["evenstroke wanted 1"]
    wanted_scale_factor: float
    answers: list[WantedSize]
    caution: str | None = None


class PlannedDay(Part, kw_only=True):
    """One day of the plan, counted from 1; its ``date`` where the plan has a first day."""

    day: Annotated[int, Meta(ge=1)]
    date: Day | None = None
    block: int
    pairing: str
    tablet: str
    display: str
    scale_factor: float | None = None


class LeftOut(Part, kw_only=True):
    """A pairing that is not tried, and why."""

    tablet: str
    display: str
    scale_factor: float | None = None
    because: str


class Plan(Part, kw_only=True):
    """What ``plan-trials`` prints."""

    format: Literal["evenstroke plan-trials 1"]
    days: list[PlannedDay]
    left_out: list[LeftOut]
    caution: str | None = None


class Book(Part, kw_only=True):
    """The entries of the trial book: what ``book`` prints."""

    format: Literal["evenstroke book 1"]
    entries: list[Felt]


class Pairing(Part, kw_only=True):
    """One way in which a pairing was tried, or a pairing that was not.

    The scores from 1 to 5: their median and the quarters around it; ``expected`` where none is.
    """

    tablet: str
    display: str
    doing: str | None = None
    scale_factor: float | None = None
    stretch: float | None = None
    distance_cm: float | None = None
    days: int
    median: float | None = None
    quarter_below: float | None = None
    quarter_above: float | None = None
    felt: str | None = None
    ways: int
    expected: str | None = None


class BookGrid(Part, kw_only=True):
    """What ``book --grid`` prints."""

    format: Literal["evenstroke book-grid 1"]
    pairings: list[Pairing]


class AdviceFinding(Part, kw_only=True):
    """A figure, what is recommended about it and on which side of that it lies."""

    key: str
    value: float
    side: Side
    recommended: Recommendation


class AdvisedChange(Part, kw_only=True):
    """One thing to change, in words and in numbers; ``instead`` are other ways to the same end.

    ``asks`` is what to ask for otherwise, ``after`` the figures after it; both name their units.
    """

    about: str
    asks: dict[str, Any]
    buys: bool
    mends: list[str]
    after: dict[str, float]
    do: str
    costs: str
    instead: list[AdvisedChange]


class Advice(Part, kw_only=True):
    """What ``advise`` prints; ``before`` are the findings of the desk that it is compared with."""

    format: Literal["evenstroke advise 1"]
    workstation: str
    findings: list[AdviceFinding]
    changes: list[AdvisedChange]
    unknown: list[str]
    area_used_percent: float
    screen_used_percent: float
    caution: str
    before: list[AdviceFinding] | None = None


class SeatDisplay(Part, kw_only=True):
    """One display from the chair: angles at the eyes, distances to it, and how fine its pixels are.

    ``turn_deg`` is how far it stands turned towards the eyes.
    """

    display: str
    turn_deg: float
    horizontal_deg: float
    vertical_deg: float
    diagonal_deg: float
    left_deg: float
    right_deg: float
    nearest_mm: float
    farthest_mm: float
    arc_minutes_per_px_x: float | None = None
    arc_minutes_per_px_y: float | None = None
    px_per_degree_x: float | None = None
    px_per_degree_y: float | None = None
    px_per_degree_edge: float | None = None
    neck_deg: float
    top_deg: float | None = None
    centre_deg: float | None = None
    bottom_deg: float | None = None
    next_edge_nearer_by_mm: float | None = None


class SeatFinding(Recommendation, kw_only=True):
    """A recommendation, the value of this seat and on which side of it that lies."""

    value: float
    side: Side


class SeatDistances(Part, kw_only=True):
    """The distances that were asked for, and the one at which a pixel is an arc-minute."""

    for_angle_mm: float | None = None
    for_arc_minutes_mm: float | None = None
    one_arc_minute_per_px_mm: float | None = None


class Seat(Part, kw_only=True):
    """What ``seat`` prints."""

    format: Literal["evenstroke seat 1"]
    distance_mm: float
    main: str
    displays: list[SeatDisplay]
    not_in_arc: list[str] | None = None
    distances: SeatDistances
    recommended: list[SeatFinding]
    caution: str


class ComfortableBand(Part, kw_only=True):
    """A person's band: what ``band`` prints; values of the ``measure`` but for the shares.

    ``low`` and ``high`` are its ends and ``best`` the value that suits most, with intervals that
    hold with ``sure_percent`` belief.
    """

    format: Literal["evenstroke band 1"]
    measure: Literal["scale_factor", "viewing_angle_deg"]
    doing: str | None = None
    enough: bool
    entries: int
    days: int
    low: float
    high: float
    best: float
    best_low: float
    best_high: float
    low_sure: tuple[float, float]
    high_sure: tuple[float, float]
    tried: tuple[float, float] | None = None
    weight: float
    learned: float
    valley_percent: float
    sure_percent: float
    outside_tried: Literal["low", "high", "both"] | None = None
    one_best: bool
    best_beyond_tried: Literal["low", "high", "both"] | None = None
    common_practice: Band
    would_teach_most: NextTrial | None = None


class SuitingSizes(Part, kw_only=True):
    """The diagonals of 16:9 displays, in inches, that suit one tablet.

    Of those that are sold the ones that suit and may suit; the ends that the band gives exactly;
    and from and to of the usual advice.
    """

    tablet: str
    suits_in: list[float]
    may_suit_in: list[float]
    band_in: tuple[float, float]
    usual_advice_in: tuple[float, float] | None = None


class BandSizes(Part, kw_only=True):
    """What ``band --sizes`` prints; ``own_band`` says whether it goes by a band of one's own."""

    format: Literal["evenstroke band-sizes 1"]
    own_band: bool
    sizes: list[SuitingSizes]
    caution: str


class TravelRow(Travel, kw_only=True):
    """One scale factor, and where in the comfortable band it lies."""

    band: Side


class TravelData(Part, kw_only=True):
    """What ``travel`` prints."""

    format: Literal["evenstroke travel 1"]
    display: str
    target_mm: float
    hand_scatter_mm: float
    hand_scatter_source: str
    largest_sure_scale: float
    scale_factor: float | None = None
    travel: list[TravelRow]
    caution: str


class TouchCause(Part, kw_only=True):
    """A slip that would explain the touches, and the numbers of the settings to correct."""

    name: str
    correct: list[str]


class Estimate(Measurement, kw_only=True):
    """A measured value with its 95 % interval, and how far off still counts as right."""

    limit: float | None = None


class TouchedArea(Part, kw_only=True):
    """The area that the tablet settings really use, built frame, mm."""

    left: Estimate | None = None
    top: Estimate | None = None
    width: Estimate | None = None
    height: Estimate | None = None


class TouchScales(Part, kw_only=True):
    """Pixels for 1 mm of hand, along x and y of the screen."""

    across: Estimate | None = None
    down: Estimate | None = None


class Touched(Part, kw_only=True):
    """What ``touch`` prints; ``to_set`` are the cures in words.

    ``askew_deg`` is how far the sheet or the area lies turned, ``scatter_mm`` one standard
    deviation of a touch.
    """

    format: Literal["evenstroke touch 1"]
    frames: Frames
    desk: str
    agrees: bool
    answer: str
    cause: TouchCause
    also: list[TouchCause]
    to_set: list[str]
    ask_corner: bool
    touches: int
    held_at_an_edge: int
    slips: list[Slip]
    area_built_mm: TouchedArea | None = None
    turn_deg: int | None = None
    mirror: str | None = None
    askew_deg: float | None = None
    scale_px_per_mm: TouchScales | None = None
    scatter_mm: float | None = None
    built_mm_to_desktop_px: Matrix | None = None


class TraceCause(Part, kw_only=True):
    """A slip that would explain the trace, and what the tablet settings then use."""

    name: str
    area_seen_mm: dict[Literal["width", "height"], float]
    target_px: EdgesPart
    zoom_percent: float | None = None
    display: str | None = None


class Canvas(Part, kw_only=True):
    """The part of a picture that was taken for the canvas, px of the picture."""

    picture: str
    canvas_px: EdgesPart


class OffPercent(Part, kw_only=True):
    """How much larger the measured scales, and their ratio, are than was meant."""

    x: float
    y: float
    ratio: float


class WholeMap(Part, kw_only=True):
    """The whole measured map; the half widths of the 95 % intervals of its elements a to f."""

    seen_mm_to_desktop_px: Matrix
    half_widths: dict[Literal["a", "b", "c", "d", "e", "f"], float]
    turn_deg: Measurement
    unexplained: float


class OtherScales(Part, kw_only=True):
    """The scales if the thing lay the other way."""

    x_px_per_mm: Measurement
    y_px_per_mm: Measurement


class MeasuredPoint(Part, kw_only=True):
    """A measured point, in the unit of its key."""

    x: Measurement
    y: Measurement


class Traced(Scales, kw_only=True):
    """What ``trace`` prints: the scales of the map, and how they differ from what was meant."""

    format: Literal["evenstroke trace 1"]
    frames: Frames
    if_it_lay_the_other_way: OtherScales | None = None
    canvases: list[Canvas] | None = None
    desktop_origin_seen_mm: MeasuredPoint | None = None
    whole_map: WholeMap | None = None
    agrees: bool | None = None
    off_percent: OffPercent | None = None
    cause: TraceCause | None = None
    also: list[TraceCause] | None = None
    correct: list[str] | None = None
    to_type: list[str] | None = None
    area_left_seen_mm: Measurement | None = None
    area_top_seen_mm: Measurement | None = None


class WholeTablet(MeasuredSize, kw_only=True):
    """The size of the active area: what ``trace`` and ``touch`` print with ``--whole-tablet``.

    ``cost`` is what the doubt about it does to a map, by the unit in which the map is typed.
    """

    format: Literal["evenstroke whole-tablet 1"]
    cost: dict[Literal["mm", "percent"], ErrorCost]
    touches: int | None = None
    scatter_mm: float | None = None
    slips: list[Slip] | None = None


class RevisionName(Part, kw_only=True):
    """Which revision: its number, the digest in its file's name, and when it was kept."""

    revision: int
    digest: str
    kept: Instant


class SettingArea(Part, kw_only=True):
    """The area as the artist sees it, in mm."""

    frame: Literal["seen"]
    mm: EdgesPart
    angle_deg: float | None = None


class Setting(Part, kw_only=True):
    """What is set, in the few numbers that hand and eye notice.

    The figures are those on ``display``.
    """

    area: SettingArea
    screen: ScreenPart
    scale_factor: float | None = None
    stretch: float
    oval_percent: float
    longer_axis_deg: float | None = None
    display: str


class ChangedValue(Part, kw_only=True):
    """One thing that differs; ``what`` names it with its unit, ``by`` is how much more it is."""

    what: str
    before: Any = None
    after: Any = None
    by: float | None = None


class ProvedArea(Part, kw_only=True):
    """The area as built, in mm."""

    frame: Literal["built"]
    mm: EdgesPart
    angle_deg: float | None = None


class ProvedSetting(Part, kw_only=True):
    """What had to be set: the area as built, the pixels reached, and the tablet's turn."""

    area: ProvedArea
    screen: ScreenPart
    turn_deg: int


class HistoryProof(Part, kw_only=True):
    """A mark that the setting was typed in or tested; ``right`` and ``found`` are a test's."""

    at: Instant
    mark: ProofMark
    right: bool | None = None
    cause: str | None = None
    found: Found | None = None
    setting: ProvedSetting


class HistoryRevision(RevisionName, kw_only=True):
    """One revision, and what changed from the one before it."""

    note: str | None = None
    in_force: bool
    pinned: bool
    retired: bool
    readable: bool
    setting: Setting | None = None
    changes: list[ChangedValue] | None = None
    proofs: list[HistoryProof]


class Decided(Part, kw_only=True):
    """One decision about a workstation, or about a revision of it."""

    at: Instant
    mark: Literal["pin", "unpin", "retire", "restore"]
    revision: str | None = None
    note: str | None = None


class History(Part, kw_only=True):
    """What ``history`` prints, the newest first; ``earlier`` is how many more there are."""

    format: Literal["evenstroke history 1"]
    frames: Frames
    workstation: str
    retired: bool
    earlier: int
    revisions: list[HistoryRevision]
    decisions: list[Decided]


class Station(Part, kw_only=True):
    """One workstation of the library, and the setting in force."""

    workstation: str
    folder: str
    newest: int
    in_force: RevisionName | None = None
    pinned: bool
    retired: bool
    setting: Setting | None = None


class Stations(Part, kw_only=True):
    """What ``stations`` prints."""

    format: Literal["evenstroke stations 1"]
    frames: Frames
    workstations: list[Station]


class Changes(Part, kw_only=True):
    """What ``changes`` prints."""

    format: Literal["evenstroke changes 1"]
    frames: Frames
    workstation: str
    from_: RevisionName = msgspec.field(name="from")
    to: RevisionName
    says: str
    changes: list[ChangedValue]


class Audit(Part, kw_only=True):
    """What ``audit`` prints: how many files are intact, and those that are not simply right."""

    format: Literal["evenstroke audit 1"]
    revisions: int
    entries: int
    rescued: int | None = None
    findings: list[Fault]


class ListedDisplay(Part, kw_only=True):
    """A connected display, or a file of one; ``facts`` is what it says of itself."""

    file: str | None = None
    connector: str | None = None
    in_use: bool | None = None
    facts: DisplayFacts | None = None
    problem: str | None = None


class Displays(Part, kw_only=True):
    """What ``displays`` prints."""

    format: Literal["evenstroke displays 1"]
    displays: list[ListedDisplay]


class ListedTablet(Part, kw_only=True):
    """A tablet that is plugged in, or a file of one, with its pens; its axes in counts and mm."""

    file: str | None = None
    node: str | None = None
    name: str | None = None
    pens: list[PenFacts]
    doubts: list[str]


class Tablets(Part, kw_only=True):
    """What ``tablets`` prints."""

    format: Literal["evenstroke tablets 1"]
    tablets: list[ListedTablet]


class DoctorDisplay(Part, kw_only=True):
    """A connected display; ``problem`` says why nothing is known of it."""

    connector: str
    title: str | None = None
    doubts: int | None = None
    problem: str | None = None


class DoctorMonitor(Part, kw_only=True):
    """A display of the running desktop."""

    name: str
    left_px: int
    top_px: int
    width_px: int
    height_px: int
    zoom: float
    primary: bool


class DoctorTablet(Part, kw_only=True):
    """A plugged-in tablet; its active area where it is known."""

    node: str
    width_mm: float | None = None
    height_mm: float | None = None


class DoctorLibrary(Part, kw_only=True):
    """The library of settings."""

    folder: str
    is_there: bool
    desks: int


class Doctor(Part, kw_only=True):
    """What ``doctor`` prints."""

    format: Literal["evenstroke doctor 1"]
    version: str | None = None
    python: str
    platform: str
    displays: list[DoctorDisplay] | None = None
    desktop: list[DoctorMonitor] | None = None
    tablets: list[DoctorTablet] | None = None
    library: DoctorLibrary | None = None
    browser: str | None = None
    glfw: str | None = None
    output_encoding: str | None = None
    free_mb: int
    problems: dict[str, list[str]]


#: Every format by its name, with the command that prints it.
FORMATS: dict[str, tuple[type[Part], str]] = {
    "report": (Report, "report"),
    "explain": (Explain, "explain"),
    "step-choices": (StepChoices, "map --step-choices"),
    "table": (Table, "table"),
    "check": (Check, "check"),
    "pair": (Pairs, "pair"),
    "wanted": (Wanted, "pair --want"),
    "seat": (Seat, "seat"),
    "travel": (TravelData, "travel"),
    "advise": (Advice, "advise"),
    "trace": (Traced, "trace"),
    "touch": (Touched, "touch"),
    "whole-tablet": (WholeTablet, "trace --whole-tablet, touch --whole-tablet"),
    "displays": (Displays, "displays"),
    "tablets": (Tablets, "tablets"),
    "doctor": (Doctor, "doctor"),
    "stations": (Stations, "stations"),
    "history": (History, "history"),
    "changes": (Changes, "changes"),
    "audit": (Audit, "audit"),
    "book": (Book, "book"),
    "book-grid": (BookGrid, "book --grid"),
    "band": (ComfortableBand, "band"),
    "band-sizes": (BandSizes, "band --sizes"),
    "plan-trials": (Plan, "plan-trials"),
}


def schema_of(name: str) -> dict[str, Any]:
    """The JSON Schema (2020-12) of the format ``name``.

    Each key has its description. Raises KeyError for one that has none.
    """
    schema = _without_null(msgspec.json.schema(FORMATS[name][0]))
    for name_of_part, part in schema["$defs"].items():
        # From Python 3.13 on docstrings come without their indentation.
        part["description"] = cleandoc(part.get("description", ""))
        for key, value in part.get("properties", {}).items():
            value["description"] = words_of(name_of_part, key)
    return {
        "$schema": DRAFT,
        "$id": f"https://evenstroke.invalid/{name}-1.schema.json",
        "title": f"Evenstroke {name}, format 1",
        **schema,
    }


def _without_null(schema: Any) -> Any:
    """The schema of the same data where nothing is null: what is not known is absent."""
    if isinstance(schema, list):
        return [_without_null(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {key: _without_null(value) for key, value in schema.items() if value is not None}
    options = [option for option in kept.pop("anyOf", []) if option != {"type": "null"}]
    if len(options) > 1:
        return {**kept, "anyOf": options}
    return {**kept, **options[0]} if options else kept


def page() -> str:
    """The page that lists the formats, as Markdown."""
    lines = [
        "# Formats of the data that commands print",
        "",
        "Made by `python -m gallery.data_formats`. Each schema (JSON Schema 2020-12) holds for",
        "`--as json` and `--as yaml` alike. `map` and `recall` print the profile itself, whose",
        "schema is [profile.schema.json](../../profiles/profile.schema.json).",
        "",
        "| `format` | printed by | schema |",
        "|---|---|---|",
        *(
            f"| `evenstroke {name} 1` | `{command}` | [{name}.schema.json]({name}.schema.json) |"
            for name, (_, command) in FORMATS.items()
        ),
        "",
        "Coordinates lie in one of these frames:",
        "",
        *(f"- `{name}`: {words}" for name, words in FRAMES.items()),
        "",
        "A rectangle is always `left`, `top`, `right`, `bottom`, `width` and `height`, in the unit",
        "of its key. Lengths, pixels, percentages and angles are written to a millionth of their",
        "unit, factors and matrices to nine significant digits.",
    ]
    return "\n".join(lines) + "\n"


def written_files() -> Iterator[tuple[str, str]]:
    """The files of ``gallery/formats``: the name of each and its text."""
    for name in FORMATS:
        text = msgspec.json.format(msgspec.json.encode(schema_of(name)), indent=2).decode()
        yield f"{name}.schema.json", f"{text}\n"
    yield "README.md", page()


if __name__ == "__main__":
    folder = Path(__file__).parent / "formats"
    folder.mkdir(exist_ok=True)
    for file, text in written_files():
        (folder / file).write_text(text, "utf-8")
