"""The pad: a frame that draws 10,000 points anew under four maps, against an empty frame.

The floors: a frame of an empty canvas loop, and one that strokes as many lines of that width, ready
as paths, which is what the browser's own drawing costs (in software here, where there is no
graphics card). All have canvases of the same number and size. The browser's own limit on frames is
switched off, so that the time of a frame is what it costs; frames per second are that time's
inverse. Beside it the frame that a user waits for, in which a stroke under way has grown by ten
points while 10,000 others lie there.
"""

import math
from pathlib import Path

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.solving import solve
from render.desk.pad_maps import PadMap
from render.desk.pad_page import page
from tests.bench.timing import Result, chromium

UNLIMITED = ("--disable-frame-rate-limit", "--disable-gpu-vsync")
STROKES, POINTS = 40, 250
FRAMES, ROUNDS = 30, 3

# As the empty loop of any canvas program: clear, one mark that shows that something happens, next
# frame.
EMPTY = """<!doctype html><body style="margin:0">{canvases}<script>
const contexts = [...document.querySelectorAll("canvas")].map((canvas) => canvas.getContext("2d"));
const drawn = (stroke, width, height) => {{
  const path = new Path2D();
  const radius = 0.1 + 0.009 * stroke;
  for (let index = 0; index < {points}; index += 1) {{
    const turn = 2 * Math.PI * index / {points};
    const x = 0.5 + radius * Math.cos(turn);
    const y = 0.5 + radius * Math.sin(turn + stroke);
    path.lineTo(width * x, height * y);
  }}
  return path;
}};
const paths = contexts.map(({{ canvas: {{ width, height }} }}) =>
  Array.from({{ length: {strokes} }}, (_, stroke) => drawn(stroke, width, height)));
window.ready = () => contexts.forEach((context, index) => {{
  context.clearRect(0, 0, context.canvas.width, context.canvas.height);
  context.lineCap = context.lineJoin = "round";
  context.lineWidth = index ? 1.76 : 3.04;
  for (const path of paths[index]) context.stroke(path);
}});
window.step = () => contexts.forEach((context, index) => {{
  context.clearRect(0, 0, context.canvas.width, context.canvas.height);
  context.fillRect(index, performance.now() % 100, 1, 1);
}});
</script>"""

TIMES = """([frames, step]) => new Promise((done) => {
  const acts = {
    empty: () => window.step(),
    ready: window.ready,
    all: window.anew,
    live: () => window.grow(),
  };
  const act = acts[step];
  let left = frames, began;
  const next = () => {
    began ??= performance.now();
    if (left-- === 0) return done((performance.now() - began) / 1000 / frames);
    act();
    requestAnimationFrame(next);
  };
  requestAnimationFrame(next);
})"""

# To add a circle and to take it back is how a user has everything drawn again.
READY = """() => {
  const [circle, undo] = ["pad-circle", "pad-undo"].map((name) => document.getElementById(name));
  window.anew = () => { circle.click(); undo.click(); };
  const sheet = document.getElementById("pad-sheet"), box = sheet.getBoundingClientRect();
  let turn = 0;
  const at = (each) => ({ pointerId: 1, pointerType: "mouse", buttons: 1, bubbles: true,
    clientX: box.left + box.width * (0.5 + 0.4 * Math.cos(each * 0.05)),
    clientY: box.top + box.height * (0.5 + 0.4 * Math.sin(each * 0.031)) });
  window.scribble = (stroke, points) => {
    const coalescedEvents = Array.from({ length: points }, (_, index) => {
      const turn = 2 * Math.PI * index / points;
      return new PointerEvent("pointermove", { ...at(0),
        clientX: box.left + box.width * (0.5 + (0.1 + 0.009 * stroke) * Math.cos(turn)),
        clientY: box.top + box.height * (0.5 + (0.1 + 0.009 * stroke) * Math.sin(turn + stroke)) });
    });
    sheet.dispatchEvent(new PointerEvent("pointermove", { ...at(0), coalescedEvents }));
  };
  window.grow = () => {
    const moved = () => new PointerEvent("pointermove", at(turn++));
    const coalescedEvents = Array.from({ length: 10 }, moved);
    sheet.dispatchEvent(new PointerEvent("pointermove", { ...at(turn), coalescedEvents }));
  };
}"""


def a_pad():
    tablet, desktop = Tablet(240, 152), Desktop((Display(2560, 1440).with_diagonal(27 * 25.4),))
    fits = [
        PadMap(fit, solve(MapRequest(tablet, desktop, fit=fit)))
        for fit in ("full", "locked", "cropped")
    ]
    return page(fits[0], fits[1:], file_stem="desk")


def draw(pad):
    """40 strokes of 250 points, each point one that the browser coalesced."""
    pad.evaluate(READY)
    for stroke in range(STROKES):
        pad.mouse.down()
        pad.evaluate("([stroke, points]) => window.scribble(stroke, points)", [stroke, POINTS - 2])
        pad.mouse.up()


def results():
    with chromium(*UNLIMITED) as (browser, folder):
        context = browser.new_context(viewport={"width": 1366, "height": 768}, has_touch=True)
        pad = context.new_page()
        Path(folder, "pad.html").write_text(a_pad(), "utf-8", newline="")
        pad.goto(Path(folder, "pad.html").as_uri())
        box = pad.locator("#pad-sheet").bounding_box()
        pad.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        draw(pad)
        sizes = pad.evaluate(
            "[...document.querySelectorAll('canvas')].map((each) => [each.width, each.height])"
        )
        empty = context.new_page()
        canvases = "".join(
            f'<canvas width="{width}" height="{height}"></canvas>' for width, height in sizes
        )
        Path(folder, "empty.html").write_text(
            EMPTY.format(canvases=canvases, strokes=STROKES, points=POINTS), "utf-8"
        )
        empty.goto(Path(folder, "empty.html").as_uri())

        best = dict.fromkeys(("all", "live", "empty", "ready"), math.inf)
        for turn in range(ROUNDS + 1):
            for name in tuple(best):
                of = empty if name in {"empty", "ready"} else pad
                of.bring_to_front()
                if name == "live":
                    pad.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
                    pad.mouse.down()
                seconds = of.evaluate(TIMES, [FRAMES, name])
                if turn:
                    best[name] = min(best[name], seconds)
                if name == "live":
                    pad.mouse.up()
                    pad.click("#pad-undo")
    empty = f"one of {len(sizes)} empty canvases"
    count = f"{STROKES * POINTS:,} points on the sheet and {len(sizes) - 1} pictures"
    for what, name, floor, of in (
        ("a frame of a growing stroke beside", "live", empty, "empty"),
        ("a frame that draws anew", "all", empty, "empty"),
        ("a frame that draws anew", "all", "one that strokes as many ready paths", "ready"),
    ):
        yield Result(
            f"{what} {count}: {1 / best[name]:.0f} frames per second",
            floor,
            best[name],
            best[of],
            None,
        )
