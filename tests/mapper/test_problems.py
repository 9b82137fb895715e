"""One shape for everything that is wrong: where, what must hold, what came, what to do instead."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import (
    LONGEST_QUOTE,
    AnswerIsNo,
    Collected,
    EvenstrokeError,
    Problem,
    RequestError,
    found_at,
    nearest,
    one_of,
    quoted,
)


def test_the_parts_of_a_problem_in_their_order():
    assert [
        str(Problem(where, "must be a size", came, instead))
        for where in ("tablet", "")
        for came in ("12", "")
        for instead in ("Type 12mm", "")
    ] == [
        "tablet: must be a size; got 12. Type 12mm",
        "tablet: must be a size; got 12",
        "tablet: must be a size. Type 12mm",
        "tablet: must be a size",
        "must be a size; got 12. Type 12mm",
        "must be a size; got 12",
        "must be a size. Type 12mm",
        "must be a size",
    ]


def test_an_outer_place_is_put_before_the_inner_one():
    assert (
        str(Problem("width", "must be a size").at("desk.yaml:3"))
        == "desk.yaml:3: width: must be a size"
    )
    assert str(Problem("", "must be a size").at("desk.yaml")) == "desk.yaml: must be a size"


def test_an_error_carries_all_its_problems_one_a_line():
    one, other = Problem("a", "must be"), Problem("b", "must not be")
    error = RequestError(one, other)
    assert error.problems == (one, other)
    assert str(error) == "a: must be\nb: must not be"
    assert isinstance(error, EvenstrokeError)
    assert not issubclass(AnswerIsNo, RequestError)


def test_what_is_found_within_a_block_is_collected_and_other_errors_go_on():
    problems = []
    one, other = Problem("a", "must be"), Problem("b", "must not be")
    with Collected(problems):
        raise AnswerIsNo(one, other)
    assert problems == [one, other]
    with pytest.raises(ZeroDivisionError), Collected(problems):
        raise ZeroDivisionError
    assert problems == [one, other]


def test_a_place_is_put_before_what_is_found_there_and_not_twice():
    with pytest.raises(RequestError) as found, found_at("desk.yaml"):
        raise AnswerIsNo(Problem("width", "must be"), Problem("desk.yaml: feel", "must be"))
    assert str(found.value) == "desk.yaml: width: must be\ndesk.yaml: feel: must be"


@given(st.text() | st.integers() | st.floats() | st.binary())
def test_a_quote_is_one_printable_line_of_bounded_length(value):
    text = quoted(value)
    assert text.isprintable()
    assert len(text) <= LONGEST_QUOTE + 2
    if isinstance(value, str):
        assert text[0] == text[-1] == '"'


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("desk", '"desk"'),
        (12.5, "12.5"),
        ("a\x07b\n", '"a\ufffdb\ufffd"'),
        ("x" * 60, '"' + "x" * 60 + '"'),
        ("x" * 61, '"' + "x" * 59 + '\u2026"'),
        (["y" * 70], "['" + "y" * 57 + "\u2026"),
    ],
)
def test_a_value_as_it_is_quoted(value, shown):
    assert quoted(value) == shown


def test_one_of_several_words():
    assert one_of("full", ("full", "locked"), "fit") == "full"
    with pytest.raises(RequestError) as refused:
        one_of("lock", ("full", "locked"), "fit")
    assert str(refused.value) == (
        'fit: must be one of full, locked; got "lock". Did you mean locked?'
    )
    with pytest.raises(RequestError) as refused:
        one_of("stretch", ("full", "locked"), "fit")
    assert str(refused.value) == 'fit: must be one of full, locked; got "stretch"'


def test_the_nearest_choice():
    choices = ("full", "locked", "cropped")
    assert nearest("lokced", choices) == "locked"
    assert nearest("FULL", choices) == "full"
    assert nearest("stretch", choices) is None
