"""The desk's application called in the same process, in place of a server: by the page in one file.

No sockets and no threads: a request is what WSGI says it is (PEP 3333), made by hand.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote_to_bytes

from profiles.library.revisions import Library
from render.desk.app import make_app
from render.desk.desks import Session
from render.desk.place import OneFile

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Reply = tuple[int, dict[str, str], bytes]


class Inside:
    """The application over one library, as a function of requests.

    ``accepted`` are the browser's languages, the first before the others, with commas between them.
    """

    def __init__(self, library: Path, assets: Mapping[str, str], accepted: str = "") -> None:
        self._accepted = accepted
        self.place = OneFile(assets)
        self.session = Session(Library(library), self.place)
        self.app = make_app(self.session)

    def call(self, method: str, address: str, body: bytes = b"", kind: str = "") -> Reply:
        """Status, headers (names in small letters) and content of one answer."""
        path, _, query = address.partition("#")[0].partition("?")
        environ: dict[str, Any] = {
            "REQUEST_METHOD": method,
            "SCRIPT_NAME": "",
            "PATH_INFO": unquote_to_bytes(path).decode("latin-1"),
            "QUERY_STRING": query,
            "SERVER_NAME": "localhost",
            "SERVER_PORT": "0",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "CONTENT_LENGTH": str(len(body)),
            "CONTENT_TYPE": kind,
            "HTTP_ACCEPT_LANGUAGE": self._accepted,
            "wsgi.version": (1, 0),
            "wsgi.url_scheme": "http",
            "wsgi.input": io.BytesIO(body),
            "wsgi.errors": sys.stderr,
            "wsgi.multithread": False,
            "wsgi.multiprocess": False,
            "wsgi.run_once": False,
        }
        begun: list[tuple[str, list[tuple[str, str]]]] = []

        def start(status: str, headers: list[tuple[str, str]], _: object = None) -> None:
            begun.append((status, headers))

        found: Any = self.app(environ, start)  # type: ignore[arg-type]
        try:
            content = b"".join(found)
        finally:
            found.close()
        status, headers = begun[-1]
        return int(status[:3]), {name.lower(): value for name, value in headers}, content


def begin(library: str, assets: Any, accepted: str) -> Callable[[str, str, Any, str], Reply]:
    """What the worker's script calls for each request; its bytes and tables are JavaScript's."""
    inside = Inside(Path(library), dict(assets), accepted)

    def call(method: str, address: str, body: Any, kind: str) -> Reply:
        return inside.call(method, address, body.to_bytes(), kind)

    return call
