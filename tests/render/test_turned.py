"""A turned tablet.

The rotation is to be set too, which way, and which of the two rectangles is entered.
"""

from datetime import date

import pytest

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.solving import solve
from profiles.format.document import Workstation
from render.pages.wall_sheet import wall_sheet
from render.pictures.preview import preview_scene
from render.reports.text import map_text

WAYS = {90: "90 degrees to the right", 180: "180 degrees", 270: "90 degrees to the left"}


def turned(turn_deg):
    display = Display(1440, 2560).with_diagonal(27 * 25.4)
    return solve(MapRequest(Tablet(240, 152, turn_deg=turn_deg), Desktop((display,))))


def words_of(scene):
    return " ".join(
        [scene.description, *(mark.text for mark in scene.marks if hasattr(mark, "text"))]
    )


@pytest.mark.parametrize("turn_deg", WAYS)
def test_report_picture_and_wall_sheet_say_to_set_the_rotation_and_which_way(turn_deg):
    solved = turned(turn_deg)
    told = f"Also set the rotation in the tablet's settings: turned {WAYS[turn_deg]}."
    day = date(2026, 3, 15)
    assert told in map_text(solved)
    for scene in (preview_scene(solved), wall_sheet(Workstation("desk", solved), day)):
        assert told in words_of(scene)


@pytest.mark.parametrize("turn_deg", WAYS)
def test_the_corner_that_is_named_is_where_the_built_one_lies(turn_deg):
    """By the map itself: where the built origin comes to lie in what is seen."""
    solved = turned(turn_deg)
    tablet = solved.request.tablet
    x, y = tablet.built_to_seen.point(0.0, 0.0)
    seen = tablet.active_seen_mm
    corner = f"{'bottom' if y == seen.height else 'top'} {'right' if x == seen.width else 'left'}"
    assert f"now at the {corner}" in map_text(solved)


def test_a_tablet_that_lies_straight_is_told_nothing_of_it():
    solved = turned(0)
    assert "rotation" not in map_text(solved)
    assert "rotation" not in words_of(preview_scene(solved))
