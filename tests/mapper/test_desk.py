"""Tablet, displays and desktop."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.problems import RequestError
from mapper.rect import Rect
from tests.strategies import desktops, lengths_mm, tablets


@given(tablets)
def test_the_seen_area_is_the_built_one_turned(tablet):
    assert tablet.built_to_seen.rect(tablet.active_built_mm) == tablet.active_seen_mm
    assert (~tablet.built_to_seen).rect(tablet.active_seen_mm) == tablet.active_built_mm


def test_an_unknown_size_has_no_pitch():
    assert Display(1920, 1080).mm_per_px is None
    assert Display(1920, 1080, 480, 270).mm_per_px == (0.25, 0.25)


def test_whole_pixels_become_integers():
    display = Display(1920.0, 1080.0, left_px=-0.0, top_px=-1080.0)
    assert [
        type(value)
        for value in (display.width_px, display.height_px, display.left_px, display.top_px)
    ] == [int] * 4
    assert display.rect_px == Rect(0, -1080, 1920, 1080)


@given(desktops())
def test_the_desktop_encloses_its_displays_and_has_its_primary_at_the_origin(desktop):
    for display in desktop.displays:
        assert desktop.rect_px.holds(display.rect_px)
        assert desktop.named(display.label, "onto") is display
    assert (desktop.primary.left_px, desktop.primary.top_px) == (0, 0)
    assert len(desktop.displays) <= 3


@pytest.mark.parametrize(
    ("displays", "says"),
    [
        ((), "displays: at least one display is needed"),
        (
            (Display(1920, 1080, left_px=10),),
            (
                "displays: one display, the primary, must be at 0,0; got none there. "
                "Leave out its place"
            ),
        ),
        (
            (Display(1920, 1080), Display(1920, 1080, left_px=1920)),
            'displays: each label must be its own; got "main" twice',
        ),
        (
            (Display(1920, 1080), Display(1920, 1080, left_px=1919, label="side")),
            'displays: displays must not overlap; got "main" over "side"',
        ),
    ],
)
def test_impossible_desktops_are_refused(displays, says):
    with pytest.raises(RequestError) as refused:
        Desktop(displays)
    assert str(refused.value) == says


def test_all_problems_of_a_desktop_at_once():
    twins = (Display(1920, 1080, left_px=1), Display(1920, 1080, left_px=2))
    with pytest.raises(RequestError) as refused:
        Desktop(twins)
    assert len(refused.value.problems) == 3


def test_an_unknown_label_is_answered_with_the_nearest_or_with_all():
    desktop = Desktop((Display(1920, 1080), Display(1920, 1080, left_px=1920, label="side")))
    with pytest.raises(
        RequestError, match=r'^--onto: must name a display; got "sied"\. Did you mean side\?$'
    ):
        desktop.named("sied", "--onto")
    with pytest.raises(RequestError, match="The displays are: main, side"):
        desktop.named("upper", "--onto")


@given(st.sampled_from(["width_mm", "height_mm"]), lengths_mm)
def test_half_a_size_is_refused(name, length_mm):
    with pytest.raises(RequestError, match="width_mm and height_mm must both be given, or neither"):
        Display(1920, 1080, **{name: length_mm})


def test_what_makes_a_tablet_and_a_display_again():
    assert repr(Tablet(240, 152)) == "Tablet(width_mm=240.0, height_mm=152.0)"
    assert repr(Tablet(240, 152, 150, 90, "pad", -5)) == (
        "Tablet(width_mm=240.0, height_mm=152.0, counts_per_mm=150.0, turn_deg=90, label='pad', "
        "slant_deg=-5.0)"
    )
    assert repr(Display(1920, 1080, 480, 270, left_px=-1920, zoom=1.5)) == (
        "Display(width_px=1920, height_px=1080, width_mm=480.0, height_mm=270.0, left_px=-1920, "
        "zoom=1.5)"
    )
    # The sides follow from the diagonal.
    assert repr(Display(400, 300, diagonal_mm=500, label="side")) == (
        "Display(width_px=400, height_px=300, label='side', diagonal_mm=500.0)"
    )


@pytest.mark.parametrize(
    # By hand: the nearest quarter turn, and what is left.
    ("turn_deg", "slant_deg", "turn", "slant"),
    [(0, 50, 90, -40), (90, 60, 180, -30), (270, 80, 0, -10), (0, -50, 270, 40)],
)
def test_a_larger_slant_is_another_turn(turn_deg, slant_deg, turn, slant):
    with pytest.raises(RequestError) as refused:
        Tablet(240, 152, turn_deg=turn_deg, slant_deg=slant_deg)
    (problem,) = refused.value.problems
    assert (problem.where, problem.must) == ("slant", "must be between -45 and 45 degrees")
    assert problem.came == f'"{slant_deg}"'
    turned = {"turn": str(turn)} if turn else {}
    assert problem.instead.slots == {"slant": str(slant), **turned}


@pytest.mark.parametrize(
    ("zoom", "instead"),
    [(150, "150 % is 1.5"), (1000, "1000 % is 10"), (1001, ""), (12.5, "12.5 % is 0.125")],
)
def test_a_zoom_in_percent_is_told_as_a_factor(zoom, instead):
    assert Display(1920, 1080, zoom=10).zoom == 10
    with pytest.raises(RequestError) as refused:
        Display(1920, 1080, zoom=zoom)
    (problem,) = refused.value.problems
    assert problem.instead == instead
