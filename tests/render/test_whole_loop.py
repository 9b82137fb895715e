"""The whole loop by mouse, by keys alone and by fingers, in windows of three sizes.

Each hand goes through one size in Chromium, and through another in Firefox; with
``EVENSTROKE_EVERY_LOOP`` set, through each of them in both. By puppeteer-core (npm).
"""

import json
import os
from pathlib import Path

import pytest

from profiles.library.proofs import proofs_of
from tests.driven import puppeteer, seen_by
from tests.watched import WATCH

SCRIPT = Path(__file__).with_name("loop.mjs")
HANDS = ("mouse", "keys", "touch")
#: A window on a desk, a telephone, a tablet held upright.
SIZES = {"chromium": [(1280, 900), (820, 1180), (390, 844)]}
SIZES["firefox"] = [(820, 1180), (390, 844), (1280, 900)]


def runs(kind):
    pairs = list(zip(HANDS, SIZES[kind], strict=True))
    if os.environ.get("EVENSTROKE_EVERY_LOOP"):
        pairs = [(hand, size) for hand in HANDS for size in SIZES[kind]]
    return [
        {"hand": hand, "width": width, "height": height, "name": f"{hand} {width}"}
        for hand, (width, height) in pairs
    ]


@pytest.mark.browsers
@pytest.mark.parametrize("kind", ["chromium", "firefox"])
def test_from_nothing_to_how_it_felt_by_every_hand(served, kind):
    node, program, modules = puppeteer(kind)
    wanted = runs(kind)
    told = (program, modules, served.door.invite("/"), WATCH, json.dumps(wanted))
    seen = seen_by(node, str(SCRIPT), kind, *told, timeout_s=900)
    assert seen["wrong"] == []
    library = served.session.library
    for each, done in zip(wanted, seen["seen"], strict=True):
        assert len(done["described"]) == 4, each
        assert done["pulled"] != done["described"], each
        assert done["verdict"].startswith("The tablet uses this setting"), each
        assert done["stages"] == ["done"] * 4, each
        assert done["wide"], each
        found, _ = proofs_of(library, library.folder_of(each["name"]))
        assert [proof.mark for proof in found] == ["typed", "touch"]
