"""What a map leaves out and how fine it is, and the whole desktop.

Against pixels and counts that are counted.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from mapper.affine import Affine
from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.reach import dead_strips_mm, display_reach, fineness, shown_percent
from mapper.mapping.solve import MapRequest
from mapper.mapping.whole_desktop import separate_displays, whole_desktop
from mapper.rect import Rect
from mapper.solving import solve
from tests.strategies import any_requests

TWO = Desktop(
    (
        Display(2560, 1440, 600, 340),
        Display(1080, 1920, 300, 530, left_px=2560, top_px=-240, label="side"),
    )
)


def test_strips_by_hand():
    solved = solve(MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),))))
    built, seen = dead_strips_mm(solved)
    assert tuple(built) == tuple(seen) == (0, 8.5, 0, 8.5)
    # Turned by 90 degrees what is at the left as built is seen at the top.
    solved = solve(
        MapRequest(Tablet(240, 152, turn_deg=90), Desktop((Display(2560, 1440),)), hold="top")
    )
    built, seen = dead_strips_mm(solved)
    assert tuple(seen) == (0, 0, 0, pytest.approx(240 - 152 / 16 * 9))
    assert tuple(built) == (0, 0, pytest.approx(240 - 152 / 16 * 9), 0)
    assert built.any
    solved = solve(MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),)), "cropped", "left"))
    (reach,) = display_reach(solved)
    width = 1440 / 152 * 240
    assert tuple(reach.missed_px) == pytest.approx((0, 0, 2560 - width, 0))
    assert reach.missed_percent == pytest.approx((1 - width / 2560) * 100)


@pytest.mark.oracle
@given(any_requests(sized=True))
def test_the_parts_of_the_displays_are_what_shapely_cuts(request):
    solved = solve(request)
    screen = box(*edges(solved.screen_px))
    to_px = solved.built_mm_to_desktop_px
    shown = 0.0
    for reach, display in zip(display_reach(solved), solved.request.desktop.displays, strict=True):
        glass = box(*edges(display.rect_px))
        cut = screen.intersection(glass)
        if reach.part_px is None:
            assert cut.area == 0
            assert reach.missed_percent == 100
            continue
        shown += cut.area
        assert cut.area == pytest.approx(reach.part_px.width * reach.part_px.height)
        assert reach.missed_percent == pytest.approx(100 * (1 - cut.area / glass.area), abs=1e-6)
        if not solved.area_angle_deg:
            # The part of the tablet, sent through the map, is the part of the display.
            sent = Polygon([to_px.point(x, y) for x, y in reach.area_built_mm.corners])
            assert sent.symmetric_difference(cut).area <= 1e-6 * cut.area + 1e-6
    assert shown_percent(solved) == pytest.approx(100 * shown / screen.area)


def edges(rect):
    return rect.left, rect.top, rect.right, rect.bottom


@given(any_requests())
def test_a_map_through_the_desktop_is_the_map_through_the_display(request):
    solved = solve(request)
    whole = whole_desktop(solved)
    area = whole.area_built_mm
    # What a driver makes of this area and the whole desktop, from the corners alone.
    through = Affine.between(
        solved.request.tablet.seen_rect_mm(area), solved.request.desktop.rect_px
    )
    if solved.area_angle_deg:
        seen = solved.request.tablet.seen_rect_mm(area)
        through = through @ Affine.rotation_about(-solved.area_angle_deg, *seen.centre)
    through = through @ solved.request.tablet.built_to_seen
    direct = solved.built_mm_to_desktop_px
    size = max(map(abs, (*direct.linear, direct.c, direct.f, 1.0)))
    for name in "abcdef":
        assert getattr(through, name) == pytest.approx(
            getattr(direct, name), rel=1e-9, abs=1e-8 * size
        )


def test_the_whole_desktops_area_by_hand():
    # 300 of 600 mm for 2560 px is 8.533 px a mm; 3640 px of desktop need 426.5625 mm, and 1920 px
    # down 225 mm.
    tablet = Tablet(600, 400)
    solved = solve(MapRequest(tablet, TWO, "full", within_built_mm=Rect(100, 100, 300, 168.75)))
    whole = whole_desktop(solved)
    assert whole.possible
    assert edges(whole.area_built_mm) == pytest.approx(
        (100, 100 - 28.125, 526.5625, 100 - 28.125 + 225)
    )
    assert not whole.beyond_mm.any
    solved = solve(MapRequest(Tablet(300, 168.75), TWO, "full"))
    whole = whole_desktop(solved)
    assert not whole.possible
    assert tuple(whole.beyond_mm) == pytest.approx((0, 28.125, 126.5625, 28.125))


@pytest.mark.oracle
@given(st.integers(1, 40), st.integers(1, 40))
def test_the_smallest_movement_is_the_one_that_moves_a_pixel_wherever_it_starts(counts, pixels):
    # One millimetre of tablet: so many counts, so many pixels; a display as small as that.
    solved = solve(MapRequest(Tablet(1, 1, counts), Desktop((Display(pixels, pixels),))))
    fine = fineness(solved)

    def moves(step):
        """Whether every movement by ``step`` counts ends on another pixel.

        From any count of a long row.
        """
        return all(
            (each + step) * pixels // counts != each * pixels // counts for each in range(counts)
        )

    smallest = next(step for step in range(1, 100) if moves(step))
    assert fine.smallest_mm[0] * counts == pytest.approx(smallest)
    assert fine.counts_per_px == pytest.approx((counts / pixels, counts / pixels))
    # Fewer counts than pixels: some pixels are under no count at all.
    hit = {each * pixels // counts for each in range(counts)}
    assert fine.skips == (len(hit) < pixels)


def test_without_a_resolution_only_lengths_are_known():
    fine = fineness(solve(MapRequest(Tablet(240, 152), Desktop((Display(2560, 1440),)))))
    assert fine.hand_mm_per_px == pytest.approx((0.09375, 0.09375))
    assert fine.smallest_mm == fine.hand_mm_per_px
    assert fine.counts_per_px is None
    assert not fine.skips


def test_displays_that_stand_apart_are_named():
    displays = (
        Display(100, 100),
        Display(100, 100, left_px=100, label="touching"),
        Display(100, 100, left_px=300, label="apart"),
    )
    solved = solve(MapRequest(Tablet(100, 50), Desktop(displays)))
    assert separate_displays(solved) == (("apart",),)


def test_a_turned_area_leaves_the_strips_beside_its_box():
    solved = solve(
        MapRequest(Tablet(300, 100, slant_deg=30), Desktop((Display(100, 100),)), hold="left")
    )
    built, _ = dead_strips_mm(solved)
    corners = solved.area_corners_seen_mm
    assert tuple(built) == pytest.approx(
        (min(x for x, _ in corners), 0, 300 - max(x for x, _ in corners), 0), abs=1e-9
    )
    assert math.isclose(max(y for _, y in corners), 100)


def test_a_turned_area_for_the_whole_desktop_overhangs_by_its_box():
    """By the corners of the wider area once it is turned about its own centre."""
    two = Desktop((Display(100, 100), Display(100, 100, left_px=100, label="side")))
    tablet = Tablet(120, 100, slant_deg=20)
    solved = solve(MapRequest(tablet, two, hold="left"))
    whole = whole_desktop(solved)
    area, angle = whole.area_built_mm, math.radians(solved.area_angle_deg)
    x, y = area.centre
    wide = area.width * abs(math.cos(angle)) + area.height * abs(math.sin(angle))
    high = area.width * abs(math.sin(angle)) + area.height * abs(math.cos(angle))
    assert area.width == pytest.approx(2 * area.height)
    beyond = (wide / 2 - x, high / 2 - y, x + wide / 2 - 120, y + high / 2 - 100)
    assert max(beyond) > 1
    assert tuple(whole.beyond_mm) == pytest.approx([max(0.0, each) for each in beyond], abs=1e-9)
    assert not whole.possible


def test_how_fine_the_hand_has_to_be_by_hand():
    """240 x 152 mm for 2000 x 4000 px at 20 counts a mm: 2.4 counts a pixel across, 0.76 down.

    The least that the pen can tell apart across is 3 counts, and down one, so that pixels are
    skipped.
    """
    desktop = Desktop((Display(2000, 4000),))
    found = fineness(solve(MapRequest(Tablet(240, 152, 20), desktop, "full")))
    assert found.hand_mm_per_px == pytest.approx((0.12, 0.038))
    assert found.counts_per_px == pytest.approx((2.4, 0.76))
    assert found.smallest_mm == pytest.approx((0.15, 0.05))
    assert found.skips
