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
        "{revisions} and {entries} are intact, {damaged} damaged",
        revisions=say_count("{count} revision", "{count} revisions", found.revisions),
        entries=say_count("{count} note", "{count} notes", found.entries),
        damaged=str(len(found.damaged)),
    )


def checked_sentence(found: Audit) -> str:
    """The same as a sentence of the page."""
    settings = say_count("{count} setting", "{count} settings", found.revisions)
    notes = say_count("{count} note or mark", "{count} notes and marks", found.entries)
    if not found.damaged:
        return say(
            "Every file was read: {settings} and {notes}, and nothing is damaged.",
            settings=settings,
            notes=notes,
        )
    return say_count(
        "Every file was read: {settings} and {notes} are whole, {count} file is damaged.",
        "Every file was read: {settings} and {notes} are whole, {count} files are damaged.",
        len(found.damaged),
        settings=settings,
        notes=notes,
    )
