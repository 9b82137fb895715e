"""The desk's server: waitress on the loopback address, until its last page is gone.

Any local program may open connections, and none may keep the page out with them. So a new one is
always let in, and beyond a bound the one that has been silent longest goes; what is sent to another
path than the door's is refused before its body is read; signs of life are answered first.
"""

from __future__ import annotations

import logging
import threading
from typing import TYPE_CHECKING, Any, cast

from waitress import wasyncore
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser, ParsingError
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

from render.desk.address import LOOPBACK, Door
from render.desk.app import LARGEST_UPLOAD, make_app, warm
from render.desk.desks import Session
from render.sentences.say import say

if TYPE_CHECKING:
    from profiles.library.revisions import Library

_LOOK_S = 0.25
_THREADS = 4
#: More connections than all browsers of one computer keep open to one page.
MOST_CONNECTIONS = 64


class _Dispatcher(ThreadedTaskDispatcher):
    """Waitress' threads; a page's sign of life waits behind nothing."""

    def add_task(self, task: Any) -> None:
        """Take a channel with a request to serve."""
        if not str(getattr(task.requests[0], "path", "")).endswith(("/here", "/bye")):
            super().add_task(task)
            return
        with self.lock:
            self.queue.appendleft(task)
            self.queue_cv.notify()


class _Listener(TcpWSGIServer):
    """Waitress' listener, which always accepts and keeps a bounded number of connections."""

    def handle_accept(self) -> None:
        """Accept one, and let those go that are beyond the bound and have been silent longest."""
        super().handle_accept()
        every = cast("dict[int, Any]", self.active_channels)
        channels = [each for each in every.values() if not each.will_close]
        idle = [each for each in channels if not each.requests and not each.total_outbufs_len]
        idle.sort(key=lambda each: each.last_activity)
        for each in idle[: max(0, len(channels) - MOST_CONNECTIONS)]:
            each.will_close = True


def _channel_for(door: Door) -> type[HTTPChannel]:
    """The class of the connections to ``door``."""

    class _Parser(HTTPRequestParser):
        def parse_header(self, header_plus: bytes) -> None:
            super().parse_header(header_plus)
            path = str(getattr(self, "path", ""))
            if (self.chunked or self.content_length) and not door.owns(path):
                # Nothing of a stranger is stored.
                raise ParsingError(say("There is nothing here."))

    class _Channel(HTTPChannel):
        parser_class = _Parser

    return _Channel


class DeskServer:
    """The desk on a port that the system picks. ``run`` returns when the last page is gone."""

    def __init__(self, library: Library, *, silence_s: float = 180.0, grace_s: float = 3.0) -> None:
        self.door = Door()
        self.session = Session(library, self.door, silence_s=silence_s, grace_s=grace_s)
        self._sockets: dict[int, Any] = {}
        # A browser that hangs up, or a page that asks faster than it is answered, is no news.
        logging.getLogger("waitress").setLevel(logging.CRITICAL)
        self.app = make_app(self.session)
        dispatcher = _Dispatcher()
        dispatcher.set_thread_count(_THREADS)
        server = _Listener(
            self.app,
            map=self._sockets,
            dispatcher=dispatcher,
            listen=f"{LOOPBACK}:0",
            connection_limit=16 * MOST_CONNECTIONS,
            ident=None,
            clear_untrusted_proxy_headers=True,
            max_request_header_size=64 * 1024,
            max_request_body_size=LARGEST_UPLOAD,
            channel_timeout=60,
        )
        server.channel_class = _channel_for(self.door)
        self._server = cast("Any", server)
        self.door.port = int(self._server.effective_port)
        self.door.follow(library.root)
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
