"""The desk's page against what was agreed for it.

That is how soon it is there, how soon a change is seen, how it drags, how large it is.

The floors: a server of the standard library's that is started the same way and sends one page of
the same size; a request that is answered with nothing new; the browser's own pictures a second. The
wall's clock throughout, since that is what is agreed.
"""

import re
import statistics
import subprocess
import sys
import time
from pathlib import Path

from tests.bench.timing import ROOT, Result, chromium

STARTS, CHANGES, DRAG_S = 5, 60, 2.0
START_S, CHANGE_S, PICTURES, BYTES = 1.0, 0.050, 60, 150_000

# The least that a server and a page can be: http.server and a page of its size, with one script
# that says that it is ready.
FLOOR = """
import http.server, sys
page = b"<!doctype html><html data-ready=x><title>x</title>" + b"x" * int(sys.argv[1])
class Handler(http.server.BaseHTTPRequestHandler):
    def do_GET(self):
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(page)
    def log_message(self, *_):
        pass
server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
print(f"http://127.0.0.1:{server.server_port}/", flush=True)
server.serve_forever()
"""

# Change a blank and wait until the picture that answers is painted; "same" asks for what is there.
CHANGE = """async ([count, same]) => {
  const { ask } = await import(new URL("page.js", document.querySelector("script[src]").src));
  const painted = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  const times = [];
  for (let index = 0; index < count; index += 1) {
    await painted();
    const began = performance.now();
    await ask(same ? {} : { change: { tablet: `${200 + index}x152mm` }, about: "tablet" });
    await painted();
    times.push(performance.now() - began);
  }
  return times;
}"""

DRAG = """async (seconds) => {
  const { onChange } = await import(new URL("page.js", document.querySelector("script[src]").src));
  const tick = document.getElementById("map-area-left");
  const box = tick.getBoundingClientRect();
  const clientY = box.y + box.height / 2;
  const at = { pointerId: 1, pointerType: "mouse", buttons: 1, bubbles: true, clientY };
  HTMLElement.prototype.setPointerCapture = () => {};
  let pictures = 0, frames = 0, x = box.x + box.width / 2;
  onChange(() => { pictures += 1; });
  tick.dispatchEvent(new PointerEvent("pointerdown", { ...at, clientX: x }));
  const began = performance.now();
  while (performance.now() - began < 1000 * seconds) {
    frames += 1;
    const clientX = x + 10 + 40 * (0.5 - 0.5 * Math.cos(frames / 20));
    tick.dispatchEvent(new PointerEvent("pointermove", { ...at, clientX }));
    await new Promise(requestAnimationFrame);
  }
  const took = (performance.now() - began) / 1000;
  tick.dispatchEvent(new PointerEvent("pointerup", { ...at, clientX: x }));
  return [pictures / took, frames / took];
}"""


def verdict_of(reached):
    return "reached" if reached else "MISSED"


def started(arguments):
    process = subprocess.Popen(
        [sys.executable, *arguments], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    return process, re.search(r"http://\S+", process.stdout.readline())[0]


def start(browser, arguments):
    """Seconds from the command to a page that can be used, and that page."""
    began = time.perf_counter()
    process, address = started(arguments)
    page = browser.new_context(viewport={"width": 1366, "height": 768}).new_page()
    page.goto(address)
    page.wait_for_selector("html[data-ready]", state="attached")
    return time.perf_counter() - began, page, process


def ended(process):
    process.kill()
    process.communicate()


def results():
    with chromium() as (browser, folder):
        profile = str(Path(folder, "desk.yaml"))
        said = ("--tablet", "240x152mm@150/mm", "--display", "27in 2560x1440", "--save", profile)
        subprocess.run(
            (sys.executable, "-m", "render.cli", "map", *said),
            cwd=ROOT,
            check=True,
            capture_output=True,
        )
        desk = (
            "-m",
            "render.cli",
            "desk",
            profile,
            "--no-browser",
            "--library",
            str(Path(folder, "library")),
        )
        ours, floor, size = [], [], 0
        for _ in range(STARTS):
            seconds, page, process = start(browser, desk)
            ours.append(seconds)
            size = sum(
                int(reply)
                for reply in page.evaluate(
                    "[...performance.getEntriesByType('navigation'), "
                    "...performance.getEntriesByType('resource')]"
                    ".map((each) => each.decodedBodySize)"
                )
            )
            page.context.close()
            ended(process)
            seconds, page, process = start(browser, ("-c", FLOOR, str(size)))
            floor.append(seconds)
            page.context.close()
            ended(process)
        verdict = verdict_of(min(ours) < START_S)
        yield Result(
            f"from the command to a desk that can be used, agreed under {START_S:.1f} s: {verdict}",
            "a page of that size from http.server",
            min(ours),
            min(floor),
            None,
        )
        _, page, process = start(browser, desk)
        page.evaluate(CHANGE, [5, False])
        changes, same = (sorted(page.evaluate(CHANGE, [CHANGES, same])) for same in (False, True))
        p95 = changes[int(0.95 * CHANGES)] / 1000
        yield Result(
            f"a changed blank to its new picture, p95 of {CHANGES}, agreed under "
            f"{CHANGE_S * 1000:.0f} ms: {verdict_of(p95 < CHANGE_S)}",
            "the same picture asked again, median",
            p95,
            statistics.median(same) / 1000,
            None,
        )
        pictures, frames = page.evaluate(DRAG, DRAG_S)
        yield Result(
            f"pictures a second while dragging: {pictures:.0f}, agreed {PICTURES}: "
            f"{verdict_of(pictures >= 0.98 * min(PICTURES, frames))}",
            f"the browser's own {frames:.0f}",
            1 / pictures,
            1 / frames,
            None,
        )
        ended(process)
    print(
        f"a desk's page with script and style: {size:,} bytes, agreed under {BYTES:,}: "
        f"{verdict_of(size < BYTES)}"
    )
