"""Sizes that were measured with a thing of known size, in words and as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.tracing.sizing import cost_of_error
from render.sentences.sizes import area_sentences, area_typed

if TYPE_CHECKING:
    from mapper.tracing.measure import Known
    from mapper.tracing.sizing import AreaSize


def area_text(size: AreaSize, displays: list[str]) -> str:
    """The sentences, and the command that goes on from there."""
    typed = " ".join(f'--display "{text}"' for text in displays)
    lines = [*area_sentences(size, len(displays)), "", f"Next: evenstroke map --tablet {area_typed(size)} {typed}"]
    return "\n".join(lines) + "\n"


def area_data(size: AreaSize) -> dict[str, Any]:
    """The same as plain data, the intervals as low and high (95 %)."""
    return {
        "width_mm": _known(size.width_mm),
        "height_mm": _known(size.height_mm),
        "ratio": _known(size.ratio),
        "nib_mm": _known(size.nib_mm),
        "both_ways": size.both_ways,
        "like_target": size.like_target,
        "cost": {unit: cost_of_error(size, unit)._asdict() for unit in ("mm", "percent")},
    }


def _known(known: Known) -> dict[str, float]:
    return {"value": known.value, "low": known.low, "high": known.high}
