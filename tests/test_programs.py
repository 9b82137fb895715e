"""Five programs of other people, written with the public names alone, and what those names promise.

The programs stand in tests/programs, as an engineer would write them.
"""

import copy
import csv
import dataclasses
import doctest
import importlib
import importlib.util
import inspect
import json
import os
import pickle
import pydoc
import re
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

import evenstroke
from evenstroke import (
    Desktop,
    Display,
    Library,
    MapRequest,
    RequestError,
    Step,
    Tablet,
    Workstation,
    draw,
    load,
    save,
    solve,
    to_plain,
    to_svg,
)

ROOT = Path(__file__).parent.parent
PROGRAMS = ROOT / "tests" / "programs"
DISPLAY = Display(2560, 1440, diagonal_mm=685.8)
DESKTOP = Desktop((DISPLAY,))
SOLVED = solve(MapRequest(Tablet(240, 152, counts_per_mm=150), DESKTOP))


def program(name):
    spec = importlib.util.spec_from_file_location(name, PROGRAMS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_areas_of_200_desks_come_from_a_csv(tmp_path):
    desks, areas = tmp_path / "desks.csv", tmp_path / "areas.csv"
    rows = ["desk,tablet_width_mm,tablet_height_mm,width_px,height_px,diagonal_mm"]
    rows += [f"desk {n},{200 + n},{130 + n},1920,1080,{500 + n}" for n in range(199)]
    desks.write_text("\n".join([*rows, "broken,0,130,1920,1080,500"]))
    program("areas_from_csv").main(str(desks), str(areas))
    with areas.open(newline="") as opened:
        found = list(csv.DictReader(opened))
    assert len(found) == 200
    for n, row in enumerate(found[:-1]):
        width, height = float(row["width_mm"]), float(row["height_mm"])
        # Up to a hundredth of the area goes for a rounder shape.
        assert 0.99 * (200 + n) <= width <= 200 + n
        # A step of half a millimetre is worth half a percent of shape at most.
        assert height == pytest.approx(width * 9 / 16, rel=0.005)
    assert found[-1]["wrong"] == "tablet width_mm: must be greater than 0; got 0.0"


def test_a_plot_over_the_fits_is_drawn(tmp_path):
    plot = program("plot_of_fits")
    plot.main(str(tmp_path / "plot.png"))
    assert (tmp_path / "plot.png").stat().st_size > 5000
    full, locked, cropped = plot.maps(152)
    # 240/152 over 16/9, by hand.
    assert full.figures[0].distortion.stretch == pytest.approx(16 / 9 / (240 / 152))
    assert locked.figures[0].distortion.stretch == 1
    assert cropped.figures[0].distortion.stretch == pytest.approx(1)


def test_a_small_web_service_answers():
    app = program("web_service").app

    def get(path, query):
        said = []
        body = app(
            {"PATH_INFO": path, "QUERY_STRING": query}, lambda *status: said.append(status[0])
        )
        return said[0], b"".join(body).decode()

    query = "tablet=240x152&display=2560x1440&diagonal_mm=685.8"
    status, body = get("/map", query)
    assert status == "200 OK"
    assert json.loads(body)["area"]["mm"]["height"] == 135
    assert get("/map.svg", query)[1].startswith("<svg")
    status, body = get("/map", query.replace("240x", "0x"))
    assert (status, json.loads(body)["wrong"][0]["where"]) == ("400 Bad Request", "tablet width_mm")
    assert get("/map", "tablet=240x152")[0] == "400 Bad Request"


def test_profiles_of_a_studio_are_checked(tmp_path, capsys):
    check = program("check_profiles").main
    save(Workstation("window desk", SOLVED), tmp_path / "window.yaml")
    assert check(str(tmp_path)) == 0
    full = solve(MapRequest(Tablet(240, 152), DESKTOP, fit="full"))
    save(Workstation("wall desk", full), tmp_path / "wall.yaml")
    changed = (tmp_path / "window.yaml").read_text().replace("135", "136")
    (tmp_path / "window.yaml").write_text(changed)
    assert check(str(tmp_path)) == 1
    wall, window = capsys.readouterr().out.splitlines()
    assert "wall desk: circles come out 12.6 % oval on main" in wall
    assert "as follows from what was asked" in window


def test_what_changed_this_month_is_listed(tmp_path):
    library = Library(tmp_path / "library")
    desk = Workstation("window desk", SOLVED)
    library.keep(desk, now=datetime(2026, 10, 5, tzinfo=UTC))
    top = solve(dataclasses.replace(SOLVED.request, hold="top"))
    library.keep(dataclasses.replace(desk, map=top), now=datetime(2026, 11, 5, tzinfo=UTC))
    library.keep(Workstation("wall desk", SOLVED), now=datetime(2026, 11, 6, tzinfo=UTC))
    lines = program("changed_this_month").changed(library, datetime(2026, 11, 1, tzinfo=UTC))
    assert lines[0] == "2026-11-06 wall desk: new"
    assert "2026-11-05 window desk: map.hold from centre to top" in lines
    assert not any("2026-10" in line for line in lines)


@pytest.mark.long
def test_the_programs_and_nothing_wrong_pass_the_type_checker(tmp_path):
    pytest.importorskip("mypy")
    (tmp_path / "mypy.ini").write_text("[mypy]\n")
    path = os.pathsep.join([str(ROOT), str(ROOT / "render" / "public")])
    done = subprocess.run(
        [
            *(sys.executable, "-m", "mypy", "--strict", "--config-file", "mypy.ini"),
            # What is known of the libraries is kept, as by the check of the types itself.
            *("--cache-dir", str(ROOT / ".mypy_cache" / "programs")),
            *("--follow-imports", "silent", "--no-error-summary", "--hide-error-context"),
            *map(str, sorted(PROGRAMS.glob("*.py"))),
        ],
        cwd=tmp_path,
        env=os.environ | {"MYPYPATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    found = set(re.findall(r"(\w+)\.py:(\d+): error: .*\[([a-z-]+)\]$", done.stdout, re.MULTILINE))
    lines = (PROGRAMS / "nonsense.py").read_text().splitlines()
    wanted = {
        ("nonsense", str(number), line.rpartition("  # ")[2])
        for number, line in enumerate(lines, 1)
        if "  # " in line
    }
    assert len(wanted) == 10
    assert found == wanted, done.stdout


def test_the_import_loads_nothing_and_changes_nothing():
    code = (
        "import signal, sys; before = set(sys.modules), signal.getsignal(signal.SIGINT), "
        "list(sys.path); import evenstroke; dir(evenstroke); print(set(sys.modules) - before[0], "
        "signal.getsignal(signal.SIGINT) is before[1], sys.path == before[2]); "
        "evenstroke.solve, evenstroke.load; "
        "print(signal.getsignal(signal.SIGINT) is before[1], sys.path == before[2])"
    )
    path = os.pathsep.join([str(ROOT / "render" / "public"), str(ROOT)])
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"PYTHONPATH": path},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "{'evenstroke'} True True\nTrue True\n"


@pytest.mark.parametrize("name", sorted(set(evenstroke.__all__) - {"__version__", "Problem"}))
def test_each_public_name_has_an_example_that_runs(name):
    found = getattr(evenstroke, name)
    assert inspect.getdoc(found)
    module = importlib.import_module(found.__module__)
    tests = doctest.DocTestFinder(recurse=False).find(found, name, module)
    if name in {"Change", "Revision", "TabletMap"}:
        return  # what other functions return; their examples show them
    assert any(test.examples for test in tests)
    for test in tests:
        assert doctest.DocTestRunner().run(test).failed == 0


def test_the_examples_of_the_package_run():
    assert doctest.testmod(evenstroke).attempted >= 4
    assert doctest.testmod(evenstroke).failed == 0


def test_what_is_not_public_is_no_attribute_and_help_shows_what_is():
    assert re.fullmatch(r"\d+\.\d+\.\d+", evenstroke.__version__)
    with pytest.raises(AttributeError, match="has no attribute 'Nonsense'"):
        evenstroke.Nonsense  # noqa: B018
    shown = pydoc.plain(pydoc.render_doc(evenstroke))
    for name in {*evenstroke.__all__} - {"__version__"}:
        assert name in shown
    assert shown.index("MapRequest") < shown.index("PACKAGE CONTENTS")


def test_a_request_error_is_a_value_error_and_travels():
    with pytest.raises(ValueError, match="must be greater than 0") as caught:
        Tablet(0, 152)
    assert pickle.loads(pickle.dumps(caught.value)).problems == caught.value.problems  # noqa: S301


def test_files_that_are_there_are_spoken_of_as_programs_speak(tmp_path):
    path, svg = tmp_path / "desk.yaml", tmp_path / "desk.svg"
    save(Workstation("desk", SOLVED), path)
    draw(SOLVED, svg)
    with pytest.raises(RequestError, match="Give force=True to replace it"):
        save(Workstation("desk", SOLVED), path)
    with pytest.raises(RequestError, match="Give force=True to replace it"):
        draw(SOLVED, svg)
    save(Workstation("other", SOLVED), path, force=True)
    assert load(str(path)).name == "other"


def test_a_map_that_was_altered_is_not_saved(tmp_path):
    wrong = dataclasses.replace(SOLVED, area_built_mm=evenstroke.Rect(0, 0, 10, 10))
    with pytest.raises(RequestError, match="map: must be as solve made it"):
        save(Workstation("desk", wrong), tmp_path / "desk.yaml")
    with pytest.raises(RequestError, match="map: must be as solve made it"):
        Library(tmp_path / "library").keep(Workstation("desk", wrong))
    assert not (tmp_path / "desk.yaml").exists()


@pytest.mark.parametrize(
    "give",
    [
        lambda _: Workstation("desk", SOLVED.request),
        lambda path: save(SOLVED, path),
        lambda path: draw(SOLVED.request, path),
        lambda _: to_svg("desk.yaml"),
        lambda _: evenstroke.loads(3),
        lambda _: evenstroke.changes(Workstation("desk", SOLVED), SOLVED),
        lambda path: Library(path).keep(SOLVED),
        lambda _: SOLVED.figures_on("main"),
        lambda _: solve(SOLVED),
    ],
)
def test_a_request_in_place_of_a_map_is_a_request_error(give, tmp_path):
    with pytest.raises(RequestError, match="Give "):
        give(tmp_path / "desk.svg")


def _fields():
    """Each value that people build with each of its fields."""
    kept = datetime(2026, 3, 15, 14, 30, tzinfo=UTC)
    for value in (
        *(Tablet(240, 152), DISPLAY, DESKTOP, SOLVED.request, Step(1, "mm"), SOLVED.area_built_mm),
        *(
            evenstroke.Feel(2, 2),
            evenstroke.Seat(600),
            evenstroke.Entry(),
            Workstation("a", SOLVED),
        ),
        evenstroke.Revision(1, kept),
    ):
        for each in dataclasses.fields(value):
            if each.init:
                yield pytest.param(value, each.name, id=f"{type(value).__name__}.{each.name}")


@pytest.mark.parametrize(("value", "name"), list(_fields()))
@pytest.mark.parametrize("other", [object(), Ellipsis], ids=["object", "..."])
def test_a_value_of_another_kind_is_a_request_error_whatever_it_is_given_for(value, name, other):
    with pytest.raises(RequestError):
        dataclasses.replace(value, **{name: other})


def test_data_of_a_map_has_all_that_follows_from_it():
    data = to_plain(SOLVED)
    assert data["summary"]["scale_factor"] == pytest.approx(SOLVED.summary.scale_factor)
    assert {"mm", "inch", "percent", "counts"} <= set(data["area"])
    assert set(data["matrix"]) == {
        "built_mm_to_desktop_px",
        "built_unit_to_desktop_unit",
        "desktop_px_to_built_mm",
    }
    assert data["figures"][0]["display"] == "main"
    assert json.loads(json.dumps(data)) == data
    assert to_plain(Workstation("desk", SOLVED))["workstation"] == "desk"
    # 135 mm over 25.4, and 135 mm at 150 counts.
    assert SOLVED.forms["inch"].height == pytest.approx(5.314960630)
    assert SOLVED.forms["counts"].height == 20250


def test_values_fit_a_line_and_a_notebook_shows_the_picture():
    stepped = solve(dataclasses.replace(SOLVED.request, step=Step(1, "mm")))
    for value in (SOLVED, stepped, SOLVED.request, Workstation("window desk", SOLVED)):
        assert len(repr(value)) <= 100
    assert eval(repr(DISPLAY)) == DISPLAY  # noqa: S307
    assert eval(repr(Tablet(240, 152, turn_deg=90))) == Tablet(240, 152, turn_deg=90)  # noqa: S307
    assert SOLVED._repr_svg_() == to_svg(SOLVED) == Workstation("a", SOLVED)._repr_svg_()
    assert pickle.loads(pickle.dumps(SOLVED)) == copy.deepcopy(SOLVED) == SOLVED  # noqa: S301
