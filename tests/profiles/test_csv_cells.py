"""What strangers write into cells stays text in a spreadsheet, and comes back as it was."""

import csv
import io

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from profiles.csv_cells import guarded, unguarded
from profiles.lists import csv_rows
from render.tables import csv_lines


# OWASP, "CSV Injection": cells that begin with one of these signs, wide ones too (read in 2026).
@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\N{FULLWIDTH EQUALS SIGN}"])
def test_what_a_spreadsheet_would_run_gets_a_leading_quote(sign):
    assert guarded(f'{sign}HYPERLINK("http://x")') == f'\'{sign}HYPERLINK("http://x")'


@pytest.mark.parametrize("cell", ["-0.45", "-0,45", "+7", "-1e-05", "-", "", "a=1", -0.45, None])
def test_numbers_and_what_is_no_formula_stay(cell):
    assert guarded(cell) == cell


@given(st.text())
@example("'=1+1")
@example("''")
@example("'-")
def test_any_text_comes_back(text):
    assert unguarded(guarded(text)) == text


@given(st.lists(st.text(st.characters(exclude_characters="\r\n\0")), min_size=2, max_size=4))
def test_a_row_comes_back_through_writer_and_reader(row):
    # Oracle: the standard library's csv reader, which knows nothing of the quotes.
    text = csv_lines([["a"], row])
    plain = list(csv.reader(io.StringIO(text)))[1]
    assert not any(len(cell) > 1 and cell[0] in "=@\t" for cell in plain)
    if any(cell.strip() for cell in row) and not any(
        "\x0b" <= c <= "\x1e" or c in "\x85\u2028\u2029" for cell in row for c in cell
    ):
        assert [each for _, each in csv_rows(text, "x", delimiter=",")][1] == row
