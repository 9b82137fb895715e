"""The other desks of the library, as a desk's page offers what they have."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from mapper.problems import EvenstrokeError
from profiles.requests import feel_of

if TYPE_CHECKING:
    from mapper.mapping.feel import Feel
    from profiles.format.document import Workstation
    from render.desk.desks import Desk

#: More desks than this are chosen by name on the command line.
_MOST = 24


def other_desks(desk: Desk) -> list[Workstation]:
    """The settings in use at the library's other desks, those that are retired left out.

    What cannot be read is told on the page of all desks.
    """
    library, name = desk.session.library, desk.said.name.strip()
    try:
        stations = library.stations()[0] if library.root.exists() else []
    except EvenstrokeError:
        return []
    found: list[Workstation] = []
    for each in stations:
        if each.marks.station_retired or each.name == name:
            continue
        with suppress(EvenstrokeError):
            found.append(library.load(library.in_force(each.folder)))
        if len(found) == _MOST:
            break
    return found


def other_feels(desk: Desk) -> list[Feel]:
    """How the hand moves at the library's other desks, those whose display has a size in mm."""
    found = []
    for each in other_desks(desk):
        with suppress(EvenstrokeError):
            found.append(feel_of(each, each.name))
    return found
