"""Sizes measured with a thing of known size, as text and as plain data."""

from __future__ import annotations

from typing import Any

from mapper.tracing.sizing import AreaSize, error_cost
from profiles.plain import headed, plain
from render.sentences.say import say
from render.sentences.sizes import area_sentences, area_typed


def area_text(size: AreaSize, displays: list[str]) -> str:
    """The measured size of a tablet in sentences, and the command that goes on from there."""
    typed = " ".join(f'--display "{text}"' for text in displays)
    lines = [
        *area_sentences(size, len(displays)),
        "",
        say("Next: {command}", command=f"evenstroke map --tablet {area_typed(size)} {typed}"),
    ]
    return "\n".join(lines) + "\n"


def area_data(size: AreaSize, more: dict[str, Any] | None = None) -> dict[str, Any]:
    """The measured size of a tablet as plain data, its intervals as low and high (95 %).

    ``more`` is what else is known of how it was measured.
    """
    cost = {unit: error_cost(size, unit) for unit in ("mm", "percent")}
    return headed("whole-tablet", plain(size) | {"cost": cost} | (more or {}))
