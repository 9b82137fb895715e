"""The address of the desk's server: who may speak to it, and how a browser gets in.

Loopback only, on a port that the system picks and under a random path. The address that is opened
holds a code that works once: it is traded for a cookie that no script and no other site sees, so
that what stands in a list of processes, or in a history, opens nothing. A file that only this user
can read says where the running server is, with a secret by which a second start asks for a code.
"""

from __future__ import annotations

import hmac
import json
import os
import re
import secrets
import threading
from contextlib import suppress
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING, Any
from urllib.error import URLError
from urllib.request import ProxyHandler, Request, build_opener

from mapper.phrases import template
from mapper.problems import EvenstrokeError
from profiles.files import read_bounded, remove_if_there, write_whole
from render.sentences.say import say

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from werkzeug.datastructures import Headers

LOOPBACK = "127.0.0.1"
_MOST_CODES = 16

#: The headers of every answer: no inline script or style, nothing from elsewhere, no frame around.
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' data: blob:; connect-src 'self'; manifest-src 'self'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


@dataclass(slots=True)
class Door:
    """Who may come in. ``port`` is known once the server listens."""

    port: int = 0
    #: What every address of ours begins with; no ``/`` at its end.
    path: str = field(default_factory=lambda: f"/{secrets.token_urlsafe(18)}")
    key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    #: The path of the server before this one, whose pages may still be open.
    before: str = ""
    _secret: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    _codes: dict[str, str] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def host(self) -> str:
        return f"{LOOPBACK}:{self.port}"

    @property
    def origin(self) -> str:
        return f"http://{self.host}"

    @property
    def base(self) -> str:
        """What stands before every path of the application."""
        return f"{self.origin}{self.path}"

    def owns(self, path: str) -> bool:
        """Whether a request's path begins with ours."""
        return (
            _same(path[: len(self.path)], self.path)
            and path[len(self.path) : len(self.path) + 1] == "/"
        )

    @property
    def cookie(self) -> str:
        """The cookie's name: cookies are shared between the ports of one host."""
        return f"evenstroke-{self.port}"

    def invite(self, path: str = "/") -> str:
        """An address that lets one browser in, once, and brings it to ``path``."""
        code = secrets.token_urlsafe(18)
        with self._lock:
            self._codes[code] = path
            while len(self._codes) > _MOST_CODES:
                del self._codes[next(iter(self._codes))]
        return f"{self.base}/in/{code}"

    def admit(self, code: str) -> str | None:
        """The path that a code leads to, once; None where it is no code of ours, or was used."""
        with self._lock:
            found = [each for each in self._codes if _same(each, code)]
            return self._codes.pop(found[0]) if found else None

    def knows(self, cookies: Mapping[str, str]) -> bool:
        """Whether a browser with these ``cookies`` was let in."""
        return _same(cookies.get(self.cookie, ""), self.key)

    # -- what the pages ask of where they run (render.desk.place)

    @property
    def served(self) -> bool:
        return True

    @property
    def no_answer(self) -> str:
        return template(
            "Evenstroke has stopped. Your description is saved. Start it again with its "
            "icon, or with: evenstroke desk. This page then continues by itself."
        )

    def asset(self, name: str) -> str:
        """The address of a style, a script or a picture of the page."""
        return f"{self.path}/{name if name == 'look.css' else f'static/{name}'}"

    def is_ours(self, secret: str) -> bool:
        """Whether it is the secret of the file: a second start of the program asks."""
        return _same(secret, self._secret)

    def refusal(self, method: str, headers: Headers, *, going_on: bool = False) -> str:
        """Why a request is refused before anything is looked at; empty where it is not.

        ``going_on`` is a page of the last server, on another port, that goes on with this one.
        """
        if headers.get("Host") != self.host:
            return say("Evenstroke can be opened only at its own address.")
        sites = {"same-origin", "none", "same-site"} if going_on else {"same-origin", "none"}
        if headers.get("Sec-Fetch-Site", "none") not in sites:
            return say("Another page may not ask here.")
        if method not in {"GET", "HEAD"} and headers.get("Origin") != self.origin:
            return say("Only the desk's own page may write here.")
        return ""

    # -- the file that says where it is

    def follow(self, library: Path) -> None:
        """Learn the path of the last server of this library, and write ours down for the next.

        A page of the last one finds this one by a cookie of its own path (``next_cookie``), so that
        no other page learns of it. The path opens nothing by itself, and only this user can read
        the file.
        """
        path = _place(library).with_suffix(".last")
        with suppress(EvenstrokeError, OSError, UnicodeDecodeError):
            found = read_bounded(path, 4096, "address").decode("ascii")
            self.before = found if re.fullmatch(r"/[A-Za-z0-9_-]{24}", found) else ""
        with suppress(EvenstrokeError, OSError):
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            _write_for_us(path, self.path.encode())

    @property
    def next_cookie(self) -> tuple[str, str]:
        """Name and value of the cookie that tells pages of the last server where this one is."""
        return "evenstroke-next", f"{self.port}{self.path}"

    def publish(self, library: Path) -> Path | None:
        """Write down where this server is, for a second start; the file that says so.

        None where it cannot be written: a second start then begins a server of its own.
        """
        path = _place(library)
        try:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            said = {"port": self.port, "path": self.path, "secret": self._secret}
            _write_for_us(path, json.dumps(said).encode())
        except (OSError, EvenstrokeError):
            return None
        return path

    def withdraw(self, library: Path) -> None:
        """Take the file away, if it is still this server's."""
        found = _running(library)
        if found is not None and found[0] == self.port:
            remove_if_there(_place(library))


def ask_running(library: Path, wish: dict[str, Any]) -> str | None:
    """An address in a server that runs for this library already, or None where none does.

    ``wish`` says which desk to open.
    """
    found = _running(library)
    if found is None:
        return None
    port, path, secret = found
    origin = f"http://{LOOPBACK}:{port}"
    body = json.dumps(wish).encode()
    headers = {"Content-Type": "application/json", "Origin": origin, "X-Evenstroke-Secret": secret}
    try:
        # Never through a proxy that the environment names.
        with build_opener(ProxyHandler({})).open(
            Request(f"{origin}{path}/again", body, headers),  # noqa: S310 - our own scheme
            timeout=3,
        ) as reply:
            address = json.loads(reply.read(4096))["address"]
    except (URLError, OSError, ValueError, KeyError):
        return None  # it is gone, or somebody else has its port now
    return (
        address if isinstance(address, str) and address.startswith(f"{origin}{path}/in/") else None
    )


def _same(one: str, other: str) -> bool:
    """In constant time; bytes, as only they may hold any character."""
    return hmac.compare_digest(
        one.encode("utf-8", "surrogatepass"), other.encode("utf-8", "surrogatepass")
    )


def _write_for_us(path: Path, content: bytes) -> None:
    """Write a file anew that only this user can read. Raises OSError or EvenstrokeError."""
    remove_if_there(path)
    before = os.umask(0o077)
    try:
        write_whole(path, content, force=True)
    finally:
        os.umask(before)


def _place(library: Path) -> Path:
    from platformdirs import user_state_path

    digest = sha256(os.fsencode(os.path.abspath(library))).hexdigest()[:16]  # noqa: PTH100 - without following links
    return user_state_path("evenstroke", appauthor=False) / f"desk-{digest}.json"


def _running(library: Path) -> tuple[int, str, str] | None:
    try:
        said = json.loads(read_bounded(_place(library), 4096, "address"))
        return int(said["port"]), str(said["path"]), str(said["secret"])
    except (EvenstrokeError, ValueError, KeyError, TypeError):
        return None
