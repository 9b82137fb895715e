"""What the hardware of this computer says of itself, for the page.

It is an offer with who says so, and never taken unasked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mapper.desk import Desktop
from mapper.problems import EvenstrokeError
from profiles.hardware.references import desktop_of
from profiles.hardware.system import connected_displays, plugged_tablets, system_root
from profiles.shorthand import display_text, tablet_text
from render.sentences.say import say

if TYPE_CHECKING:
    from mapper.desk import Display, Tablet


class SaidTablet(NamedTuple):
    """A tablet that is plugged in: its name, what it says of itself, and the text of that."""

    name: str
    tablet: Tablet
    text: str


class SaidDisplay(NamedTuple):
    """A display that is in use: its connector's name, what it says of itself, and that as text."""

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
            listed.append(SaidTablet(each.name or say("a tablet"), tablet, tablet_text(tablet)))
    except (EvenstrokeError, OSError):
        return []
    return listed


def said_displays() -> list[SaidDisplay]:
    """Each display in use that says its size."""
    listed = []
    try:
        for each in connected_displays(system_root()):
            if each.facts is None or not each.in_use:
                continue
            try:
                display = each.facts.display("display")
            except EvenstrokeError:
                continue
            listed.append(SaidDisplay(each.connector, display, display_text(display, alone=True)))
    except (EvenstrokeError, OSError):
        return []
    return listed


class SaidDesktop(NamedTuple):
    """All displays of the running system in their places: their texts, and what is doubtful."""

    desktop: Desktop
    texts: tuple[str, ...]
    doubts: tuple[str, ...]


def said_desktop() -> SaidDesktop | None:
    """The desktop as the running system has it now; None where it cannot be asked.

    To be called by the program's first thread: some systems tell no other (GLFW's rule for all that
    it does).
    """
    try:
        displays, doubts = desktop_of("@desktop", "displays")
        desktop = Desktop(displays)
    except (EvenstrokeError, OSError):
        return None
    alone = len(displays) == 1
    return SaidDesktop(desktop, tuple(display_text(each, alone=alone) for each in displays), doubts)


def begun(screen: str, system: SaidDesktop | None) -> tuple[dict[str, object], bool]:
    """What a new desk begins with, and whether it is left to ask if the display is this one.

    ``screen``: the browser's own (``2560x1440``; empty where it is not known). ``system``: the
    desktop, where it is told. Several displays with one of those pixels are taken whole; else the
    display of those pixels that says its size, else the screen alone. The tablet is there where one
    alone is plugged in.
    """
    tablets = said_tablets()
    begin: dict[str, object] = {"tablet": tablets[0].text} if len(tablets) == 1 else {}
    found = [] if system is None else [pixels(each) for each in system.desktop.displays]
    if system is not None and len(found) > 1 and (screen in found or not screen):
        return {**begin, "displays": list(system.texts)}, False
    same = [each.text for each in said_displays() if pixels(each.display) == screen]
    if system is not None and found == [screen]:
        same.append(system.texts[0])
    return begin | ({"displays": [*same, screen][:1]} if screen else {}), bool(screen)


def pixels(display: Display) -> str:
    """``2560x1440``."""
    return f"{display.width_px}x{display.height_px}"
