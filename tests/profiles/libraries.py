"""Workstations and libraries that the tests of profiles start from."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from mapper.desk import Desktop
from mapper.mapping.solve import MapRequest
from mapper.solving import solve
from profiles.format.document import Workstation, load
from profiles.shorthand import parse_displays, parse_tablet

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = Path(__file__).parent / "samples" / "format-1.yaml"
NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)


def workstation(
    name="desk",
    note=None,
    *,
    tablet="240x152mm@150/mm",
    turn_deg=0,
    displays=("27in 2560x1440",),
    seat=None,
    entry=None,
    **asked,
):
    """The workstation of a tablet and displays in shorthand, with ``asked`` of its map."""
    desktop = Desktop(parse_displays(tuple(displays), "display"))
    request = MapRequest(parse_tablet(tablet, "tablet", turn_deg=turn_deg), desktop, **asked)
    return Workstation(name, solve(request), note, seat, entry=entry)


def sample(note, name="desk"):
    """The stored sample as a workstation called ``name``, with a ``note``."""
    return replace(load(str(SAMPLE)), name=name, note=note, revision=None)


def files_below(root):
    """The content of every file below ``root``, by its path."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in root.rglob("*")
        if path.is_file()
    }
