"""The library's commands as a shell sees them."""

import csv
import io
import json
import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
import time_machine
import yaml

from mapper.rounding import rounded as rounding

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def run(run_alone, tmp_path, monkeypatch):
    """Run one command in an empty folder with a library of its own.

    Gives its exit code, standard output and standard error.
    """
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    # Dates are shown in the reader's own zone.
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()

    yield run_alone
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def desk(run):
    """Writes desk.yaml for a tablet of some size."""

    def describe(tablet="240x152mm@150/mm", name="window desk", *more):
        code, _, err = run(
            "map",
            *("--tablet", tablet, "--display", "27in 2560x1440", "--workstation", name),
            *("--save", "desk.yaml", "--force", *more),
        )
        assert code == 0, err

    return describe


@pytest.fixture
def kept(run, desk):
    """A library with two revisions of one workstation and one of another."""
    desk(name="Fenêtre / 1")
    assert run("keep", "desk.yaml")[0] == 0
    for tablet in ("240x152mm@150/mm", "232x146mm"):
        desk(tablet)
        assert run("keep", "desk.yaml", "--note", f"with {tablet}")[0] == 0


def test_keep_says_what_changed(run, desk):
    desk()
    assert run("keep", "desk.yaml") == (
        0,
        (
            f"A new library was created in {Path.cwd() / 'library'}\n"
            "window desk: kept as setting 1: area 240 × 135 mm; scale factor 2.49; circles stay "
            "round\n"
        ),
        "",
    )
    assert run("keep", "desk.yaml") == (
        0,
        "window desk: nothing new; setting 1 is the same\n",
        "",
    )
    desk("232x152mm@150/mm")
    code, out, _ = run("keep", "desk.yaml")
    assert code == 0
    assert out == (
        "window desk: kept as setting 2: area 8 mm narrower and 4.5 mm shorter; scale factor "
        "2.49 → 2.58; "
        "circles stay round; tablet 240 × 152 mm → 232 × 152 mm\n"
    )


def test_nothing_is_kept_where_one_file_is_wrong(run, desk):
    desk()
    Path("bad.yaml").write_text("evenstroke: 1\nworkstation: x\n")
    code, out, err = run("keep", "desk.yaml", "bad.yaml", "missing.yaml")
    assert (code, out) == (2, "")
    assert "bad.yaml" in err
    assert "missing.yaml: must be a profile's file or a desk of the library; got neither" in err
    assert not Path("library").exists()


@pytest.mark.parametrize("command", ["history", "changes", "recall"])
def test_the_only_desk_needs_no_name(run, desk, command):
    desk()
    run("keep", "desk.yaml")
    assert run(command) == run(command, "window desk")


@pytest.mark.usefixtures("kept")
def test_history_the_newest_first(run):
    code, out, _ = run("history", "window desk")
    assert code == 0
    lines = [re.sub(r"\d{4}-\d\d-\d\d \d\d:\d\d", "TIME", line) for line in out.splitlines()]
    assert lines[0] == "window desk"
    assert lines[1].startswith("  2  TIME  area 8 mm narrower")
    assert lines[1].endswith(" [in use]")
    assert lines[2].strip() == "with 232x146mm"
    assert lines[3] == "  1  TIME  area 240 × 135 mm; scale factor 2.49; circles stay round"
    assert run("history", "window desk", "--last", "1")[1].endswith("and 1 earlier: --all\n")
    data = json.loads(run("history", "window desk", "--as", "json")[1])
    assert data == yaml.safe_load(run("history", "window desk", "--as", "yaml")[1])
    assert [revision["revision"] for revision in data["revisions"]] == [2, 1]
    assert data["revisions"][0]["in_force"] is True
    assert data["revisions"][0]["changes"][0]["by"] == -8.0
    assert data["revisions"][1]["setting"]["area"]["mm"]["width"] == 240.0


def test_history_since_a_day(run, desk):
    for width, day in ((240, 1), (236, 10), (232, 20)):
        with time_machine.travel(f"2026-03-{day:02} 12:00:00", tick=False):
            desk(f"{width}x150mm", "desk", "--fit", "full")
            assert run("keep", "desk.yaml")[0] == 0

    def listed(*options):
        data = json.loads(run("history", "desk", *options, "--as", "json")[1])
        changed = [revision["changes"][0]["by"] for revision in data["revisions"][:1]]
        return [revision["revision"] for revision in data["revisions"]], data["earlier"], changed

    assert listed("--since", "2026-03-10") == ([3, 2], 0, [-4.0])
    assert listed("--since", "2026-03-11") == ([3], 0, [-4.0])
    assert listed("--since", "2026-03-01", "--last", "1") == ([3], 2, [-4.0])
    assert "and 2 earlier" in run("history", "desk", "--since", "2026-03-01", "--last", "1")[1]
    code, out, err = run("history", "desk", "--since", "2026-03-21")
    assert (code, out) == (1, "")
    assert "since 2026-03-21 00:00. The newest is of 2026-03-20" in err
    with time_machine.travel("2026-03-22 12:00:00", tick=False):
        assert run("pin", "desk", "1")[0] == 0
    assert "setting 1 pinned" in run("history", "desk", "--since", "2026-03-21")[1]


@pytest.mark.usefixtures("kept")
def test_counts_of_a_tablet_without_a_resolution_are_said_to_be_impossible(run, desk):
    desk("240x152mm", "plain", "--save", "plain.yaml")
    code, out, err = run("table", "plain.yaml", "--unit", "counts")
    assert (code, out) == (2, "")
    assert "--unit: plain: counts need the tablet's resolution" in err
    desk("240x152mm@150/mm", "counted", "--save", "counted.yaml")
    code, out, err = run("table", "plain.yaml", "counted.yaml", "--unit", "counts")
    assert (code, "36000" in out) == (0, True)
    assert "note: plain: counts need the tablet's resolution" in err


@pytest.mark.usefixtures("kept")
def test_changes_between_any_two(run):
    code, out, _ = run("changes", "window desk")
    assert code == 0
    assert out.splitlines()[1].startswith(
        "area 8 mm narrower and 4.5 mm shorter; scale factor 2.49 → 2.58"
    )
    assert (
        run("changes", "window desk", "1")[1] == run("changes", "window desk", "1", "2")[1] == out
    )
    assert "8 mm wider" in run("changes", "window desk", "2", "1")[1]
    data = json.loads(run("changes", "window desk", "2", "1", "--as", "json")[1])
    assert (data["from"]["revision"], data["to"]["revision"]) == (2, 1)
    assert data["changes"][0] == {
        "what": "area.width_mm",
        "before": 232.0,
        "after": 240.0,
        "by": 8.0,
    }
    code, _, err = run("changes", "Fenêtre / 1")
    assert code == 1
    assert "There is only one kept setting, so there is nothing to compare" in err


@pytest.mark.usefixtures("kept")
def test_recall_by_number_by_date_and_what_is_in_force(run):
    code, out, _ = run("recall", "window desk")
    assert code == 0
    assert out.startswith("window desk, setting 2, kept ")
    assert "Enter this rectangle in the tablet's settings:" in out
    assert run("recall", "window desk", "--revision", "1", "--out", "old.yaml")[0] == 0
    assert run("check", "old.yaml")[0] == 0
    assert yaml.safe_load(Path("old.yaml").read_text("utf-8"))["revision"]["number"] == 1
    assert run("recall", "window desk", "--revision", "1", "--as", "yaml")[1] == Path(
        "old.yaml"
    ).read_text("utf-8")
    assert (
        json.loads(run("recall", "window desk", "--revision", "1", "--as", "json")[1])[
            "workstation"
        ]
        == "window desk"
    )
    code, _, err = run("recall", "window desk", "--out", "old.yaml")
    assert code == 2
    assert "already exists" in err
    # What was recalled says the same as what is kept.
    run("recall", "window desk", "--out", "old.yaml", "--force")
    assert "nothing new; setting 2" in run("keep", "old.yaml")[1]
    year = time.gmtime().tm_year
    assert run("recall", "window desk", "--date", f"{year + 1}-01-01")[1] == out
    code, _, err = run("recall", "window desk", "--date", "2001-01-01")
    assert code == 1
    assert "had no setting in use at 2001-01-01 23:59" in err
    for wrong in (
        "--date yesterday",
        "--date 1/1/2026",
        "--revision x",
        "--date 2026-01-01 --revision 1",
    ):
        assert run("recall", "window desk", *wrong.split())[0] == 2


@pytest.mark.usefixtures("kept")
def test_pin_and_release(run, desk):
    assert run("pin", "window desk", "1") == (0, "window desk: setting 1 is pinned\n", "")
    assert run("pin", "window desk", "1")[1] == "window desk: setting 1 is already pinned\n"
    assert run("recall", "window desk")[1].startswith("window desk, setting 1, ")
    desk("200x120mm")
    assert "setting 1 is pinned and stays in use" in run("keep", "desk.yaml", "--same-desk")[1]
    assert "[in use, pinned]" in run("history", "window desk")[1]
    assert (
        run("pin", "window desk", "--release")[1] == "window desk: unpinned; setting 3 is in use\n"
    )
    assert (
        run("pin", "window desk", "--release")[1]
        == "window desk: none was pinned; setting 3 is in use\n"
    )
    assert run("pin", "window desk")[0] == run("pin", "window desk", "1", "--release")[0] == 2
    assert run("pin", "window desk", "9")[0] == 1


@pytest.mark.usefixtures("kept")
def test_retire_and_bring_back(run):
    assert (
        run("retire", "window desk", "--revision", "2")[1] == "window desk: setting 2 is retired\n"
    )
    assert run("recall", "window desk")[1].startswith("window desk, setting 1, ")
    assert run("retire", "window desk")[1] == "window desk is retired\n"
    assert run("retire", "window desk")[1] == "window desk is already retired\n"
    assert "window desk" not in run("stations")[1]
    assert "window desk" not in run("table")[1]
    assert "retired" in run("stations", "--all")[1]
    assert run("history", "window desk")[1].startswith("window desk (retired)\n")
    assert run("retire", "window desk", "--undo")[1] == "window desk is no longer retired\n"
    assert "window desk" in run("stations")[1]
    assert len(list(Path("library").rglob("000*.yaml"))) == 3


@pytest.mark.usefixtures("kept")
def test_decisions_stand_in_the_history_with_their_reasons(run, desk):
    run("pin", "window desk", "1", "--note", "the wrist\nlikes it")
    run("pin", "window desk", "--release")
    run("retire", "window desk", "--note", "sold")
    lines = run("history", "window desk")[1].splitlines()[-3:]
    assert [re.sub(r"^\d{4}-\d\d-\d\d \d\d:\d\d  ", "", line) for line in lines] == [
        "retired: sold",
        "unpinned",
        "setting 1 pinned: the wrist likes it",
    ]
    data = json.loads(run("history", "window desk", "--as", "json")[1])["decisions"]
    assert [(each["mark"], each.get("note")) for each in data] == [
        ("retire", "sold"),
        ("unpin", None),
        ("pin", "the wrist\nlikes it"),
    ]
    desk("100x60mm")
    assert (
        "window desk: is retired; to bring it back: evenstroke retire --undo"
        in run("keep", "desk.yaml", "--same-desk")[1]
    )


@pytest.mark.usefixtures("kept")
def test_stations_lists_what_is_in_force(run):
    head, *rows = run("stations")[1].splitlines()
    assert head.split() == [
        "desk",
        "setting",
        "in",
        "use",
        "settings",
        "kept",
        "area,",
        "mm",
        "scale",
        "factor",
    ]
    assert [row.split("  ")[0] for row in rows] == ["Fenêtre / 1", "window desk"]
    data = json.loads(run("stations", "--as", "json")[1])["workstations"]
    assert [(row["workstation"], row["newest"], row["in_force"]["revision"]) for row in data] == [
        ("Fenêtre / 1", 1, 1),
        ("window desk", 2, 2),
    ]


@pytest.mark.usefixtures("kept")
def test_the_table_in_every_unit_and_form(run, desk):
    text = run("table")[1].splitlines()
    assert " ".join(text[0].split()) == (
        "desk left mm top mm width mm height mm scale factor stretch setting kept"
    )
    assert text[1].split()[:8] == [
        "Fenêtre",
        "/",
        "1",
        "0.000",
        "8.500",
        "240.000",
        "135.000",
        "2.49",
    ]
    rows = list(csv.DictReader(io.StringIO(run("table", "--as", "csv", "--unit", "in")[1])))
    # 240 mm are 240/25.4 in; 130.5 mm 130.5/25.4.
    assert float(rows[0]["width_inch"]) == pytest.approx(240 / 25.4, rel=1e-12)
    assert float(rows[1]["height_inch"]) == pytest.approx(130.5 / 25.4, rel=1e-12)
    assert [row["revision"] for row in rows] == ["1", "2"]
    data = json.loads(run("table", "--as", "json", "--unit", "counts")[1])["workstations"]
    assert data[0]["area"] == {
        "frame": "built",
        "counts": {
            "left": 0.0,
            "top": 1275.0,
            "right": 36000.0,
            "bottom": 21525.0,
            "width": 36000.0,
            "height": 20250.0,
        },
    }
    assert "area" not in data[1]
    data = json.loads(run("table", "--as", "json", "--unit", "percent")[1])["workstations"]
    assert data[0]["area"]["percent"]["height"] == pytest.approx(135 / 152 * 100)
    markdown = run("table", "--as", "markdown")[1].splitlines()
    assert markdown[2].startswith(
        "| Fenêtre / 1 | 0.000 | 8.500 | 240.000 | 135.000 | 2.49 | 1 | 1 | "
    )
    desk(name="not | kept")
    assert "| not \\| kept |" in run("table", "desk.yaml", "--as", "markdown")[1]


@pytest.mark.usefixtures("kept")
def test_one_bad_file_stops_no_table(run):
    Path("bad.yaml").write_text("x")
    code, out, err = run("table", "bad.yaml", "desk.yaml")
    assert code == 1
    assert "window desk" in out
    assert "bad.yaml" in err


def test_the_rounded_rectangle_is_the_one_to_enter(run, desk):
    """By hand: 240 x 135 mm are 16:9, and have 99.6 % of the area of 240 x 135.5 mm."""
    desk("240.3x152.2mm", "rounded", "--step", "0.5mm")
    row = json.loads(run("table", "desk.yaml", "--as", "json")[1])["workstations"][0]["area"]["mm"]
    assert (row["width"], row["height"]) == (240, 135)
    assert all((row[side] * 2) % 1 == 0 for side in ("left", "top"))


@pytest.mark.usefixtures("kept")
def test_export_and_import(run):
    assert run("export", "all.zip") == (0, "all.zip: 3 files\n", "")
    assert run("export", "all.zip")[0] == 2
    assert run("export", "one.zip", "window desk")[1] == "one.zip: 2 files\n"
    assert run("export", "none.zip", "nobody")[0] == 1
    assert run("import", "all.zip", "--library", "other") == (
        0,
        "all.zip: 3 new files, 0 were already here\n",
        "",
    )
    assert (
        run("import", "all.zip", "--library", "other")[1]
        == "all.zip: 0 new files, 3 were already here\n"
    )
    assert run("stations", "--library", "other")[1] == run("stations")[1]
    assert run("import", "desk.yaml")[0] == 2


@pytest.mark.usefixtures("kept")
def test_audit_names_the_damage_and_rescues_the_rest(run):
    assert run("audit") == (
        0,
        "3 kept settings and 0 notes are not damaged; damaged files: 0\n",
        "",
    )
    broken = next(Path("library").rglob("0002-*.yaml"))
    broken.write_text("gone")
    code, out, err = run("audit", "--rescue", "saved")
    assert (code, out) == (
        1,
        "2 kept settings and 0 notes are not damaged; damaged files: 1\n2 files rescued\n",
    )
    assert broken.name in err
    assert run("audit", "--library", "saved")[0] == 0
    data = json.loads(run("audit", "--as", "json")[1])
    assert [(Path(each["path"]).name, each["kind"]) for each in data["findings"]] == [
        (broken.name, "damaged")
    ]
    # The rest goes on: what can be shown is shown, what was asked for and is damaged is said.
    code, out, err = run("history", "window desk")
    assert (code, "cannot be read" in out) == (1, True)
    assert "area 240 × 135 mm" in out
    assert run("recall", "window desk")[0] == 2
    assert run("recall", "window desk", "--revision", "1")[0] == 0
    code, out, _ = run("stations")
    assert code == 1
    assert "Fenêtre / 1" in out


@pytest.mark.parametrize(
    "command",
    ["history x", "changes x", "recall x", "stations", "pin x 1", "retire x", "table", "audit"],
)
def test_without_a_library_each_says_how_to_begin_one(run, command):
    code, out, err = run(*command.split())
    assert (code, out) == (2, "")
    assert "library" in err
    assert len(err.splitlines()) == 1


@pytest.mark.usefixtures("kept")
def test_an_unknown_workstation_is_a_no_with_the_nearest(run):
    code, out, err = run("history", "windowdesk")
    assert (code, out) == (1, "")
    assert 'Did you mean "window desk"?' in err


@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_a_terminal_that_lacks_a_sign_gets_it_as_one_types_it(encoding):
    done = subprocess.run(
        [sys.executable, "-m", "render.cli", "history", "window desk"],
        capture_output=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding},
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert ("2.49 → 2.58".encode() in done.stdout) or (b"2.49 -> 2.58" in done.stdout)


def test_each_revision_is_rounded_once(run, desk, monkeypatch):
    """The history of four once rounded 29 times."""
    for number in range(1, 5):
        desk("240x152mm", "steps", "--step", f"{number}mm")
        assert run("keep", "desk.yaml")[0] == 0
    rounded, counted = rounding.rounded, []
    monkeypatch.setattr(
        rounding, "rounded", lambda solved: counted.append(solved) or rounded(solved)
    )
    assert run("history", "steps")[0] == 0
    assert len(counted) == 4
