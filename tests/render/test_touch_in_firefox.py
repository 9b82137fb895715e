"""The touch test in Firefox, by puppeteer-core (npm) over WebDriver BiDi, with a simulated pen."""

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from mapper.touching.setting import DriverSetting
from mapper.touching.sheets import sheet_of
from render.desk.answer import answer
from tests.visitor import DESK, kept

SCRIPT = Path(__file__).with_name("touch_in_firefox.mjs")
#: The screen that a headless Firefox has.
SCREEN = "1366x768"


def test_nine_touches_in_firefox(served):
    firefox = shutil.which("firefox-esr") or shutil.which("firefox")
    node, modules = shutil.which("node"), os.environ.get("EVENSTROKE_NODE_MODULES")
    if not (firefox and node):
        pytest.skip("firefox or node is not installed (Debian: apt-get install firefox-esr nodejs)")
    if not modules or not Path(modules, "puppeteer-core").is_dir():
        pytest.skip(
            "EVENSTROKE_NODE_MODULES names no folder with puppeteer-core (npm install "
            "puppeteer-core)"
        )
    said = DESK.with_({"displays": [f"27in {SCREEN}"]})
    kept(served.session.library.root, said)
    folder = served.session.library.folder_of("window desk")
    meant = answer(said).solved
    setting, sheet = DriverSetting.of(meant), sheet_of("printed", meant)
    places = json.dumps([setting.cursor_px(*cross) for cross in sheet.built_mm])
    at = served.door.invite(f"/station/{folder.name}")
    ran = subprocess.run(
        [node, str(SCRIPT), firefox, modules, at, places],
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    seen = json.loads(ran.stdout)
    assert seen["wrong"] == []
    assert seen["full"]
    assert seen["asked"] == [str(number) for number in range(1, 10)]
    assert seen["said"].startswith("The driver is using this setting: 240 × ")
    assert "tested " in seen["sign"]
