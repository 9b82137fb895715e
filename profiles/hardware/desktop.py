"""The desktop as it is now: place, pixels in use and zoom of each display, and which is primary.

No EDID knows that, and each system reports it in a way of its own. GLFW (a general windowing
library, with its binary in the wheel) asks all three. It is the optional part ``system``: without
it everything else works.

A trap: where the system does not know a display's size, GLFW makes one up from a round density (96
px per inch: 508 x 285 mm for 1920 x 1080). A size that follows from such a density is a guess and
is not used.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from mapper.desk import Display
from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem
from mapper.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from profiles.hardware.edid import DisplayFacts

#: Densities that systems make up where they know no size, px per inch.
MADE_UP_PX_PER_INCH = (72.0, 96.0, 120.0, 144.0, 192.0)
#: Two sizes of one display contradict each other beyond this: a tenth of an inch on 24, and
#: rounding.
SAME_SIZE_MM = 12.0
TYPE_DESKTOP = phrase(
    'Type the displays instead: --display "main: 27in 2560x1440" --display "side: '
    '24in 1920x1080 at 2560,0"'
)


@dataclass(frozen=True, slots=True)
class Monitor:
    """One display as the running system has it now.

    ``name`` is its connector where the system names that. The place is in px of the whole desktop
    as the system counts it. The size in mm is the system's, 0 where it knows none.
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
        """Whether the size follows from a round density, to the mm, and so is a guess."""
        return any(
            abs(self.width_mm - self.width_px * MM_PER_INCH / density) <= 1
            and abs(self.height_mm - self.height_px * MM_PER_INCH / density) <= 1
            for density in MADE_UP_PX_PER_INCH
        )


def monitors() -> tuple[Monitor, ...]:
    """The displays that are in use now, the primary one first.

    Raises AnswerIsNo, with what to type instead, if the optional part is missing or there is no
    screen to ask.
    """
    try:
        import glfw
    except (ImportError, OSError) as error:
        must = phrase("the running system cannot be asked without the optional part 'system'")
        instead = phrase(
            "Type pip install 'evenstroke[system]'. {type_desktop}", type_desktop=TYPE_DESKTOP
        )
        raise AnswerIsNo(Problem("@desktop", must, str(error), instead)) from None
    # Its errors would come as warnings; what init answers says enough.
    vars(glfw)["ERROR_REPORTING"] = False
    if not glfw.init():
        raise AnswerIsNo(
            Problem("@desktop", phrase("there is no display here to ask"), "", TYPE_DESKTOP)
        )
    try:
        return monitors_of_glfw(glfw)
    finally:
        glfw.terminate()


def monitors_of_glfw(glfw: Any) -> tuple[Monitor, ...]:
    """The displays that ``glfw`` reports, the primary one first.

    ``glfw`` is the module, or anything that answers like it. Raises AnswerIsNo if there is none.
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
            Problem("@desktop", phrase("the system knows of no display in use"), "", TYPE_DESKTOP)
        )
    return tuple(found)


def displays_of(
    found: Sequence[Monitor], edid_facts: Mapping[str, DisplayFacts] | None = None
) -> tuple[tuple[Display, ...], tuple[str, ...]]:
    """The displays of a desktop, the primary one first, and the doubts about them.

    Places count from the primary display's top left corner. ``edid_facts`` holds by connector what
    the displays report of themselves: that size is taken before the system's, with a doubt where
    the two contradict each other. Of mirrored displays the first is taken, with a doubt. Labels are
    the system's names, and ``main`` for an only display.
    """
    ordered, doubts = _without_mirrored(sorted(found, key=lambda monitor: not monitor.primary))
    origin = ordered[0]
    displays: list[Display] = []
    names = [monitor.name for monitor in ordered]
    for at, monitor in enumerate(ordered):
        name = monitor.name.strip() or f"display {at + 1}"
        label = name if names.count(monitor.name) == 1 else f"{name} {at + 1}"
        if len(ordered) == 1:
            label = "main"
        size, doubt = _size_of(monitor, (edid_facts or {}).get(monitor.name))
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


def _without_mirrored(ordered: Sequence[Monitor]) -> tuple[list[Monitor], list[str]]:
    """The monitors without those that begin at the same pixel as one before, and that said."""
    first: dict[tuple[int, int], Monitor] = {}
    doubts: list[str] = []
    for monitor in ordered:
        shown = first.setdefault((monitor.left_px, monitor.top_px), monitor)
        if shown is not monitor:
            doubts.append(
                phrase(
                    "{display} shows the same as {other} (mirrored), so it is left out",
                    display=monitor.name.strip() or phrase("a display"),
                    other=shown.name.strip() or phrase("another one"),
                )
            )
    return list(first.values()), doubts


def _size_of(
    monitor: Monitor, facts: DisplayFacts | None
) -> tuple[tuple[float, float] | None, str]:
    """The size of ``monitor`` in mm, None where it is unknown, and the doubt about it."""
    system_mm = None
    if min(monitor.width_mm, monitor.height_mm) > 0:
        system_mm = float(monitor.width_mm), float(monitor.height_mm)
    if facts is not None and facts.width_mm is not None and facts.height_mm is not None:
        own_mm = _sides_as_it_stands(facts.width_mm, facts.height_mm, monitor)
        if system_mm and not monitor.size_is_made_up and _contradict(own_mm, system_mm):
            return own_mm, (
                phrase(
                    "it says {width} × {height} mm of itself and the system {its_width} × "
                    "{its_height}; its own size is taken: measure to be sure.",
                    width=f"{own_mm[0]:g}",
                    height=f"{own_mm[1]:g}",
                    its_width=f"{system_mm[0]:g}",
                    its_height=f"{system_mm[1]:g}",
                )
            )
        return own_mm, ""
    if system_mm is None:
        return None, phrase("its size is unknown: measure the picture.")
    if monitor.size_is_made_up:
        return None, (
            phrase(
                "the system says {width} × {height} mm, which it made up from a round "
                "density; it is not used: measure the picture.",
                width=f"{system_mm[0]:g}",
                height=f"{system_mm[1]:g}",
            )
        )
    return system_mm, ""


def _sides_as_it_stands(width_mm: float, height_mm: float, monitor: Monitor) -> tuple[float, float]:
    """The sides of an EDID as the display stands now: swapped where it stands upright."""
    upright = (width_mm < height_mm) != (monitor.width_px < monitor.height_px)
    return (height_mm, width_mm) if upright else (width_mm, height_mm)


def _contradict(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two sizes in mm contradict each other."""
    return any(abs(a - b) > SAME_SIZE_MM for a, b in zip(one, other, strict=True))


def as_used(display: Display, monitor: Monitor) -> Display:
    """``display``, described by its EDID, with the pixels and zoom that ``monitor`` has now.

    Its sides are swapped where the monitor stands upright.
    """
    width_mm, height_mm = display.width_mm, display.height_mm
    if width_mm is not None and height_mm is not None:
        width_mm, height_mm = _sides_as_it_stands(width_mm, height_mm, monitor)
    return replace(
        display,
        width_px=monitor.width_px,
        height_px=monitor.height_px,
        width_mm=width_mm,
        height_mm=height_mm,
        zoom=monitor.zoom,
    )
