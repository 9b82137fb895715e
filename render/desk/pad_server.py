"""Serving the pad to this computer alone, and saving its strokes beside the profile.

The address is the loopback's with a random port and a random path. A request is answered only where it names this
address as its host, so that a foreign page cannot reach the pad through a name of its own; strokes are taken only from
the pad's own page. The server ends by itself when its pages have said goodbye or have long been silent.
"""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socketserver import TCPServer
from typing import TYPE_CHECKING

from mapper.problems import EvenstrokeError
from profiles.files import write_whole

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from render.desk.pad_page import Page

#: A long evening's drawing is some 10 MB of points; anything much larger is no stroke of a hand.
LARGEST_STROKES_BYTES = 32 * 1024 * 1024
KINDS = {"application/json": "json", "image/svg+xml": "svg"}


class PadServer:
    """The pad on the loopback address. ``run`` returns when the last page is gone.

    ``make_page`` gets a random name and makes the page that carries it. Strokes are saved as
    ``<stem>.strokes-<n>.json`` or ``.svg`` in ``folder``, with the first n that is free. ``silence_s``: after so
    long without a sign of life it ends (a browser lets a hidden page speak once a minute at most); ``grace_s``: so
    long a page has to come back after its goodbye, as a reload does.
    """

    def __init__(
        self,
        make_page: Callable[[str], Page],
        folder: Path,
        stem: str,
        *,
        silence_s: float = 180.0,
        grace_s: float = 3.0,
    ) -> None:
        self._make_page, self._folder, self._stem = make_page, folder, stem
        self._silence_s, self._grace_s = silence_s, grace_s
        self._token = secrets.token_urlsafe(18)
        self._ends_at = time.monotonic() + silence_s
        self._pages: set[str] = set()
        self._lock = threading.Lock()
        self._http = _Loopback(self)

    @property
    def host(self) -> str:
        return f"127.0.0.1:{self._http.server_port}"

    @property
    def url(self) -> str:
        return f"http://{self.host}/{self._token}/"

    def run(self) -> None:
        """Serve until there is nobody left to serve."""
        self._http.timeout = 0.2
        try:
            with self._http:
                while time.monotonic() < self._ends_at:
                    self._http.handle_request()
        finally:
            # Strokes that are just being written are written whole.
            with self._lock:
                pass

    def owns(self, path: str) -> str | None:
        """What ``path`` names under the random path: empty for the page itself; None where it is not ours."""
        token, slash, name = path.removeprefix("/").partition("/")
        # Bytes, as only they may hold any character; in constant time, so that the path cannot be felt out.
        if slash and hmac.compare_digest(token.encode(), self._token.encode()):
            return name
        return None

    def new_page(self) -> Page:
        name = secrets.token_hex(8)
        self.here(name)
        return self._make_page(name)

    def here(self, name: str) -> None:
        """The page ``name`` lives."""
        with self._lock:
            self._pages.add(name)
            self._ends_at = time.monotonic() + self._silence_s

    def bye(self, name: str) -> None:
        """The page ``name`` is gone; with the last one the end is near."""
        with self._lock:
            self._pages.discard(name)
            if not self._pages:
                self._ends_at = time.monotonic() + self._grace_s

    def save(self, kind: str, content: bytes) -> str:
        """Write strokes to the first free name, and say which. Raises RequestError where they cannot be written."""
        with self._lock:
            number = 1
            while True:
                path = self._folder / f"{self._stem}.strokes-{number}.{kind}"
                if not path.exists():
                    write_whole(path, content)
                    return path.name
                number += 1


class _Loopback(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self, pad: PadServer) -> None:
        self.pad = pad
        super().__init__(("127.0.0.1", 0), _Handler)

    def server_bind(self) -> None:
        """Without asking the network for a name of this computer, as the base class does."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = self.server_address[0], self.server_address[1]  # type: ignore[assignment]

    def handle_error(self, request: object, client_address: object) -> None:
        """A browser that hangs up is no news."""


class _Handler(BaseHTTPRequestHandler):
    server: _Loopback
    server_version, sys_version = "evenstroke", ""
    timeout = 15

    def do_GET(self) -> None:
        pad = self.server.pad
        if not self._is_local():
            return
        if pad.owns(self.path) != "":
            self._answer(HTTPStatus.NOT_FOUND, "There is nothing here.")
            return
        page = pad.new_page()
        # A page cannot forbid in its own text to be put into a frame.
        self._answer(HTTPStatus.OK, page.html, "text/html", policy=f"{page.policy}; frame-ancestors 'none'")

    def do_POST(self) -> None:
        pad = self.server.pad
        if not self._is_local():
            return
        if self.headers.get("Origin") != f"http://{pad.host}":
            self._answer(HTTPStatus.FORBIDDEN, "Only the pad's own page may write here.")
            return
        name = pad.owns(self.path)
        if name == "strokes":
            self._take_strokes(pad)
        elif name in {"here", "bye"}:
            page_name = self._body(64)
            if page_name is not None:
                (pad.here if name == "here" else pad.bye)(page_name.decode("ascii", "replace"))
                self._answer(HTTPStatus.NO_CONTENT, "")
        else:
            self._answer(HTTPStatus.NOT_FOUND, "There is nothing here.")

    def _is_local(self) -> bool:
        if self.headers.get("Host") == self.server.pad.host:
            return True
        self._answer(HTTPStatus.FORBIDDEN, "The pad answers to its own address alone.")
        return False

    def _take_strokes(self, pad: PadServer) -> None:
        kind = KINDS.get(self.headers.get_content_type())
        if kind is None:
            self._answer(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "Strokes come as JSON or SVG.")
            return
        body = self._body(LARGEST_STROKES_BYTES)
        if body is None:
            return
        try:
            self._answer(HTTPStatus.OK, pad.save(kind, body))
        except EvenstrokeError as error:
            self._answer(HTTPStatus.INTERNAL_SERVER_ERROR, str(error))

    def _body(self, largest: int) -> bytes | None:
        """The body of the request, or None where it was refused."""
        length = self.headers.get("Content-Length", "")
        if not (length.isascii() and length.isdigit() and len(length) < 12 and int(length) <= largest):
            self._answer(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"At most {largest} bytes, and their number first.")
            return None
        body = self.rfile.read(int(length))
        if len(body) != int(length):
            self._answer(HTTPStatus.BAD_REQUEST, "It broke off on the way.")
            return None
        return body

    def _answer(
        self, status: HTTPStatus, text: str, kind: str = "text/plain", *, policy: str = "default-src 'none'"
    ) -> None:
        content = text.encode()
        self.send_response(status)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Content-Security-Policy", policy)
        self.send_header("Cache-Control", "no-store")
        self.send_header("Cross-Origin-Opener-Policy", "same-origin")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.send_header("Referrer-Policy", "same-origin")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, *arguments: object) -> None:
        """Standard error is for problems."""
