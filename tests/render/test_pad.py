"""The pad's page as text and numbers.

What it compares, that its matrices are right and that it lets nothing in.
"""

import base64
import hashlib
import json
import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser

import numpy as np
import pytest
from affine import Affine as OtherAffine
from hypothesis import example, given, settings
from hypothesis import strategies as st

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.feel import Feel
from mapper.mapping.solve import MapRequest
from mapper.mapping.steps import Step
from mapper.rect import Rect
from mapper.solving import solve
from profiles.format.document import Workstation
from profiles.rectangles import parse_entry
from render.desk.pad_maps import (
    PadMap,
    candidates,
    desktop_px_to_glass_mm,
    desktop_px_to_hand_mm,
    named_maps,
    scale_steps,
)
from render.desk.pad_page import page
from render.sentences.entry import answer_sentences
from render.sentences.say import unmarked
from tests.strategies import requests

HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(2)>{{numbers}}\"'&amp;"
DESKTOP = Desktop((Display(2560, 1440).with_diagonal(27 * 25.4),))
SMALL = Desktop((Display(1920, 1080).with_diagonal(15.6 * 25.4),))
TABLET = Tablet(240, 152, 150)


def pad_map(name="Studio desk", tablet=TABLET, desktop=DESKTOP, **wishes):
    return PadMap(name, solve(MapRequest(tablet, desktop, **wishes)))


class Elements(HTMLParser):
    """The elements of a page and the text in those of interest, by a parser that is not ours."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.elements, self.text_of, self._open = [], {}, []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        self._open.append(f"{tag}:{dict(attrs).get('type', '')}")

    def handle_endtag(self, tag):
        while self._open and self._open.pop().partition(":")[0] != tag:
            pass

    def handle_data(self, data):
        if self._open:
            self.text_of.setdefault(self._open[-1], []).append(data)

    @property
    def numbers(self):
        return json.loads("".join(self.text_of["script:application/json"]))


def made(today, others=()):
    return page(today, others, file_stem="desk")


# What is compared
# ------------------------------------------------------------


def test_one_profile_is_compared_with_the_other_fits_of_its_desk():
    today, others = candidates([pad_map()])
    assert today.name == "Studio desk"
    assert [other.map.request.fit for other in others] == ["full", "cropped"]


def test_several_profiles_are_compared_with_the_first_and_those_that_move_alike_are_left_out():
    profiles = [
        pad_map("a"),
        pad_map("b", fit="full"),
        pad_map("the same as a"),
        pad_map("d", fit="cropped"),
    ]
    today, others = candidates(profiles)
    assert today.name == "a"
    assert [other.name for other in others] == ["b", "d"]


def test_now_says_how_the_driver_is_set_today():
    today, others = candidates([pad_map("a"), pad_map("b", fit="full")], "full")
    assert today.map.request.fit == "full"
    assert today.name == "a: Whole tablet, whole display; circles may come out oval"
    assert [other.name for other in others] == ["a"]


def test_now_looks_at_the_whole_tablet_even_where_the_profile_took_an_area_as_it_is():
    set_now = pad_map(fit="full", area_built_mm=Rect(10, 5, 150, 100))
    today, _ = candidates([set_now], "locked")
    assert (today.map.area_built_mm.width, today.map.area_built_mm.height) == (240, 135)


def test_the_map_of_a_driver_with_a_step_is_the_rounded_one():
    solved = solve(MapRequest(TABLET, DESKTOP, step=Step(5, "mm")))
    (only,) = named_maps([("desk.yaml", Workstation("Desk", solved))])
    assert (only.map.area_built_mm.width / 5).is_integer()
    assert only.map.area_built_mm != solved.exact.area_built_mm


def test_profiles_that_share_a_name_are_told_apart_by_their_files():
    solved = pad_map().map
    named = named_maps(
        [("x/a.yaml", Workstation("Desk", solved)), ("y/b.yaml", Workstation("Desk", solved))]
    )
    assert [each.name for each in named] == ["Desk (a.yaml)", "Desk (b.yaml)"]


def test_the_row_of_scale_factors_holds_maps_of_exactly_these_scales():
    steps = scale_steps(pad_map().map)
    assert [scale for scale, _ in steps] == [1.25, 1.5, 1.75, 2, 2.25, 2.5, 2.75, 3, 3.25, 3.5]
    for scale, solved in steps:
        assert solved.summary.scale_factor == pytest.approx(scale, rel=1e-12)
        assert solved.figures[0].distortion.stretch == pytest.approx(1, rel=1e-9)
        assert solved.source_seen_mm.holds(solved.area_seen_mm, slack=1e-9)


def test_a_display_of_unknown_size_has_no_row_of_scale_factors():
    unknown = pad_map(desktop=Desktop((Display(2560, 1440),)))
    assert scale_steps(unknown.map) == ()
    numbers = Elements(made(*candidates([unknown]))).numbers
    assert numbers["scales"] == []
    assert numbers["size_known"] is False


# Its numbers
# ------------------------------------------------------------


@pytest.mark.oracle
@given(requests(), requests())
@settings(max_examples=60)
def test_matrices_agree_with_affine(one, other):
    """Oracle: affine (PyPI), composed step by step from the rectangles alone."""
    today, then = solve(one), solve(other)
    to_mm = desktop_px_to_glass_mm(today, then)
    pitch = then.reference.mm_per_px or today.reference.mm_per_px or (25.4 / 96, 25.4 / 96)

    def scale(solved):
        return (
            solved.screen_px.width / solved.area_seen_mm.width,
            solved.screen_px.height / solved.area_seen_mm.height,
        )

    middle_x, middle_y = today.screen_px.centre
    (x_now, y_now), (x_then, y_then) = scale(today), scale(then)
    expected = (
        OtherAffine.scale(*pitch)
        @ OtherAffine.scale(x_then, y_then)
        @ OtherAffine.scale(1 / x_now, 1 / y_now)
        @ OtherAffine.translation(-middle_x, -middle_y)
    )
    for x, y in today.screen_px.corners:
        reach = max(map(abs, (*to_mm.point(x, y), *to_mm.point(x + 1, y + 1))))
        assert np.allclose(to_mm.point(x, y), expected @ (x, y), rtol=1e-9, atol=1e-9 * reach)
    hand = desktop_px_to_hand_mm(today)
    assert np.allclose(hand.point(middle_x, middle_y), (0, 0), atol=1e-6)


def test_todays_own_picture_is_the_glass_itself():
    today = pad_map()
    to_mm = desktop_px_to_glass_mm(today.map, today.map)
    pitch = today.map.reference.mm_per_px
    assert np.allclose([to_mm.a, to_mm.b, to_mm.d, to_mm.e], [pitch[0], 0, 0, pitch[1]], rtol=1e-14)


def test_a_hand_on_a_tablet_that_lies_askew_moves_in_the_frame_of_the_desk():
    """A tablet turned by 10 degrees, its area turned back, moves the pen as a straight one.

    One whose driver knows nothing of the turn turns everything by 10 degrees.
    """
    straight = pad_map(tablet=Tablet(240, 152))
    feel = Feel(4, 4)
    slanted = pad_map(tablet=Tablet(240, 152, slant_deg=10), feel=feel)
    other = pad_map(tablet=Tablet(240, 152), feel=feel)
    one, two = (desktop_px_to_glass_mm(straight.map, each.map) for each in (slanted, other))
    assert np.allclose([one.a, one.b, one.d, one.e], [two.a, two.b, two.d, two.e], atol=1e-9)
    ignored = desktop_px_to_glass_mm(
        straight.map,
        pad_map(
            tablet=Tablet(240, 152, slant_deg=10),
            step=None,
            fit="full",
            area_built_mm=straight.map.area_built_mm,
        ).map,
    )
    turned = (
        np.array([[ignored.a, ignored.b], [ignored.d, ignored.e]])
        / straight.map.reference.mm_per_px[0]
    )
    angle = np.radians(10)
    assert np.allclose(
        np.abs(turned), [[np.cos(angle), np.sin(angle)], [np.sin(angle), np.cos(angle)]], atol=1e-9
    )


def test_the_page_carries_the_matrices_of_its_maps():
    today, others = candidates([pad_map("a", fit="full"), pad_map("b", desktop=SMALL)])
    numbers = Elements(made(today, others)).numbers
    hand, now, then, scale = numbers["pictures"]
    for found, expected in (
        (hand, desktop_px_to_hand_mm(today.map)),
        (now, desktop_px_to_glass_mm(today.map, today.map)),
        (then, desktop_px_to_glass_mm(today.map, others[0].map)),
    ):
        assert found == [expected.a, expected.b, expected.c, expected.d, expected.e, expected.f]
    assert scale in [each["desktop_px_to_mm"] for each in numbers["scales"]]
    radii = np.hypot(*np.array(numbers["probes"]["circle"][0]).T)
    assert np.allclose(radii, 1, atol=1e-8)
    assert numbers["probes"]["circle"][0][0] == numbers["probes"]["circle"][0][-1]


# What it lets in
# ------------------------------------------------------------


@given(
    st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=40)
)
@example(HOSTILE)
@settings(max_examples=60)
def test_whatever_a_name_holds_stays_text(name):
    plain, found = (
        Elements(made(*candidates([pad_map(each), pad_map(each, fit="full")])))
        for each in ("Studio desk", name)
    )
    assert [tag for tag, _ in found.elements] == [tag for tag, _ in plain.elements]
    assert found.text_of["bdi:"].count(name) == 2
    # A name from right to left stands between isolates there.
    assert "".join(found.text_of["title:"]).lstrip("\N{FIRST STRONG ISOLATE}").startswith(name)
    for (_, attributes), (_, expected) in zip(found.elements, plain.elements, strict=True):
        assert set(attributes) == set(expected)


def test_the_policy_names_the_one_style_and_the_one_script_by_their_hashes():
    """Content Security Policy Level 3, 8.3: the base64 of the SHA-256 of the element's text."""
    found = Elements(made(pad_map()))

    def digest(text):
        return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()

    (policy,) = [
        each["content"]
        for tag, each in found.elements
        if each.get("http-equiv") == "Content-Security-Policy"
    ]
    rules = dict(rule.split(" ", 1) for rule in policy.split("; "))
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == "'none'"
    assert rules["script-src"] == f"'sha256-{digest(''.join(found.text_of['script:']))}'"
    assert rules["style-src"] == f"'sha256-{digest(''.join(found.text_of['style:']))}'"
    assert rules["connect-src"] == "'none'"
    # The policy counts for what comes after it alone.
    assert found.elements[2][1].keys() == {"charset"}
    assert found.elements[3][1].get("http-equiv") == "Content-Security-Policy"


def test_the_page_refers_to_nothing_outside_itself():
    found = Elements(made(pad_map()))
    for _, attributes in found.elements:
        assert not [
            name
            for name in attributes
            if name.startswith("on") or name in {"style", "src", "srcset", "action"}
        ]
        assert attributes.get("href", "data:,") == "data:,"
    for text in ("".join(found.text_of["script:"]), "".join(found.text_of["style:"])):
        for word in (
            "url(",
            "@import",
            "innerHTML",
            "insertAdjacentHTML",
            "document.write",
            "eval(",
            "localStorage",
        ):
            assert word not in text


# The command
# ------------------------------------------------------------


@pytest.fixture
def run(run_alone):
    run_alone("map", "--tablet", "240x152mm", "--display", "27in 2560x1440", "--save", "desk.yaml")
    return run_alone


def test_the_command_writes_one_page_and_replaces_none_unasked(run, tmp_path):
    code, out, err = run("pad", "desk.yaml", "pad.html")
    assert (code, err) == (0, "")
    assert out == "pad.html: open it in a browser on main, and draw.\n"
    first = (tmp_path / "pad.html").read_text("utf-8")
    assert first.startswith("<!doctype html>")
    code, out, err = run("pad", "desk.yaml", "pad.html", "--now", "full")
    assert (code, out) == (2, "")
    assert "--force" in err
    assert (tmp_path / "pad.html").read_text("utf-8") == first
    assert run("pad", "desk.yaml", "pad.html", "--now", "full", "--force")[0] == 0
    assert (tmp_path / "pad.html").read_text("utf-8") != first
    assert sorted(path.name for path in tmp_path.iterdir()) == ["desk.yaml", "pad.html"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["desk.yaml"], "pad desk.yaml pad.html, or add --serve"),
        (
            ["pad.html"],
            (
                "must be the file of a profile or a desk of the library; got none, and the "
                "library is empty"
            ),
        ),
        (["pad.html", "desk.yaml"], "Type the desk first"),
        (["desk.yaml", "one.html", "two.html"], "only the last name"),
        (["desk.yaml", "pad.html", "--serve"], "with --serve no page is written"),
        (["missing.yaml", "pad.html"], "missing.yaml"),
        (["missing.yaml", "--serve"], "missing.yaml"),
    ],
)
def test_a_wrong_request_is_refused_in_plain_words_and_writes_nothing(
    run, tmp_path, arguments, says
):
    code, out, err = run("pad", *arguments)
    assert (code, out) == (2, "")
    assert says in err
    assert [path.name for path in tmp_path.iterdir()] == ["desk.yaml"]


def test_the_large_sentence_and_the_captions_ask_in_the_drivers_own_form():
    full, locked = pad_map(fit="full"), pad_map()
    form = parse_entry("corners % from bottom-left comma", "entry")
    with_form = [replace(each, entry=form) for each in (full, locked)]
    html = unescape(page(with_form[0], with_form[1:], file_stem="desk"))
    verdict = re.sub(
        r"<[^>]*>", "", html.partition('<div class="verdict">')[2].partition("</div>")[0]
    )
    (sentence,) = answer_sentences(locked.map, form)
    assert unmarked(sentence) in re.sub(r"\s+", " ", verdict)
    assert "5,592" in html
    assert "Tablet area:" not in html.partition("<script>")[0]
