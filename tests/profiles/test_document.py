import json
import math
import re
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import jsonschema
import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.feel import Feel
from mapper.mapping.forms import SHAPES
from mapper.mapping.solve import MapRequest, solve_exact, unturned_map
from mapper.mapping.steps import Step
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.rounding.rounded import rounded
from mapper.seat import Seat
from mapper.solving import solve
from mapper.units import exact_decimal
from profiles.format import schema
from profiles.format.document import (
    LARGEST_BYTES,
    Revision,
    StaleError,
    Workstation,
    load,
    load_described,
    loads,
    to_json,
    to_yaml,
)
from tests.profiles import libraries
from tests.strategies import any_requests, seats

SCHEMA_FILE = Path(schema.__file__).parents[1] / "profile.schema.json"


def workstation(*, displays=("27in 2560x1440", "side: 1920x1080"), **more):
    return libraries.workstation(
        "window desk", "by the window", displays=displays, seat=Seat(700.0), **more
    )


def messages(text, name="desk.yaml"):
    """The problems of loading ``text`` as a profile."""
    with pytest.raises(RequestError) as caught:
        loads(text, name)
    return [str(problem) for problem in caught.value.problems]


texts = st.text(min_size=1, max_size=30).filter(str.strip)


steps = st.builds(Step, st.sampled_from([0.1, 0.25, 1.0]), st.sampled_from(["mm", "percent"]))
# Files with years of other than four digits are no concern of ours.
times = st.datetimes(datetime(1990, 1, 1), timezones=st.timezones())  # noqa: DTZ001 - the zone comes beside
revisions = st.builds(Revision, st.integers(1, 10**9), times, st.none() | texts)
entries = st.builds(
    Entry,
    st.sampled_from(list(SHAPES)),
    st.sampled_from(["mm", "inch", "percent"]),
    st.booleans(),
    st.booleans(),
)


@given(
    any_requests(),
    st.none() | steps,
    st.none() | st.floats(0.1, 10.0),
    st.fixed_dictionaries(
        {}, optional={"note": texts, "seat": seats, "revision": revisions, "entry": entries}
    ),
    texts,
)
def test_whatever_is_described_loads_as_the_same_workstation_and_fits_the_shipped_schema(
    request, step, times_as_large, more, name
):
    """Oracle of the schema: the jsonschema package, draft 2020-12."""
    if step is not None and step.unit == "mm":
        # A step that any of the strategy's tablets and parts of them can hold.
        step = replace(step, size=step.size / 100)
    scale_factor = solve(request).summary.scale_factor
    if times_as_large is not None and scale_factor is not None:
        if request.fit == "full":
            request = replace(request, fit="cropped", area_built_mm=None)
        wanted = times_as_large * solve(request).summary.scale_factor
        step = None if step is None else Step(0.001, "percent")
        request = replace(request, feel=Feel(wanted, wanted))
    target_px = solve_exact(replace(request, feel=None)).target_px
    # A window of less than a pixel cannot be rounded to whole ones.
    assume(step is None or min(target_px.width, target_px.height) >= 2)
    try:
        exact, solved = solve(request), solve(replace(request, step=step))
    except RequestError as error:
        assert request.feel is not None
        assert [problem.where for problem in error.problems] == ["scale"]
        return
    described = Workstation(name, solved, **more)
    text = to_yaml(described)
    data, loaded = yaml.safe_load(text), loads(text, "x")
    assert loaded == described
    assert to_yaml(loaded) == text
    assert json.loads(to_json(described)) == data
    jsonschema.Draft202012Validator(json.loads(SCHEMA_FILE.read_text("utf-8"))).validate(data)
    # The numbers moved by no more than the digit that is written.
    assert loaded.map.exact.area_built_mm.width == pytest.approx(
        exact.area_built_mm.width, rel=1e-5, abs=1e-5
    )


def test_the_shipped_schema_is_the_one_of_the_types():
    assert json.loads(SCHEMA_FILE.read_text("utf-8")) == schema.json_schema()
    jsonschema.Draft202012Validator.check_schema(schema.json_schema())


@pytest.mark.parametrize(
    "wrong",
    [
        lambda data: data.pop("workstation"),
        lambda data: data["tablet"].update(width_mm=0),
        lambda data: data["tablet"].update(turn_deg=45),
        lambda data: data["map"].update(fit="squeezed"),
        lambda data: data["displays"][0].update(colour="blue"),
        lambda data: data.update(displays=[]),
        lambda data: data["matrix"]["built_unit_to_desktop_unit"].pop(),
        lambda data: data["map"].update(onto=[]),
        lambda data: data["map"].update(true_on="nowhere"),
        lambda data: data["displays"][0].update(circles_round="nowhere"),
        lambda data: [display.update(circles_round=True) for display in data["displays"]],
        lambda data: data["area"].update(frame="seen"),
        lambda data: data["area"]["mm"].update(width=-240.0),
        lambda data: data["area"]["inch"].update(height=-1.0),
        lambda data: data["area"]["percent"].update(left=-1.0),
        lambda data: data["area"]["counts"].update(top=-1.0),
        lambda data: data["screen"]["px"].update(width=-1.0),
    ],
)
def test_schema_and_loader_refuse_the_same(wrong):
    data = json.loads(to_json(workstation()))
    wrong(data)
    assert list(jsonschema.Draft202012Validator(schema.json_schema()).iter_errors(data))
    assert messages(json.dumps(data))


def test_the_schema_says_what_each_key_means_in_which_unit_and_frame():
    """The units are read off the names of the keys; whoever adds a key cannot forget its words."""
    stated = schema.json_schema()
    assert stated["$id"].startswith("https://")
    units = {"mm": r"\bmm\b", "in": "inch", "deg": "degrees", "percent": "percent", "px": "pixel"}
    seen = 0
    for name, part in stated["$defs"].items():
        for key, value in part["properties"].items():
            seen += 1
            words = value["description"]
            assert words.endswith("."), (name, key)
            ending = key.rsplit("_", 1)[-1] if "_per_" not in key else ""
            assert re.search(units.get(ending, ""), words), (name, key)
            if name in {"EdgesPart", "PlainRect", "AskedRect", "AreaPart", "ScreenPart", "AreaMm"}:
                assert re.search("frame|as built|desktop|own centre|unit|pixels", words), (
                    name,
                    key,
                )
    assert seen == 102


def test_a_file_that_was_kept_before_displays_were_marked_is_read():
    """Its map names the display on which circles are round; written anew, that one is marked."""
    both = workstation(onto=("main", "side"), true_on="side")
    text = to_yaml(both)
    assert text.count("  circles_round: true\n") == 1
    earlier = text.replace("  circles_round: true\n", "").replace(
        "  onto: [main, side]\n", "  onto: [main, side]\n  true_on: side\n"
    )
    assert to_yaml(loads(earlier, "desk.yaml")) == text
    (said,) = messages(earlier.replace("true_on: side", "true_on: sid"))
    assert said.startswith("desk.yaml line 27, map.true_on: must be one of main, side")
    assert "Did you mean side?" in said


def test_the_keys_that_other_programs_rely_on():
    data = yaml.safe_load(to_yaml(workstation(turn_deg=90, onto=("main", "side"))))
    assert list(data) == [
        "evenstroke",
        "workstation",
        "note",
        "tablet",
        "displays",
        "seat",
        "map",
        "area",
        "screen",
        "summary",
        "figures",
        "matrix",
    ]
    edges = ["left", "top", "right", "bottom", "width", "height"]
    assert list(data["area"]) == ["frame", "mm", "inch", "percent", "counts"]
    for unit in ("mm", "inch", "percent", "counts"):
        assert list(data["area"][unit]) == edges
    assert list(data["screen"]) == ["frame", "px"]
    assert (data["area"]["frame"], data["screen"]["frame"]) == ("built", "desktop")
    assert list(data["screen"]["px"]) == edges
    main, side = data["figures"]
    assert list(main) == [
        "display",
        "scale_x",
        "scale_y",
        "stretch",
        "oval_percent",
        "angle_error_deg",
        "areal_scale",
        "counts_per_px_x",
        "counts_per_px_y",
    ]
    # Its size is unknown: what needs mm is absent, not guessed.
    assert not {"scale_x", "scale_y", "areal_scale"} & set(side)
    assert list(data["summary"]) == ["scale_factor", "area_used_percent", "screen_used_percent"]
    assert list(data["matrix"]) == ["built_unit_to_desktop_unit"]
    assert [len(row) for row in data["matrix"]["built_unit_to_desktop_unit"]] == [3, 3, 3]


@pytest.mark.parametrize(
    ("most", "more"),
    [
        (44, {}),
        (70, {"turn_deg": 90, "fit": "full", "entry": Entry("corners", "mm", True, True)}),
    ],
)
def test_a_profile_of_one_display_without_a_step_is_short(most, more):
    described = workstation(displays=["studio: 27in 2560x1440"], **more)
    described = replace(described, revision=Revision(3, datetime.now(UTC), "as it was"))
    text = to_yaml(described)
    assert len(text.splitlines()) <= most
    # Each rectangle, each display's figures and each row of the matrix takes one line.
    assert len([line for line in text.splitlines() if "left: " in line]) == 5
    (line,) = [line for line in text.splitlines() if line.startswith("- {display: studio, ")]
    assert yaml.safe_load(line) == yaml.safe_load(text)["figures"]


def test_a_changed_hold_is_a_diff_of_a_few_lines():
    """The hold, the rectangle in its four units, and the row of the matrix that moves."""
    centre, top = (to_yaml(workstation(hold=hold)).splitlines() for hold in ("centre", "top"))
    assert len(centre) == len(top)
    changed = [
        new.split(":")[0].strip() for old, new in zip(centre, top, strict=True) if old != new
    ]
    assert changed[:-1] == ["hold", "mm", "inch", "percent", "counts"]
    assert changed[-1].startswith("- [")


def test_a_longer_axis_is_named_only_where_there_is_one():
    stretched = yaml.safe_load(to_yaml(workstation(fit="full")))
    assert stretched["figures"][0]["longer_axis_deg"] == 0.0
    assert "longer_axis_deg" not in yaml.safe_load(to_yaml(workstation()))["figures"][0]


EDITS = [
    (
        "fit: locked",
        "fit: lokced",
        "line 24, map.fit: must be cropped, full or locked",
        "Did you mean locked?",
    ),
    (
        "  width_mm: 240.0",
        "  widht_mm: 240.0",
        "line 5, tablet.widht_mm: is not a key",
        "Did you mean width_mm?",
    ),
    (
        "  width_mm: 240.0",
        "  width_mm: 240,500",
        "line 5, tablet.width_mm: must be a number",
        "Type 240.500",
    ),
    (
        "  width_mm: 240.0",
        "  width_mm: 240mm",
        "line 5, tablet.width_mm: must be a number",
        "Write 240: the key says",
    ),
    ("  width_mm: 240.0", "  width_mm: -240", "must be greater than 0; got -240", ""),
    ("  width_mm: 240.0", "  width_mm: true", "must be a number; got True", ""),
    ("  width_px: 2560", "  width_px: 2560.5", "displays[0].width_px: must be a whole number", ""),
    ("  turn_deg: 0", "  turn_deg: 45", "must be 0, 90, 180 or 270; got 45", ""),
    (
        "workstation: window desk",
        "workstation: 12",
        "line 2, workstation: must be text",
        'Write it in quotation marks: "12"',
    ),
    ("workstation: window desk", 'workstation: ""', "must not be empty", ""),
    ("onto: [main]", "onto: [mian]", 'must name a display; got "mian"', "Did you mean main?"),
    (
        "  left_px: 2560",
        "  left_px: 2560\n  circles_round: true",
        "must be a display that the pen reaches",
        "It reaches main",
    ),
    ("label: side", "label: main", "each label must be its own", ""),
    ("left_px: 2560", "left_px: 2559", "displays must not overlap", ""),
    ("evenstroke: 1", "evenstroke: 3", "is in format 3", "Update evenstroke"),
    ("evenstroke: 1\n", "", "must be a profile", ""),
    ("note: by the window", "note: [a]", "line 3, note: must be text; got a list", ""),
    ("seat:\n  distance_mm: 700.0", "seat: 700.0", "line 21, seat: must be a mapping", ""),
]


@pytest.mark.parametrize(("found", "edited", "message", "instead"), EDITS)
def test_a_slip_of_the_hand_is_named_with_its_line_and_what_to_write(
    found, edited, message, instead
):
    text = to_yaml(workstation())
    assert text.count(found) >= 1
    (said,) = messages(text.replace(found, edited, 1))
    assert said.startswith("desk.yaml")
    assert message in said
    assert instead in said
    assert "\n" not in said


def test_a_decimal_comma_is_understood_where_it_can_be_no_other():
    text = to_yaml(workstation())
    assert "  width_mm: 240.0" in text
    assert loads(text.replace("  width_mm: 240.0", "  width_mm: 240,0"), "desk.yaml") == loads(
        text, "desk.yaml"
    )


def test_all_problems_of_a_file_come_at_once():
    text = to_yaml(workstation())
    for found, edited, *_ in EDITS[:3]:
        text = text.replace(found, edited, 1)
    text = text.replace("distance_mm: 700.0", "distance_mm: 0").replace(
        "hold: centre", "hold: middle"
    )
    said = messages(text)
    assert [re.search(r"line \d+, (\S+):", line).group(1) for line in said] == [
        "tablet.widht_mm",
        "seat.distance_mm",
        "map.fit",
        "map.hold",
    ]


def derived_numbers():
    """The path of every derived number of a profile, and its text in the document."""
    data = yaml.safe_load(to_yaml(workstation(turn_deg=90)))

    def walk(value, path):
        if isinstance(value, dict):
            for key, inner in value.items():
                yield from walk(inner, (*path, key))
        elif isinstance(value, list):
            for index, inner in enumerate(value):
                yield from walk(inner, (*path, index))
        elif isinstance(value, float):
            yield path

    return [
        path
        for part in ("area", "screen", "summary", "figures", "matrix")
        for path in walk(data[part], (part,))
    ]


def holder_of(data, path):
    for step in path[:-1]:
        data = data[step]
    return data


def test_every_derived_number_is_compared_to_its_last_written_digit():
    text = to_yaml(workstation(turn_deg=90))
    counts = {"counts_per_px_x", "counts_per_px_y"}
    factors = {"scale_x", "scale_y", "stretch", "areal_scale", "scale_factor", "matrix", *counts}
    for path in derived_numbers():
        data = yaml.safe_load(text)
        holder = holder_of(data, path)
        written = holder[path[-1]]
        digit = 1e-6
        if factors.intersection(path):
            # Nine significant digits: those of the number in scientific notation.
            digit = 10.0 ** (int(f"{written:e}".partition("e")[2]) - 8) if written else 1e-12
        holder[path[-1]] = written + digit
        loads(json.dumps(data), "x")
        holder[path[-1]] = written + math.copysign(3 * digit, written)
        (said,) = messages(json.dumps(data))
        named = "".join(
            f"[{step}]" if isinstance(step, int) else f".{step}" for step in path
        ).lstrip(".")
        assert f", {named}: must be {written!r}" in said


def test_what_is_written_can_be_read_aloud():
    display = Display(2560, 1440).with_diagonal(27 * 25.4)
    tablet = Tablet(240, 152, exact_decimal("1000", 10, 254))
    # A step of 150 counts per mm is no round number of mm.
    fine = Tablet(240, 152, 150)
    part = Rect(*(float(Fraction(each) / 150) for each in (1, 0, 30001, 20001)))
    asked = MapRequest(fine, Desktop((display,)), within_built_mm=part)
    within = yaml.safe_load(to_yaml(Workstation("desk", solve(asked))))["map"]["within"]
    assert within == {"left": 1, "top": 0, "width": 30001, "height": 20001, "unit": "counts"}
    request = MapRequest(tablet, Desktop((display,)))
    text = to_yaml(Workstation("desk", solve(request)))
    data = yaml.safe_load(text)
    assert data["displays"][0] == {
        "label": "main",
        "diagonal_in": 27,
        "width_px": 2560,
        "height_px": 1440,
        "left_px": 0,
        "top_px": 0,
    }
    assert data["tablet"]["counts_per_in"] == 1000
    lengths, matrices = text.split("\nmatrix:")
    for number in re.findall(r"[0-9]+\.[0-9]+", lengths):
        assert (
            len(number.partition(".")[2]) <= 6 or len(number.replace(".", "").lstrip("0")) <= 9
        ), number
    for number in re.findall(r"[0-9.]+(?:e-[0-9]+)?", matrices):
        assert len(number.partition("e")[0].replace(".", "").lstrip("0")) <= 9, number


ANEW = "Write its second half anew from what was described: evenstroke map FILE --save FILE --force"


@pytest.mark.parametrize("part", ["area", "screen", "summary", "figures", "matrix"])
def test_a_profile_without_a_derived_part_is_stale(part):
    data = yaml.safe_load(to_yaml(workstation()))
    del data[part]
    with pytest.raises(StaleError) as caught:
        loads(json.dumps(data), "desk.yaml")
    assert str(caught.value) == f"desk.yaml line 1: must have the key {part}. {ANEW}"


def test_what_was_described_is_read_where_the_second_half_is_absent_or_stale(tmp_path):
    described = workstation()
    path = tmp_path / "desk.yaml"
    full = to_yaml(described)
    first_half = full[: full.index("area:")]
    others = ["", "area: {mm: 5}\n", "unturned: []\nmatrix:\n  no_longer: [1]\n"]
    for second_half in (*others, full[full.index("area:") :].replace("240.0", "239.0")):
        path.write_text(first_half + second_half)
        assert load_described(str(path)) == described
        with pytest.raises(StaleError) as caught:
            load(str(path))
        (problem,) = caught.value.problems
        assert problem.instead == ANEW


@pytest.mark.parametrize("second_half", ["", "area: {mm: 5}\n"])
def test_a_slip_in_the_first_half_is_no_stale_second_half(tmp_path, second_half):
    text = to_yaml(workstation())
    path = tmp_path / "desk.yaml"
    path.write_text(text[: text.index("area:")].replace("fit: locked", "fit: x") + second_half)
    for read in (load, load_described):
        with pytest.raises(RequestError, match=r"map\.fit: must be cropped, full or") as caught:
            read(str(path))
        assert not isinstance(caught.value, StaleError)


def test_a_large_file_is_refused_without_being_read(tmp_path):
    large = tmp_path / "large.yaml"
    with large.open("wb") as file:
        file.truncate(100 * 1024 * 1024)
    with pytest.raises(RequestError, match=f"at most {LARGEST_BYTES // 1024} KiB"):
        load(str(large))


# Windows, slants, parts of the tablet, a wanted scale, a driver's step
# --------------------------------------------------


def desk(**asked):
    display = Display(2560, 1440, zoom=1.25, bezel_mm=8.0).with_diagonal(27 * 25.4)
    tablet = Tablet(240, 152, 150, slant_deg=asked.pop("slant_deg", 0.0))
    return solve(MapRequest(tablet, Desktop((display,)), **asked))


def test_the_area_before_rounding_stands_beside_the_one_that_is_entered_where_it_differs():
    stepped = desk(step=Step(1, "mm"), hold="top-left")
    document = yaml.safe_load(to_yaml(Workstation("desk", stepped)))
    plain = yaml.safe_load(to_yaml(Workstation("desk", desk(hold="top-left"))))
    assert "before_rounding" not in plain
    # The map before rounding is 240 x 135 mm, which steps of 2 mm cannot have and of 1 mm can.
    assert document["area"] == plain["area"]
    assert "before_rounding" not in document
    coarse = yaml.safe_load(to_yaml(Workstation("desk", desk(step=Step(2, "mm"), hold="top-left"))))
    assert coarse["before_rounding"] == {"frame": "built", "mm": plain["area"]["mm"]}
    assert coarse["area"]["mm"] != plain["area"]["mm"]
    assert coarse["summary"]["scale_factor"] == pytest.approx(
        rounded(desk(step=Step(2, "mm"), hold="top-left")).summary.scale_factor, rel=1e-8
    )


def test_an_askew_tablet_has_the_turned_area_and_the_unturned_one():
    solved = desk(slant_deg=-12.0)
    document = yaml.safe_load(to_yaml(Workstation("desk", solved)))
    assert document["tablet"]["slant_deg"] == -12.0
    assert document["area"]["angle_deg"] == 12.0
    assert "tilt_deg" not in document["figures"][0]
    beside = document["unturned"]
    assert list(beside) == ["frame", "mm"]
    assert beside["mm"]["width"] == unturned_map(solved).area_built_mm.width
    # With a step the area is not turned, and it is the exact one of those that it differs from.
    stepped = yaml.safe_load(
        to_yaml(Workstation("desk", desk(slant_deg=-12.0, step=Step(20, "mm"))))
    )
    assert "unturned" not in stepped
    assert "angle_deg" not in stepped["area"]
    assert stepped["before_rounding"] == beside


@pytest.mark.parametrize(
    ("asked", "key"),
    [
        ({"feel": Feel(3, 3)}, {"scale": 3.0}),
        (
            {"feel": Feel(3, 3, "studio")},
            {"feel": {"of": "studio", "scale_x": 3.0, "scale_y": 3.0}},
        ),
        ({"feel": Feel(3, 3.5)}, {"feel": {"scale_x": 3.0, "scale_y": 3.5}}),
        (
            {"within_built_mm": Rect(10, 0, 200, 152)},
            {"within": {"left": 10.0, "top": 0.0, "width": 200.0, "height": 152.0, "unit": "mm"}},
        ),
        (
            {"area_built_mm": Rect(10, 5, 200, 120), "fit": "full"},
            {"area": {"left": 10.0, "top": 5.0, "width": 200.0, "height": 120.0, "unit": "mm"}},
        ),
        (
            {"step": Step(0.5, "percent", 0.2)},
            {"step": {"size": 0.5, "unit": "percent", "shape_tolerance_percent": 0.2}},
        ),
    ],
)
def test_what_was_asked_is_written_down(asked, key):
    document = yaml.safe_load(to_yaml(Workstation("desk", desk(**asked))))
    assert {name: document["map"][name] for name in key} == key


@pytest.mark.parametrize("part", ["before_rounding", "unturned"])
def test_a_changed_or_missing_area_beside_the_one_that_is_entered_is_named(part):
    step = Step(20, "mm") if part == "before_rounding" else None
    text = to_yaml(Workstation("desk", desk(slant_deg=3.0, step=step)))
    document = yaml.safe_load(text)
    document[part]["mm"]["width"] += 0.5
    with pytest.raises(RequestError, match=rf"{part}\.mm\.width: must be"):
        loads(json.dumps(document), "desk.yaml")
    del document[part]
    with pytest.raises(
        RequestError, match=f"{part}: must be there, as follows from what was asked; got nothing"
    ):
        loads(json.dumps(document), "desk.yaml")


def test_a_profile_cannot_ask_for_a_scale_and_a_feel():
    document = yaml.safe_load(to_yaml(Workstation("desk", desk(feel=Feel(3, 3)))))
    document["map"]["feel"] = {"scale_x": 3, "scale_y": 3}
    with pytest.raises(RequestError, match="both a scale and a feel"):
        loads(json.dumps(document), "desk.yaml")
