"""Names in a folder are read again only where it may have changed, with coarse times too."""

import os
import re
from types import SimpleNamespace

import pytest

from profiles.library import names as names_module
from profiles.library.names import SETTLED_S, TRUSTED_S, Folders


@pytest.fixture
def clock(monkeypatch):
    """A monotonic clock that stands still until it is set on."""

    class Clock:
        now_s = 1000.0

        @classmethod
        def monotonic(cls):
            return cls.now_s

    monkeypatch.setattr(names_module, "time", Clock)
    return Clock


@pytest.fixture
def listings(monkeypatch):
    """The folders whose names were read."""
    seen, read = [], names_module.names_in
    monkeypatch.setattr(
        names_module, "names_in", lambda folder: seen.append(folder) or read(folder)
    )
    return seen


def share(monkeypatch, clock, tick_s):
    """A folder's time is the clock's, and only every ``tick_s`` another; its number is always 0."""
    changed = {}

    class Os:
        @staticmethod
        def stat(folder):
            many = len(os.listdir(folder))  # noqa: PTH208 - the real one
            at_s, before = changed.get(folder, (clock.now_s, many))
            if many != before:
                at_s = clock.now_s
            changed[folder] = at_s, many
            time_ns = round(at_s // tick_s * tick_s * 1e9)
            return SimpleNamespace(st_dev=0, st_ino=0, st_mtime_ns=time_ns)

    monkeypatch.setattr(names_module, "os", Os)


def test_a_folder_that_rests_is_read_once(tmp_path, clock, listings):
    folders = Folders(re.compile("x"))
    for _ in range(3):
        folders.names(tmp_path)
        clock.now_s += SETTLED_S
    assert len(listings) == 2, "the second time it had rested for long enough"
    clock.now_s += TRUSTED_S
    folders.names(tmp_path)
    assert len(listings) == 3, "some file systems keep no time of a folder"
    folders.names(tmp_path, anew=True)
    assert len(listings) == 4


@pytest.mark.parametrize("tick_s", [1e-9, 0.001, 1, 2])
def test_a_new_name_is_seen_however_coarse_the_times_of_a_share_are(
    tmp_path, monkeypatch, clock, listings, tick_s
):
    share(monkeypatch, clock, tick_s)
    folders, looks = Folders(re.compile(r"\d+")), 0
    for number in range(40):
        # Looks and changes at every distance from each other, also within one tick.
        for gap_s in ([0, 0.3], [1.9, 4.5, 0], [2.1], [5, 5, 0.1, 0.1])[number % 4]:
            clock.now_s += gap_s
            assert folders.names(tmp_path).count == number
            looks += 1
        clock.now_s += [0, 0.1, 1.5][number % 3]
        (tmp_path / f"{number}").touch()
        found = folders.names(tmp_path)
        looks += 1
        assert found.count == number + 1
        assert found.sorted[-1] == f"{number}"
    assert len(listings) < looks, "some were spared, or this shows nothing"


def test_longer_numbers_come_after_shorter_ones(tmp_path):
    for name in ("9999-a", "10000-a", "0001-b"):
        (tmp_path / name).touch()
    assert Folders(re.compile("x")).names(tmp_path).sorted == ["0001-b", "9999-a", "10000-a"]
