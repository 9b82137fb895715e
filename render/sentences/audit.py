"""What a check of the library found, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.phrases import phrase
from render.sentences.say import say, say_count

if TYPE_CHECKING:
    from profiles.library.audit import Audit

#: What a file of the library is that belongs to none of its kinds.
KINDS = {
    "damaged": phrase("damaged"),
    "other format": phrase("other format"),
    "misplaced": phrase("misplaced"),
    "unfinished": phrase("unfinished"),
    "foreign": phrase("foreign"),
}


def intact_words(found: Audit) -> str:
    """How many files are intact and how many are damaged."""
    return say(
        "{revisions} and {entries} are not damaged; damaged files: {damaged}",
        revisions=say_count("{count} kept setting", "{count} kept settings", found.revisions),
        entries=say_count("{count} note", "{count} notes", found.entries),
        damaged=str(len(found.damaged)),
    )


def checked_sentence(found: Audit) -> str:
    """The same as a sentence of the page."""
    settings = say_count("{count} setting", "{count} settings", found.revisions)
    notes = say_count("{count} note", "{count} notes", found.entries)
    if not found.damaged:
        return say(
            "Nothing is damaged. Files read: {settings} and {notes}.",
            settings=settings,
            notes=notes,
        )
    return say_count(
        "{count} file is damaged. Files without damage: {settings} and {notes}.",
        "{count} files are damaged. Files without damage: {settings} and {notes}.",
        len(found.damaged),
        settings=settings,
        notes=notes,
    )
