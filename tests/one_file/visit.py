"""One visit to every route of the page, by whoever can call the application.

A test where numpy, Pillow and matplotlib are blocked, and the WebAssembly Python of the one file
under node.

It imports nothing but the application, as it runs in both.
"""

import json
import re

NEEDS_INSTALLED = "installed program"
PICTURE = b"\x89PNG\r\n\x1a\n"
SQUARE = [[[x, y, 0.5] for x, y in ((0, 0), (100, 0), (100, 100), (0, 100), (0, 0))]]


class Visit:
    """Calls the application and writes down each answer under its request."""

    def __init__(self, inside):
        self.inside, self.seen = inside, []

    def __call__(self, method, address, data=None, kind="application/json"):
        body = data if isinstance(data, bytes) else json.dumps(data or {}).encode()
        root = self.inside.place.path
        address = (
            address.removeprefix(f"{root}/") if address.startswith(f"{root}/") else address[1:]
        )
        status, headers, content = self.inside.call(
            method,
            f"{root}/{address}",
            body if method == "POST" else b"",
            kind if method == "POST" else "",
        )
        self.seen.append((f"{method} /{address}", status, headers, content))
        while status in {301, 302}:
            address = headers["location"]
            status, headers, content = self("GET", address)
        return status, headers, content

    def said(self, address, data=None):
        return json.loads(self("POST", address, data)[2])


def visit(inside):  # noqa: PLR0915 - one line a request
    """All of ``Visit.seen`` after one visit to every route."""
    from render.desk.chapters import CHAPTERS
    from render.fields import BLANKS

    ask = Visit(inside)
    ask("GET", "/")
    ask("GET", "/look.css")
    ask("GET", "/nothing")
    ask("GET", "/example")
    at = ask.said("/new", {"display": "2560x1440"})["address"]

    def change(texts, **more):
        nonlocal at
        said = ask.said(f"{at}/answer", {"change": texts, "commit": True, **more})
        at = said["address"]
        return said

    change({"name": "شاشة & <b>"})
    change({"tablet": "240x152mm@150/mm"})
    change({"displays": ["main: 27in 2560x1440 at 0,0", "side: 24in 1920x1080 at 2560,0"]})
    change({"distance": "70cm"})
    ask("GET", at)
    ask("GET", f"{at}/figures")
    ask("GET", "/language/en")
    ask("GET", f"{at}/profile.yaml")
    ask("GET", f"{at}/picture.svg")
    for blank in BLANKS:
        ask("POST", f"{at}/note/{blank}")
    ask("POST", f"{at}/note/nothing")
    ask.said(f"{at}/answer", {"change": {"tablet": "nonsense"}})
    ask.said(f"{at}/answer", {"change": {"onto": "all"}})
    ask.said(f"{at}/answer", {"pull": {"what": "area-left", "x": 5.0}})
    ask.said(f"{at}/answer", {"pull": {"what": "area-left", "x": 5.0}, "commit": True})
    for paper in ("a4", "letter", "nothing"):
        ask("POST", f"{at}/sheet", {"paper": paper})
    ask.said(f"{at}/keep")
    for name in (*CHAPTERS, "nothing"):
        ask("GET", f"{at}/chapter/{name}")
    for about in ("display", "tablet"):
        ask("POST", f"{at}/chapter/measure/{about}")
    pulls = {"thing": "card", "screen": [2560, 1440], "pulls": [[367, 231.5], [366, 231]]}
    ask("POST", f"{at}/chapter/measure/pulls", pulls)
    frame = {"ratio": 1, "inner": [2560, 1440], "screen": [2560, 1440], "full": True}
    touch = {"sheet": "printed", "display": "main", "frame": frame}
    ask("POST", f"{at}/chapter/took/begin", touch)
    ask("POST", f"{at}/chapter/took/crosses", {"paper": "a4"})
    places = [[x, y, x, y] for y in (220, 720, 1220) for x in (260, 1280, 2300)]
    ask("POST", f"{at}/chapter/took/touched", {**touch, "touches": places})
    ask("POST", f"{at}/chapter/took/corner", {**touch, "touches": [[0, 0, 0, 0]]})
    for day in range(1, 6):
        for scale, score in (("3", 3), ("1", 5)):
            change({"scale": scale} if scale != "1" else {"scale": ""})
            note = {"score": str(score - day % 2), "date": f"2026-03-{day:02d}", "note": "<i>"}
            ask("POST", f"{at}/chapter/felt/note", note)
    for name in CHAPTERS:
        ask("GET", f"{at}/chapter/{name}")
    ask("GET", f"{at}/study.html")
    plan = {"tablets": "small: 146x96mm\nmedium: 240x152mm", "displays": "27in 2560x1440"}
    ask("POST", f"{at}/chapter/plan/make", {**plan, "start": "2026-03-30", "resume": "yes"})
    ask("GET", f"{at}/chapter/plan")
    ask("GET", f"{at}/plan.ics")
    ask("POST", f"{at}/stencil", {"paper": "letter", "hand": "left"})
    ask.said(f"{at}/keep")
    ask("POST", f"{at}/typed")
    for verb in ("beside", "pin", "unpin", "retire", "undo", "restore", "back"):
        ask("POST", f"{at}/chapter/kept/{verb}", {"revision": "1"})
    ask("POST", f"{at}/take", {"what": "revision"})
    # Traces and drawings are the installed program's where there is no numpy.
    trace = {"thing": "card", "strokes": [[[x, y] for x, y, _ in SQUARE[0]]]}
    ask("POST", f"{at}/chapter/took/trace", trace)
    ask("POST", f"{at}/chapter/strokes/drop", PICTURE, "image/png")
    ask("POST", f"{at}/chapter/measure/traces", {**pulls, "traces": [trace["strokes"]]})
    loose = ask.said("/new")["address"]
    loose = ask.said(f"{loose}/answer", {"change": {"tablet": "300x200mm"}, "commit": True})
    id_ = re.search(r"/desk/([^/]+)/", loose["address"])[1]
    ask("POST", f"/desk/{id_}/forget")
    ask("POST", f"/desk/{id_}/restore")
    ask("GET", f"/desk/{id_}")
    folder = re.search(rb"/station/([a-z0-9-]+)", ask("GET", "/")[2])[1].decode()
    ask("GET", f"/station/{folder}")
    ask("POST", f"/station/{folder}/back")
    ask("POST", "/check")
    ask("GET", "/table")
    everything = ask("GET", "/desks.zip")[2]
    ask("POST", "/bring", everything, "application/zip")
    ask("POST", "/bring", b"PK nothing", "application/zip")
    return ask.seen
