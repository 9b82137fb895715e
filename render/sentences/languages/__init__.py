"""The languages in which the page, its pictures, its papers and the study are said.

English is in the code. Each other language is a catalogue of gettext beside this module: its
``.po`` file is what translators fill, its ``.mo`` file is compiled of it once every message is
translated, and only a language that has one is offered. How numbers and days are written comes from
the Unicode CLDR, of which ``python -m tests.texts.languages`` writes a few facts into
``cldr.json``. Nothing of this is read while English is spoken.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from mapper.problems import one_of
from render.sentences.say import Language, runs_leftward, spoken

if TYPE_CHECKING:
    from collections.abc import Iterable

ENGLISH = "en"
#: Each language in its own name, in the order in which a page offers them.
OWN_NAMES = {
    ENGLISH: "English",
    "de": "Deutsch",
    "fr": "Français",
    "es": "Español",
    "ja": "日本語",
    "ar": "العربية",
}
FOLDER = Path(__file__).parent


@cache
def offered() -> tuple[str, ...]:
    """The languages that are whole, English first."""
    whole = (code for code in OWN_NAMES if (FOLDER / f"{code}.mo").exists())
    return ENGLISH, *whole


@cache
def language(code: str) -> Language | None:
    """The language of a code of ``offered``; None for English.

    Raises RequestError for any other code.
    """
    one_of(code, offered(), "language")
    if code == ENGLISH:
        return None
    import json
    from gettext import GNUTranslations

    with (FOLDER / f"{code}.mo").open("rb") as file:
        translations = GNUTranslations(file)
    written = json.loads((FOLDER / "cldr.json").read_text("utf-8"))["languages"][code]
    return Language(
        code=code,
        translations=translations,
        decimal_mark=written["decimal_mark"],
        sentence_gap=written["sentence_gap"],
        day=written["day"],
        day_of_year=written["day_of_year"],
        months=tuple(written["months"]),
        leftward=written["leftward"],
    )


def preferred(accepted: Iterable[str]) -> str:
    """The first of a browser's languages that is offered, whatever its region; else English.

    >>> preferred(["nl-BE", "en-GB", "en"])
    'en'
    """
    codes = (each.lower().partition("-")[0] for each in accepted)
    return next((code for code in codes if code in offered()), ENGLISH)


def code_now() -> str:
    """The code of the language in use."""
    now = spoken()
    return ENGLISH if now is None else now.code


def page_attributes() -> str:
    """The attributes of a page's root that say its language and the direction of its lines."""
    if spoken() is None:
        return f'lang="{ENGLISH}"'
    return f'lang="{code_now()}" dir="{direction()}"'


def direction() -> str:
    """Where the lines of the language in use run to, as HTML says it: ``ltr`` or ``rtl``."""
    return "rtl" if runs_leftward() else "ltr"
