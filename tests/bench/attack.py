"""What strangers and neighbours cost a page: servers, drawings, traces, connections, settings.

The page runs as its own process, as a user starts it. Seconds are the wall's and megabytes the most
that the process had (VmHWM of proc(5)), each beside what was agreed.
"""

import http.client
import io
import json
import os
import re
import socket
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

from mapper.tracing.outline import Placed
from profiles.known_things import parse_thing
from profiles.library.entries import digest
from profiles.strokes.traces import MOST_STROKES, TraceRequest, trace_report
from tests.bench.desk import ended, started, verdict_of
from tests.bench.timing import Result, best_of_turns
from tests.drawn_traces import matrix_of
from tests.visitor import DESK, Visitor, kept

DRAWINGS, SIZE_PX, MOST_MB = 50, (8000, 4500), 300
POINTS, TRACE_S = 150_000, 2.0
HELD, ANSWER_S = 500, 1.0
FEW, MANY = 50, 5_000
DESK_SAID = {"tablet": DESK.tablet, "displays": list(DESK.displays)}


class Page:
    """A page's program with a library in ``folder``, and somebody who was let in."""

    def __init__(self, folder):
        library = ("--library", str(folder / "library"))
        self.process, address = started(("-m", "render.cli", "desk", "--no-browser", *library))
        said = re.match(r"http://(127\.0\.0\.1:(\d+))(/\S+)/in/\S+", address)
        self.port, self.path = int(said[2]), said[3]
        self.headers = {"Host": said[1], "Origin": f"http://{said[1]}"}
        reply = self.ask("GET", said[0].partition(said[3])[2])
        self.headers["Cookie"] = reply.getheader("Set-Cookie").partition(";")[0]
        made = json.loads(self.ask("POST", "/new", b"{}").read())
        self.desk = made["address"].removeprefix(self.path)

    def ask(self, method, path, content=None, kind="application/json"):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        connection.request(method, self.path + path, content, self.headers | {"Content-Type": kind})
        return connection.getresponse()

    def megabytes(self, which):
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(rf"{which}:\s+(\d+)", status)[1]) / 1024

    def close(self):
        ended(self.process)


def drawing(number, kind):
    """A drawing of 36 million pixels in a small file, unlike all others."""
    out = io.BytesIO()
    Image.new("RGB", SIZE_PX, (number, 80, 90)).save(out, kind)
    return out.getvalue()


def dropped(page):
    """Drop 50 large drawings on the page's desk; prints what it has then."""
    page.ask("POST", f"{page.desk}/answer", json.dumps({"change": DESK_SAID, "commit": True}))
    before = page.megabytes("VmHWM")
    for number in range(DRAWINGS):
        kind = ("png", "jpeg")[number % 2]
        # As a page does, else the server ends.
        page.ask("POST", "/here", b"one")
        sent = page.ask(
            "POST", f"{page.desk}/chapter/strokes/drop", drawing(number, kind), f"image/{kind}"
        )
        assert sent.status == 200, sent.read()
        sent.read()
    most, held = page.megabytes("VmHWM"), page.megabytes("VmRSS")
    print(
        f"{DRAWINGS} dropped drawings of {SIZE_PX[0]} x {SIZE_PX[1]} px: at most {most:.0f} MB, "
        f"{held:.0f} MB after them ({before:.0f} MB before), agreed under {MOST_MB} MB: "
        f"{verdict_of(most < MOST_MB)}"
    )


def beside_held(page):
    """Seconds to a page's sign of life and to the page, beside 500 held connections and without."""

    def answered():
        began = time.perf_counter()
        assert page.ask("POST", "/here", b"one").status == 204
        assert page.ask("GET", page.desk).status == 200
        return time.perf_counter() - began

    floor_s = min(answered() for _ in range(5))
    held = []
    try:
        for number in range(HELD):
            held.append(socket.create_connection(("127.0.0.1", page.port)))
            if number % 2:
                held[-1].sendall(b"POST /x HTTP/1.1\r\nHos")
        longest_s = max(answered() for _ in range(5))
    finally:
        for each in held:
            each.close()
    return longest_s, floor_s


def traced(folder, strokes=1):
    """Calls that read a trace of very many points in so many strokes, and its JSON alone."""
    path = folder / f"trace-{strokes}.json"
    placed = Placed(
        parse_thing("card", "x").outline(), matrix_of(10, 10), np.array([1280.0, 720.0])
    )
    boundary = placed.boundary(POINTS).points_px
    noise = np.random.default_rng(3).normal(0, 1.0, boundary.shape)
    parts = np.array_split(boundary + noise, strokes)
    path.write_text(json.dumps([part.tolist() for part in parts]))
    asked = TraceRequest((str(path),), (parse_thing("card", "x"),), (None,))

    return lambda: trace_report(asked), lambda: json.loads(path.read_text("utf-8"))


def changing(visitor, at):
    """A call that changes a desk."""
    count = 0

    def call():
        nonlocal count
        count += 1
        visitor.changed(at, {"tablet": f"{200 + count}x152mm"})

    return call


def shared(folder):
    """Calls that change a desk which two servers have open, each in turn, and one alone."""
    alone, one, other = (Visitor(folder / name) for name in ("alone", "shared", "shared"))
    at = f"/desk/s-{kept(folder / 'shared').path.parent.name}/0"
    one.get(at)
    other.get(at)
    turns = [changing(each, at) for each in (one, other)]

    def both():
        turns.append(turns.pop(0))
        turns[0]()

    return both, changing(alone, alone.begin())


def many_kept(folder, count):
    """A call that opens a desk with so many kept settings, changes it and shows what was kept."""
    visitor = Visitor(folder / f"{count}")
    first = kept(visitor.session.library.root).path
    text = first.read_text("utf-8")
    for number in range(2, count + 1):
        content = text.replace("number: 1\n", f"number: {number}\n").encode()
        name = f"{number:04d}-{first.name[5:20]}-{digest(content)}.yaml"
        (first.parent / name).write_bytes(content)
    at = f"/desk/s-{first.parent.name}/0"
    change = changing(visitor, at)

    def call():
        assert f"{count} settings of this desk are kept." in visitor.get(at).text
        change()
        assert visitor.get(f"{at}/chapter/kept").json["html"].count("<li ") == 50

    return call


def results():
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "page").mkdir()
        os.environ["XDG_STATE_HOME"] = name
        both_s, alone_s = best_of_turns(30, *shared(folder))
        yield Result(
            "a change of a desk that two servers have open, each in turn",
            "one server alone",
            both_s,
            alone_s,
            2.0,
        )
        many_s, few_s = best_of_turns(100, many_kept(folder, MANY), many_kept(folder, FEW))
        yield Result(
            f"a desk with {MANY:,} kept settings opened, changed and its kept ones shown",
            f"one with {FEW}",
            many_s,
            few_s,
            1.5,
        )
        for strokes in (1, MOST_STROKES):
            ours_s, floor_s = best_of_turns(3, *traced(folder, strokes), clock=time.process_time)
            yield Result(
                f"a JSON trace of {POINTS:,} points, strokes: {strokes:,}, agreed under "
                f"{TRACE_S:.0f} s: {verdict_of(ours_s < TRACE_S)}",
                "its JSON alone",
                ours_s,
                floor_s,
                None,
            )
        page = Page(folder / "page")
        try:
            longest_s, floor_s = beside_held(page)
            yield Result(
                f"a sign of life and a page beside {HELD} held connections, the longest of 5, "
                f"agreed under {ANSWER_S:.0f} s: {verdict_of(longest_s < ANSWER_S)}",
                "without them",
                longest_s,
                floor_s,
                None,
            )
            dropped(page)
        finally:
            page.close()
