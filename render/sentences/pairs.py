"""The words for a tablet, for a pair of tablet and display, and for a comfortable band."""

from __future__ import annotations

from mapper.choosing.recommended import Band
from mapper.desk import Tablet
from render.sentences.words import number

#: How a scale factor below, inside and above the band feels.
FEEL = {"below": "large movements", "inside": "comfortable", "above": "less precise"}


def tablet_name(tablet: Tablet) -> str:
    """``medium, 230 x 144 mm``; the size alone where that is the label."""
    size = f"{number(tablet.width_mm)} x {number(tablet.height_mm)} mm"
    turned = f", turned {tablet.turn_deg}" if tablet.turn_deg else ""
    return (size if tablet.label in {"", size} else f"{tablet.label}, {size}") + turned


def band_sentence(band: Band, use: str | None) -> str:
    """The comfortable scale factors, the kind of work that they are for, and their source."""
    purpose = f" for {use}" if use else ""
    return (
        f"Comfortable{purpose}: scale factors of {number(band.low)} to {number(band.high)} "
        f"({band.source})."
    )
