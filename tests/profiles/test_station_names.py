import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.library.station_names import folder_name, plain_name

# Any text at all, halves of surrogate pairs included, and text that was made to do harm or to
# collide.
nasty = st.sampled_from(
    [
        "../../etc/passwd",
        "/",
        "\\\\server\\share",
        "C:\\x",
        "con",
        "NUL.txt",
        "aux ",
        "a.",
        ".",
        "..",
        "~",
        "-rf",
        "a\0b",
    ]
)
names = (st.text(max_size=80) | st.text("abcABC-. /\u00e9e\u0301", max_size=12) | nasty).filter(
    str.strip
)

# Windows keeps these for devices in every folder, with any ending (Microsoft, "Naming Files, Paths,
# and Namespaces").
RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)


@given(names)
def test_a_folder_name_is_safe_on_every_file_system(name):
    folder = folder_name(name)
    assert re.fullmatch(r"[a-z0-9]([a-z0-9-]{0,55}[a-z0-9])?", folder)
    assert not RESERVED.fullmatch(folder)


@given(names, names)
def test_two_names_share_a_folder_only_where_they_are_one_name(one, two):
    assert (folder_name(one) == folder_name(two)) == (plain_name(one) == plain_name(two))


@given(names)
def test_no_name_can_be_given_another_ones_folder(name):
    folder = folder_name(name)
    if folder != plain_name(name):
        assert folder_name(folder) != folder


@given(names)
def test_composed_and_decomposed_letters_and_spaces_make_no_difference(name):
    assert folder_name(unicodedata.normalize("NFD", name)) == folder_name(name)
    assert folder_name(f"  {name}\n") == folder_name(name)


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("desk", "desk"),
        ("left-studio-2", "left-studio-2"),
        ("Desk", "desk-"),
        ("Fenêtre / atelier", "fenetre-atelier-"),
        ("con", "con-"),
        ("a" * 41, "a" * 40 + "-"),
        ("desk-0123456789abcdef", "desk-0123456789abcdef-"),
        ("机器", ""),
    ],
)
def test_what_is_plain_in_a_name_can_be_read_in_its_folder(name, folder):
    digest = "" if folder == name else "[0-9a-f]{16}"
    assert re.fullmatch(folder + digest, folder_name(name))


@pytest.mark.parametrize("name", ["", " ", "\n\t", "\u2003"])
def test_a_blank_name_is_refused(name):
    with pytest.raises(RequestError, match="workstation: must have a name"):
        folder_name(name)
