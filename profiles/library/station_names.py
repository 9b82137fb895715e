"""Folder names that every file system takes, from the names of workstations, which may be any text.

A name that is a short plain word already (``desk``, ``left-studio``) is its own folder. Any other
becomes what is plain in it and the first 16 digits of its SHA-256: ``Fenêtre / atelier`` is
``fenetre-atelier-`` and sixteen hexadecimal digits. Only ``a-z``, ``0-9`` and ``-`` occur. So
neither upper and lower case, nor composed and decomposed letters, nor a reserved name, nor a path
inside the name can make two names meet or leave the folder.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from profiles.files import RESERVED

LONGEST_WORD = 40
_PLAIN = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_ENDS_LIKE_A_DIGEST = re.compile(r"(?:.*-)?[0-9a-f]{16}")


def plain_name(name: str) -> str:
    """The name of a workstation in composed letters (Unicode NFC) and with single blanks.

    Raises RequestError if nothing is left.
    """
    plain = " ".join(unicodedata.normalize("NFC", name).split())
    if not plain:
        raise RequestError(Problem("workstation", phrase("must have a name"), quoted(name)))
    return plain


def new_name(name: str, where: str) -> str:
    """``name``, to be given to a workstation. Raises RequestError naming ``where`` for one with @.

    >>> new_name("window desk", "--workstation")
    'window desk'
    """
    if "@" in name:
        must = phrase("must have no @: what follows one is a setting's number or a day")
        parts = [part.strip() for part in name.split("@") if part.strip()]
        instead = phrase("Type for example {name}", name=quoted(" at ".join(parts) or "desk"))
        raise RequestError(Problem(where, must, quoted(name), instead))
    return name


def folder_name(name: str) -> str:
    """The folder of the workstation ``name``: at most 57 characters of ``a-z``, ``0-9`` and ``-``.

    Two names share a folder only where ``plain_name`` is the same for both. Raises RequestError for
    a blank name.
    """
    plain = plain_name(name)
    if (
        len(plain) <= LONGEST_WORD
        and _PLAIN.fullmatch(plain)
        and plain not in RESERVED
        and not _ENDS_LIKE_A_DIGEST.fullmatch(plain)
    ):
        return plain
    decomposed = unicodedata.normalize("NFKD", plain).casefold()
    letters = "".join(char for char in decomposed if not unicodedata.combining(char))
    word = "-".join(re.findall("[a-z0-9]+", letters))[:LONGEST_WORD].strip("-")
    # A name from a command line that is no UTF-8 holds half surrogates; they count like any other.
    digest = hashlib.sha256(plain.encode("utf-8", "surrogatepass")).hexdigest()[:16]
    return f"{word}-{digest}" if word else digest
