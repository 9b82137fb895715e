"""The desk's server without a browser.

Somebody who was let in, a desk, and a card that a pen goes round.
"""

import json
import re
from html import unescape

import numpy as np

from profiles.format.document import Workstation
from profiles.library.revisions import Library
from render.desk.answer import answer
from render.desk.app import make_app
from render.desk.described import Description
from render.desk.desks import Desk
from render.desk.server import DeskServer

DESK = Description(name="window desk", tablet="240x152mm", displays=("27in 2560x1440",))
CARD_MM = (85.60, 53.98)


def whole(html):
    """HTML without what keeps a number on one line with its unit."""
    return re.sub(r'<span class="held">(.*?)</span>', r"\1", html)


class Visitor:
    """A browser that was let in, without a browser."""

    def __init__(self, root):
        self.server = DeskServer(Library(root))
        self.session, self.door = self.server.session, self.server.door
        self.client = make_app(self.session).test_client(use_cookies=False)

    @property
    def headers(self):
        return {
            "Host": self.door.host,
            "Origin": self.door.origin,
            "Cookie": f"{self.door.cookie}={self.door.key}",
        }

    def at(self, path):
        """The path under the door's random one."""
        return path if path.startswith(self.door.path) else f"{self.door.path}{path}"

    def get(self, path, **more):
        return self.client.get(self.at(path), headers=self.headers | more, buffered=True)

    def post(self, path, data=None, **more):
        return self.client.post(
            self.at(path), json={} if data is None else data, headers=self.headers | more
        )

    def send(self, path, content, kind, **more):
        """A file."""
        return self.client.post(
            self.at(path), data=content, headers=self.headers | {"Content-Type": kind} | more
        )

    def begin(self, said=DESK):
        return self.session.address_of(self.session.open_new(said))

    def desk(self, at):
        """The desk of an address, as its page shows it."""
        *_, id_, step = at.split("/")
        return Desk(self.session, self.session.drafts.get(id_), int(step))

    def changed(self, at, change):
        reply = self.post(
            f"{at}/answer", {"change": change, "commit": True, "room": [900, 420, 16]}
        )
        assert reply.status_code == 200, reply.text
        return reply.json

    def close(self):
        self.session._ends_at = 0.0
        self.server.run()


def kept(root, said=DESK):
    """A desk kept by something else than the page."""
    return Library(root).keep(Workstation(said.name, answer(said).solved))[0]


def offered(html):
    """The changes of the letter that buttons in ``html`` are, in their order."""
    return [
        json.loads(unescape(piece.partition('"')[0])) for piece in html.split('data-change="')[1:]
    ]


def stages(html):
    """The four words of how far a desk is, each with its mark."""
    found = re.findall(
        r'<li class="(\w+)" data-stage="(\w+)">.*?<span class="unseen">.*?</span> (.*?)</li>',
        html,
    )
    return {name: (mark, unescape(whole(words))) for mark, name, words in found}


def traced(width_mm, height_mm, *, off_mm=0.0, upright=False, count=240):
    """A card that a pen goes round, in px of the screen.

    The whole 2560 x 1440 lies on so much of the tablet.
    """
    wide, tall = CARD_MM[::-1] if upright else CARD_MM
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]) * [
        (wide / 2 + off_mm),
        (tall / 2 + off_mm),
    ]
    at = np.linspace(0, 4, count)
    points = np.stack([np.interp(at, range(5), corners[:, axis]) for axis in (0, 1)], axis=1)
    wobble = 0.08 * np.sin(at * 7)[:, None]
    return ((points + wobble) * [2560 / width_mm, 1440 / height_mm] + [1280, 720]).tolist()
