"""The band and the hand of the person who asks.

The band comes from the trial book in the library where that holds enough, the hand's scatter from
its touch tests; else they are rules of thumb.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mapper.choosing.recommended import BAND_USES, Band, band_for
from mapper.choosing.travel import USUAL_HAND, HandScatter
from render.cli.options import F
from render.cli.types import BAND, open_library
from render.sentences.say import say, say_again
from render.sentences.words import number

if TYPE_CHECKING:
    from collections.abc import Callable

# What the book calls the kinds of work that have a rule of thumb under another name.
_DOING = {"illustration": "drawing"}

band_option = click.option(
    "--band",
    "typed_band",
    metavar="LOW-HIGH",
    type=BAND,
    help="Your own band instead, for example 2.2-3.",
)


def use_option(help_text: str) -> Callable[[F], F]:
    """``--use``: the kind of work whose comfortable band counts, for ``comfortable_band``."""
    return click.option(
        "--use",
        type=click.Choice(list(BAND_USES)),
        default="illustration",
        show_default=True,
        help=help_text,
    )


def comfortable_band(use: str) -> Band:
    """A person's own band for ``use``, or the rule of thumb for it; its ``source`` says which.

    Raises RequestError for an unknown use.
    """
    practice = band_for(use)
    return _own(use) or practice


def band_and_purpose(typed_band: Band | None, use: str) -> tuple[Band, str | None]:
    """The band that was typed, which is for nothing in particular, or the one for ``use``."""
    return (typed_band, None) if typed_band else (comfortable_band(use), use)


def own_band_sentence(scale_factor: float, use: str = "illustration") -> str | None:
    """Where a scale factor lies in a person's own band; None where there is none."""
    own = _own(use)
    if own is None:
        return None
    slots = {
        "factor": number(scale_factor),
        "low": number(own.low, 1),
        "high": number(own.high, 1),
        "source": say_again(own.source),
    }
    return {
        "below": say(
            "A scale factor of {factor} lies below your own band, {low} to {high} ({source}).",
            **slots,
        ),
        "inside": say(
            "A scale factor of {factor} lies inside your own band, {low} to {high} ({source}).",
            **slots,
        ),
        "above": say(
            "A scale factor of {factor} lies above your own band, {low} to {high} ({source}).",
            **slots,
        ),
    }[own.side(scale_factor)]


def own_hand() -> HandScatter:
    """The scatter of the person's hand as the last long touch test measured it, else the usual."""
    library = open_library()
    if not library.root.exists():
        return USUAL_HAND
    from profiles.library.proofs import measured_hand

    return measured_hand(library) or USUAL_HAND


def _own(use: str) -> Band | None:
    library = open_library()
    # Most people keep no book; they should not pay for the model.
    if not library.root.exists():
        return None
    from profiles.library.personal import own_band

    return own_band(library, doing=_DOING.get(use, use))
