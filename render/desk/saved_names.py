"""Names of the files that the page saves: the desk's own name, as people read it."""

from __future__ import annotations

import re
import unicodedata
from urllib.parse import quote

#: What some system forbids in a name, and what no name is read with.
_FORBIDDEN = re.compile(r'[\0-\x1f\x7f-\x9f<>:"/\\|?*\u200b-\u200f\u2028-\u202e\u2066-\u2069]+')
#: What Windows keeps for devices.
_DEVICES = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\.|$)")
_LONGEST = 60
_NAMELESS = "desk"


def saved_stem(name: str) -> str:
    """A desk's name as the beginning of a file's name on every system.

    >>> saved_stem("left / upper: desk")
    'left upper desk'
    """
    plain = " ".join(_FORBIDDEN.sub(" ", unicodedata.normalize("NFC", name)).split())
    plain = plain[:_LONGEST].strip(" .")
    return _NAMELESS if not plain or _DEVICES.match(plain) else plain


def disposition(name: str) -> str:
    """The header that lets a browser save an answer as ``name`` (RFC 6266, RFC 8187)."""
    ascii_name = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    if ascii_name == name:
        return "; ".join(("attachment", f'filename="{name}"'))
    stem, dot, ending = ascii_name.rpartition(".")
    plain = f"{stem.strip() or _NAMELESS}{dot}{ending}"
    whole = quote(name, safe="")
    return "; ".join(("attachment", f'filename="{plain}"', f"filename*=UTF-8''{whole}"))
