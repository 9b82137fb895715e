"""The committed widths of letters against Pillow (FreeType), which reads the font by itself."""

import random

import pytest
from PIL import ImageFont

from render.canvas import letter_widths
from render.canvas.lettering import width_mm

UNITS_PER_EM = 2048


def test_the_table_is_what_its_command_makes():
    assert letter_widths._TABLE.read_text("ascii") == letter_widths.table(), (
        "run: python -m render.canvas.letter_widths"
    )


@pytest.mark.oracle
@pytest.mark.parametrize("bold", [False, True])
def test_ten_thousand_strings_are_as_wide_as_pillow_measures_them(bold):
    font = ImageFont.truetype(
        str(letter_widths.font_path(bold)), UNITS_PER_EM, layout_engine=ImageFont.Layout.BASIC
    )
    hand = random.Random(27)
    known = [chr(code) for code in letter_widths.widths(bold).advances]
    usual = [letter for letter in known if ord(letter) < 0x180]
    for turn in range(5000):
        # Every letter of the typeface, some that it lacks, and those that people use.
        pool = usual if turn % 2 else [*known, "中", "𝄞", "\N{DESERET SMALL LETTER EW}"]
        text = "".join(hand.choices(pool, k=hand.randint(1, 30)))
        assert width_mm(text, UNITS_PER_EM, bold=bold) == font.getlength(text), text
