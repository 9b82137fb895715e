"""The words for a tablet, for a pair of tablet and display, and for a comfortable band."""

from __future__ import annotations

from dataclasses import replace

from mapper.choosing.pairing import CUSTOMARY_TABLETS
from mapper.choosing.recommended import Band
from mapper.desk import Tablet
from mapper.phrases import phrase
from render.sentences.say import Name, say, say_again
from render.sentences.words import number

#: How a scale factor below, inside and above the band feels.
FEEL = {
    "below": phrase("large movements"),
    "inside": phrase("comfortable"),
    "above": phrase("less precise"),
}

#: The customary sizes of tablets by the labels that are typed.
_CUSTOMARY = {
    "small": phrase("small"),
    "medium": phrase("medium"),
    "large": phrase("large"),
    "extra large": phrase("extra large"),
}

#: Uses that have a usual band, by the words that are typed.
_USES = {
    "illustration": phrase("illustration"),
    "handwriting": phrase("handwriting"),
    "lettering": phrase("lettering"),
    "retouching": phrase("retouching"),
    "sculpting": phrase("sculpting"),
    "teaching": phrase("teaching"),
}


def use_words(use: str) -> str:
    """What a tablet is used for, in the language in use."""
    return say_again(_USES.get(use, use))


def customary_tablets() -> list[Tablet]:
    """The customary sizes of tablets, called in the language in use."""
    return [
        replace(each, label=str(say_again(_CUSTOMARY[each.label]))) for each in CUSTOMARY_TABLETS
    ]


def tablet_name(tablet: Tablet) -> str:
    """``medium, 230 × 144 mm``; the size alone where that is the label."""
    size = f"{number(tablet.width_mm)} × {number(tablet.height_mm)} mm"
    said: str = size
    if tablet.label not in {"", size}:
        said = say("{tablet}, {size}", tablet=Name(tablet.label), size=size)
    if tablet.turn_deg:
        return say("{tablet}, turned {degrees}", tablet=said, degrees=str(tablet.turn_deg))
    return said


def band_sentence(band: Band, use: str | None) -> str:
    """The comfortable scale factors, the kind of work that they are for, and their source."""
    slots = {
        "low": number(band.low),
        "high": number(band.high),
        "source": say_again(band.source),
    }
    if use:
        return say(
            "Comfortable for {use}: scale factors of {low} to {high} ({source}).",
            use=use_words(use),
            **slots,
        )
    return say("Comfortable: scale factors of {low} to {high} ({source}).", **slots)
