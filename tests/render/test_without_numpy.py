"""Trials, studies and sizes by card work where there is no numpy.

As in the page that runs from one file.
"""

import subprocess
import sys

import pytest

BLOCKED = """
import sys
sys.modules["numpy"] = None
"""

STUDY = """
from pathlib import Path
from profiles.library.tried import study_of
from profiles.library.trial_book import from_csv
from profiles.library.personal import FoundBand, practice_of
from mapper.trials.next_trial import next_trial, most_informative_order
from render.pages.study_pages import write_study
from render.pictures.band_chart import band_chart_scene
from render.sentences.study import study_sections

book = from_csv(Path("gallery/study-six.csv").read_text(), "six")[:90]
study = study_of(book, letters=True)
assert len(study_sections(study)) > 10
trials, band = study.trials[0], study.bands[0]
practice = practice_of("drawing", "scale_factor")
assert band_chart_scene(FoundBand(band, trials, practice, "drawing", "scale_factor")).texts
assert next_trial(band, practice).value > 0
assert sorted(most_informative_order(band, [2.0, 3.0], [1, 1])) == [0, 1]
write_study(study, sys.argv[1] + "/study.html")
"""

CARD = """
from types import SimpleNamespace
from mapper.tracing.measurement import Measurement
from mapper.tracing.sizing import CardPull, CardTrace, area_size, glass_size

size = glass_size([CardPull(367, 231.5), CardPull(366, 231)], (85.6, 53.98), (2560, 1440))
assert size.diagonal_in.holds(27)
scales = [Measurement(px / mm, 0.0, 0.0) for px, mm in ((2560, 240), (1440, 152))]
seen = SimpleNamespace(x_px_per_mm=scales[0], y_px_per_mm=scales[1], log_covariance=(1e-6, 0, 1e-6))
assert round(area_size([CardTrace(seen, 85.6, 53.98)], (2560, 1440), 16 / 9).width_mm.value) == 244
"""

PAGE = """
import importlib, pkgutil
import render.desk.app
from render.desk import chapters

for module in pkgutil.iter_modules(chapters.__path__):
    importlib.import_module(f"render.desk.chapters.{module.name}")
"""

TOUCHES = """
from profiles.library.revisions import Library
from mapper.touching.setting import DriverSetting
from mapper.touching.sheets import sheet_of
from render.desk.answer import answer
from render.desk.app import EXAMPLE, make_app
from render.desk.server import DeskServer

server = DeskServer(Library(sys.argv[1] + "/library"))
door, client = server.door, make_app(server.session).test_client(use_cookies=False)
headers = {"Host": door.host, "Origin": door.origin, "Cookie": f"{door.cookie}={door.key}"}
at = server.session.address_of(server.session.open_new(EXAMPLE))
meant = answer(EXAMPLE).solved
frame = {"inner": [2560, 1440], "screen": [2560, 1440], "full": True}
places = [DriverSetting.of(meant).cursor_px(*each) for each in sheet_of("printed", meant).built_mm]
body = {"frame": frame, "touches": [[x, y, x, y] for x, y in places]}
assert client.post(f"{at}/keep", json={}, headers=headers).status_code == 200
reply = client.post(f"{at}/chapter/took/touched", json=body, headers=headers)
assert reply.status_code == 200 and "uses this setting" in reply.json["html"], reply.text
body |= {"across": "180", "down": "100"}
reply = client.post(f"{at}/chapter/measure/touches", json=body, headers=headers)
assert reply.status_code == 200 and "active area is about" in reply.json["html"], reply.text
server.session._ends_at = 0.0
server.run()
"""

COMMANDS = """
import os
from pathlib import Path
os.chdir(sys.argv[1])
os.environ["EVENSTROKE_LIBRARY"] = "library"
from render.cli import main

def run(*arguments):
    try:
        main(list(arguments))
    except SystemExit as left:
        assert left.code == 0, (arguments, left.code)

desk = ["--tablet", "small: 146x96mm", "--display", "24in 1920x1080"]
run("map", *desk, "--save", "desk.yaml")
for day in range(1, 10):
    run("felt", "desk.yaml", "--score", "4", "--date", f"2026-03-0{day}")
run("band")
run("band", "--sizes")
run("plan-trials", *desk, "--display", "27in 2560x1440", "--resume")
run("study", "study.md")
"""


@pytest.mark.parametrize("code", [STUDY, CARD, PAGE, TOUCHES, COMMANDS])
def test_it_runs_with_numpy_blocked(checkout, tmp_path, code):
    ran = subprocess.run(
        [sys.executable, "-c", BLOCKED + code, str(tmp_path)],
        cwd=checkout,
        env={"PYTHONPATH": str(checkout), "PATH": "/usr/bin:/bin", "HOME": str(tmp_path)},
        check=False,
        capture_output=True,
        text=True,
    )
    assert ran.returncode == 0, ran.stderr
