"""Displays that were dropped on the plan: their texts with the places where they hang together."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from mapper.mapping.placing import settled
from mapper.mapping.whole_desktop import separate_displays
from profiles.doubts import hearing
from profiles.shorthand import parse_displays

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Display
    from mapper.mapping.solve import TabletMap
    from render.desk.described import Description

_PLACE = re.compile(r"\s+at\s+[-\u2212]?\d+\s*,\s*[-\u2212]?\d+")


def dropped_beside(said: Description, dropped: int) -> Description:
    """The description after its display ``dropped`` was let go where its text says.

    Raises RequestError where a text is no display, or that display is the one that stays.
    """
    # What is doubtful in the texts is told of the answer.
    with hearing(lambda _: None):
        displays = parse_displays(said.displays, "displays")
    return said.with_({"displays": placed(said.displays, displays, dropped)})


def without_gaps(solved: TabletMap, texts: Sequence[str]) -> list[str]:
    """``texts`` of displays, with those that stand apart beside the others."""
    displays = solved.request.desktop.displays
    apart = {label for group in separate_displays(solved) for label in group}
    found = list(texts)
    for index, display in enumerate(displays):
        if display.label in apart:
            found = placed(found, parse_displays(tuple(found), "displays"), index)
    return found


def placed(texts: Sequence[str], displays: Sequence[Display], dropped: int) -> list[str]:
    """``texts`` of displays with the places that they have once ``dropped`` was let go."""
    stays = next(
        (at for at, each in enumerate(displays) if (each.left_px, each.top_px) == (0, 0)), 0
    )
    rects = settled([each.rect_px for each in displays], dropped, stays)
    return [
        f"{_PLACE.sub('', text)} at {rect.left:.0f},{rect.top:.0f}"
        for text, rect in zip(texts, rects, strict=True)
    ]
