"""Sizes by the band, with nothing in the book."""

import math
import re

import pytest

from mapper.choosing.pairing import CUSTOMARY_TABLETS
from mapper.trials.sizes import UncertainBand
from render.sentences.suiting import trade_sentences

# Common practice, no source: displays that go with tablets of about 7, 11, 15 and 22 in.
ROWS = {"small": (20, 25), "medium": (20, 30), "large": (30, 40), "extra large": (40, 50)}


def test_with_an_empty_book_the_sizes_come_near_the_rows_of_the_trade_and_the_rest_is_told(
    run, monkeypatch, tmp_path
):
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    code, out, _ = run("band", "--sizes", "--tablet", "mine: 240x152mm")
    assert (code, "Nothing was tried yet." in out, "not tried" in out) == (0, True, False)
    told = dict(re.findall(r"^([a-z ]+), \d+ × \d+ mm\n  suits +(.*)$", out, re.MULTILINE))
    # The tablet that was named stands for the customary size near it.
    assert list(told) == ["mine", "small", "large", "extra large"]
    for name, (low, high) in ROWS.items():
        inches = [
            int(each)
            for each in re.findall(r"(\d+) in", told["mine" if name == "medium" else name])
        ]
        assert any(low <= each <= high for each in inches)
    assert "Usual advice differs" not in run("band")[1]
    # The exact ends, by hand from factors of 2.0 to 3.5, beside the rows: each end that lies more
    # than a tenth off is named with its reason.
    off = {"small not under 20", "mine not over 30", "large not over 40", "extra large not over 50"}
    sides = {"small": (150, 94), "mine": (240, 152), "large": (320, 200), "extra large": (480, 300)}
    for (name, (width, _)), row in zip(
        sides.items(), [ROWS["small"], *list(ROWS.values())[1:]], strict=True
    ):
        across = math.hypot(width, width * 9 / 16) / 25.4
        for word, factor, theirs in zip(("not under", "not over"), (2.0, 3.5), row, strict=True):
            size = "smaller" if word == "not under" else "larger"
            named = re.search(
                rf"^{name}: by the scale factor (?:up to )?(\d+) in (?:and more )?would suit, "
                rf"by the usual advice (?:up to )?{theirs} in(?: and more)?, "
                rf"since a {size} display is hard to see \((\d+) degrees wide\)\.$",
                out,
                re.MULTILINE,
            )
            assert (
                (named is not None)
                == (f"{name} {word} {theirs}" in off)
                == (abs(factor * across / theirs - 1) > 0.1)
            )
            if named:
                # Seen from 70 cm, 16:9: what the band allows there lies outside 32 to 57 degrees,
                # on the side that the trade leaves out.
                wide = factor * across * 25.4 * 16 / math.hypot(16, 9)
                assert int(named[1]) == round(factor * across)
                seen = 2 * math.degrees(math.atan(wide / 1400))
                assert int(named[2]) == round(seen)
                assert seen < 32 if word == "not under" else seen > 57
    assert "a scale factor of" not in out.partition("Usual advice differs")[2]


def test_a_narrow_band_of_ones_own_differs_for_the_hand_and_not_for_the_eyes():
    """By hand: 3.0 times 150 x 84.4 mm (6.78 in across) is 20.3 in, near the trade's 20.

    2.0 times it is 13.6 in.
    """
    small = CUSTOMARY_TABLETS[0]
    told = " ".join(trade_sentences(UncertainBand(3.0, 3.0, (3.0, 3.0), (3.0, 3.0)), [small]))
    assert "hard to see" not in told
    assert (
        "small: by the band up to 20 in suit, by the usual advice up to 25 in: a scale factor of "
        "3.0 against 3.7." in told
    )
    assert "agrees" in " ".join(
        trade_sentences(UncertainBand(3.0, 3.7, (3.0, 3.0), (3.7, 3.7)), [small])
    )


@pytest.mark.parametrize("more", [["--tablet", "240x152mm"], ["--sizes", "--angle"]])
def test_what_does_not_go_together_is_refused(run, more):
    assert run("band", *more)[0] == 2
