"""The touch test in Firefox, by puppeteer-core (npm) over WebDriver BiDi, with a simulated pen."""

import json
from pathlib import Path

import pytest

from mapper.touching.setting import DriverSetting
from mapper.touching.sheets import sheet_of
from render.desk.answer import answer
from tests.driven import puppeteer, seen_by
from tests.visitor import DESK, kept

SCRIPT = Path(__file__).with_name("touch_in_firefox.mjs")
#: The screen that a headless Firefox has.
SCREEN = "1366x768"


@pytest.mark.browsers
def test_nine_touches_in_firefox(served):
    node, firefox, modules = puppeteer("firefox")
    said = DESK.with_({"displays": [f"27in {SCREEN}"]})
    kept(served.session.library.root, said)
    folder = served.session.library.folder_of("window desk")
    meant = answer(said).solved
    setting, sheet = DriverSetting.of(meant), sheet_of("printed", meant)
    places = json.dumps([setting.cursor_px(*cross) for cross in sheet.built_mm])
    at = served.door.invite(f"/station/{folder.name}")
    seen = seen_by(node, str(SCRIPT), firefox, modules, at, places, timeout_s=240)
    assert seen["wrong"] == []
    assert seen["full"]
    assert seen["asked"] == [str(number) for number in range(1, 10)]
    assert seen["said"].startswith("The tablet uses this setting: 240 × ")
    assert "tested " in seen["sign"]
