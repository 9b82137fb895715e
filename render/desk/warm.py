"""What reads traces is loaded before somebody has traced: it takes seconds the first time."""

from __future__ import annotations

import contextlib
import threading
from functools import cache

from render.desk.place import reads_traces


@cache
def warm_traces() -> threading.Thread | None:
    """Load what reads traces, once, beside the answers; None where traces cannot be read."""
    if not reads_traces():
        return None
    thread = threading.Thread(target=_load, name="traces", daemon=True)
    thread.start()
    return thread


def _load() -> None:
    # What goes wrong here goes wrong again where somebody reads of it.
    with contextlib.suppress(Exception):
        from mapper.tracing.measure import measure
        from profiles.known_things import parse_thing
        from render.desk.chapters.took import on_page
        from render.pictures import trace_view  # noqa: F401 - it is what is wanted

        card = parse_thing("card", "card")
        outline = card.outline()
        wide, high = outline.width_mm * 4, outline.height_mm * 4
        corners = [
            (100.0, 100.0),
            (100 + wide, 100.0),
            (100 + wide, 100 + high),
            (100.0, 100 + high),
        ]
        stroke = [
            (x0 + (x1 - x0) * at / 40, y0 + (y1 - y0) * at / 40)
            for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True)
            for at in range(40)
        ]
        measure([on_page([[*stroke, stroke[0]]], card).trace], of_wobble_alone=True)
