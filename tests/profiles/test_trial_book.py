import datetime as dt
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mapper.problems import RequestError
from mapper.seat import Seat
from profiles.doubts import hearing
from profiles.library.revisions import Library
from profiles.library.trial_book import (
    CSV_COLUMNS,
    Felt,
    FeltFigures,
    add,
    figures_of,
    from_csv,
    in_library,
    to_csv,
    trials_of,
)
from tests.profiles.libraries import workstation

NOW = datetime(2026, 3, 15, 12, tzinfo=UTC)


@pytest.fixture
def library(tmp_path):
    return Library(tmp_path / "library")


def felt(date="2026-03-15", score=4, scale_factor=2.5, station="corner studio", **more):
    return Felt(
        evenstroke_trial=1,
        workstation=station,
        date=date,
        doing=more.pop("doing", "drawing"),
        score=score,
        figures=FeltFigures(scale_factor=scale_factor),
        **more,
    )


def test_the_figures_are_frozen_from_the_map():
    figures = figures_of(workstation(seat=Seat(700.0)))
    # 27 inches of 16:9 are 597.73 mm wide: 2·atan(597.73 / 1400) = 46.2 degrees, and 597.73 / 240 =
    # 2.491.
    assert figures.scale_factor == pytest.approx(2.49053, abs=1e-5)
    assert figures.viewing_angle_deg == pytest.approx(46.24, abs=0.01)
    assert (figures.area_width_mm, figures.area_height_mm, figures.distance_mm) == (
        240.0,
        135.0,
        700.0,
    )
    assert (figures.stretch, figures.oval_percent) == (1.0, 0.0)


def test_what_is_not_known_is_absent():
    figures = figures_of(workstation(displays=["2560x1440"], seat=Seat(700.0)))
    assert figures.scale_factor is None
    assert figures.viewing_angle_deg is None
    assert figures_of(workstation()).viewing_angle_deg is None


def test_entries_of_all_workstations_come_back_by_day(library):
    book = [
        felt("2026-03-16", station="b"),
        felt("2026-03-15", station="a/b \N{PENCIL}"),
        felt("2026-03-15", 2, who="Kim"),
    ]
    assert all(add(library, each, now=NOW) for each in book)
    found, problems = in_library(library)
    assert problems == []
    assert found == [book[1], book[2], book[0]] or found == [book[2], book[1], book[0]]


def test_the_same_entry_is_added_once(library):
    assert add(library, felt(), now=NOW)
    assert not add(library, felt(), now=NOW)
    assert add(library, felt(note="second thoughts"), now=NOW)
    assert len(in_library(library)[0]) == 2


def test_a_damaged_entry_is_named_and_the_rest_is_read(library):
    add(library, felt(), now=NOW)
    add(library, felt("2026-03-16"), now=NOW)
    damaged = min(library.root.rglob("*-felt-*.yaml"))
    damaged.write_text(damaged.read_text().replace("score: 4", "score: 5"))
    found, problems = in_library(library)
    assert [each.date for each in found] == ["2026-03-16"]
    assert [problem.where for problem in problems] == [str(damaged)]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"score": 6}, "must be at most 5"),
        ({"score": 0}, "must be at least 1"),
        ({"date": "2026-02-30"}, "must be a day of the calendar"),
        ({"date": "yesterday"}, "Type for example 2026-03-15"),
        ({"date": "20260315"}, "must be a day of the calendar"),
        ({"station": ""}, "must not be empty"),
        ({"minutes": -5.0}, "must be greater than 0"),
    ],
)
def test_a_wrong_entry_is_refused_and_nothing_is_written(library, change, message):
    with pytest.raises(RequestError, match=message):
        add(library, felt(**change))
    assert not library.root.exists()


numbers = st.floats(0.01, 1000)
texts = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), min_size=1, max_size=20
).map(str.strip)
felts = st.builds(
    Felt,
    evenstroke_trial=st.just(1),
    workstation=texts.filter(bool),
    date=st.dates(dt.date(1980, 1, 1), dt.date(2100, 12, 31)).map(str),
    doing=texts.filter(bool),
    score=st.integers(1, 5),
    minutes=st.none() | numbers,
    who=st.none() | texts.filter(bool),
    note=st.none() | texts.filter(bool),
    figures=st.builds(
        FeltFigures,
        scale_factor=st.none() | numbers,
        oval_percent=st.none() | st.floats(-90, 90),
        distance_mm=numbers,
    ),
)


@given(st.lists(felts, max_size=5))
@settings(max_examples=50)
def test_csv_out_and_in_is_the_same_book(book):
    assert from_csv(to_csv(book), "book.csv") == book


def test_csv_of_a_spreadsheet_is_read():
    text = (
        "\ufeffScore, Date ,workstation,mood,scale_factor\r\n4.0,2026-03-15,desk,fine,2.5\r\n\r\n"
        "5,16.3.2026,desk,,\r\n"
    )
    one, other = from_csv(text, "book.csv")
    assert (one.score, one.doing, one.figures.scale_factor) == (4, "drawing", 2.5)
    assert (other.date, other.figures.scale_factor) == ("2026-03-16", None)


def test_all_problems_of_a_csv_come_at_once():
    rows = [
        "2026-03-15,desk,7,2.5",
        "soon,desk,3,2.5",
        '2026-03-15,desk,3,"2,5"',
        "2026-03-15,desk,nan,1",
    ]
    with pytest.raises(RequestError) as caught:
        from_csv("\n".join(["date,workstation,score,scale_factor", *rows]), "book.csv")
    assert [str(problem).split(":")[0] for problem in caught.value.problems] == [
        "book.csv line 2, score",
        "book.csv line 3, date",
        "book.csv line 5, score",
    ]


@pytest.mark.parametrize(
    "text",
    [
        "date;workstation;score;scale_factor;minutes\n2026-03-15;desk;3;2,5;90\n",
        'date,workstation,score,scale_factor,minutes\n2026-03-15,desk,3,"2,5",90\n',
        "date,workstation,score,minutes,scale_factor\n2026-03-15,desk,3,90,2.5,,\n",
    ],
)
def test_a_decimal_comma_of_a_spreadsheet_is_understood(text):
    (entry,) = from_csv(text, "book.csv")
    assert (entry.figures.scale_factor, entry.minutes, entry.score) == (2.5, 90, 3)


def test_a_row_with_a_cell_too_many_is_not_read_short():
    with pytest.raises(RequestError, match="line 2: must have 4 cells"):
        from_csv("date,workstation,score,scale_factor\n2026-03-15,desk,3,2,5\n", "book.csv")


def test_a_day_to_come_is_doubted_wherever_it_is_added(library):
    said = []
    with hearing(said.append):
        add(library, felt(date="2099-01-01"), now=NOW)
    assert said == ["2099-01-01 is in the future"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "must name the column date"),
        ("date,score\n", "must name the column workstation"),
        ("a,b\n", f"The columns are {CSV_COLUMNS[0]}"),
        ('"', "must be CSV"),
    ],
)
def test_a_csv_without_the_columns_is_refused(text, said):
    with pytest.raises(RequestError, match=said):
        from_csv(text, "book.csv")


def test_first_days_are_those_after_a_change():
    book = [
        felt("2026-03-01", scale_factor=2.5),
        felt("2026-03-01", scale_factor=2.5),
        felt("2026-03-02", scale_factor=2.5),
        felt("2026-03-03", scale_factor=3.1),
        felt("2026-03-04", scale_factor=3.1004),
        felt("2026-03-05", scale_factor=None),
        felt("2026-03-06", scale_factor=3.1, station="other"),
        felt("2026-03-07", scale_factor=2.5),
    ]
    assert [trial.first_day for trial in trials_of(book[::-1])] == [
        True,
        True,
        False,
        True,
        False,
        True,
        True,
    ]
