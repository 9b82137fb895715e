"""Lines of text that has no spaces are broken where Japanese breaks them."""

import pytest

from render.canvas import lettering
from render.canvas.lettering import width_mm, wrapped

# Written for this test. The rules: W3C, Requirements for Japanese Text Layout (2020), 3.1.7 and
# 3.1.8; the marks from memory of JIS X 4051.
SENTENCE = (
    "板の設定に、次の数を入れます。円は（どの画面でも）丸いままです。"
    "ペンタブレットの「幅」は２４０です。"
)
NEVER_FIRST = "、。」）ーッ"
NEVER_LAST = "「（"


@pytest.mark.parametrize("room_mm", [9, 13, 20, 31, 47])
def test_no_line_begins_with_what_ends_something_nor_ends_with_what_begins_something(room_mm):
    lines = wrapped(SENTENCE, 3, room_mm)
    assert "".join(lines) == SENTENCE
    assert len(lines) > 2
    assert not [line for line in lines if line[0] in NEVER_FIRST or line[-1] in NEVER_LAST]


def test_lines_without_spaces_fill_their_room():
    lines = wrapped(SENTENCE, 3, 31)
    # A line may be short by the letters that must stay together.
    assert all(22 < width_mm(line, 3) <= 31 for line in lines[:-1])


def test_numbers_and_words_of_other_scripts_stay_whole():
    text = "幅は 208.905 mm、高さは117.509 mmです。Evenstroke が計算します。"
    pieces = [piece for line in wrapped(text, 3, 12) for piece in line.split(" ")]
    assert {"Evenstroke", "208.905\N{NO-BREAK SPACE}mm、"} <= set(pieces)


@pytest.mark.parametrize("room_mm", [9, 13, 20])
def test_no_line_breaks_beside_a_no_break_space(room_mm):
    text = "設定に左 0 mm、高さ 135 mmを入力".replace(" ", "\N{NO-BREAK SPACE}")
    lines = wrapped(text, 3, room_mm)
    assert len(lines) > 1
    assert not [line for line in lines if line != line.strip("\N{NO-BREAK SPACE}")]


def test_letters_of_east_asia_take_an_em_each_where_there_are_no_fonts_to_look_at(monkeypatch):
    def no_fonts(*_, **__):
        raise ImportError

    monkeypatch.setattr(lettering, "width_em", no_fonts)
    assert width_mm("円い円円", 3) == pytest.approx(12)
    assert width_mm("円 12", 3) == pytest.approx(3 + width_mm(" 12", 3))
