"""Things of known size as people type them."""

import pytest

from mapper.problems import RequestError
from profiles.known_things import parse_thing

# Sources: ISO/IEC 7810 (ID-1), IEC 60908 and ECMA-130 (disc), ISO 216 (A sizes), ANSI/ASME Y14.1
# (letter), the European Commission (1 euro: 23.25 mm) and the US Mint (quarter: 24.26 mm, 0.955
# in); not checked against the sources.
SIZES = [
    ("card", 85.60, 53.98, 3.18),
    ("disc", 120, 120, 60),
    ("A6", 148, 105, 0),
    ("a5", 210, 148, 0),
    ("a4", 297, 210, 0),
    ("letter", 279.4, 215.9, 0),
    ("coin 23.25mm", 23.25, 23.25, 11.625),
    ("coin 0.955in", 24.257, 24.257, 12.1285),
    ("circle 6 cm", 60, 60, 30),
    ("square 50mm", 50, 50, 0),
    ("rectangle 50x80mm", 80, 50, 0),
    ("rectangle 8cm x 5cm radius 3mm", 80, 50, 3),
]


@pytest.mark.parametrize(("text", "width", "height", "radius"), SIZES)
def test_sizes(text, width, height, radius):
    thing = parse_thing(text, "--of")
    assert (thing.width_mm, thing.height_mm, thing.radius_mm) == pytest.approx(
        (width, height, radius), rel=1e-12
    )
    assert (thing.place_seen_mm, thing.lay) == (None, "")
    assert thing.outline().is_circle == (radius == width / 2)
    assert thing.outline(1.0).width_mm == pytest.approx(width + 1)


@pytest.mark.parametrize(
    ("text", "place", "lay"),
    [
        ("card at 60,45mm", (60, 45), ""),
        ("card upright at 6cm, 4.5cm", (60, 45), "upright"),
        ("circle 40mm at 60,45mm", (60, 45), ""),
        ("a6 upright", None, "upright"),
        ("card across at 60,45mm", (60, 45), "across"),
    ],
)
def test_places_and_turns(text, place, lay):
    thing = parse_thing(text, "--of")
    assert (thing.place_seen_mm, thing.lay) == (place, lay)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("", "Type card"),
        ("cart", "Did you mean card"),
        ("coin", 'Type for example "coin 40mm"'),
        ("coin 23.25", "23.25mm"),
        ("coin 23,250mm", "23.250mm"),
        ("coin -3mm", "from 5 to 2000"),
        ("coin 3mm", "from 5 to 2000"),
        ("circle 9999mm", "from 5 to 2000"),
        ("card 40mm", "size of its own"),
        ("rectangle 80mm", "rectangle 80x50mm"),
        ("rectangle 80x50mm radius 40mm", "half the shorter side"),
        ("card at corner", "card at 60,45mm"),
        ("spoon", "Type card"),
    ],
)
def test_what_is_no_thing_is_refused_with_what_to_type(text, hint):
    with pytest.raises(RequestError) as caught:
        parse_thing(text, "--of")
    assert hint in str(caught.value)
    assert str(caught.value).startswith("--of")


@pytest.mark.parametrize(
    ("text", "typed"),
    [
        ("card", '--of "rectangle 90.0x55.0mm radius 3.18mm across"'),
        ("card at 60,45mm", '--of "rectangle 90.0x55.0mm radius 3.18mm across at 60,45mm"'),
        ("coin 23.25mm", '--of "circle 72.5mm across"'),
    ],
)
def test_a_thing_of_other_sides_is_typed_so_that_it_is_read_again(text, typed):
    thing = parse_thing(text, "--of")
    said = thing.typed(lay="across", sides_mm=(90.0, 55.0))
    assert said == typed
    again = parse_thing(said.removeprefix('--of "').removesuffix('"'), "--of")
    assert (again.lay, again.place_seen_mm) == ("across", thing.place_seen_mm)
