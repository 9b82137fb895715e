"""The desk's page in Firefox: what differs in another engine. The rest is driven in Chromium.

Letter, pulling, copying, full screen, print, pad and trace, by puppeteer-core (npm) over WebDriver
BiDi.
"""

import re
from pathlib import Path

import pytest

from tests.driven import puppeteer, seen_by
from tests.watched import WATCH

SCRIPT = Path(__file__).with_name("desk_in_firefox.mjs")


@pytest.mark.browsers
def test_the_whole_job_in_firefox(served):
    node, firefox, modules = puppeteer("firefox")
    address = served.door.invite("/")
    seen = seen_by(node, str(SCRIPT), firefox, modules, address, WATCH, timeout_s=180)
    assert seen["wrong"] == []
    assert seen["described"] == ["0", "8.5", "240", "135"]
    assert float(seen["dragged"][0]) > 5
    assert float(seen["dragged"][0]) + float(seen["dragged"][2]) == pytest.approx(240, abs=0.01)
    assert "a part I placed" in seen["letter"]
    assert "copied" in seen["copied"]
    assert seen["undone"] == seen["described"]
    assert seen["kept"] == "Kept as setting 1."
    assert served.session.library.folder_of("firefox desk")
    assert seen["shown"] == [False, True, True]
    assert seen["left"] == [True, "show"]
    assert seen["sheet"] == [True, True]
    assert "12.6 % wider than tall" in seen["pad"]
    # Firefox rounds the places of a pointer to whole px.
    assert re.match(
        r"Your circle came out (round|0\.\d % \w+ than \w+)\. The setting makes a circle 12\.6 % "
        r"wider",
        seen["drawn"],
    )
    described = ["described done", "kept done"]
    assert seen["stages"] == [
        [*described, "typed open", "tested open"],
        [*described, "typed done", "tested open"],
        [*described, "typed open", "tested open"],
    ]
    assert seen["next"] == "test-it"
    assert "were drawn with another setting" in seen["moved"]
    assert seen["believed"] == (
        "Your circle came out round. Your hand drew it round. This setting keeps circles round."
    )
    # On a page of half the size the whole of it is twice as large as it was meant, and of the same
    # shape.
    assert "shapes are right" in seen["traced"]
