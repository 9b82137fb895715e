"""The preview in numbers: one scale for both, the circle where the map puts it, nothing over anything else."""

import pytest
from hypothesis import given, settings

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.problems import RequestError
from mapper.solving import solve
from render.pictures.preview import preview_scene
from tests.strategies import requests


def mapped(tablet, *displays, **asked):
    return solve(MapRequest(tablet, Desktop(displays), **asked))


@pytest.fixture
def locked():
    return mapped(Tablet(240, 152), Display(2560, 1440).with_diagonal(27 * 25.4))


@pytest.fixture
def full():
    return mapped(Tablet(240, 152), Display(2560, 1440).with_diagonal(27 * 25.4), fit="full")


def extent(shape):
    left, top, right, bottom = shape.outline.bounds
    return right - left, bottom - top


def on_curve(shape):
    """The points of a circle that lie on the curve: the ends of its pieces."""
    return [command[-2:] for command in shape.outline.commands if command[0] in "MC"]


def span(shape):
    xs, ys = zip(*on_curve(shape), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def test_tablet_and_screen_are_to_one_scale(full):
    scene = preview_scene(full)
    area, screen = (extent(scene.shapes(role)[0]) for role in ("area-edge", "screen-edge"))
    display = full.reference
    assert screen[0] / area[0] == pytest.approx(display.width_mm / 240)
    assert screen[1] / area[1] == pytest.approx(display.height_mm / 152)


def test_the_circle_comes_out_as_the_figures_say(full):
    scene = preview_scene(full)
    hand, result, ghost = (span(scene.shapes(role)[0]) for role in ("hand", "result", "ghost"))
    figures = full.figures[0].distortion
    assert hand[0] == pytest.approx(hand[1])
    assert result[0] / hand[0] == pytest.approx(figures.scale_x)
    assert result[1] / hand[1] == pytest.approx(figures.scale_y)
    assert ghost == pytest.approx((result[1], result[1]))
    assert 100 * (result[0] / result[1] - 1) == pytest.approx(figures.oval_percent)


def test_a_true_map_needs_no_ghost_and_hatches_what_is_out_of_use(locked):
    scene = preview_scene(locked)
    assert not scene.shapes("ghost")
    assert scene.shapes("spare-hatch")
    assert scene.title == "A circle stays round, 2.49 times as large"


def test_titles_say_what_happens(full):
    assert preview_scene(full).title == "A circle comes out oval, 12.6 % wider than tall"


def test_a_display_of_unknown_size_is_said_to_be_no_scale():
    scene = preview_scene(mapped(Tablet(240, 152), Display(2560, 1440)))
    assert any("not to scale" in text.text for text in scene.texts)
    assert not any("2.5" in text.text for text in scene.texts)


def test_every_display_reached_has_its_circle_and_every_display_its_name():
    scene = preview_scene(
        mapped(
            Tablet(310, 174),
            Display(2560, 1440, 597, 336),
            Display(1920, 1080, 531, 299, -1920, 200, "left"),
            Display(1080, 1920, 299, 531, 2560, -200, "tall"),
            onto=("main", "left"),
        )
    )
    assert len(scene.shapes("result")) == 2
    # By hand: 310 mm for 4480 px are 14.45 px a mm; pixels of 0.2332 and of 0.2766 mm make that 3.37 and 4.
    assert {"main, 3.37 \N{MULTIPLICATION SIGN}", "left, 4 \N{MULTIPLICATION SIGN}", "tall"} <= {
        text.text for text in scene.texts
    }


def test_without_text_there_is_none(locked):
    scene = preview_scene(locked, text=False)
    assert not scene.texts
    assert scene.description.startswith("A circle stays round")


def test_inches_are_inches(locked):
    assert any(text.text == "9.45 × 5.31 in" for text in preview_scene(locked, units="in").texts)
    with pytest.raises(RequestError, match="must be mm or in"):
        preview_scene(locked, units="ft")


@settings(max_examples=60)
@given(requests())
def test_any_desk_can_be_drawn_on_the_sheet(request):
    scene = preview_scene(solve(request))
    for text in scene.texts:
        left, top, right, bottom = text.box_mm
        assert left >= 0
        assert top >= 0
        assert right <= scene.width_mm
        assert bottom <= scene.height_mm
    for shape in scene.marks:
        if hasattr(shape, "outline") and shape.clip is None:
            left, top, right, bottom = shape.outline.bounds
            assert left >= 0
            assert top >= 0
            assert right <= scene.width_mm
            assert bottom <= scene.height_mm
