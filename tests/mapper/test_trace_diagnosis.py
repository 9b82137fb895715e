"""Verdicts: every usual slip, made on purpose, is named.

What agrees is let through; what is too rough is refused.

The slips are worked out here from rectangles alone: px per mm of what the driver was set to.
"""

import math
from dataclasses import replace

import pytest

from mapper.affine import Affine
from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.rect import Rect
from mapper.solving import solve
from mapper.tracing.diagnosis import ALIKE, CAUSES, TooVague, diagnose
from mapper.tracing.measure import MeasuredMap, MeasuredScales, Way
from mapper.tracing.measurement import Measurement
from tests.touched import meant_map
from tests.traced import COIN, Laid, cured, shown, states

MAIN = Display(2560, 1440, 597, 336, label="main")
SIDE = Display(1920, 1080, 531, 299, 2560, 0, label="side")
TABLET = Tablet(240, 152)
LOCKED = solve(MapRequest(TABLET, Desktop((MAIN, SIDE))))
BOTH = solve(MapRequest(TABLET, Desktop((MAIN, SIDE)), onto=("main", "side")))
TURNED = solve(MapRequest(Tablet(240, 152, turn_deg=90), Desktop((MAIN,))))


def measured(width_mm, height_mm, target, *, zoom=1.0, sigma=0.001, turn_deg=None, lean=0.0):
    """What a trace says, within ``sigma``, of a driver that maps this area onto this target."""
    x, y = target.width / width_mm / zoom, target.height / height_mm / zoom
    ratio = x / y

    def known(value, spread=sigma):
        return Measurement(value, value * math.exp(-1.96 * spread), value * math.exp(1.96 * spread))

    return MeasuredScales(
        known(x),
        known(y),
        known(ratio, sigma * math.sqrt(2)),
        known(max(ratio, 1 / ratio)),
        (sigma**2, 0.0, sigma**2),
        None if turn_deg is None else Measurement(turn_deg, turn_deg - 0.3, turn_deg + 0.3),
        Measurement(lean, lean - 0.001, lean + 0.001),
        abs(lean) > 0.01,
        Measurement(20, 18, 22) if lean else None,
    )


SURE = tuple(tuple(1e-6 if row == column else 0.0 for column in range(6)) for row in range(6))
AREA = LOCKED.area_seen_mm
MAIN_PX, SIDE_PX, DESKTOP_PX = MAIN.rect_px, SIDE.rect_px, LOCKED.request.desktop.rect_px


def test_the_map_that_was_meant_agrees():
    finding = diagnose(measured(AREA.width, AREA.height, MAIN_PX), LOCKED)
    assert finding.agrees
    assert finding.cause.name == "agrees"
    assert finding.correct == ()
    assert (finding.x_off_percent, finding.y_off_percent) == pytest.approx((0, 0), abs=1e-9)


SLIPS = [
    # cause, numbers to correct, what the driver is set to, what was meant
    ("proportions not locked", ("height", "top"), (240, 152, MAIN_PX), LOCKED),
    ("whole desktop mapped", ("target",), (AREA.width, AREA.height, DESKTOP_PX), LOCKED),
    ("whole desktop mapped", ("target", "height", "top"), (240, 152, DESKTOP_PX), LOCKED),
    ("wrong display", ("target",), (AREA.width, AREA.height, SIDE_PX), LOCKED),
    (
        "only one display mapped",
        ("target",),
        (BOTH.area_seen_mm.width, BOTH.area_seen_mm.height, MAIN_PX),
        BOTH,
    ),
    (
        "only one display mapped",
        ("target",),
        (BOTH.area_seen_mm.width, BOTH.area_seen_mm.height, SIDE_PX),
        BOTH,
    ),
    ("turned", ("turn",), (AREA.height, AREA.width, MAIN_PX), LOCKED),
    ("turned", ("turn",), (TURNED.area_seen_mm.height, TURNED.area_seen_mm.width, MAIN_PX), TURNED),
    ("width differs", ("width",), (AREA.width * 0.94, AREA.height, MAIN_PX), LOCKED),
    ("height differs", ("height",), (AREA.width, AREA.height * 1.07, MAIN_PX), LOCKED),
    ("both differ", ("width", "height"), (AREA.width * 0.91, AREA.height * 1.05, MAIN_PX), LOCKED),
]


@pytest.mark.parametrize(("cause", "correct", "setting", "meant"), SLIPS)
@pytest.mark.parametrize("sigma", [0.0002, 0.003])
def test_each_slip_is_named_with_the_number_to_correct(cause, correct, setting, meant, sigma):
    finding = diagnose(measured(*setting, sigma=sigma), meant)
    assert not finding.agrees
    assert finding.cause.name == cause
    assert finding.correct == correct
    assert (finding.cause.area_width_mm, finding.cause.area_height_mm) == pytest.approx(
        setting[:2], rel=1e-9
    )
    assert finding.cause.target_px == setting[2]


@pytest.mark.parametrize(
    ("zoom", "percent"),
    [
        (0.25, 25),
        (1 / 3, 100 / 3),
        (0.5, 50),
        (1 / 1.5, 100 / 1.5),
        (0.75, 75),
        (0.8, 80),
        (0.9, 90),
        (1.1, 110),
        (1.25, 125),
        (1.37, 137),
        (1.5, 150),
        (1.75, 175),
        (2.0, 200),
        (3.0, 300),
        (4.0, 400),
    ],
)
def test_an_enlarged_canvas_is_told_by_how_much(zoom, percent):
    finding = diagnose(measured(AREA.width, AREA.height, MAIN_PX, zoom=zoom), LOCKED)
    assert finding.cause.name == "zoomed canvas"
    assert finding.cause.zoom_percent == pytest.approx(percent, rel=1e-6)
    assert finding.correct == ("zoom",)


def test_a_card_a_quarter_turned_means_a_turned_map_unless_it_was_laid_so():
    upright = measured(AREA.width, AREA.height, MAIN_PX, turn_deg=89.0)
    finding = diagnose(upright, LOCKED)
    assert (finding.agrees, finding.cause.name) == (False, "turned")
    assert diagnose(upright, LOCKED, laid_upright=True, laid_said=True).agrees
    unsaid = diagnose(upright, LOCKED, laid_upright=True)
    assert (unsaid.agrees, unsaid.cause.name) == (False, "orientation not told")
    flat = measured(AREA.width, AREA.height, MAIN_PX, turn_deg=1.0)
    assert diagnose(flat, LOCKED).agrees
    assert not diagnose(flat, LOCKED, laid_upright=True).agrees


def test_a_leaning_map_lies_askew():
    finding = diagnose(measured(AREA.width, AREA.height, MAIN_PX, lean=0.02), LOCKED)
    assert (finding.agrees, finding.cause.name, finding.correct) == (False, "askew", ("angle",))


def test_a_lean_within_chance_bars_nothing():
    within = replace(
        measured(AREA.width, AREA.height, MAIN_PX), lean=Measurement(0.02, -0.01, 0.05)
    )
    assert diagnose(within, LOCKED).agrees


@pytest.mark.parametrize(
    ("turn_deg", "cause", "correct"), [(4, "askew", ("angle",)), (180, "turned", ("turn",))]
)
def test_a_picture_that_is_turned_alone_shows_in_the_places(turn_deg, cause, correct):
    # Around the middle of the screen, as a canvas is turned; circles and squares stay what they
    # are.
    meant = LOCKED.seen_mm_to_desktop_px
    turned = Affine.rotation_about(turn_deg, 1280, 720) @ meant
    finding = diagnose(
        measured(AREA.width, AREA.height, MAIN_PX), LOCKED, whole=MeasuredMap(turned, SURE, 1.0)
    )
    assert (finding.agrees, finding.cause.name, finding.correct) == (False, cause, correct)


@pytest.mark.parametrize(
    ("off", "agrees"), [(0.9, True), (-0.9, True), (1.4, False), (-1.4, False)]
)
def test_what_is_within_the_tolerance_agrees(off, agrees):
    setting = (AREA.width * (1 + off / 100), AREA.height, MAIN_PX)
    assert diagnose(measured(*setting, sigma=0.0005), LOCKED).agrees is agrees


def test_a_rough_trace_is_refused_with_what_to_draw_instead():
    with pytest.raises(TooVague, match="Trace a larger object"):
        diagnose(measured(AREA.width, AREA.height, MAIN_PX, sigma=0.02), LOCKED)


def test_a_moved_area_is_told_by_several_traces_alone():
    moved = Rect(AREA.left, AREA.top - 6, AREA.width, AREA.height)
    whole = MeasuredMap(Affine.between(moved, MAIN_PX), SURE, 1.0)
    setting = measured(AREA.width, AREA.height, MAIN_PX)
    finding = diagnose(setting, LOCKED, whole=whole)
    assert (finding.agrees, finding.cause.name, finding.correct) == (False, "area moved", ("top",))
    assert finding.top_mm.value == pytest.approx(AREA.top - 6)
    assert diagnose(
        setting, LOCKED, whole=MeasuredMap(LOCKED.seen_mm_to_desktop_px, SURE, 1.0)
    ).agrees


WIDE = solve(MapRequest(Tablet(240, 152), Desktop((MAIN,))))


def causes(finding):
    names = [finding.cause.name, *(cause.name for cause in finding.also)]
    assert set(names) <= set(CAUSES)
    return names


def test_all_that_changes_both_scales_alike_is_told():
    area = WIDE.area_seen_mm
    assert ALIKE == (
        "zoomed canvas",
        "area scaled",
        "scaled screenshot",
        "part of a display mapped",
        "another thing",
    )
    smaller = diagnose(measured(area.width / 1.5, area.height / 1.5, MAIN_PX), WIDE)
    assert {"zoomed canvas", "area scaled", "scaled screenshot"} <= set(causes(smaller))
    odd = diagnose(measured(185, 185 * 9 / 16, MAIN_PX), WIDE)
    assert (odd.cause.name, odd.correct) == ("area scaled", ("width", "height"))
    assert (odd.cause.area_width_mm, odd.cause.area_height_mm) == pytest.approx(
        (185, 185 * 9 / 16), rel=1e-3
    )
    larger = diagnose(measured(area.width * 1.3, area.height * 1.3, MAIN_PX), WIDE)
    # No area of a tablet 240 mm wide is 312 mm wide.
    assert "area scaled" not in causes(larger)
    assert {"zoomed canvas", "part of a display mapped"} <= set(causes(larger))


def test_how_far_off_each_scale_and_their_ratio_are():
    # 20 % narrower: 1 / 0.8. A quarter taller: 1 / 1.25. Their ratio 1.25 / 0.8.
    finding = diagnose(measured(AREA.width * 0.8, AREA.height * 1.25, MAIN_PX), LOCKED)
    offs = finding.x_off_percent, finding.y_off_percent, finding.ratio_off_percent
    assert offs == pytest.approx((25, -20, 56.25))


def test_the_whole_tablet_begins_at_its_own_edges():
    # Half a mm narrower than the tablet, which no trace tells by its width.
    meant = meant_map(within_built_mm=Rect(0.5, 0, 239.5, 152))
    finding = diagnose(measured(240, 152, MAIN_PX), meant)
    assert finding.cause.name == "proportions not locked"
    assert finding.correct == ("height", "left", "top")


def test_a_plain_turn_comes_before_several_slips_that_fit_better():
    # A second display of two px more: a turn onto it fits exactly, one onto the first nearly. The
    # tablet has their shape, so that its area is all of it.
    one = Display(2560, 1440, 592, 333, label="one")
    other = Display(2560, 1442, 592, 333.4625, 2560, 0, label="other")
    meant = solve(MapRequest(Tablet(240, 135), Desktop((one, other)), onto=("one",)))
    finding = diagnose(measured(135, 240, other.rect_px, turn_deg=90), meant)
    assert causes(finding) == ["turned", "several"]
    assert finding.cause.chi2 > finding.also[0].chi2


def test_two_sides_that_are_each_off_by_chance_are_no_cause_of_one_side():
    # Each off by 2.3 of its standard deviations, √(0.6² + 0.25²) %: 5.3 and together 10.6.
    off = 1 + 2.3 * math.hypot(0.006, 0.0025)
    finding = diagnose(measured(AREA.width / off, AREA.height * off, MAIN_PX, sigma=0.006), LOCKED)
    assert not {"width differs", "height differs"} & set(causes(finding))


def test_a_zoom_that_is_known_is_no_cause():
    area = WIDE.area_seen_mm
    finding = diagnose(measured(area.width / 2, area.height / 2, MAIN_PX), WIDE, zoom_known=True)
    assert finding.cause.name == "area scaled"
    assert "zoomed canvas" not in causes(finding)


def test_places_rule_out_an_area_that_would_leave_the_tablet():
    smaller = Rect(30, 25, 160, 90)
    whole = MeasuredMap(Affine.between(smaller, MAIN_PX), SURE, 1.0)
    finding = diagnose(measured(160, 90, MAIN_PX), WIDE, whole=whole)
    # At 150 % the area would be 240 mm wide from 30 mm on.
    assert "zoomed canvas" not in causes(finding)
    assert (finding.cause.name, set(finding.correct)) == (
        "area scaled",
        {"width", "height", "left", "top"},
    )


def test_all_of_a_display_instead_of_a_part_is_not_called_another_display():
    part = solve(MapRequest(Tablet(240, 152), Desktop((MAIN,)), window_px=Rect(0, 0, 1280, 720)))
    finding = diagnose(measured(part.area_seen_mm.width, part.area_seen_mm.height, MAIN_PX), part)
    assert (finding.cause.name, finding.correct) == ("whole display mapped", ("target",))


def test_what_no_area_of_the_tablet_makes_is_not_put_down_to_one():
    finding = diagnose(measured(300, 120, MAIN_PX), WIDE)
    assert (finding.cause.name, finding.correct) == ("no area of this tablet", ())


THREE = (
    Display(1920, 1080, diagonal_mm=609.6, left_px=-1920, label="left"),
    Display(2560, 1440, diagonal_mm=685.8, label="main"),
    Display(1080, 1920, diagonal_mm=609.6, left_px=2560, label="tall"),
)
MAPS = {
    "one display": meant_map(),
    "three displays": meant_map(THREE, onto=("main",)),
    "a part of the tablet": meant_map(within_built_mm=Rect(20, 10, 160, 120)),
    "tablet turned": meant_map(THREE, onto=("main",), turn_deg=90),
}
LAID = {
    "a card across": Laid(),
    "a card upright": Laid(upright=True),
    "a card, unsaid": Laid(said=False),
    "a coin": Laid(COIN),
    "two coins with places": Laid(COIN, places=True),
    "two cards with places": Laid(places=True),
}
#: What no single trace shows, and what no round one does.
UNSEEN = {"turned 180", "mirrored left to right", "mirrored top to bottom", "area moved"}
UNSEEN_IN_ROUND = {"rotated by 15 degrees"}


@pytest.mark.parametrize("laid", LAID.values(), ids=LAID)
@pytest.mark.parametrize("meant", MAPS.values(), ids=MAPS)
def test_no_state_of_a_driver_that_shows_passes_and_a_cure_ends_in_a_pass(meant, laid):
    def looked_at(state):
        measured_now, whole = shown(state, meant, laid)
        return diagnose(
            measured_now, meant, whole=whole, laid_upright=laid.upright, laid_said=laid.said
        )

    unseen = set() if laid.places else UNSEEN
    if laid.sides_mm == COIN and not laid.places:
        unseen = unseen | UNSEEN_IN_ROUND
    for name, state in states(meant).items():
        finding = looked_at(state)
        named = [(cause.name, cause.display) for cause in (finding.cause, *finding.also)]
        assert len(set(named)) == len(named)
        untold = finding.cause.name == "orientation not told"
        if name == "right" and (laid.places or (laid.said and laid.sides_mm != COIN)):
            assert finding.agrees, name
        elif name == "right" or name in unseen:
            assert finding.agrees or untold, name
        else:
            assert not finding.agrees, name
        if finding.agrees or untold:
            continue
        after = [
            looked_at(cured(state, each, meant, laid)) for each in (finding.cause, *finding.also)
        ]
        assert any(each.agrees or each.cause.name == "orientation not told" for each in after), (
            name,
            finding.cause,
            finding.also,
        )


def test_a_card_that_could_have_lain_either_way_is_no_pass_until_it_is_said():
    # Half of the tablet: it has room for the same sizes a quarter turned.
    part = meant_map(within_built_mm=Rect(20, 10, 100, 60))
    right, _ = shown(states(part)["right"], part, Laid())
    unsaid = diagnose(right, part)
    assert (unsaid.agrees, unsaid.cause.name, unsaid.correct) == (
        False,
        "orientation not told",
        ("orientation",),
    )
    assert diagnose(right, part, laid_said=True).agrees
    coin, _ = shown(states(part)["right"], part, Laid(COIN))
    assert diagnose(coin, part, laid_said=True).cause.name == "orientation not told"


def test_places_in_line_do_not_tell_a_mirror():
    meant = MAPS["one display"]
    right, whole = shown(states(meant)["right"], meant, Laid(COIN, places=True))
    open_way = replace(whole, other_way=Way(180, True))
    assert diagnose(right, meant, whole=open_way).cause.name == "orientation not told"
    # A quarter turn has no room on this tablet.
    assert diagnose(right, meant, whole=replace(whole, other_way=Way(90, True))).agrees


def test_one_axis_alone_is_no_zoom_no_screenshot_and_no_other_thing():
    meant = MAPS["one display"]
    half, _ = shown(states(meant)["left half of the display"], meant, Laid())
    finding = diagnose(half, meant)
    assert finding.cause.name == "part of one side mapped"
    assert finding.correct == ("target",)
    told = {finding.cause.name, *(cause.name for cause in finding.also)}
    assert not told & {"zoomed canvas", "scaled screenshot", "another thing"}


def test_a_moved_area_never_has_an_impossible_place():
    moved = Rect(AREA.left + 40, AREA.top, AREA.width, AREA.height)
    whole = MeasuredMap(Affine.between(moved, MAIN_PX), SURE, 1.0)
    finding = diagnose(measured(AREA.width, AREA.height, MAIN_PX), LOCKED, whole=whole)
    assert (finding.agrees, finding.cause.name) == (False, "no area of this tablet")


@pytest.mark.parametrize(
    ("by_mm", "cause", "correct"),
    [
        # No rectangle is measured finer than to a millimetre.
        (0.9, "agrees", ()),
        (1.5, "area moved", ("left",)),
        # The area is as wide as the tablet, which may seem 0.75 % and one mm wider: 242.8 mm.
        (2.7, "area moved", ("left",)),
        (2.9, "no area of this tablet", ()),
    ],
)
def test_how_far_an_area_must_and_may_be_moved(by_mm, cause, correct):
    moved = Rect(AREA.left + by_mm, AREA.top, AREA.width, AREA.height)
    exact = tuple(tuple(1e-12 if row == column else 0.0 for column in range(6)) for row in range(6))
    whole = MeasuredMap(Affine.between(moved, MAIN_PX), exact, 1.0)
    finding = diagnose(measured(AREA.width, AREA.height, MAIN_PX), LOCKED, whole=whole)
    assert (causes(finding)[0], finding.correct) == (cause, correct)


@pytest.mark.parametrize(
    ("x", "y", "is_part"), [(0.985, 0.985, True), (0.995, 0.975, False), (0.975, 0.995, False)]
)
def test_a_part_of_a_display_is_less_than_99_percent_of_it_both_ways(x, y, is_part):
    # By a rough trace, of which all three are 1.5 % less both ways, give or take one.
    area = WIDE.area_seen_mm
    finding = diagnose(measured(area.width / x, area.height / y, MAIN_PX, sigma=0.006), WIDE)
    assert ("part of a display mapped" in causes(finding)) is is_part


def test_another_thing_is_told_by_how_much_it_is_larger():
    # A circle of 5 % more than was said: the map is as meant.
    area = WIDE.area_seen_mm
    finding = diagnose(measured(area.width / 1.05, area.height / 1.05, MAIN_PX), WIDE)
    thing = next(each for each in finding.also if each.name == "another thing")
    assert (thing.area_width_mm, thing.area_height_mm) == (area.width, area.height)
    assert (thing.target_px, thing.chi2, thing.correct) == (MAIN_PX, 0.0, ("thing",))
    assert thing.thing_times == pytest.approx((1.05, 1.05))


def test_all_that_two_unlike_sides_may_come_from():
    finding = diagnose(measured(AREA.width * 0.8, AREA.height * 0.7, MAIN_PX), LOCKED)
    assert causes(finding)[-1] == "both differ"


@pytest.mark.parametrize(("turn_deg", "cause"), [(8.0, "agrees"), (8.1, "askew")])
def test_by_eye_a_card_is_laid_within_eight_degrees(turn_deg, cause):
    finding = diagnose(measured(AREA.width, AREA.height, MAIN_PX, turn_deg=turn_deg), LOCKED)
    assert finding.cause.name == cause
