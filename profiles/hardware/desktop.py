"""The desktop as it is now: where each display stands, how many of its pixels are in use, its zoom,
which is the primary one.

No EDID knows that, and each system tells it in a way of its own; GLFW (a general windowing library,
its binary in the wheel) asks all three. It is the optional part ``system``: without it everything
else works.

A trap. Where the system does not know a display's size, GLFW answers one that it makes up from a
round density (96 px per inch: 508 x 285 mm for 1920 x 1080). A size that follows from such a
density is a guess and is not used.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from mapper.desk import Display
from mapper.problems import AnswerIsNo, Problem
from mapper.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from profiles.hardware.edid import DisplayFacts

#: Densities that systems make up where they know no size, px per inch.
MADE_UP_PX_PER_INCH = (72.0, 96.0, 120.0, 144.0, 192.0)
#: Two sizes of one display that differ by more than this contradict each other: a tenth of an inch
#: on 24, and rounding.
SAME_SIZE_MM = 12.0
TYPE_DESKTOP = (
    'Type the displays instead: --display "main: 27in 2560x1440" --display "side: 24in 1920x1080 '
    'at 2560,0"'
)


@dataclass(frozen=True, slots=True)
class Monitor:
    """One display as the running system has it now: ``name`` is its connector where the system
    tells that.

    The place is in px of the whole desktop as the system counts it, the size in mm as the system
    believes it, 0 where it knows none.
    """

    name: str
    left_px: int
    top_px: int
    width_px: int
    height_px: int
    width_mm: int
    height_mm: int
    zoom: float
    primary: bool

    @property
    def size_is_made_up(self) -> bool:
        """Whether the size follows from a round density, to the mm that it is told in, and so is a
        guess.
        """
        return any(
            abs(self.width_mm - self.width_px * MM_PER_INCH / density) <= 1
            and abs(self.height_mm - self.height_px * MM_PER_INCH / density) <= 1
            for density in MADE_UP_PX_PER_INCH
        )


def monitors() -> tuple[Monitor, ...]:
    """The displays that are in use now, the primary one first.

    Raises AnswerIsNo, with what to type instead, where the optional part is missing or there is no
    screen to ask.
    """
    try:
        import glfw
    except (ImportError, OSError) as error:
        must = "the running system cannot be asked without the optional part 'system'"
        instead = f"Type pip install 'evenstroke[system]'. {TYPE_DESKTOP}"
        raise AnswerIsNo(Problem("@desktop", must, str(error), instead)) from None
    # Its errors would come as warnings; what init answers says enough.
    vars(glfw)["ERROR_REPORTING"] = False
    if not glfw.init():
        raise AnswerIsNo(Problem("@desktop", "there is no screen here to ask", "", TYPE_DESKTOP))
    try:
        return of_glfw(glfw)
    finally:
        glfw.terminate()


def of_glfw(glfw: Any) -> tuple[Monitor, ...]:
    """What ``glfw`` (the module, or anything that answers like it) tells of its monitors.

    Raises AnswerIsNo where it has none.
    """
    found = []
    for at, monitor in enumerate(glfw.get_monitors()):
        mode = glfw.get_video_mode(monitor)
        if mode is None:
            continue
        left, top = glfw.get_monitor_pos(monitor)
        width_mm, height_mm = glfw.get_monitor_physical_size(monitor)
        zoom = glfw.get_monitor_content_scale(monitor)[0]
        name = glfw.get_monitor_name(monitor)
        text = name.decode("utf-8", "replace") if isinstance(name, bytes) else str(name)
        found.append(
            Monitor(
                text,
                left,
                top,
                mode.size.width,
                mode.size.height,
                width_mm,
                height_mm,
                float(zoom),
                primary=at == 0,
            )
        )
    if not found:
        raise AnswerIsNo(
            Problem("@desktop", "the system knows of no display in use", "", TYPE_DESKTOP)
        )
    return tuple(found)


def displays_of(
    found: Sequence[Monitor], told: Mapping[str, DisplayFacts] | None = None
) -> tuple[tuple[Display, ...], tuple[str, ...]]:
    """The displays of a desktop, the primary one first, and what is doubtful about them.

    Places are counted from the primary display's top left corner. ``told`` are the EDIDs that are
    known by connector: an EDID's size wins over the system's; where the two contradict each other
    the doubt names both. The labels are the system's names, ``main`` for an only one.
    """
    ordered = sorted(found, key=lambda monitor: not monitor.primary)
    origin = ordered[0]
    displays, doubts = [], []
    names = [monitor.name for monitor in ordered]
    for at, monitor in enumerate(ordered):
        name = monitor.name.strip() or f"display {at + 1}"
        label = (
            "main"
            if len(ordered) == 1
            else name
            if names.count(monitor.name) == 1
            else f"{name} {at + 1}"
        )
        size, doubt = _size_of(monitor, (told or {}).get(monitor.name))
        doubts += [f"{label}: {doubt}"] if doubt else []
        displays.append(
            Display(
                monitor.width_px,
                monitor.height_px,
                width_mm=size[0] if size else None,
                height_mm=size[1] if size else None,
                left_px=monitor.left_px - origin.left_px,
                top_px=monitor.top_px - origin.top_px,
                label=label,
                zoom=monitor.zoom,
            )
        )
    return tuple(displays), tuple(doubts)


def _size_of(
    monitor: Monitor, facts: DisplayFacts | None
) -> tuple[tuple[float, float] | None, str]:
    """The size to use, and what is doubtful about it."""
    believed = (
        (float(monitor.width_mm), float(monitor.height_mm))
        if min(monitor.width_mm, monitor.height_mm) > 0
        else None
    )
    if facts is not None and facts.width_mm is not None and facts.height_mm is not None:
        told = _as_it_stands(facts.width_mm, facts.height_mm, monitor)
        if believed and not monitor.size_is_made_up and _apart(told, believed):
            return told, (
                f"it says {told[0]:g} x {told[1]:g} mm of itself and the system {believed[0]:g} "
                f"x {believed[1]:g}; "
                "its own size is taken: measure to be sure."
            )
        return told, ""
    if believed and monitor.size_is_made_up:
        return None, (
            f"the system says {believed[0]:g} x {believed[1]:g} mm, which it made up from a "
            f"round density; it is not "
            "used: measure the picture."
        )
    return believed, "" if believed else "its size is unknown: measure the picture."


def _as_it_stands(width_mm: float, height_mm: float, monitor: Monitor) -> tuple[float, float]:
    """An EDID's sides as the display stands now, of which it knows nothing: swapped where that is
    upright.
    """
    upright = (width_mm < height_mm) != (monitor.width_px < monitor.height_px)
    return (height_mm, width_mm) if upright else (width_mm, height_mm)


def _apart(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return any(abs(a - b) > SAME_SIZE_MM for a, b in zip(one, other, strict=True))


def as_used(display: Display, monitor: Monitor) -> Display:
    """``display``, described by its EDID, with the pixels, the place and the zoom that are in use
    now.
    """
    width_mm, height_mm = display.width_mm, display.height_mm
    if width_mm is not None and height_mm is not None:
        width_mm, height_mm = _as_it_stands(width_mm, height_mm, monitor)
    return replace(
        display,
        width_px=monitor.width_px,
        height_px=monitor.height_px,
        width_mm=width_mm,
        height_mm=height_mm,
        zoom=monitor.zoom,
    )
