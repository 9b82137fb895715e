"""Sizes by the band, with nothing in the book."""

import re

import pytest

# Common practice, no source: displays that go with tablets of about 7, 11, 15 and 22 in.
ROWS = {"small": (20, 25), "medium": (20, 30), "large": (30, 40), "extra large": (40, 50)}


def test_with_an_empty_book_the_sizes_come_near_the_rows_of_the_trade_and_the_rest_is_told(run, monkeypatch, tmp_path):
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    code, out, _ = run("band", "--sizes", "--tablet", "mine: 240x152mm")
    assert (code, "Nothing was tried yet." in out, "not tried" in out) == (0, True, False)
    told = dict(re.findall(r"^([a-z ]+), \d+ x \d+ mm\n  suits +(.*)$", out, re.MULTILINE))
    # The tablet that was named stands for the customary size near it.
    assert list(told) == ["mine", "small", "large", "extra large"]
    for name, (low, high) in ROWS.items():
        inches = [int(each) for each in re.findall(r"(\d+) in", told["mine" if name == "medium" else name])]
        assert any(low <= each <= high for each in inches)
    assert "The trade says otherwise (common practice, no source): small 20 to 25 in" not in run("band")[1]
    assert re.search(r"The trade says otherwise .*extra large 40 to 50 in, factors 1.8 to 2.3", out)
    # By hand: 18 and 34 in of 16:9 are 39.8 and 75.3 cm across; 2 atan(half / 70 cm) is 31.8 and 56.5 degrees.
    assert "from 70 cm" in out


@pytest.mark.parametrize("more", [["--tablet", "240x152mm"], ["--sizes", "--angle"]])
def test_what_does_not_go_together_is_refused(run, more):
    assert run("band", *more)[0] == 2
