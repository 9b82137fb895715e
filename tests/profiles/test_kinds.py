"""A document of another format than ours is named as such before all else."""

import pytest

from mapper.problems import RequestError
from profiles.format.document import loads
from profiles.format.kinds import PROFILE, OtherFormatError, refuse_other_format, require_kind


@pytest.mark.parametrize(
    "text",
    [
        "evenstroke: 3\nwhatever: [1, &a x, *a]\n",
        "# a note\n\n---\nevenstroke: 3 # next year's\nevenstroke: 3\n",
        "\ufeffevenstroke: 3\r\nworkstation: x\r\n",
        "evenstroke: 3\na: 16:9\n",
        "evenstroke: 3",
        "workstation: x\nevenstroke: 3\n",
        "evenstroke: 3\n" + "}{",
    ],
    ids=ascii,
)
def test_a_newer_format_is_named_first_whatever_else_it_holds(text):
    for form in (text, text.encode()):
        with pytest.raises(OtherFormatError) as caught:
            loads(form, "desk.yaml")
        (problem,) = caught.value.problems
        assert str(problem) == (
            "desk.yaml: is in format 3, and this version reads format 1. "
            "Update evenstroke to read it; nothing was changed"
        )


@pytest.mark.parametrize("text", ["evenstroke: 2\nwhatever: [1]\n", "a: 1\nevenstroke: 2\n"])
def test_a_format_that_was_never_published_is_refused_with_how_to_map_again(text):
    with pytest.raises(OtherFormatError) as caught:
        loads(text, "desk.yaml")
    (problem,) = caught.value.problems
    assert str(problem) == (
        "desk.yaml: is in format 2, which no published version wrote. To map it again, change its "
        "first line to evenstroke: 1 (of a library's file, in a copy), then type evenstroke map "
        "FILE --save FILE --force"
    )


@pytest.mark.parametrize(
    "data", [None, [], "x", {}, {"evenstroke": "1"}, {"evenstroke": True}, {"evenstroke": 0}]
)
def test_what_has_no_format_is_refused(data):
    with pytest.raises(RequestError, match="evenstroke"):
        require_kind(data, "x", PROFILE)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "evenstroke: 1\n",
        "evenstroke: 99999999999\n",
        "a: 1\nevenstroke: 3\n",
        "evenstroke: 3x\n",
    ],
)
def test_the_first_look_says_nothing_about_what_is_not_plainly_another_format(text):
    refuse_other_format(text, "x", PROFILE)
