"""The grid, the study in all its forms, and the calendar of a plan, on the command line."""

import datetime as dt
import json
import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from profiles.library.trial_book import from_csv, to_csv
from profiles.library.tried import study_of
from render.pages.study_pages import TITLE, write_study
from render.pictures.study_charts import grid_scene
from render.sentences.study import study_sections
from tests.invented_study import BEST, CURVE, invented, one_person, six_people
from tests.watched import FITS, axe_finds_nothing

GALLERY = Path(__file__).parents[2] / "gallery"


@pytest.fixture
def run(run_alone, tmp_path, monkeypatch):
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    return run_alone


@pytest.fixture(scope="module")
def one():
    return study_of(one_person())


@pytest.fixture(scope="module")
def six():
    return study_of(six_people(), letters=True)


def test_the_gallery_holds_what_the_seeded_script_makes():
    assert (GALLERY / "study-one.csv").read_text() == to_csv(one_person())
    assert (GALLERY / "study-six.csv").read_text() == to_csv(six_people())


def test_the_truth_lies_where_the_study_says(one):
    half = (2 / CURVE) ** 0.5
    assert one.patterns.hill.found
    assert one.own
    assert one.bands[0].best_low < BEST < one.bands[0].best_high
    assert one.suiting.low_sure[0] / 1.1 < BEST * 2.718281828**-half < one.suiting.low_sure[1] * 1.1
    assert len(one.tried_cells) == 18
    assert one.days == 90


def test_a_grid_of_a_hundred_pairings_tells_its_days_in_cells_that_do_not_overlap():
    """By hand: 4, 4 and 2 have the median 4, so the cell says good.

    A quarter of them lies below 2 or above 4 at most: 2 to 4.
    """
    shown = [
        replace(
            felt,
            tablet=f"tablet {at}",
            display=f"display {to}",
            score=score,
            date=f"2026-05-{day:02}",
        )
        for felt in one_person()[:1]
        for at in range(10)
        for to in range(10)
        for day, score in ((1, 4), (2, 4), (3, 2))
    ]
    scene = grid_scene(study_of(shown), "Every pairing")
    told = [mark.text for mark in scene.texts]
    assert told.count("good, 4") + told.count("good, 2 to 4") == 100
    assert sum(text.endswith(", 3 days") for text in told) == 100
    assert not any("A dot is a day" in text for text in told)


def test_where_there_is_no_pattern_that_is_the_result():
    study = study_of(invented(3, BEST, curve=0.0))
    told = {section.key: section for section in study_sections(study)}
    assert not study.patterns.hill.found
    assert told["pattern"].statement.startswith("No pattern")
    assert (study.suiting.low, study.suiting.high) == (2.0, 3.5)
    assert told["sizes"].statement.startswith("By the usual band")


@pytest.mark.parametrize(
    ("best", "said"),
    [
        (0.9, "The best scale factor may lie at or below 1.3, the smallest that was tried"),
        (12.0, "The best scale factor may lie at or above 7.3, the largest that was tried"),
    ],
)
def test_a_best_beyond_what_was_tried_is_not_called_felt_best(best, said):
    """By hand, the ends tried: 20 in with the large tablet, and 48 in with the small one.

    Widths of 16:9: 442.8 mm over 330 are 1.34, 1062.6 mm over 146 are 7.28.
    """
    told = {section.key: section for section in study_sections(study_of(invented(3, best)))}
    assert told["pattern"].statement == said
    assert told["sizes"].statement.startswith("So far, for hand and eyes")
    assert "80 % sure" not in " ".join(told["pattern"].paragraphs)
    near = f"{float(said.split()[-6][:-1]) * (3 / 4 if best < 1 else 4 / 3):.1f}"
    assert f"Days at a scale factor near {near} would show it." in told["pattern"].paragraphs


def test_every_number_of_a_statement_changes_with_the_book(one):
    other = study_of(invented(7, 1.8))
    ours, theirs = (
        {each.key: each.statement for each in study_sections(study)} for study in (one, other)
    )
    assert ours["pattern"] != theirs["pattern"]
    assert ours["sizes"] != theirs["sizes"]
    changed = [
        each for each in study_sections(one, study_of(one_person()[:40])) if each.key == "changes"
    ]
    assert changed[0].rows[0] == ["notes", "40", "90"]


def test_letters_hide_names_everywhere(six, tmp_path):
    out = tmp_path / "six.md"
    write_study(six, str(out))
    text = out.read_text() + out.with_suffix(".csv").read_text()
    assert not re.search("Ada|Ben|Cleo|Dara|Emil|Fay", text)
    assert {felt.who for felt in from_csv(out.with_suffix(".csv").read_text(), "six")} == set(
        "ABCDEF"
    )


@pytest.mark.oracle
def test_the_document_holds_every_statement(one, tmp_path):
    """Oracle: pdfplumber (PyPI)."""
    import pdfplumber

    write_study(one, str(tmp_path / "one.pdf"))
    with pdfplumber.open(tmp_path / "one.pdf") as document:
        assert all(
            (page.width, page.height) == pytest.approx((595.28, 841.89), abs=0.5)
            for page in document.pages
        )
        text = " ".join(" ".join(page.extract_text() for page in document.pages).split())
        inside = [
            char
            for page in document.pages
            for char in page.chars
            if not 0 < char["x0"] < char["x1"] < page.width
        ]
    assert inside == []
    for section in study_sections(one):
        assert " ".join(section.statement.split()) in text


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1366, "dark")])
def test_axe_finds_no_violation_in_the_page_and_it_fetches_nothing(
    browser, six, tmp_path, scheme, width
):
    """Oracle: axe-core (npm) in Chromium."""
    write_study(six, str(tmp_path / "six.html"))
    page = browser.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme)
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((tmp_path / "six.html").as_uri())
    axe_finds_nothing(page, "the study")
    wide = page.evaluate(FITS)
    loaded = page.evaluate(
        "[...document.images].every((each) => each.complete && each.naturalWidth > 0)"
    )
    least = page.evaluate("Math.min(...[...document.images].map((each) => each.clientWidth))")
    title = page.title()
    page.close()
    assert least >= 880, "a chart on a phone is scrolled, not shrunk"
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert (wide, loaded, title) == (True, True, TITLE)


def test_the_command_writes_slides_and_refuses_what_it_cannot(run):
    from PIL import Image

    assert run("study", "study.html")[0] == 1
    rows = ["tablet;24in 1920x1080;32in 3840x2160", "small: 146x96mm;4 4;2", "medium: 240x152mm;5;"]
    Path("days.csv").write_text("\n".join(rows))
    assert (
        run("felt", "--grid", "days.csv", "--date", "2026-04-30")[1] == "4 new notes in the book\n"
    )
    code, out, _ = run("study", "slides")
    assert code == 0
    for line in out.splitlines()[:-1]:
        with Image.open(line.removesuffix(": written")) as slide:
            assert slide.size == (1920, 1080)
    assert "already exists" in run("study", "slides")[2]
    assert "must end in" in run("study", "study.docx")[2]
    # All names are judged before the first file is written.
    assert run("study", "a.html", "a.md", "a.csv")[0] == 2
    assert run("study", "new.html", "study.md", "slides")[0] == 2
    assert run("study", "new.html", "no-folder/study.md")[0] == 2
    assert [*Path().glob("a.*"), *Path().glob("new.*")] == []
    assert run("study", "b.html", "b.md")[1].splitlines()[:3] == [
        "b.html: written",
        "b.csv: written",
        "b.md: written",
    ]
    assert "Did you mean grid" in run("study", "x.png", "--slide", "gird")[2]
    assert run("study", "sizes.png", "--slide", "sizes")[0] == 0
    text = run("book", "--grid")[1]
    assert "not tried: should suit" in text or "not tried: may suit" in text
    cells = json.loads(run("book", "--grid", "--as", "json")[1])["pairings"]
    assert [cell["days"] for cell in cells] == [2, 1, 1, 0]
    assert run("book", "--grid", "--as", "markdown")[1].startswith("| tablet |")
    assert run("book", "--tablet", "small")[1].count("small with") == 3
    assert "is for the grid" in run("book", "--as", "markdown")[2]
    assert "--score: must be given" in run("felt")[2]


@pytest.mark.oracle
def test_the_calendar_is_read_by_another_library(run):
    """Oracle: icalendar (PyPI), an independent reader of RFC 5545."""
    import icalendar

    things = [
        "--tablet",
        "a tablet, with a comma; and more words than one line of a calendar may hold: 240x152mm",
    ]
    things += ["--display", "24in 1920x1080", "--display", "32in 3840x2160"]
    dates = ["--start", "2026-03-05", "--days-each", "3", "--weekends-off"]
    code, out, _ = run("plan-trials", *things, *dates, "--as", "calendar")
    assert code == 0
    assert all(len(line.encode()) <= 75 for line in out.split("\r\n"))
    events = icalendar.Calendar.from_ical(out).walk("VEVENT")
    days = [
        event["DTSTART"].dt + dt.timedelta(days=at)
        for event in events
        for at in range((event["DTEND"].dt - event["DTSTART"].dt).days)
    ]
    assert [day.isoformat() for day in days] == [
        f"2026-03-{day:02}" for day in (5, 6, 9, 10, 11, 12)
    ]
    assert "a tablet, with a comma; and more words" in str(events[0]["SUMMARY"])
    assert len({str(event["UID"]) for event in events}) == len(events)
    refused = run("plan-trials", *things, "--only", "moon: 2026-03-01..2026-03-31")
    assert (refused[0], "must name one of" in refused[2]) == (2, True)
    assert "earlier day" in run("plan-trials", *things, "--off", "2026-03-09..2026-03-01")[2]


def test_resume_plans_what_the_book_does_not_hold(run):
    Path("days.csv").write_text("tablet;24in 1920x1080\nmedium: 240x152mm;4 4\n")
    run("felt", "--grid", "days.csv", "--date", "2026-04-30")
    things = [
        "--tablet",
        "medium: 240x152mm",
        "--display",
        "24in 1920x1080",
        "--display",
        "32in 3840x2160",
    ]
    rows = run("plan-trials", *things, "--days-each", "3", "--resume", "--as", "csv")[
        1
    ].splitlines()[1:]
    assert sorted(row.split(",")[2] for row in rows) == ["A", "B", "B", "B"]
    code, _, err = run("plan-trials", *things[:4], "--days-each", "2", "--resume")
    assert (code, "nothing is left to try" in err) == (1, True)


def test_several_forms_are_written_in_one_run_and_none_over_another(run):
    Path("days.csv").write_text("tablet;24in 1920x1080\nsmall: 146x96mm;4 4\n")
    run("felt", "--grid", "days.csv", "--date", "2026-04-30")
    code, out, _ = run("study", "s.html", "s.md")
    assert (code, out.splitlines()[:3]) == (
        0,
        ["s.html: written", "s.csv: written", "s.md: written"],
    )
    Path("s.csv").unlink()
    Path("s.html").unlink()
    assert "s.md: already exists" in run("study", "s.html", "s.md")[2]


def test_other_seats_and_kinds_of_work_are_told_apart(run):
    head, small = "date,tablet,display,score,doing,distance", "small: 146x96mm,24in 1920x1080"
    rows = [
        f"2026-03-02,{small},4,drawing,70cm",
        f"2026-03-03,{small},5,drawing,70cm",
        f"2026-03-04,{small},2,lettering,50cm",
    ]
    Path("days.csv").write_text("\n".join([head, *rows]) + "\n")
    run("felt", "--grid", "days.csv")
    text = run("book", "--grid")[1]
    assert "2 ways" in text
    assert re.search(r"drawing, eyes at 70 cm +3.64 +good to a joy, 4.5 \(4 to 5\) +2\n", text)
    assert re.search(r"lettering, eyes at 50 cm +3.64 +poor, 2 +1\n", text)
    cells = json.loads(run("book", "--grid", "--as", "json")[1])["pairings"]
    assert [(cell["doing"], cell["distance_cm"], cell["days"]) for cell in cells] == [
        ("drawing", 70, 2),
        ("lettering", 50, 1),
    ]
    assert "ways" not in run("book", "--grid", "--doing", "drawing")[1]
    assert "ways" not in run("book", "--grid", "--distance", "50cm")[1]
