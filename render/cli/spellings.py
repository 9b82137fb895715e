"""Other spellings of what our options take, and other words for the options themselves."""

from __future__ import annotations

from typing import Any

import click

from mapper.phrases import phrase

# Plain English words for what an option is about, the option first. A command that lacks it is not
# told of it.
_WORDS = {
    "--turn": "rotate rotation rotated orientation handed flip upright portrait landscape",
    "--slant": "angle skew askew",
    "--area": (
        "area-width area-height area-size area-left area-top area-offset offset position "
        "rectangle left top x y"
    ),
    "--within": "margin margins border usable part",
    "--tablet": (
        "width height size pad active active-area tablet-width tablet-height tablet-size counts"
    ),
    "--display": (
        "screen monitor resolution pixels diagonal screen-size monitor-size display-size inches"
    ),
    "--onto": "target map-to only",
    "--fit": "ratio aspect proportions stretch fill lock locked full cropped mode",
    "--hold": "align alignment anchor center centre",
    "--scale": "factor speed sensitivity magnification",
    "--step": "round rounding increment precision grid snap",
    "--window": "region screen-area screen-part viewport",
    "--distance": "eyes viewing-distance seat",
    "--workstation": "name title desk",
    "--save": "output out write profile file",
    "--out": "output save write file",
    "--picture": "image preview draw plot png",
    "--as": "format json csv output-format",
}


class Spelled(click.Choice[str]):
    """A choice that also takes ``center`` for ``centre``, and ``top left`` for ``top-left``."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The choice that ``value`` spells."""
        if isinstance(value, str):
            value = (
                value.strip()
                .lower()
                .replace("center", "centre")
                .replace(" ", "-")
                .replace("_", "-")
            )
        return super().convert(value, param, ctx)


def other_word(error: click.NoSuchOption) -> str:
    """The message for an unknown option; it names ours where the word means one of them."""
    word = error.option_name.lstrip("-").lower().replace("_", "-")
    params = error.ctx.command.params if error.ctx is not None else []
    # The word as a whole first, then any part of it: --lock-aspect speaks of locking.
    for words in ({word}, set(word.split("-"))):
        for ours, theirs in _WORDS.items():
            param = next(
                (each for each in params if ours in each.opts and words & set(theirs.split())), None
            )
            if isinstance(param, click.Option):
                return phrase(
                    "No such option: {option}. Here that is {ours}: {help}",
                    option=error.option_name,
                    ours=ours,
                    help=_first_sentence(param.help or ""),
                )
    return error.format_message()


def _first_sentence(text: str) -> str:
    sentence, stop, _ = text.partition(". ")
    return sentence + ("." if stop else "")
