"""Paper that fits the tablet: active area and area to use, with shapes to trace, crosses to touch.

A master is one drawing in mm as the artist sees the tablet, with a margin around it; pages are
windows on it, several where it is large. Shapes and crosses have a master each.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mapper.affine import Affine
from mapper.paths import Outline
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, one_of
from mapper.rect import Rect
from mapper.touching.crosses import crosses
from render.canvas.lettering import fitted, wrapped
from render.canvas.scene import Easel, Scene, Shape, Text
from render.canvas.theme import style
from render.sentences.say import Name, paragraph, say, scraps
from render.sentences.words import number, plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.mapping.solve import TabletMap

#: ISO 216 A4 and A3, ANSI/ASME Y14.1 letter: width and height upright.
PAPERS_MM = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4)}

#: The rule that shows whether the print has its true size.
RULE_MM = 100.0

# What printers commonly leave blank is about 5 mm (common practice, no source).
EDGE_MM = 9.0
FOOT_MM = 18.0
OVERLAP_MM = 12.0
# Around the active area: tape, labels of the frames, the hold.
AROUND_MM = 15.0
SMALLEST_SHAPE_MM = 10.0
LARGEST_SHAPE_MM = 60.0


@dataclass(frozen=True, slots=True)
class StencilShape:
    """A shape to trace: ``kind`` circle or square, ``size_mm`` across, its centre in seen mm."""

    kind: str
    size_mm: float
    centre_x_mm: float
    centre_y_mm: float

    @property
    def words(self) -> str:
        """The shape as ``evenstroke trace --of`` reads it."""
        return (
            f"{self.kind} {plain(self.size_mm, 1)}mm at "
            f"{plain(self.centre_x_mm, 1)},{plain(self.centre_y_mm, 1)}mm"
        )


@dataclass(frozen=True, slots=True)
class StencilSheet:
    """What the pages depend on besides the map.

    ``workstation`` is its name, ``paper`` the size of a page, ``hand`` the one that draws, right or
    left.
    """

    workstation: str
    paper: str = "a4"
    hand: str = "right"


def probes(area_seen_mm: Rect) -> tuple[StencilShape, ...]:
    """Two large and two small shapes along the longer side of the area, on whole millimetres.

    There are fewer where there is no room.
    """
    gap = 8.0
    upright = area_seen_mm.height > area_seen_mm.width
    long_mm, short_mm = (
        max(area_seen_mm.width, area_seen_mm.height),
        min(area_seen_mm.width, area_seen_mm.height),
    )
    # Words stand at the foot of the area, in the way of an upright row alone.
    long_mm -= 10.0 if upright else 0.0
    for count in (4, 2):
        # Large, large, small, small of half the size, with gaps between and at the ends.
        widths = 3.0 if count == 4 else 2.0
        room = (long_mm - (count + 1) * gap) / widths
        large = min(LARGEST_SHAPE_MM, 5.0 * math.floor(min(room, short_mm - 16.0) / 5.0))
        if large < SMALLEST_SHAPE_MM * (2 if count == 4 else 1):
            continue
        small = large / 2
        sizes = ([large, large, small, small] if count == 4 else [large, large])[:count]
        free = (long_mm - sum(sizes)) / (count + 1)
        across, down = area_seen_mm.centre
        at = (area_seen_mm.top if upright else area_seen_mm.left) + free
        row = []
        for size, kind in zip(sizes, ("circle", "square", "circle", "square"), strict=False):
            x, y = (across, at + size / 2) if upright else (at + size / 2, down)
            row.append(StencilShape(kind, size, round(x), round(y)))
            at += size + free
        return tuple(row)
    return ()


def stencil_pages(solved: TabletMap, sheet: StencilSheet) -> list[Scene]:
    """The pages of the stencil, true to size: the shapes to trace.

    Raises RequestError for an unknown paper or hand.
    """
    return _pages_of(_master, solved, sheet)


def cross_pages(solved: TabletMap, sheet: StencilSheet) -> list[Scene]:
    """The pages with the numbered crosses to touch (``mapper.touching.crosses``), true to size.

    Raises RequestError for an unknown paper or hand.
    """
    return _pages_of(_cross_master, solved, sheet)


def _pages_of(
    draw: Callable[[TabletMap, StencilSheet], Scene], solved: TabletMap, sheet: StencilSheet
) -> list[Scene]:
    one_of(sheet.paper, PAPERS_MM, "paper")
    one_of(sheet.hand, ("right", "left"), "hand")
    master = draw(solved, sheet)
    paper, windows = _paper_and_windows(master.width_mm, master.height_mm, PAPERS_MM[sheet.paper])
    texts = [_window_for_text(mark, windows) for mark in master.marks if isinstance(mark, Text)]
    return [
        _page(
            master,
            sheet,
            paper,
            windows=windows,
            index=index,
            texts=[text for page, text in texts if page == index],
        )
        for index in range(len(windows))
    ]


def _begun(solved: TabletMap, sheet: StencilSheet) -> tuple[Easel, Affine]:
    """A master with the edges, where to tape and hold it; and the map from seen mm to it."""
    active = solved.request.tablet.active_seen_mm
    easel = Easel(active.width + 2 * AROUND_MM, active.height + 2 * AROUND_MM)
    to_master = Affine(1, 0, AROUND_MM, 0, 1, AROUND_MM)
    on_master = to_master.rect(active)
    if not _is_whole(solved):
        easel.polygon(
            [to_master.point(x, y) for x, y in solved.area_corners_seen_mm], "stencil-area"
        )
    easel.rect(on_master, "stencil-edge")
    _draw_tape_places(easel, on_master)
    _draw_hold(easel, on_master, sheet.hand)
    return easel, to_master


def _is_whole(solved: TabletMap) -> bool:
    active = solved.request.tablet.active_seen_mm
    return solved.area_seen_mm == active and not solved.area_angle_deg


def _cross_master(solved: TabletMap, sheet: StencilSheet) -> Scene:
    easel, to_master = _begun(solved, sheet)
    tablet = solved.request.tablet
    _draw_top(easel, to_master.rect(tablet.active_seen_mm), say("top, as you see it"))
    places = [tablet.built_to_seen.point(*cross) for cross in crosses(solved)]
    middle_y = to_master.rect(solved.area_seen_mm).centre[1]
    middle_x = to_master.rect(tablet.active_seen_mm).centre[0]
    for index, place in enumerate(places, 1):
        x, y = to_master.point(*place)
        _draw_cross(easel, x, y)
        # On the inner side, so that no number stands on an edge of the area.
        below = 5.2 if y < middle_y else -2.2
        easel.text(str(index), x + 2.2, y + below, "label", em_mm=4.2)
    lines = (
        say("Tape it down with this frame on the edges of the active area."),
        say("Touch 1 to {last} in this order, the pen upright.", last=str(len(places))),
    )
    for index, line in enumerate(lines):
        em_mm = fitted(line, 3.2, tablet.active_seen_mm.width - 4)
        y = easel.height_mm - AROUND_MM + 5.5 + index * 4.2
        easel.text(line, middle_x, y, "note", anchor="middle", em_mm=em_mm)
    words = paragraph(lines)
    title = say("Crosses to touch, for {desk}", desk=Name(sheet.workstation))
    at = ", ".join(f"{number(x, 1)} {number(y, 1)}" for x, y in places)
    return easel.scene(
        title=title,
        description=say(
            "{title}. {words} Their places as you see the tablet, mm across and down: {places}.",
            title=title,
            words=words,
            places=at,
        ),
    )


def _master(solved: TabletMap, sheet: StencilSheet) -> Scene:
    easel, to_master = _begun(solved, sheet)
    tablet, whole = solved.request.tablet, _is_whole(solved)
    _draw_frames(easel, solved, to_master)
    row = probes(solved.area_seen_mm)
    for shape in row:
        _draw_shape(easel, shape, to_master)
    middle = solved.area_seen_mm.centre
    # Its place is known from the shapes; over one of them it would only hide what is written there.
    if all(
        max(abs(middle[0] - each.centre_x_mm), abs(middle[1] - each.centre_y_mm))
        > each.size_mm / 2 + 5
        for each in row
    ):
        _draw_cross(easel, *to_master.point(*middle))
    area = solved.area_built_mm
    slots = {
        "active": f"{number(tablet.width_mm, 2)} × {number(tablet.height_mm, 2)} mm",
        "size": f"{number(area.width, 2)} × {number(area.height, 2)} mm",
        "left": number(area.left, 2),
        "top": number(area.top, 2),
        "degrees": number(solved.area_angle_deg, 1),
    }
    words = say("Active area {active}; use all of it.", **slots)
    if solved.area_angle_deg:
        words = say(
            "Active area {active}; use {size}, {left} mm from the left and {top} mm from the top "
            "of the tablet when it is not turned; the area is turned by {degrees} degrees.",
            **slots,
        )
    elif not whole:
        words = say(
            "Active area {active}; use {size}, {left} mm from the left and {top} mm from the top "
            "of the tablet when it is not turned.",
            **slots,
        )
    room = solved.area_seen_mm.width - 8
    corner = to_master.point(solved.area_seen_mm.left + 4, solved.area_seen_mm.bottom - 4)
    if not solved.area_angle_deg:
        for line in reversed(wrapped(words, style("note").em_mm, min(room, 150.0))):
            easel.text(line, *corner, "note")
            corner = corner[0], corner[1] - 4.6
    title = say("Stencil for {desk}", desk=Name(sheet.workstation))
    sentences = [say("{title}.", title=title), words]
    if row:
        sentences.append(
            say(
                "Shapes to trace, places as you see the tablet: {shapes}.",
                shapes=scraps([shape.words for shape in row]),
            )
        )
    return easel.scene(title=title, description=paragraph(sentences))


def _draw_tape_places(easel: Easel, active: Rect) -> None:
    """Draw corner brackets outside the active area, and where to put four strips of tape."""
    for x, y in active.corners:
        out_x, out_y = (-1 if x == active.left else 1), (-1 if y == active.top else 1)
        for along in ((1, 0), (0, 1)):
            start = (x + out_x * 1.5 * along[0], y + out_y * 1.5 * along[1])
            end = (x + out_x * 8 * along[0], y + out_y * 8 * along[1])
            easel.line([start, end], "stencil-mark")
        box = Rect(min(x, x + out_x * 11) + 1.0 * (out_x > 0), min(y, y + out_y * 11), 10, 10)
        easel.text(
            say("tape"),
            box.centre[0] + out_x * 1,
            box.centre[1] + out_y * 2.6,
            "note",
            anchor="middle",
            level="middle",
            em_mm=2.6,
        )


def _draw_cross(easel: Easel, x: float, y: float) -> None:
    easel.line([(x - 4, y), (x + 4, y)], "stencil-mark")
    easel.line([(x, y - 4), (x, y + 4)], "stencil-mark")


def _draw_hold(easel: Easel, active: Rect, hand: str) -> None:
    """Draw where the other hand holds the sheet, outside of what the pen feels."""
    middle = active.top + active.height / 2
    high = min(60.0, active.height * 0.6)
    left = active.left - 12 if hand == "right" else active.right + 4
    box = Rect(left, middle - high / 2, 8, high)
    easel.rect(box, "stencil-hold", radius=4)
    easel.text(
        say("hold here"),
        box.left + 4,
        middle,
        "note",
        anchor="middle",
        level="middle",
        turn_deg=-90,
        em_mm=3.0,
    )


def _draw_frames(easel: Easel, solved: TabletMap, to_master: Affine) -> None:
    """Draw origin and axes of the tablet as it is seen, and as it was built where that differs."""
    tablet = solved.request.tablet
    if tablet.turn_deg:
        _draw_axes(easel, to_master, say("0,0 as you see it"))
        _draw_axes(easel, to_master @ tablet.built_to_seen, say("0,0 when not turned"))
        words = say("top, as you see it")
    else:
        _draw_axes(easel, to_master, say("0,0"))
        words = say("top")
    _draw_top(easel, to_master.rect(tablet.active_seen_mm), words)
    if tablet.turn_deg:
        frame = to_master @ tablet.built_to_seen
        out_x, out_y = frame.vector(0, -1)
        tip = frame.point(tablet.width_mm / 2, 0)
        turn = {90: 90.0, 180: 0.0, 270: -90.0}[tablet.turn_deg]
        # Inside the edge, so that it stands clear of the hold.
        x, y = tip[0] - out_x * 4, tip[1] - out_y * 4
        easel.text(
            say("top edge when not turned"),
            x,
            y,
            "label",
            anchor="middle",
            level="middle",
            turn_deg=turn,
            em_mm=3.2,
        )


def _draw_top(easel: Easel, active: Rect, words: str) -> None:
    """Draw which edge is the upper one."""
    x = active.centre[0]
    easel.polygon(
        [(x, active.top - 11.5), (x - 1.8, active.top - 8.5), (x + 1.8, active.top - 8.5)],
        "arrow-head",
    )
    easel.text(words, x, active.top - 3.4, "label", anchor="middle", em_mm=3.2)


def _draw_axes(easel: Easel, frame: Affine, label: str) -> None:
    """Draw two short arrows from the origin, a little inside, with the frame's name."""
    inset, reach = 3.0, 12.0
    origin = frame.point(inset, inset)
    for end in ((inset + reach, inset), (inset, inset + reach)):
        tip = frame.point(*end)
        easel.line([origin, tip], "stencil-mark")
        along = ((tip[0] - origin[0]) / reach, (tip[1] - origin[1]) / reach)
        back = (tip[0] - along[0] * 2, tip[1] - along[1] * 2)
        easel.polygon(
            [
                tip,
                (back[0] - along[1] * 0.9, back[1] + along[0] * 0.9),
                (back[0] + along[1] * 0.9, back[1] - along[0] * 0.9),
            ],
            "arrow-head",
        )
    # Past the arrow that lies flat on the page, in its direction.
    flat = (inset + reach + 2, inset) if abs(frame.a) > abs(frame.b) else (inset, inset + reach + 2)
    x, y = frame.point(*flat)
    anchor = "start" if x > origin[0] else "end"
    easel.text(label, x, y, "label", anchor=anchor, level="middle", em_mm=3.2)


def _draw_shape(easel: Easel, shape: StencilShape, to_master: Affine) -> None:
    x, y = to_master.point(shape.centre_x_mm, shape.centre_y_mm)
    half = shape.size_mm / 2
    if shape.kind == "circle":
        easel.shape(Outline.circle(x, y, half), "stencil-trace")
    else:
        easel.rect(Rect(x - half, y - half, shape.size_mm, shape.size_mm), "stencil-trace")
    em = 3.2
    mm = number(shape.size_mm, 1)
    x_mm, y_mm = number(shape.centre_x_mm, 1), number(shape.centre_y_mm, 1)
    lines = (
        say("circle {mm} mm", mm=mm) if shape.kind == "circle" else say("square {mm} mm", mm=mm),
        say("at {left}, {top}", left=x_mm, top=y_mm),
    )
    for index, line in enumerate(lines):
        em_mm = fitted(line, em, shape.size_mm * 0.8)
        easel.text(
            line,
            x,
            y + (index * 2 - 1) * 2.6 + (9.5 if half > 18 else 0),
            "note",
            anchor="middle",
            level="middle",
            em_mm=em_mm,
        )


def _paper_and_windows(
    width_mm: float, height_mm: float, paper_mm: tuple[float, float]
) -> tuple[tuple[float, float], list[Rect]]:
    """The paper size as it is turned, and the windows on the master, row by row.

    The turn with the fewer pages is taken.
    """
    best: tuple[int, float, tuple[float, float], list[Rect]] | None = None
    for turned in (paper_mm, paper_mm[::-1]):
        room_x, room_y = turned[0] - 2 * EDGE_MM, turned[1] - EDGE_MM - FOOT_MM
        columns, rows = _page_count(width_mm, room_x), _page_count(height_mm, room_y)
        width, height = _page_length_mm(columns, width_mm), _page_length_mm(rows, height_mm)
        windows = [
            Rect(column * (width - OVERLAP_MM), row * (height - OVERLAP_MM), width, height)
            for row in range(rows)
            for column in range(columns)
        ]
        spare = columns * rows * turned[0] * turned[1] - width_mm * height_mm
        choice = (columns * rows, spare, turned, windows)
        if best is None or choice[:2] < best[:2]:
            best = choice
    if best is None:
        raise RequestError(Problem("paper", phrase("must have room")))
    return best[2], best[3]


def _page_count(length_mm: float, room_mm: float) -> int:
    return max(1, math.ceil((length_mm - OVERLAP_MM) / (room_mm - OVERLAP_MM) - 1e-9))


def _page_length_mm(count: int, length_mm: float) -> float:
    """The length of each of ``count`` equal pages that cover ``length_mm`` with their overlaps."""
    return (length_mm + (count - 1) * OVERLAP_MM) / count


def _page(
    master: Scene,
    sheet: StencilSheet,
    paper_mm: tuple[float, float],
    *,
    windows: list[Rect],
    index: int,
    texts: list[Text],
) -> Scene:
    """One page: the shapes of the master in its window, and the ``texts`` that stand there."""
    window = windows[index]
    easel = Easel(*paper_mm)
    left = (paper_mm[0] - window.width) / 2
    top = (
        EDGE_MM + (paper_mm[1] - EDGE_MM - FOOT_MM - window.height) / 2
        if len(windows) == 1
        else EDGE_MM
    )
    shift_x, shift_y = left - window.left, top - window.top
    place = Rect(left, top, window.width, window.height)
    to_page = Affine(1, 0, shift_x, 0, 1, shift_y)
    shapes = [mark for mark in master.marks if isinstance(mark, Shape)]
    marks: list[Shape | Text] = [
        replace(each, outline=each.outline.through(to_page), clip=place) for each in shapes
    ]
    marks += [replace(each, x_mm=each.x_mm + shift_x, y_mm=each.y_mm + shift_y) for each in texts]
    if len(windows) > 1:
        _draw_joins(easel, window, windows, to_page, place)
    _draw_foot(easel, sheet, paper_mm, index, windows)
    own = easel.scene(title=master.title, description=master.description)
    return replace(own, marks=(*marks, *own.marks))


def _window_for_text(text: Text, windows: list[Rect]) -> tuple[int, Text]:
    """The window in which a text is shown.

    That is the first that holds ``text`` whole, clear of where pages are glued; else the one that
    holds its middle, with the text moved inside.
    """
    box = text.box_mm
    clear_windows = [_clear_of_joins(window, windows) for window in windows]
    for index, each in enumerate(clear_windows):
        if (
            each.left <= box[0]
            and each.top <= box[1]
            and box[2] <= each.right
            and box[3] <= each.bottom
        ):
            return index, text
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    index = next(
        at
        for at, each in enumerate(windows)
        if each.left <= x <= each.right and each.top <= y <= each.bottom
    )
    room = clear_windows[index]
    move_x = max(room.left - box[0], 0) - max(box[2] - room.right, 0)
    move_y = max(room.top - box[1], 0) - max(box[3] - room.bottom, 0)
    return index, replace(text, x_mm=text.x_mm + move_x, y_mm=text.y_mm + move_y)


def _clear_of_joins(window: Rect, windows: list[Rect]) -> Rect:
    """``window`` up to the lines along which it is glued to its neighbours, less a small margin."""
    off = OVERLAP_MM / 2 + 1.0
    left = window.left + off * any(other.left < window.left for other in windows)
    top = window.top + off * any(other.top < window.top for other in windows)
    right = window.right - off * any(other.right > window.right for other in windows)
    bottom = window.bottom - off * any(other.bottom > window.bottom for other in windows)
    return Rect(left, top, right - left, bottom - top)


def _draw_joins(
    easel: Easel, window: Rect, windows: list[Rect], to_page: Affine, place: Rect
) -> None:
    """Draw matching crosses, and the line to glue to, in every strip that two pages share."""
    for other in windows:
        shared = window.overlap(other)
        if other == window or shared is None:
            continue
        beside = shared.width < shared.height
        if (
            min(shared.width, shared.height) < OVERLAP_MM - 1e-6
            or abs(shared.width - shared.height) < 1e-6
        ):
            # Pages that meet at a corner alone.
            continue
        strip = to_page.rect(shared)
        x, y = strip.centre
        if beside:
            easel.line([(x, strip.top), (x, strip.bottom)], "stencil-join", clip=place)
            crosses = [(x, strip.top + strip.height * share) for share in (0.12, 0.88)]
        else:
            easel.line([(strip.left, y), (strip.right, y)], "stencil-join", clip=place)
            crosses = [(strip.left + strip.width * share, y) for share in (0.12, 0.88)]
        for cx, cy in crosses:
            easel.shape(Outline.circle(cx, cy, 2.2), "stencil-mark")
            _draw_cross(easel, cx, cy)


def _draw_foot(
    easel: Easel,
    sheet: StencilSheet,
    paper_mm: tuple[float, float],
    index: int,
    windows: list[Rect],
) -> None:
    """Draw the rule that shows whether the print has its true size, and which page this is."""
    y = paper_mm[1] - 11.0
    left = EDGE_MM + 1.0
    easel.line([(left, y), (left + RULE_MM, y)], "stencil-rule")
    for tick in range(101):
        height = 1.6
        if tick % 5 == 0:
            height = 4.0 if tick % 10 == 0 else 2.8
        easel.line([(left + tick, y), (left + tick, y - height)], "stencil-tick")
    for tick in (0, 50, 100):
        easel.text(f"{tick}", left + tick, y + 3.4, "note", anchor="middle", em_mm=2.8)
    x = left + RULE_MM + 7
    room = paper_mm[0] - EDGE_MM - x
    columns = len({round(window.left, 6) for window in windows})
    slots = {
        "desk": Name(sheet.workstation),
        "page": str(index + 1),
        "pages": str(len(windows)),
        "row": str(index // columns + 1),
        "column": str(index % columns + 1),
    }
    tile = say("{desk} · page {page} of {pages}", **slots)
    if len(windows) > 1:
        tile = say(
            "{desk} · page {page} of {pages}: row {row}, column {column}; put the corner crosses "
            "on each other and glue along the dashed lines",
            **slots,
        )
    lines = [
        (say("Print at 100 %, not fitted to the page: this line must measure 100 mm."), "label"),
        (tile, "note"),
    ]
    with easel.block(x, room):
        for row, (line, role) in enumerate(lines):
            em = fitted(line, 3.0, room)
            easel.text(line, x, y - 1.2 + row * 4.4, role, em_mm=em)
