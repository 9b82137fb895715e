"""What the hardware of this computer says of itself, for the page: an offer with who says so, never taken unasked."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.problems import EvenstrokeError
from profiles.hardware.system import connected_displays, plugged_tablets, system_root
from render.desk.described import display_text, tablet_text

if TYPE_CHECKING:
    from mapper.desk import Display, Tablet


class SaidTablet(NamedTuple):
    """A tablet that is plugged in: its name, what it says of itself, and the text of that."""

    name: str
    tablet: Tablet
    text: str


class SaidDisplay(NamedTuple):
    """The same of a display that is in use; its name is that of its connector."""

    name: str
    display: Display
    text: str


def said_tablets() -> list[SaidTablet]:
    """Each tablet plugged into this computer that says its size."""
    listed = []
    try:
        for each in plugged_tablets(system_root()):
            try:
                tablet = each.pen.tablet("tablet")
            except EvenstrokeError:
                continue
            listed.append(SaidTablet(each.name or "a tablet", tablet, tablet_text(tablet)))
    except (EvenstrokeError, OSError):
        return []
    return listed


def said_displays() -> list[SaidDisplay]:
    """Each display in use that says its size."""
    listed = []
    try:
        for each in connected_displays(system_root()):
            if each.facts is None or not each.lit:
                continue
            try:
                display = each.facts.display("display")
            except EvenstrokeError:
                continue
            listed.append(SaidDisplay(each.connector, display, display_text(display, alone=True)))
    except (EvenstrokeError, OSError):
        return []
    return listed


def begun(screen: str) -> dict[str, object]:
    """What a new desk begins with: the browser's own ``screen`` (``2560x1440``; empty where it is not known), and what the hardware says.

    The display of those pixels, where one says its size; and the tablet, where one alone is plugged in.
    """
    same = [each.text for each in said_displays() if pixels(each.display) == screen]
    tablets = said_tablets()
    begin: dict[str, object] = {"displays": [*same[:1], screen][:1]} if screen else {}
    return begin | ({"tablet": tablets[0].text} if len(tablets) == 1 else {})


def pixels(display: Display) -> str:
    """``2560x1440``."""
    return f"{display.width_px}x{display.height_px}"
