"""Whatever stands in a file, the loader gives a workstation or the project's own error.

In single lines.
"""

from pathlib import Path

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.format import schema
from profiles.format.document import loads, to_yaml
from profiles.library.entries import EntryFile, digest
from profiles.library.revisions import read_mark
from profiles.yaml_text import dump

SAMPLE = (Path(__file__).parent / "samples" / "format-1.yaml").read_bytes()
DATA = yaml.safe_load(SAMPLE)

anything = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)
# Pieces of YAML that mean something, and pieces that mean trouble.
GRAMMAR = [
    "\n",
    " ",
    "  ",
    ": ",
    "- ",
    "&a ",
    "*a",
    "!!x ",
    "{",
    "}",
    "[",
    "]",
    "'",
    '"',
    "|\n",
    ">\n",
    "#",
    "---\n",
]
TROUBLE = ["...\n", "? ", "<<: ", "%YAML 1.1\n", "\t", "\r", "\0", "\ufeff", "\x85", "\u2028"]
NUMBERS = ["1e999", "-0", ".nan", "16:9", "null", "9" * 30, "1e-320", "2026-02-30T99:99:99Z"]
pieces = (
    st.sampled_from([*GRAMMAR, *TROUBLE, *NUMBERS]).map(str.encode)
    | st.sampled_from([b"\xff", b"\xed\xa0\x80"])
    | st.binary(max_size=12)
)


def accept_or_refuse(content):
    try:
        workstation = loads(content, "desk.yaml")
    except RequestError as error:
        assert error.problems
        for problem in error.problems:
            assert "\n" not in str(problem)
            assert str(problem).startswith("desk.yaml")
        return
    assert loads(to_yaml(workstation), "again") == workstation


@given(st.binary(max_size=400) | st.lists(pieces, max_size=30).map(b"".join))
def test_any_bytes(content):
    accept_or_refuse(content)


@settings(max_examples=200)
@given(
    st.lists(
        st.tuples(st.integers(0, len(SAMPLE)), st.integers(0, 16), pieces), min_size=1, max_size=4
    )
)
def test_a_profile_with_parts_of_it_spoilt(cuts):
    content = bytearray(SAMPLE)
    for at, gone, piece in cuts:
        content[at : at + gone] = piece
    accept_or_refuse(bytes(content))


def places(data, path=()):
    """The key path of every value in a document."""
    if path:
        yield path
    if isinstance(data, (dict, list)):
        for step in data if isinstance(data, dict) else range(len(data)):
            yield from places(data[step], (*path, step))


@example(path=("area", "mm", "width"), value=0, gone=False)
@given(st.sampled_from(list(places(DATA))), anything, st.booleans())
def test_a_profile_with_anything_in_any_place(path, value, gone):
    data = yaml.safe_load(SAMPLE)
    here = data
    for step in path[:-1]:
        here = here[step]
    if gone:
        del here[path[-1]]
    else:
        here[path[-1]] = value
    accept_or_refuse(dump(data).encode())


@pytest.mark.parametrize(
    ("revision", "message"),
    [
        ({"number": 0, "kept": "2026-11-25T09:03:11Z"}, "revision.number: must be at least 1"),
        ({"number": 1, "kept": "2026-11-25"}, "revision.kept: must match"),
        ({"number": 1, "kept": "2026-02-30T09:03:11Z"}, "revision.kept: must be a date and time"),
        ({"number": 1}, "revision: must have the key kept"),
        (
            {"number": 1, "kept": "2026-11-25T09:03:11Z", "note": ""},
            "revision.note: must not be empty",
        ),
    ],
)
def test_a_wrong_revision_is_named(revision, message):
    with pytest.raises(RequestError, match=message):
        loads(dump({**DATA, "revision": revision}), "desk.yaml")


@given(
    st.binary(max_size=200)
    | st.lists(pieces, max_size=12).map(b"".join)
    | anything.map(lambda data: dump(data).encode())
)
def test_any_mark(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("mark") / f"20260302-090000-000000-pin-{digest(content)}.yaml"
    path.write_bytes(content)
    entry = EntryFile.at_path(path)
    try:
        mark = read_mark(entry)
    except RequestError as error:
        assert str(path) in str(error)
    else:
        assert mark.mark in {"pin", "unpin", "retire", "restore"}


def test_the_sample_reaches_every_part():
    """Else the fuzzing above would leave some of the format out."""
    assert set(schema.Profile.__struct_fields__) - set(DATA) <= {
        "unturned",
        "before_rounding",
        "entry",
    }
