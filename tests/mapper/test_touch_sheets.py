"""The sheets of crosses that somebody touches: places in both frames, order, refusals."""

import pytest

from mapper.problems import RequestError
from mapper.touching.sheets import SHEETS, grid_sheet, sheet_of
from tests.touched import meant_map


@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_sheets_are_counted_as_the_tablet_is_seen_and_fitted_as_it_was_built(turn_deg):
    meant = meant_map(turn_deg=turn_deg)
    # The turn, written by hand: what is seen at (x, y) of a 240 x 152 mm tablet.
    built = {
        0: lambda x, y: (x, y),
        90: lambda x, y: (y, 152 - x),
        180: lambda x, y: (240 - x, 152 - y),
        270: lambda x, y: (240 - y, x),
    }[turn_deg]
    for kind in SHEETS:
        dots = [(20, 20), (100, 20), (20, 130), (100, 130)]
        sheet = sheet_of(kind, meant, dots_seen_mm=dots)
        assert [pytest.approx(built(*each)) for each in sheet.seen_mm] == list(sheet.built_mm)
    squared = sheet_of("squared", meant)
    assert all(side % 5 == 0 for place in squared.seen_mm for side in place)
    assert len(set(squared.seen_mm)) == 9


def test_four_dots_are_touched_twice_and_the_printed_sheet_lies_where_the_tablet_does():
    meant = meant_map()
    assert sheet_of("marks", meant).numbers == (1, 2, 3, 4, 1, 2, 3, 4)
    assert not sheet_of("printed", meant, anywhere=True).anywhere
    assert sheet_of("squared", meant, anywhere=True).anywhere
    far = [(20, 20), (900, 20), (20, 130), (900, 130)]
    assert sheet_of("dots", meant, dots_seen_mm=far, anywhere=True).anywhere


def test_dots_may_lie_on_the_very_edges_of_the_active_area():
    corners = [(0, 0), (240, 0), (0, 152), (240, 152)]
    assert sheet_of("dots", meant_map(), dots_seen_mm=corners).seen_mm == (*corners, *corners)


FAR = [(20, 20), (902.5, 21.5), (20, 130), (900, 130)]
REFUSED = [
    (
        lambda: sheet_of("dots", meant_map(), dots_seen_mm=FAR),
        "dot: must lie on the active area, 240 × 152 mm as you see it; got 902.5, 21.5",
    ),
    (
        lambda: sheet_of("dots", meant_map(), dots_seen_mm=[*FAR[:3], FAR[0]]),
        "sheet: must have at least 4 dots at different places; got 3",
    ),
    (
        lambda: sheet_of("napkin", meant_map()),
        'sheet: must be one of printed, squared, dots, marks; got "napkin"',
    ),
    (
        lambda: grid_sheet(180.5, 10.25),
        "paper: must be at least 20 mm both ways; got 180.5 × 10.25 mm",
    ),
]


@pytest.mark.parametrize(("make", "words"), REFUSED)
def test_a_sheet_that_cannot_be_is_refused_in_words(make, words):
    with pytest.raises(RequestError) as refused:
        make()
    assert str(refused.value) == words


def test_squared_paper_for_a_tablet_of_unknown_size_has_nine_crossings():
    sheet = grid_sheet(240, 152)
    assert sheet.seen_mm == sheet.built_mm
    assert sheet.numbers == (1, 2, 3, 4, 5, 6, 7, 8, 9)
    assert sheet.anywhere
    # A tenth, a half and nine tenths of each side, to whole squares of 5 mm.
    assert sheet.seen_mm == tuple((x, y) for y in (15, 75, 135) for x in (25, 120, 215))
