"""The desk's server: waitress on the loopback address, until its last page is gone."""

from __future__ import annotations

import logging
import threading
from typing import TYPE_CHECKING, Any, cast

from waitress import wasyncore
from waitress.server import create_server

from render.desk.address import LOOPBACK, Door
from render.desk.app import LARGEST_UPLOAD, make_app, warm
from render.desk.desks import Session

if TYPE_CHECKING:
    from profiles.library.revisions import Library

_LOOK_S = 0.25
_THREADS = 4


class DeskServer:
    """The desk on a port that the system picks. ``run`` returns when the last page is gone."""

    def __init__(self, library: Library, *, silence_s: float = 180.0, grace_s: float = 3.0) -> None:
        self.door = Door()
        self.session = Session(library, self.door, silence_s=silence_s, grace_s=grace_s)
        self._sockets: dict[int, Any] = {}
        # A browser that hangs up, or a page that asks faster than it is answered, is no news.
        logging.getLogger("waitress").setLevel(logging.CRITICAL)
        self.app = make_app(self.session)
        server = create_server(
            self.app,
            map=self._sockets,
            listen=f"{LOOPBACK}:0",
            threads=_THREADS,
            ident=None,
            clear_untrusted_proxy_headers=True,
            max_request_header_size=64 * 1024,
            max_request_body_size=LARGEST_UPLOAD,
            channel_timeout=60,
        )
        self._server = cast("Any", server)
        self.door.port = int(self._server.effective_port)
        self._published = self.door.publish(library.root)

    def run(self) -> None:
        """Serve until there is nobody left to serve."""
        if not self.session.over:
            threading.Thread(target=warm, args=(self.app, self.session), daemon=True).start()
        self.session.wake = self._server.pull_trigger
        try:
            while not self.session.over:
                wasyncore.loop(timeout=_LOOK_S, use_poll=True, map=self._sockets, count=1)
                self.session.run_errands()
        finally:
            self.session.wake = None
            if self._published:
                self.door.withdraw(self.session.library.root)
            # What is just being written is written whole.
            self._server.task_dispatcher.shutdown(cancel_pending=True, timeout=5)
            self._server.close()
            # Browsers keep connections open, and would wait for ever on them.
            wasyncore.close_all(self._sockets, ignore_all=True)
