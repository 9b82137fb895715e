"""What shops, forums and spreadsheets write: read right, or with a note.

Every cure can itself be typed.
"""

import math
import re
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_DISPLAYS
from mapper.problems import RequestError
from profiles.doubts import hearing
from profiles.shorthand import parse_displays, parse_tablet

SAMPLES = Path(__file__).with_name("samples") / "pasted.tsv"
LINES = [
    tuple(line.split("\t"))
    for line in SAMPLES.read_text("utf-8").splitlines()
    if line and not line.startswith("#")
]


def read(kind, text):
    """What was read of a text, None for nothing, and the notes that came with it."""
    notes = []
    with hearing(notes.append):
        try:
            thing = (
                parse_tablet(text, "it") if kind == "tablet" else parse_displays((text,), "it")[0]
            )
        except RequestError:
            return None, notes
    return thing, notes


def is_right(kind, meant, thing):
    if thing is None:
        return False
    width, height, *rest = meant.split()
    if kind == "tablet":
        counts = None if rest == ["-"] else float(rest[0])
        return (thing.width_mm, thing.height_mm, thing.counts_per_mm) == (
            float(width),
            float(height),
            counts,
        )
    return (thing.width_px, thing.height_px) == (int(width), int(height)) and has_size(thing, rest)


def has_size(display, meant):
    if display.width_mm is None:
        return meant == ["-"]
    if len(meant) == 2:
        return (display.width_mm, display.height_mm) == tuple(map(float, meant))
    number, unit = re.fullmatch(r"([\d.]+)(in|cm)", meant[0]).groups()
    # 27 in and 68.6 cm are one display: where both are written, either is right: 32 in and 81 cm
    # differ by 0.3 %.
    mm = float(number) * {"in": 25.4, "cm": 10}[unit]
    return math.hypot(display.width_mm, display.height_mm) == pytest.approx(mm, rel=5e-3)


def test_lines_of_six_languages_are_read_right_or_with_a_note():
    languages = Counter(language for _, language, _, _ in LINES)
    assert len(LINES) >= 150
    assert len(languages) >= 6
    assert min(languages.values()) >= 15
    wrong, silently = [], []
    for kind, _, meant, text in LINES:
        thing, notes = read(kind, text)
        if not is_right(kind, meant, thing):
            wrong.append(text)
            if thing is not None and not notes:
                silently.append(text)
    assert silently == []
    assert len(wrong) <= 0.05 * len(LINES), wrong


@pytest.mark.parametrize(
    ("name", "count"), [("pasted-second", 100), ("pasted-third", 42), ("pasted-fourth", 100)]
)
def test_lines_that_were_written_down_before_they_were_tried(name, count):
    """At the first look 29 of the 33 that were set aside of the second set, 39 of the third.

    And 95 of the fourth, 32 of the 33 among them that were set aside.
    """
    text = SAMPLES.with_name(f"{name}.tsv").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    assert len(lines) == count
    wrong = []
    for kind, _, meant, line in (line.split("\t", 3) for line in lines):
        thing, _ = read(kind, line)
        if not (thing is None if meant == "asked" else is_right(kind, meant, thing)):
            wrong.append(line)
    assert wrong == []


def test_what_is_shown_as_understood_can_be_typed_and_is_the_same():
    for kind, _, _, text in LINES:
        thing, notes = read(kind, text)
        for note in notes:
            if shown := re.match("it: read as ([^;]*)", note):
                assert read(kind, shown.group(1)) == (thing, []), text


@pytest.mark.parametrize(
    ("kind", "text", "note"),
    [
        ("tablet", "240,5x152mm", "it: read as 240.5x152mm"),
        ("tablet", "240 x 152 mm, 3810 dpi", "dots per inch were read"),
        ("tablet", "medium", "read as medium: 230x144mm; a usual size; yours may differ"),
        ("display", '27" QHD 2560 x 1440 IPS', "it: read as 27in 2560x1440; ignored: IPS"),
        ("display", '27" QHD 2560x1440, HDMI 1920x1080', "ignored: HDMI 1920x1080"),
        ("tablet", "240 x 152 mm, resolution (lpi): 3810", "read as 240x152mm@3810/in"),
        ("display", "27in-qhd", "qhd was read as 2560 × 1440 px"),
        ("display", '27" QHD 2560x1600', "QHD is usually 2560 × 1440 px"),
        ("display", '27" 2560x1440, 614 x 524 mm', "ignored: 614 x 524 mm"),
        ("display", '27" monitor, resolution: 2560x1440', "read as 27in 2560x1440"),
        (
            "display",
            "34in at -3440,0 3440x1440 zoom 1,5",
            "read as 34in 3440x1440 at -3440,0 zoom 1.5",
        ),
        ("display", "32 inch 4k 150%", "it: read as 32in 3840x2160 zoom 150%"),
        ("display", '27" 4K, Skalierung 150 %', "it: read as 27in 3840x2160 zoom 150%"),
        (
            "display",
            '27" UHD scaled to 1.5x, 100% sRGB',
            "read as 27in 3840x2160 zoom 1.5; UHD was read",
        ),
        (
            "display",
            "two 24in 1920x1080 side by side",
            "it: read as 24in 1920x1080; one of several displays was read",
        ),
        ("display", '24" x2 1080p', "one of several displays was read"),
        ("display", '2 Stück 24" FullHD', "one of several displays was read"),
        (
            "display",
            "2x27in 2560x1440",
            "it: read as 27in 2560x1440; one of several displays was read",
        ),
        ("display", '16:10 24" 1920x1200', "it: read as 24in 1920x1200; ignored: 16:10"),
        ("display", "60 cm wide, 2560x1440", "it: read as 2560x1440; ignored: 60 cm wide"),
        ("display", '14" 2.8K 2880x1800', "it: read as 14in 2880x1800; ignored: 2.8K"),
        ("display", '2x DisplayPort, 27" 2560x1440', "it: read as 2x DisplayPort: 27in 2560x1440"),
        ("tablet", "Aktivbereich 240 x 152 mm", "it: read as 240x152mm"),
        ("tablet", "B x T: 240 x 152 mm, 3810 lpi", "it: read as 240x152mm"),
    ],
)
def test_what_was_taken_for_granted_is_said(kind, text, note):
    thing, notes = read(kind, text)
    assert thing is not None
    assert any(note in told for told in notes), notes


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("tablet", "240x152mm@150/mm"),
        ("tablet", "pad: 9.4x6in@3810/in"),
        ("tablet", "pad 2: 240 x 152 mm"),
        ("display", "27 in: 27in 2560x1440"),
        ("display", "left: 24in 1920x1080 at -1920,0 zoom 150% bezel 8mm"),
        ("display", "2560x1440"),
    ],
)
def test_shorthand_needs_no_note(kind, text):
    thing, notes = read(kind, text)
    assert thing is not None
    assert notes == []


CURE = re.compile(r"(?:Type|or|example|,) \"?([^\",]*?\d(?:[^\",]|,(?=\d))*?)\"?(?=, | or |$)")


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("tablet", "big"),
        ("tablet", "Outer size 350 x 220 mm"),
        ("tablet", "active area 10 x 6.25, outer size 13 x 9 in"),
        ("display", "27 in 2560x1440 3840x2160"),
        ("tablet", "240x152"),
        ("tablet", "240,500x152mm"),
        ("tablet", "240 x 152 mm and 330 x 214 mm"),
        ("display", "27in"),
        ("display", "31,5 Zoll"),
        ("display", "27 2560x1440"),
        ("display", "27 QHD"),
        ("display", "597x336 2560x1440"),
        ("display", "27,500in 2560x1440"),
        ("display", "27in 2560x1440 at 5"),
        ("display", '34" ultrawide QHD'),
        ("display", "nonsense"),
    ],
)
def test_the_cure_of_what_is_refused_can_be_typed(kind, text):
    parse = parse_tablet if kind == "tablet" else lambda text, where: parse_displays((text,), where)
    with pytest.raises(RequestError) as caught:
        parse(text, "it")
    (problem,) = caught.value.problems
    cures = CURE.findall(problem.instead)
    assert cures, problem.instead
    for cure in cures:
        assert read(kind, cure)[0] is not None, cure


_places = st.integers(100, 4000).map(lambda tenths: tenths / 10)
_units = st.sampled_from(
    [("mm", 1.0), ("Millimeter", 1.0), ("cm", 10.0), ("Zoll", 25.4), ("inches", 25.4), ('"', 25.4)]
)
_noise = st.sampled_from(["", "USB-C", "6000 levels", "59,90 €", "16:10", "used", "(new)"])


_writings = st.tuples(
    _places,
    _places,
    _units,
    st.sampled_from(["x", " × ", " x ", "*", " by "]),
    st.booleans(),
    _noise,
)


@given(_writings, st.permutations([0, 1, 2]))
def test_any_order_and_any_writing_means_the_same(writing, order):
    """Re-implements the writing, not the reading.

    Sides to a tenth, in any unit, among other things in any order.
    """
    width, height, (unit, unit_mm), by, comma, noise = writing
    sides = f"{width:.1f}{by}{height:.1f} {unit}"
    parts = [
        sides.replace(".", ",") if comma else sides,
        "3.810 lpi" if comma else "3,810 lpi",
        noise,
    ]
    thing, notes = read("tablet", "; ".join(parts[index] for index in order))
    assert (thing.width_mm, thing.height_mm) == pytest.approx(
        (width * unit_mm, height * unit_mm), rel=1e-12
    )
    assert thing.counts_per_mm == pytest.approx(150)
    assert notes


@pytest.mark.parametrize("kind", ["tablet", "display"])
def test_what_pair_lists_can_be_typed_by_its_name(kind):
    for thing in CUSTOMARY_TABLETS if kind == "tablet" else USUAL_DISPLAYS:
        got, notes = read(kind, thing.label)
        assert notes
        assert (got.width_mm, got.height_mm) == pytest.approx((thing.width_mm, thing.height_mm))
        if kind == "display":
            assert (got.width_px, got.height_px) == (thing.width_px, thing.height_px)
