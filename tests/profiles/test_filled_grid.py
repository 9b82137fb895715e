import pytest

from mapper.desk import Tablet
from mapper.problems import RequestError
from profiles.doubts import hearing
from profiles.library.filled_grid import GridDefaults, filled_grid
from profiles.library.trial_book import from_csv, parse_doing, to_csv

GIVEN = GridDefaults("2026-04-30", who="Kim", tablets=(Tablet(146, 96, label="small"),))


def read(text, given=GIVEN):
    return filled_grid(text.encode(), "days.csv", given)


def test_a_grid_gives_a_day_to_each_score_the_last_on_the_day_given():
    book = read("tablet;24in 1920x1080;32in 3840x2160\nsmall;4 5;-\nmedium: 240x152mm;good;1\n")
    assert [felt.score for felt in book] == [4, 5, 4, 1]
    assert [felt.date for felt in book] == ["2026-04-27", "2026-04-28", "2026-04-29", "2026-04-30"]
    assert [felt.first_day for felt in book] == [True, False, True, True]
    # By hand: 146 mm across, locked to 16:9; 24 in of 16:9 are 531.3 mm wide. 531.3 / 146 = 3.64.
    assert book[0].figures.scale_factor == pytest.approx(3.64, abs=0.005)
    assert book[0].figures.area_lost_percent == pytest.approx(100 * (1 - 82.125 / 96))
    assert {felt.who for felt in book} == {"Kim"}


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_a_log_is_read_with_any_customary_sign_and_heading(sign):
    head = sign.join(
        ["Day", "Tablet", "Monitor", "Rating", "Person", "Work", "Distance", "First day"]
    )
    row = sign.join(["2026-03-02", "small", "24in 1920x1080", "3", "Lea", "drawing", "70cm", "yes"])
    (felt,) = read(f"{head}\n{row}\n")
    assert (felt.date, felt.score, felt.who, felt.first_day) == ("2026-03-02", 3, "Lea", True)
    assert felt.figures.distance_mm == 700
    assert from_csv(to_csv([felt]), "again") == [felt]


@pytest.mark.parametrize(
    "head",
    [
        "Datum;Stifttablett;Fernseher;Note (1-5);Bemerkung",
        "Date;Tablette;Écran;Évaluation;Commentaire",
        "Fecha;Tableta;Pantalla;Valoración;Comentario",
        "Data;Tavoletta;Schermo;Voto (da 1 a 5);Osservazioni",
        "日付;ペンタブ;モニター;評価;メモ",
    ],
)
def test_a_log_has_headings_in_the_languages_that_lists_have(head):
    (felt,) = read(f"{head}\n1.4.2026;small;24in 1920x1080;3;schön\n")
    assert (felt.date, felt.score, felt.note) == ("2026-04-01", 3, "schön")


def test_shares_of_work_go_in_and_out():
    assert parse_doing("drawing 90, writing 10") == ("drawing", {"drawing": 90.0, "writing": 10.0})
    assert parse_doing("lettering") == ("lettering", None)
    with pytest.raises(RequestError, match="make 100"):
        parse_doing("drawing 90, writing 20")
    (felt,) = read(
        'tablet,display,score,doing,minutes\nsmall,24in 1920x1080,4,"writing 30, drawing '
        '70","90,5"\n'
    )
    assert (felt.doing, felt.shares, felt.minutes) == (
        "drawing",
        {"writing": 30.0, "drawing": 70.0},
        90.5,
    )
    assert from_csv(to_csv([felt]), "again") == [felt]


def test_days_as_spreadsheets_write_them_and_columns_that_are_not_known():
    rows = [
        "1.4.2026;small;24in 1920x1080;4;lilac",
        "2026/4/2;small;24in 1920x1080;5;red",
        "03. 04. 2026;small;24in 1920x1080;5;",
    ]
    notes = []
    with hearing(notes.append):
        book = read("\n".join(["date;tablet;display;score;pen", *rows]))
    assert [felt.date for felt in book] == ["2026-04-01", "2026-04-02", "2026-04-03"]
    assert notes == ['days.csv: ignored, since no such column is known: "pen"']


def test_what_was_understood_of_a_tablet_is_said_once():
    rows = [f"{day}.4.2026;Pad M 240 x 152 mm;24 inch 1920 x 1080;4" for day in range(1, 9)]
    notes = []
    with hearing(notes.append):
        assert len(read("\n".join(["date;tablet;display;score", *rows]))) == 8
    assert [note.sentence for note in notes] == ["read as Pad M: 240x152mm"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "an empty file"),
        ("tablet;24in 1920x1080\nsmall;6\n", "line 2, column 2: must be whole scores from 1 to 5"),
        ("tablet;24in 1920x1080\nsmall;4.5\n", "must be whole scores"),
        ("tablet;24in 1920x1080\nsmall;4,5\n", "For two days type 4 5"),
        (
            (
                "Daten;tablet;display;score\n1.4.2026;small;24in 1920x1080;4\n2.4.2026;small;24in "
                "1920x1080;3\n"
            ),
            "must name the column date",
        ),
        (
            "date,tablet,display,score\n1/4/2026,small,24in 1920x1080,4\n",
            "line 2, date: must be a day",
        ),
        ("tablet;24in 1920x1080\nsmal;4\n", "Did you mean small"),
        ("tablet;24in\nsmall;4\n", "line 1: "),
        (
            "tablet;24in 1920x1080\nsmall;4;4\n",
            "column 3: has no tablet beside it or no display above it",
        ),
        ("date,tablet,display\n2026-03-02,small,24in 1920x1080\n", "must name the column score"),
        (
            "date,tablet,display,score\n2026-02-30,small,24in 1920x1080,4\n",
            "line 2, date: must be a day",
        ),
        (
            "tablet,display,score,minutes\nsmall,24in 1920x1080,4,long\n",
            "minutes: must be a number",
        ),
        ("tablet;24in 1920x1080\nsmall;\n", "at least one score"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(text, told):
    with pytest.raises(RequestError) as error:
        read(text)
    assert told in str(error.value)
