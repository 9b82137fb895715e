"""What becomes of a kept desk that gets another name, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.problems import EvenstrokeError
from profiles.library.station_names import folder_name
from render.sentences.say import Name, say

if TYPE_CHECKING:
    from render.desk.desks import Desk


def _kept_as(desk: Desk) -> str | None:
    """The name that this desk was kept under where the letter has another; None without one."""
    name, folder = desk.said.name.strip(), desk.draft.origin.get("folder")
    if not folder or not name or folder_name(name) == folder:
        return None
    try:
        known = desk.session.library.folder_named(str(folder))
        return desk.session.library.called(known) if known.is_dir() else None
    except EvenstrokeError:
        return None


def copied_from(desk: Desk) -> str | None:
    """What a desk that is kept under another name leaves behind; None where it has its own."""
    before = _kept_as(desk)
    if before is None:
        return None
    return say(
        "It is a copy under a new name: {desk} stays as it was, with its history.",
        desk=Name(before),
    )


def name_lead(desk: Desk) -> str:
    """What comes of another name for a desk that is kept."""
    if desk.draft.last_kept is None or not desk.draft.origin.get("folder"):
        return ""
    return say(
        "If you change the name and keep the desk, you get a second desk. The first one stays, "
        "with its history."
    )
