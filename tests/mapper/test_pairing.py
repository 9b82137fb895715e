"""Pairs against the solver, the arrays against the pairs, and the trade's customary values."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.choosing.pairing import (
    CUSTOMARY_TABLETS,
    USUAL_ASPECTS,
    USUAL_DISPLAYS,
    display_for_scale_mm,
    pair,
    sizes_for_scale,
    tablet_for_scale_mm,
)
from mapper.choosing.recommended import (
    BAND_USES,
    RECOMMENDED,
    REFERENCE_DISTANCE_MM,
    REFERENCE_PIXEL_MM,
    Band,
    band_for,
)
from mapper.desk import Display, Tablet
from mapper.problems import RequestError
from mapper.units import MM_PER_INCH
from tests.strategies import displays, tablets

aspects = st.sampled_from(USUAL_ASPECTS) | st.tuples(st.floats(1, 40), st.floats(1, 40))


def of_inches(inches, across=16, down=9):
    return Display(across * 100, down * 100).with_diagonal(inches * MM_PER_INCH)


@given(tablets, displays(sized=True))
def test_scale_times_area_is_the_display(tablet, display):
    found = pair(tablet, display)
    assert found.area_width_mm * found.scale_factor == pytest.approx(display.width_mm, rel=1e-9)
    assert found.area_height_mm * found.scale_factor == pytest.approx(display.height_mm, rel=1e-9)
    assert -1e-9 <= found.area_lost_percent < 100
    active = tablet.active_seen_mm
    kept = found.area_width_mm * found.area_height_mm / (active.width * active.height)
    assert found.area_lost_percent == pytest.approx(100 - 100 * kept, abs=1e-9)
    if tablet.counts_per_mm is not None:
        finer = min(display.mm_per_px)
        assert found.counts_per_px == pytest.approx(
            tablet.counts_per_mm * finer / found.scale_factor, rel=1e-9
        )


@given(tablets, displays(sized=False))
def test_a_display_of_unknown_size_has_no_scale_but_a_loss(tablet, display):
    found = pair(tablet, display)
    assert found.scale_factor is None
    assert found.area_width_mm * display.height_px == pytest.approx(
        found.area_height_mm * display.width_px, rel=1e-9
    )
    assert (found.counts_per_px is None) == (tablet.counts_per_mm is None)


@given(tablets, st.floats(0.2, 20), aspects)
def test_the_display_for_a_scale_gives_that_scale(tablet, scale, aspect):
    width_mm, height_mm = display_for_scale_mm(tablet, scale, aspect)
    assert width_mm * aspect[1] == pytest.approx(height_mm * aspect[0], rel=1e-9)
    found = pair(tablet, Display(1920, 1080, width_mm, height_mm))
    assert found.scale_factor == pytest.approx(scale, rel=1e-9)


@given(
    displays(sized=True),
    st.floats(1.0, 20),
    st.sampled_from(USUAL_ASPECTS) | st.tuples(st.floats(1, 16), st.floats(1, 16)),
)
def test_the_tablet_for_a_scale_gives_that_scale_and_no_smaller_one_does(display, scale, aspect):
    width_mm, height_mm = tablet_for_scale_mm(display, scale, aspect)
    assert width_mm * aspect[1] == pytest.approx(height_mm * aspect[0], rel=1e-9)
    assert pair(Tablet(width_mm, height_mm), display).scale_factor == pytest.approx(scale, rel=1e-9)
    smaller = pair(Tablet(width_mm * 0.99, height_mm * 0.99), display)
    assert smaller.scale_factor > scale


# common practice, no source
# ------------------------------------------------------------


def test_24_inches_over_11_inches_is_2_18():
    tablet_mm = display_for_scale_mm(Tablet(16, 9), 11 * MM_PER_INCH / math.hypot(16, 9), (16, 9))
    assert round(pair(Tablet(*tablet_mm), of_inches(24)).scale_factor, 2) == 2.18


@pytest.mark.parametrize(
    ("label", "about_in", "least_in", "most_in"),
    [
        ("small", 7, 20, 25),
        ("medium", 11, 20, 30),
        ("large", 15, 30, 40),
        ("extra large", 22, 40, 50),
    ],
)
def test_customary_sizes_go_with_customary_displays(label, about_in, least_in, most_in):
    tablet = next(tablet for tablet in CUSTOMARY_TABLETS if tablet.label == label)
    assert math.hypot(tablet.width_mm, tablet.height_mm) / MM_PER_INCH == pytest.approx(
        about_in, abs=0.5
    )
    scales = [pair(tablet, of_inches(inches)).scale_factor for inches in (least_in, most_in)]
    # The band of illustration, give or take the tenth by which such rules of thumb are round.
    assert all(2.0 * 0.9 <= scale <= 3.5 * 1.1 for scale in scales)
    assert any(BAND_USES["illustration"].side(scale) == "inside" for scale in scales)


def test_few_tablets_are_exactly_16_to_9():
    assert {each.label: (each.width_mm, each.height_mm) for each in CUSTOMARY_TABLETS} == {
        "small": (150, 94),
        "medium": (230, 144),
        "large": (320, 200),
        "extra large": (480, 300),
    }
    assert all(pair(tablet, of_inches(24)).area_lost_percent > 5 for tablet in CUSTOMARY_TABLETS)


def test_usual_displays_have_square_pixels_and_the_diagonal_that_they_say():
    for display in USUAL_DISPLAYS:
        assert display.mm_per_px[0] == pytest.approx(display.mm_per_px[1])
        assert (
            f"{math.hypot(display.width_mm, display.height_mm) / MM_PER_INCH:.0f}in"
            == display.label.partition("-")[0]
        )


# bands
# ------------------------------------------------------------


def test_a_band_holds_its_ends():
    band = Band(2.0, 3.5)
    assert [band.side(value) for value in (1.999, 2.0, 3.5, 3.501)] == [
        "below",
        "inside",
        "inside",
        "above",
    ]
    # What a map of 254 x 158.8 mm gives that was asked for 3.5.
    assert band.side(3.5000000000000004) == "inside"
    with pytest.raises(RequestError, match="must go from low to high"):
        Band(3, 2)


def test_uses_are_named_and_marked():
    assert band_for("illustration") == Band(2.0, 3.5, "common practice, no source")
    with pytest.raises(RequestError, match=r"Did you mean illustration\?"):
        band_for("ilustration")


#: By hand, from what stands beside each source: the ends, the unit and how far the source was seen.
STANDINGS = {
    "distance": (508.0, 1016.0, "mm", "as quoted by others"),
    "top": (0.0, None, "degrees", "not checked against the standard"),
    "centre": (15.0, 20.0, "degrees", "as quoted by others"),
    "gaze": (None, 60.0, "degrees", "as quoted by others"),
    "side": (None, 35.0, "degrees", "as quoted by others"),
    "eyes": (None, 15.0, "degrees", "common practice, no source"),
    "width": (32.0, 57.0, "degrees", "common practice, no source"),
    "sharpness": (None, 1.0, "arc-minutes", "not checked against the standard"),
    "text": (20.0, 22.0, "arc-minutes", "as quoted by others"),
    "stretch": (None, 1.016, "times", "published"),
    "counts": (1.0, None, "counts", "published"),
}
SOURCES = {
    "distance": "OSHA computer workstation guidance: 20 to 40 inches",
    "top": "OSHA computer workstation guidance: at or slightly below eye level",
    "centre": "OSHA computer workstation guidance: 15 to 20 degrees below horizontal",
    "gaze": "ISO 9241-3: 0 to 60 degrees below horizontal, as quoted by Ankrum 2001",
    "side": (
        "OSHA computer workstation guidance: the centre of a display within 35 degrees to the side"
    ),
    "eyes": "beyond about 15 degrees the head turns with the eyes; people differ",
    "width": "32 to 57 degrees across",
    "sharpness": "ITU-R BT.500: one arc-minute per pixel",
    "text": "ISO 9241-3: 20 to 22 arc-minutes preferred, 16 at least",
    "stretch": (
        "Regan and Hamstra 1992, abstract (doi 10.1016/0042-6989(92)90046-l): "
        "1.6 percent can be seen"
    ),
    "counts": "arithmetic: below 1 some pixels cannot be reached",
}
#: What strains the body first, then what spoils the drawing, then looks (a decision of this
#: project).
WEIGHTS = {
    2.0: {"distance", "top", "centre", "gaze", "side"},
    1.0: {"eyes", "sharpness", "text", "stretch", "counts"},
    0.25: {"width"},
}
#: What another place to sit mends.
OF_SEAT = {"distance", "top", "centre", "gaze", "side", "width"}
#: Rules of the trade, all of them common practice, no source.
ABOUT = {
    "distance": "eyes to the display",
    "top": "top edge below eye level",
    "centre": "centre below eye level",
    "gaze": "lowest line of sight",
    "side": "farthest display to one side",
    "eyes": "side edges, seen without turning the head",
    "width": "how wide the display looks",
    "sharpness": "how large one pixel looks",
    "text": "how high a letter looks",
    "stretch": "stretch of shapes",
    "counts": "counts per pixel",
}
USES = {
    "illustration": (2.0, 3.5),
    "handwriting": (1.0, 2.0),
    "lettering": (1.5, 2.5),
    "retouching": (1.5, 3.0),
    "sculpting": (2.5, 4.0),
    "teaching": (2.0, 4.0),
}


def test_every_recommendation_has_its_ends_and_says_where_it_comes_from():
    assert {
        key: (each.low, each.high, each.unit, each.standing) for key, each in RECOMMENDED.items()
    } == STANDINGS
    # In the order of a report.
    assert [(key, each.about) for key, each in RECOMMENDED.items()] == list(ABOUT.items())
    for key, each in RECOMMENDED.items():
        assert each.source == SOURCES[key]
        assert each.standing == "published" or each.standing in each.cited
    assert {key for key, each in RECOMMENDED.items() if each.of_seat} == OF_SEAT
    # W3C CSS Values and Units: 1/96 inch is about 0.26 mm, and 28 inches are 71.12 cm.
    assert pytest.approx(0.2645833) == REFERENCE_PIXEL_MM
    assert pytest.approx(711.2) == REFERENCE_DISTANCE_MM
    for weight, keys in WEIGHTS.items():
        assert {key for key, each in RECOMMENDED.items() if each.weight == weight} == keys
    assert {use: (band.low, band.high) for use, band in BAND_USES.items()} == USES
    assert {band.source for band in BAND_USES.values()} == {"common practice, no source"}


def test_recommended_values_are_those_that_were_published():
    # OSHA computer workstation guidance, as quoted: eye to screen 20 to 40 inches; the top of the
    # screen at or slightly below eye level; its centre about 15 to 20 degrees below horizontal.
    assert (RECOMMENDED["distance"].low, RECOMMENDED["distance"].high) == (
        20 * MM_PER_INCH,
        40 * MM_PER_INCH,
    )
    assert (RECOMMENDED["centre"].low, RECOMMENDED["centre"].high) == (15, 20)
    assert RECOMMENDED["top"].low == 0
    # ITU-R BT.500 (not checked against the standard): one arc-minute. Common practice, no source:
    # 32 and 57 degrees.
    assert RECOMMENDED["sharpness"].high == 1
    assert (RECOMMENDED["width"].low, RECOMMENDED["width"].high) == (32, 57)
    # Regan and Hamstra 1992, abstract: "as low as 1.6% at (a/b)REF = 1.0".
    assert RECOMMENDED["stretch"].high == 1.016


def test_a_wanted_tablet_needs_the_displays_size():
    with pytest.raises(RequestError, match="its size is needed for a scale factor"):
        tablet_for_scale_mm(Display(1920, 1080), 2.5, (16, 10))


def sizes(each):
    return [
        tuple(round(side, 1) for side in size)
        for size in (each.least_mm, each.size_mm, each.most_mm)
    ]


def test_the_sizes_that_have_a_scale_by_hand():
    # 240 x 152 mm locks to 240 x 135 for 16:9 and to 202.67 x 152 for 4:3: times 2, 2.5 and 3.
    tablet, display = Tablet(240, 152), Display(2560, 1440, 600, 337.5)
    found = sizes_for_scale(2.5, [tablet], [display], [(16, 9), (4, 3)], Band(2, 3))
    assert [(each.tablet, each.display, each.aspect, sizes(each)) for each in found] == [
        (tablet, None, (16, 9), [(480, 270), (600, 337.5), (720, 405)]),
        (tablet, None, (4, 3), [(405.3, 304), (506.7, 380), (608, 456)]),
        # The display over 3, 2.5 and 2, and as high as 4:3 asks.
        (None, display, (16, 9), [(200, 112.5), (240, 135), (300, 168.8)]),
        (None, display, (4, 3), [(200, 150), (240, 180), (300, 225)]),
    ]


#: Usual displays and the tablet of 16:9 that has 2.5 with them, by hand: the diagonal times 25.4 mm
#: times 16 / √337 (20 in are 442.76 mm wide) over 2.5.
USUAL = {
    "20in-hd+": (1600, 900, 177.1),
    "24in-fhd": (1920, 1080, 212.5),
    "27in-qhd": (2560, 1440, 239.1),
    "32in-4k": (3840, 2160, 283.4),
    "40in-4k": (3840, 2160, 354.2),
    "50in-4k": (3840, 2160, 442.8),
}


def test_usual_displays_and_proportions():
    found = sizes_for_scale(2.5, [], USUAL_DISPLAYS, [(16, 9)], Band(2, 3))
    assert [
        (
            each.display.label,
            (each.display.width_px, each.display.height_px, round(each.size_mm[0], 1)),
        )
        for each in found
    ] == list(USUAL.items())
    # A display of 600 x 300 mm: 240 mm wide is the tablet where 120 mm of height are no more.
    display = Display(2000, 1000, 600, 300)
    found = sizes_for_scale(2.5, [], [display], USUAL_ASPECTS, Band(2, 3))
    assert [(each.aspect, sizes(each)[1]) for each in found] == [
        ((16, 9), (240, 135)),
        ((16, 10), (240, 150)),
        ((3, 2), (240, 160)),
        ((4, 3), (240, 180)),
        ((21, 9), (280, 120)),
        ((32, 9), (426.7, 120)),
    ]
