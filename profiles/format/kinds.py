"""Kinds of documents: each begins with the key of its kind and the number of its format.

There is one format of each kind, numbered 1. A document of another format is named as such before
it is read as YAML, since what it holds would look like mistakes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from profiles.validate import typed
from profiles.yaml_text import Parsed, parse

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

T = TypeVar("T")

FORMAT: Literal[1] = 1


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of document.

    ``key`` is the document's first key, which holds the number of its format; ``called`` is what a
    person calls such a document. ``unpublished`` says of a number that only versions before the
    first release wrote how to get today's format.
    """

    key: str
    called: str
    unpublished: Mapping[int, str] = field(default_factory=dict)


PROFILE = Kind(
    "evenstroke",
    "profile",
    {
        2: phrase(
            "To map it again, change its first line to evenstroke: 1 (of a library's file, "
            "in a copy), then type evenstroke map FILE --save FILE --force"
        )
    },
)


class OtherFormatError(RequestError):
    """A document of a format that another version reads: nothing is wrong with it."""


_FIRST_KEY = r"""
    \A \ufeff?                                          # a byte order mark
    (?: (?:---)? [ \t]* (?:\#[^\r\n]*)? \r?\n )*        # comments, blank lines, the start
    %s [ \t]* : [ \t]* (\d{1,9}) [ \t]* (?:\#[^\r\n]*)? \r?$
"""


def read_document(
    text: str | bytes, name: str, kind: Kind, model: type[T]
) -> tuple[T, Callable[[Any], str]]:
    """The document of ``text`` as a ``model``, and a function that words a key path for a person.

    ``name`` is put before every problem. Raises RequestError for what is not YAML, not of this
    ``kind`` or not a ``model``.
    """
    parsed = read_data(text, name, kind)
    return typed(parsed.data, model, parsed.where), parsed.where


def read_data(text: str | bytes, name: str, kind: Kind) -> Parsed:
    """The plain data of a document of this ``kind``.

    Raises RequestError for what is not YAML, or of another kind or format.
    """
    refuse_other_format(text, name, kind)
    parsed = parse(text, name)
    require_kind(parsed.data, name, kind)
    return parsed


def refuse_other_format(text: str | bytes, name: str, kind: Kind) -> None:
    """Raises OtherFormatError where the text begins with the kind's key and another number.

    Nothing but the first key is looked at.
    """
    head = text[:4096].decode("utf-8", "replace") if isinstance(text, bytes) else text[:4096]
    found = re.match(_FIRST_KEY % kind.key, head, re.MULTILINE | re.VERBOSE)
    if found:
        _refuse_other(int(found.group(1)), name, kind)


def require_kind(data: Any, name: str, kind: Kind) -> None:
    """Raises RequestError where plain ``data`` is no document of that ``kind`` and today's format.

    That is: where the number of its format is missing, is none, or is another one.
    """
    if not isinstance(data, dict) or kind.key not in data:
        must = phrase(
            "must be a profile, which starts with {key}: {format}"
            if kind is PROFILE
            else "must start with {key}: {format}",
            key=kind.key,
            format=FORMAT,
        )
        raise RequestError(Problem(name, must))
    found = data[kind.key]
    if type(found) is not int or found < 1:
        must = phrase("{key} must be the number of a format, {format}", key=kind.key, format=FORMAT)
        raise RequestError(Problem(name, must, quoted(found)))
    _refuse_other(found, name, kind)


def _refuse_other(found: int, name: str, kind: Kind) -> None:
    if found in kind.unpublished:
        must = phrase("is in format {found}, which no published version wrote", found=found)
        raise OtherFormatError(Problem(name, must, instead=kind.unpublished[found]))
    if found > FORMAT:
        must = phrase(
            "is in format {found}, and this version reads format {format}",
            found=found,
            format=FORMAT,
        )
        instead = phrase("Update evenstroke to read it; nothing was changed")
        raise OtherFormatError(Problem(name, must, instead=instead))
