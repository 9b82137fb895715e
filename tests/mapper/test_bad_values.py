"""A constructor refuses whatever is no number where a number belongs.

So nothing above checks again.
"""

import dataclasses
import math
import re
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from mapper.affine import Affine
from mapper.choosing.pairing import pair, sizes_for_scale, tablet_for_scale_mm
from mapper.choosing.recommended import Band
from mapper.choosing.remedies import RequestChange, Setup
from mapper.choosing.sitting import seat_findings, sitting_in_arc
from mapper.choosing.travel import Crossing
from mapper.choosing.viewing import Glass, Stand, arc_bearings_deg, below_deg_of_top
from mapper.desk import Desktop, Display, Tablet
from mapper.distortion import Distortion
from mapper.mapping.entry import Entry
from mapper.mapping.feel import Feel
from mapper.mapping.fits import fit_rects
from mapper.mapping.forms import TypedRect, unit_mm
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.rounding.rounded import rounded, rounding_cost, step_choices
from mapper.seat import Seat
from mapper.solving import solve
from mapper.trials.comfort import Trial
from mapper.units import decimal_comma

NO_NUMBER = [
    math.nan,
    math.inf,
    -math.inf,
    True,
    False,
    "240",
    "",
    "240mm",
    b"240",
    [240],
    (),
    {},
    1j,
    10**400,
    object,
]
NOT_ABOVE_ZERO = [0, 0.0, -0.0, -1, -240.5, -5e-324]
TOO_LARGE = [1e9, 1e300]
NOT_WHOLE = [0.5, 1919.999]
# Where None does not stand for something that is not known.
NOTHING = [None]

SIZES = [*NO_NUMBER, *NOTHING, *NOT_ABOVE_ZERO]
ANY_SIGN = [*NO_NUMBER, *NOTHING]

# Each constructor with arguments that are right, and for each argument the values that are not.
CONSTRUCTORS = [
    (
        Rect,
        {"left": 0, "top": 0, "width": 1, "height": 1},
        {"left": ANY_SIGN, "top": ANY_SIGN, "width": SIZES, "height": SIZES},
    ),
    (Affine, dict.fromkeys("abcdef", 1.0), dict.fromkeys("abcdef", ANY_SIGN)),
    (
        Tablet,
        {"width_mm": 240, "height_mm": 152, "counts_per_mm": 150, "turn_deg": 0, "label": ""},
        {
            "width_mm": [*SIZES, *TOO_LARGE],
            "height_mm": [*SIZES, *TOO_LARGE],
            "counts_per_mm": [*NO_NUMBER, *NOT_ABOVE_ZERO],
            "turn_deg": [*NO_NUMBER, None, 45, -90, 360, 0.5],
            "label": [None, 1, b"mine"],
            "slant_deg": [*ANY_SIGN, 45.5, -46, 360],
        },
    ),
    (
        Display,
        {
            "width_px": 1920,
            "height_px": 1080,
            "width_mm": 480,
            "height_mm": 270,
            "left_px": 0,
            "top_px": 0,
            "label": "main",
        },
        {
            "width_px": [*SIZES, *TOO_LARGE, *NOT_WHOLE],
            "height_px": [*SIZES, *TOO_LARGE, *NOT_WHOLE],
            "width_mm": [*SIZES, *TOO_LARGE],
            "height_mm": [*SIZES, *TOO_LARGE],
            "left_px": [*ANY_SIGN, *TOO_LARGE, *NOT_WHOLE],
            "top_px": [*ANY_SIGN, *TOO_LARGE, *NOT_WHOLE],
            "label": [None, 1, b"main", "", "  "],
            "zoom": [*SIZES, *TOO_LARGE],
            "bezel_mm": [*NO_NUMBER, -1, *TOO_LARGE],
        },
    ),
    (
        Desktop,
        {"displays": (Display(1920, 1080),)},
        {"displays": [(), None, 5, "main", ("main",), Display(1920, 1080)]},
    ),
    (Feel, {"scale_x": 2.5, "scale_y": 2.5}, {"scale_x": SIZES, "scale_y": SIZES}),
    (
        Step,
        {"size": 0.5, "unit": "mm", "shape_tolerance_percent": 0.1},
        {
            "size": SIZES,
            "unit": [*ANY_SIGN, "m", ""],
            "shape_tolerance_percent": [*ANY_SIGN, -1, -5e-324],
        },
    ),
    (
        Seat,
        {"distance_mm": 700, "top_below_eyes_mm": 0, "tilt_deg": 5, "curve_radius_mm": 1800},
        {
            "distance_mm": SIZES,
            "top_below_eyes_mm": NO_NUMBER,
            "tilt_deg": NO_NUMBER,
            "curve_radius_mm": [*NO_NUMBER, *NOT_ABOVE_ZERO],
        },
    ),
    (Band, {"low": 2, "high": 3}, {"low": [*SIZES, 4], "high": [*SIZES, 1]}),
    (
        Glass,
        {
            "width_mm": 600,
            "height_mm": 340,
            "width_px": 2560,
            "height_px": 1440,
            "radius_mm": 1800,
            "bezel_mm": 5,
        },
        {
            "width_mm": [*SIZES, 1800 * math.pi + 1],
            "height_mm": SIZES,
            "width_px": [*NO_NUMBER, *NOT_ABOVE_ZERO],
            "height_px": [*NO_NUMBER, *NOT_ABOVE_ZERO],
            "radius_mm": [*NO_NUMBER, *NOT_ABOVE_ZERO, 100],
            "bezel_mm": [*ANY_SIGN, -1],
        },
    ),
    (
        Stand,
        {"distance_mm": 700, "bearing_deg": 0, "below_deg": 0, "turn_deg": 0, "tilt_deg": 0},
        {
            "distance_mm": SIZES,
            "bearing_deg": ANY_SIGN,
            "below_deg": ANY_SIGN,
            "turn_deg": NO_NUMBER,
            "tilt_deg": NO_NUMBER,
        },
    ),
    (Trial, {"value": 2.5, "score": 3}, {"value": SIZES, "score": [*ANY_SIGN, 0, 6, 2.5]}),
    (
        Distortion.of_linear,
        {"m11": 1, "m12": 0, "m21": 0, "m22": 1},
        {"m11": ANY_SIGN, "m12": ANY_SIGN, "m21": ANY_SIGN, "m22": ANY_SIGN},
    ),
]


@pytest.mark.parametrize(("make", "right", "wrong"), CONSTRUCTORS)
def test_a_bad_value_is_a_request_error_on_one_line(make, right, wrong):
    made = make(**right)
    # A value stays as it is and has no room for more.
    assert hash(made) == hash(make(**right))
    assert not hasattr(made, "__dict__")
    for name, bads in wrong.items():
        for bad in bads:
            try:
                make(**{**right, name: bad})
            except RequestError as error:
                assert all(
                    problem.where and str(problem).isprintable() for problem in error.problems
                )
            else:
                pytest.fail(f"{make.__qualname__} takes {name}={bad!r}")


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"fit": "lock"}, "fit: must be one of"),
        ({"fit": None}, "fit: must be one of"),
        ({"hold": "middle"}, "hold: must be one of"),
        ({"onto": ("mian",)}, "must name a display"),
        ({"true_on": "mian"}, "must name a display"),
        ({"onto": ("main",), "true_on": "side"}, "must be a display that the pen reaches"),
    ],
)
def test_a_bad_request_is_refused(asked, says):
    desktop = Desktop((Display(1920, 1080), Display(1920, 1080, left_px=1920, label="side")))
    with pytest.raises(RequestError, match=says):
        solve(MapRequest(Tablet(240, 152), desktop, **asked))


@pytest.mark.parametrize(
    "kind", [np.int16, np.uint64, np.int64, np.float16, np.float32, np.float64, Decimal, Fraction]
)
def test_other_kinds_of_numbers_are_numbers(kind):
    tablet = Tablet(kind(240), kind(152), turn_deg=int(kind(90)))
    assert tablet == Tablet(240, 152, turn_deg=90)
    assert type(tablet.width_mm) is float
    assert Display(kind(1920), kind(1080)) == Display(1920, 1080)


@pytest.mark.parametrize(
    "bad", [np.bool_(True), np.array([1.0]), Decimal("NaN"), Decimal("sNaN"), np.float64("inf"), 1j]
)
def test_what_only_looks_like_a_number_is_refused(bad):
    with pytest.raises(RequestError, match="must be a"):
        Rect(bad, 0, 1, 1)


_TWO = Desktop((Display(1920, 1080), Display(1920, 1080, label="left", left_px=-1920)))


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"onto": "main"}, 'onto: must be a tuple; got "main". Give a tuple of labels: ("main",)'),
        ({"onto": "all", "desktop": _TWO}, 'Give a tuple of labels: ("main", "left")'),
        ({"onto": "right", "desktop": _TWO}, 'Give a tuple of labels: ("main",)'),
        ({"onto": (1,)}, "onto: must be a str; got 1"),
        ({"window_px": (0, 0, 9, 9)}, "got (0, 0, 9, 9). Give Rect(0, 0, 9, 9)"),
        ({"within_built_mm": [1, 2, 3, 4]}, "within_built_mm: must be a Rect"),
        ({"tablet": Display(1920, 1080)}, "tablet: must be a Tablet; got a Display"),
        ({"desktop": Display(1920, 1080)}, "desktop: must be a Desktop; got a Display"),
        ({"feel": 2.5}, "feel: must be a Feel; got 2.5. Give for example Feel(2.5, 2.5)"),
        ({"step": "1mm"}, "step: must be a Step"),
    ],
)
def test_a_value_of_another_type_names_its_parameter_and_what_to_give(asked, says):
    right = {"tablet": Tablet(240, 152), "desktop": Desktop((Display(1920, 1080),))}
    with pytest.raises(RequestError, match=re.escape(says)):
        MapRequest(**{**right, **asked})


@pytest.mark.parametrize("displays", [Display(1920, 1080), "main", 5, None, (None,), ("main",)])
def test_a_desktop_says_that_it_wants_a_tuple_of_displays(displays):
    with pytest.raises(RequestError, match="Give a tuple of displays"):
        Desktop(displays)


def test_what_is_no_request_is_not_solved():
    with pytest.raises(RequestError, match=r"request: must be a MapRequest; got a Tablet\. Give"):
        solve(Tablet(240, 152))


def _map(**asked):
    return MapRequest(**{"tablet": Tablet(240, 152), "desktop": _TWO, **asked})


#: What is done wrong, and all that is said of it: where, what must hold, what came, what to do.
WHOLE_ERRORS = [
    (
        lambda: ~Affine(1, 2, 0, 2, 4, 0),
        "matrix: must not flatten the plane: it has no inverse; got determinant 0",
    ),
    (lambda: Seat(0), "seat distance_mm: must be greater than 0; got 0"),
    (
        lambda: Seat(700, curve_radius_mm=-1800),
        "seat curve_radius_mm: must be greater than 0; got -1800",
    ),
    (lambda: Seat(700, tilt_deg=91), "seat tilt_deg: must be between -90 and 90 degrees; got 91.0"),
    (lambda: Seat(700, ahead=" "), "seat ahead: must not be empty"),
    (lambda: Tablet(240, 152, label=" "), "tablet label: must not be empty"),
    (lambda: Display(1920, 1080, label=" "), "display label: must not be empty"),
    (lambda: Display(1920, 1080, zoom=0), "display zoom: must be greater than 0; got 0"),
    (
        lambda: Display(1_000_001, 1080),
        "display width_px: must be at most 1000000 px; got 1000001",
    ),
    (
        lambda: Display(1920, 1080, left_px=-1_000_001),
        "display left_px: must be within 1000000 px; got -1000001.0",
    ),
    (
        lambda: Display(1920, 1080, 480, 271, diagonal_mm=600),
        "display size: must be given as a diagonal or as width_mm and height_mm; got both",
    ),
    (
        lambda: Desktop((Display(1920, 1080), Display(800, 600, label="beamer"))),
        (
            "displays: displays that show the same are mirrored, and count as one; "
            'got "main" and "beamer". Leave "beamer" out, or give it a place of its own'
        ),
    ),
    (
        lambda: decimal_comma("12,5", "width"),
        'width: a decimal point is needed, not a comma; got "12,5". Type 12.5',
    ),
    (lambda: Feel(2, 2, of=3), "of: must be a str; got 3. Give the name of a desk"),
    (
        lambda: unit_mm("counts", Rect(0, 0, 240, 152), None, "area"),
        (
            "area: counts need the tablet's resolution. Type after the tablet's size how many it "
            "measures for 1 mm, for example 240x152mm@150/mm"
        ),
    ),
    (lambda: rounded(solve(_map())), "step: is needed to round to"),
    (
        lambda: tablet_for_scale_mm(Display(1920, 1080), 2.5, (16, 10)),
        (
            "display: its size is needed for a scale factor; got 1920x1080 px alone. "
            'Give its diagonal as well, for example "27in 2560x1440"'
        ),
    ),
    (
        lambda: solve(_map(window_px=Rect(0, 0, 1921, 50))),
        "window: must lie within the desktop, 3840x1080 px at -1920,0; got 1921x50 px at 0,0",
    ),
    (
        lambda: solve(_map(onto=("main",), true_on="left")),
        'true on: must be a display that the pen reaches; got "left". It reaches main',
    ),
    (
        lambda: _map(onto="left"),
        'onto: must be a tuple; got "left". Give a tuple of labels: ("left",)',
    ),
    (
        lambda: below_deg_of_top(Glass(600, 340), 700, math.nan, None),
        "top below eyes: must be a finite number; got nan",
    ),
    (
        lambda: below_deg_of_top(Glass(600, 340), 700, 2000, None),
        "top below eyes: is too far for a centre 700 mm from the eyes; got 2000 mm",
    ),
    (
        lambda: _map(step=Step(10, "counts")),
        (
            "step: counts need the tablet's resolution. Type after the tablet's size how many it "
            "measures for 1 mm, for example 240x152mm@150/mm"
        ),
    ),
    (
        lambda: _map(step="1mm"),
        'step: must be a Step; got "1mm". Give for example Step(0.5, "mm")',
    ),
    (
        lambda: solve(_map(fit="full", area_built_mm=Rect(10, 0, 240, 135))),
        "area: must lie within the active area, 240x152 mm; got 240x135 mm at 10,0",
    ),
    (
        lambda: fit_rects(Rect(0, 0, 1, 1), Rect(0, 0, 1, 1), "lock", "centre"),
        'fit: must be one of full, locked, cropped; got "lock". Did you mean locked?',
    ),
    (
        lambda: Desktop(5),
        (
            "displays: must be a tuple; got 5. Give a tuple of displays, for example "
            "Desktop((Display(2560, 1440),))"
        ),
    ),
    (
        lambda: Desktop((5,)),
        (
            "displays: must be a Display; got 5. Give a tuple of displays, for example "
            "Desktop((Display(2560, 1440),))"
        ),
    ),
    (
        lambda: _TWO.named("zzz", "onto"),
        'onto: must name a display; got "zzz". The displays are: main, left',
    ),
    (lambda: Rect(math.nan, 0, 1, 1), "left: must be a finite number; got nan"),
    (lambda: Step(0, "mm"), "step: must be greater than 0; got 0"),
    (
        lambda: _map(fit="lock"),
        'fit: must be one of full, locked, cropped; got "lock". Did you mean locked?',
    ),
    (
        lambda: _map(area_built_mm=Rect(0, 0, 9, 9), within_built_mm=Rect(0, 0, 9, 9)),
        "within: must not be given beside an area, which is taken as it is",
    ),
    (
        lambda: Entry(from_bottom=1),
        "entry from_bottom: must be a bool; got 1. Give True or False",
    ),
    (
        lambda: TypedRect((0, 0, 9, 0), "mm").rect_mm(Rect(0, 0, 240, 152), None, "area"),
        "area: must have a width and a height above 0",
    ),
    (
        lambda: below_deg_of_top(Glass(600, 340), 700, 0, math.nan),
        "tilt_deg: must be a finite number; got nan",
    ),
    (
        lambda: Stand(700, bearing_deg=181),
        "bearing_deg: must be between -180 and 180 degrees; got 181.0",
    ),
    # Four that reach atan(500 / 300) to each side, 59.04 degrees.
    (
        lambda: arc_bearings_deg([Glass(1000, 300)] * 4, 300),
        "arc: must stay open behind the head; got 472 degrees. Put the displays farther away",
    ),
    # The first of two in the order of the fields.
    (
        lambda: _map(window_px=1, within_built_mm=2, area_built_mm=3),
        "window_px: must be a Rect; got 1. Give Rect(left, top, width, height)",
    ),
    (
        lambda: _map(within_built_mm=2, area_built_mm=3),
        "within_built_mm: must be a Rect; got 2. Give Rect(left, top, width, height)",
    ),
    (
        lambda: sitting_in_arc(
            [Display(1920, 1080, 480, 270)],
            Seat(700),
            Display(1920, 1080, 480, 270),
            ahead="left",
        ),
        'ahead: must be a display of the arc; got "left". Those are main',
    ),
]


@pytest.mark.parametrize(("do", "says"), WHOLE_ERRORS)
def test_an_error_says_where_what_must_hold_what_came_and_what_to_do(do, says):
    try:
        found = do()
    except RequestError as error:
        found = error
    assert str(found) == says


def _results():
    """One of each kind of result that is worked out."""
    display = Display(2560, 1440, 600, 337.5)
    solved = solve(_map(desktop=Desktop((display,)), step=Step(5, "mm")))
    sitting = sitting_in_arc([display], Seat(700), display)
    crossing = Crossing(display, 10.0, "a button", Band(2, 3.5))
    yield pair(Tablet(240, 152), display)
    yield from sizes_for_scale(2.5, [Tablet(240, 152)], [], [(16, 9)], Band(2, 3))
    yield step_choices(solved)
    yield rounding_cost(solved)
    yield crossing
    yield crossing.at(2.5)
    yield sitting.view
    yield seat_findings(sitting)[0]
    yield seat_findings(sitting)[0].recommendation
    yield Setup(solved.request, None, Band(2, 3))
    yield RequestChange("scale", {}, {})


def test_a_result_stays_as_it_was_worked_out():
    for result in _results():
        assert not hasattr(result, "__dict__"), type(result)
        for field in dataclasses.fields(result):
            with pytest.raises(dataclasses.FrozenInstanceError):
                setattr(result, field.name, None)


def test_the_largest_display_that_is_taken():
    assert Display(1_000_000, 1_000_000, left_px=-1_000_000).left_px == -1_000_000
