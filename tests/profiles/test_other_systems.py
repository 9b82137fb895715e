"""What Windows and macOS answer, in the documented shapes.

Invented answers, since no such computer was at hand.
"""

import plistlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import AnswerIsNo
from profiles.hardware import other_systems, system
from profiles.hardware.other_systems import REGISTRY, edids_of_ioreg, edids_of_registry
from tests.fake_system import DEMO_EDID, SIDE_EDID

ROOT = Path("/")


class FakeRegistry:
    """A registry of keys with backslashes; a key is there where it or one below it is."""

    def __init__(self, keys):
        self.keys = keys

    def below(self, key):
        inner = [each.removeprefix(key + "\\") for each in self.keys if each.startswith(key + "\\")]
        return list(dict.fromkeys(each.partition("\\")[0] for each in inner))

    def value(self, key, name):
        return self.keys.get(key, {}).get(name)


def registry():
    # Microsoft's documentation of monitor devices: Enum\DISPLAY\<model>\<instance>\Device
    # Parameters, EDID as REG_BINARY.
    one, gone = rf"{REGISTRY}\DEM0001\5&1a2b&0&UID1", rf"{REGISTRY}\DEM0002\5&1a2b&0&UID2"
    return FakeRegistry(
        {
            rf"{one}\Device Parameters": {"EDID": DEMO_EDID},
            rf"{one}\Control": {},
            rf"{gone}\Device Parameters": {"EDID": SIDE_EDID},
        }
    )


def test_a_registry_gives_the_displays_that_are_there_now():
    assert edids_of_registry(registry()) == {"DEM0001-5&1a2b&0&UID1": DEMO_EDID}
    assert edids_of_registry(FakeRegistry({})) == {}


def test_a_property_list_of_ioreg_gives_each_edid_once():
    tree = [
        {
            "IOObjectClass": "IODisplayConnect",
            "IORegistryEntryChildren": [{"IODisplayEDID": DEMO_EDID}, {"IODisplayEDID": DEMO_EDID}],
        }
    ]
    assert edids_of_ioreg(plistlib.dumps([*tree, {"deep": {"EDID": SIDE_EDID}}])) == {
        "display-1": DEMO_EDID,
        "display-2": SIDE_EDID,
    }


@given(st.binary(max_size=200))
def test_an_answer_that_is_no_property_list_has_no_edids(answer):
    assert edids_of_ioreg(answer) == {}


@pytest.mark.parametrize("platform", ["win32", "darwin"])
def test_the_displays_of_another_system_are_listed_as_linuxs_are(platform, monkeypatch):
    monkeypatch.setattr(system.sys, "platform", platform)
    monkeypatch.setattr(other_systems, "WindowsRegistry", registry)
    monkeypatch.setattr(
        other_systems, "ask_ioreg", lambda: plistlib.dumps([{"IODisplayEDID": DEMO_EDID}])
    )
    (display,) = system.connected_displays(ROOT)
    assert display.facts.title == "demo 27"
    assert system.connected_display(ROOT, "", "x").facts.width_mm == 597


@pytest.mark.parametrize("platform", ["win32", "darwin"])
def test_another_system_without_descriptions_says_what_to_type(platform, monkeypatch):
    monkeypatch.setattr(system.sys, "platform", platform)
    monkeypatch.setattr(other_systems, "WindowsRegistry", lambda: FakeRegistry({}))
    monkeypatch.setattr(other_systems, "ask_ioreg", lambda: b"")
    with pytest.raises(
        AnswerIsNo, match=r"keeps no description of a display.*Type the size and the pixels instead"
    ):
        system.connected_displays(ROOT)
