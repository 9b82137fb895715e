"""Names of files that the page saves, as RFC 6266 and RFC 8187 write them."""

import pytest
from werkzeug.http import parse_options_header

from render.desk.saved_names import disposition, saved_stem


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("window desk", "window desk"),
        ("Schreibtisch Süd", "Schreibtisch Süd"),
        ("مكتب النافذة", "مكتب النافذة"),
        ("a/b: c?", "a b c"),
        ("left\u202edesk\n", "left desk"),
        ("..", "desk"),
        ("", "desk"),
        ("con", "desk"),
        ("x" * 300, "x" * 60),
    ],
)
def test_a_saved_file_is_called_as_its_desk(name, stem):
    assert saved_stem(name) == stem
    # Oracle: werkzeug's reader of such a header.
    header = disposition(f"{stem}.yaml")
    assert parse_options_header(header)[1]["filename"] == f"{stem}.yaml"
    assert header.isascii()
