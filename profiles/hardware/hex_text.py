"""Bytes that a person has in a file: the bytes themselves, or the same written as hexadecimal text."""

from __future__ import annotations

import re

from mapper.problems import Problem, RequestError, quoted

_COMMENT = re.compile(r"#.*")
# What stands between and before the digits when bytes are pasted from a dump, a list or a C array.
_BETWEEN = re.compile(r"[\s,;:{}]+")
_BEFORE = re.compile(r"(?:0[xX]|\\x)")
_DIGITS = re.compile(r"(?:[0-9a-fA-F]{2})+|[0-9a-fA-F]")
_TEXT_BYTES = frozenset(range(32, 127)) | frozenset(b"\t\r\n\f")


def bytes_or_hex(content: bytes, where: str) -> bytes:
    r"""The bytes that ``content`` holds; where it is ASCII text throughout, the bytes that the text spells.

    Two digits make a byte, with or without anything between; ``0x`` and ``\x`` before them, commas, colons and
    braces, and ``#`` with a comment after it, are passed over. Raises RequestError naming ``where`` and the line.
    """
    if not content or not _TEXT_BYTES.issuperset(content):
        return content
    found = bytearray()
    for line, text in enumerate(content.decode("ascii").splitlines(), 1):
        for word in _BETWEEN.split(_COMMENT.sub("", text)):
            digits = _BEFORE.sub("", word)
            if not digits:
                continue
            if not _DIGITS.fullmatch(digits):
                must = "text must be bytes as pairs of hexadecimal digits"
                instead = "Give the file itself, or what xxd -p prints of it"
                raise RequestError(Problem(f"{where} line {line}", must, quoted(word), instead))
            found += bytes.fromhex(digits if len(digits) > 1 else "0" + digits)
    return bytes(found)
