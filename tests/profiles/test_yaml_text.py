"""YAML as it is read and written, by libyaml and by PyYAML's own parser alike.

Every test runs with both.
"""

import io
import math

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from mapper.problems import RequestError
from profiles import yaml_text
from profiles.yaml_text import DEEPEST, dump, parse


@pytest.fixture(params=["libyaml", "pure"], scope="module", autouse=True)
def parser(request):
    if request.param == "libyaml":
        if not yaml.__with_libyaml__:
            pytest.skip("PyYAML was built without libyaml here")
        # It was once looked for under a name that PyYAML does not export, and the slow parser was
        # used without a word.
        assert yaml_text._Parser.__module__ == "yaml._yaml"
        yield
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(yaml_text, "_Parser", yaml.SafeLoader)
        yield


def problems(text):
    with pytest.raises(RequestError) as caught:
        parse(text, "desk.yaml")
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("text", "seen_by_pyyaml", "part_of_message"),
    [
        # What PyYAML 6 makes of each was run and seen; the first assertion runs it again.
        ("a: 16:9", {"a": 969}, 'Write "16:9"'),
        ("a: no", {"a": False}, 'Write "no"'),
        ("a: 0123", {"a": 83}, 'Write "0123" for text'),
        ("a: 1_000", {"a": 1000}, 'Write "1_000" for text'),
        ("a: 0x10", {"a": 16}, 'Write "0x10" for text'),
        ("a: .inf", {"a": math.inf}, "must be a finite number"),
        ("a: 1\na: 2", {"a": 2}, '"a" again'),
        ("a: &x 1\nb: *x", {"a": 1, "b": 1}, "must not use aliases"),
        ("a: !!str 1", {"a": "1"}, "must not use anchors or tags"),
    ],
)
def test_what_pyyaml_takes_silently_is_refused_with_what_to_write(
    text, seen_by_pyyaml, part_of_message
):
    assert yaml.safe_load(text) == seen_by_pyyaml
    assert any(part_of_message in problem for problem in problems(text))


def test_nan_is_refused():
    assert math.isnan(yaml.safe_load("a: .nan")["a"])
    assert problems("a: .nan") == [
        "desk.yaml line 1: must be a finite number; got .nan. Write a number"
    ]


# A digit of another script makes no number, neither for PyYAML nor for us.
NUMBERS = ("1\u0661", "\u0661", "1.\u0661", "0\u0661", "-5", "+5", ".5", "5.", "1e-3x")
SAME = [
    "a: 1\nb: [1.5, text, null]\nc:\n  - d: 'quoted'\n    e: |\n      two\n      lines\n",
    "\ufeffa: 1",
    "a: 1\r\nb: 2\r\n",
    "{a: 1, b: {c: [true, ~]}}",
    "a: 1\n...\n",
    "\n".join(f"{at}: {text}" for at, text in zip("abcdefghi", NUMBERS, strict=True)),
]


@pytest.mark.oracle
@pytest.mark.parametrize("text", SAME)
def test_what_is_plain_is_read_as_pyyaml_reads_it(text):
    assert parse(text, "file").data == yaml.safe_load(text)


def test_a_float_without_a_point_is_a_float_as_in_yaml_1_2():
    assert yaml.safe_load("a: 1e2") == {"a": "1e2"}
    assert parse("a: 1e2", "x").data == {"a": 100.0} == YAML(typ="safe").load("a: 1e2")


def test_all_problems_of_a_document_come_at_once_with_their_lines():
    found = problems("a: no\nb:\n  c: 16:9\n  c: 2\nd: [1, .inf]\n")
    assert [problem.split(":")[0] for problem in found] == [
        f"desk.yaml line {line}" for line in (1, 3, 4, 5)
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "must hold a document"),
        ("# only a remark\n", "must hold a document"),
        ("a: 1\n---\nb: 2\n", "must hold one document"),
        ("a: [1", "must be YAML"),
        ("a: 'x", "must be YAML"),
        ("a: b: c", "must be YAML"),
        ("\ta: 1", "must be YAML"),
        ("\ud800", "text"),
        ("? [a]\n: 1", "a key must be plain text"),
        ("? *x\n: 1", "a key must be plain text"),
        ("a: \x07", "must be YAML text"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "must be text in UTF-8"),
        (b"a: \xff", "must be text in UTF-8"),
        ("a: 1e999", "must be a finite number"),
        ("a: " + "9" * 390, "must be a finite number"),
    ],
)
def test_what_is_no_document_is_refused_in_one_line(text, message):
    (found,) = problems(text)
    assert message in found
    assert "\n" not in found


@pytest.mark.parametrize("opening", ["[", "{a: ", "- "])
def test_depth_is_bounded_without_recursion(opening):
    (found,) = problems(opening * 100_000)
    assert found.startswith(f"desk.yaml line 1: must not be nested more than {DEEPEST} deep")


def test_aliases_do_not_explode():
    text = "a: &a [x, x]\n" + "".join(
        f"{b}: &{b} [*{a}, *{a}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
    )
    assert len(problems(text)) == 9 + 16


# Values that a profile can hold, and text of every kind that YAML could take for something else.
texts = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"])) | st.sampled_from(
    [
        "no",
        "16:9",
        "1e2",
        "0123",
        "~",
        "null",
        "",
        " x",
        "x ",
        "- a",
        "a: b",
        "#",
        "2026-11-25",
        "0x1f",
        "\x85",
        "\ufeff",
    ]
)
values = st.recursive(
    st.booleans()
    | st.integers(-(10**18), 10**18)
    | st.floats(allow_nan=False, allow_infinity=False)
    | texts
    | st.none(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(texts, values, max_size=5))
def test_what_is_dumped_loads_as_the_same(data):
    text = dump(data)
    assert parse(text, "x").data == data
    assert dump(parse(text, "x").data) == text
    assert "\r" not in text.replace("\\r", "")


@given(
    st.dictionaries(
        st.from_regex(r"[a-z_]{1,9}", fullmatch=True),
        st.floats(allow_nan=False, allow_infinity=False),
    )
)
def test_other_readers_see_the_same_floats(data):
    """Oracles: PyYAML's safe loader (YAML 1.1) and ruamel.yaml (YAML 1.2)."""
    data = {f"key_{key}": value for key, value in data.items()}
    text = dump(data)
    assert (yaml.safe_load(text) or {}) == data
    assert dict(YAML(typ="safe").load(io.StringIO(text)) or {}) == data


@given(texts)
def test_the_reader_only_ever_raises_its_own_error(text):
    try:
        parse(text, "x")
    except RequestError as error:
        assert error.problems


def test_a_line_is_known_for_every_key():
    parsed = parse("a: 1\nb:\n  c:\n  - x\n  - d: 2\n", "x")
    assert parsed.line_of(("b", "c", 1, "d")) == 5
    assert parsed.line_of(("b", "c", 0)) == 4
    assert parsed.line_of(("b", "missing")) == 2
    assert parsed.line_of(("nothing",)) == 1
