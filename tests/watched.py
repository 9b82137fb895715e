"""Pages in headless Chromium, and everything that goes wrong in them."""

import os
import time
from pathlib import Path

import pytest

WATCH = """
window.refused = [];
document.addEventListener("securitypolicyviolation",
  (event) => window.refused.push(event.violatedDirective));
// What the page is about to do: its requests, and its timers but for the long ones.
let busy = 0;
const timers = new Set();
const { fetch, setTimeout, clearTimeout } = window;
window.fetch = (...asked) => {
  busy += 1;
  return fetch(...asked).finally(() => setTimeout(() => { busy -= 1; }, 0));
};
window.setTimeout = (run, after, ...more) => {
  if (after > 400) return setTimeout(run, after, ...more);
  const timer = setTimeout(() => { timers.delete(timer); run(...more); }, after);
  timers.add(timer);
  return timer;
};
window.clearTimeout = (timer) => { timers.delete(timer); clearTimeout(timer); };
window.quiet = async () => {
  const asking = () => Number(document.getElementById("desk")?.dataset.asking ?? 0);
  for (let calm = 0; calm < 2; calm += 1) {
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
    if (busy || timers.size || asking()) calm = -1;
  }
};
"""


def until(page, expression):
    """Wait until an expression holds.

    It is asked again and again from here, as the page's policy forbids eval.
    """
    ends = time.monotonic() + 15
    while not page.evaluate(expression):
        assert time.monotonic() < ends, expression
        page.wait_for_timeout(20)


#: Nothing sticks out of the window.
FITS = "document.documentElement.scrollWidth <= innerWidth"


def show(page, chapter):
    """Open a chapter as a person without a mouse does."""
    page.locator(f"#chapter-{chapter} > summary").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(f"#chapter-{chapter} .chapter:not([aria-busy]) > *")
    page.evaluate("window.quiet()")


#: The rules of axe-core that another look of the same page can break: colours, and what can be hit.
LOOKS = ["color-contrast", "link-in-text-block", "target-size", "scrollable-region-focusable"]


#: The colours of a page are the new ones two frames later, and those that fade when they are done.
CALM = """
new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))
  .then(() => Promise.allSettled(document.getAnimations().map((each) => each.finished)))
"""


def axe_finds_nothing_in_other_colours(page, state, where="html"):
    """The same, with the rules of LOOKS alone, where the system forces its colours or is dark."""
    for colours in ({"forced_colors": "active"}, {"color_scheme": "dark"}):
        page.emulate_media(**colours)
        page.evaluate(CALM)
        axe_finds_nothing(page, f"{state}, {colours}", where, looks_alone=True)
        page.emulate_media(forced_colors="none", color_scheme="light")
        page.evaluate(CALM)


def axe_finds_nothing(page, state, where="html", *, looks_alone=False):
    """Oracle: axe-core (npm), on what matches ``where``.

    All its rules, or with ``looks_alone`` those of LOOKS, for another look of a page that was tried
    with all.
    """
    if page.evaluate("!window.axe"):
        folder = os.environ.get("EVENSTROKE_NODE_MODULES")
        if not folder:
            pytest.skip(
                "EVENSTROKE_NODE_MODULES names no folder with axe-core (npm install axe-core)"
            )
        page.evaluate((Path(folder) / "axe-core" / "axe.min.js").read_text("utf-8"))
    asked = {"resultTypes": ["violations"], "preload": False}
    if looks_alone:
        asked["runOnly"] = {"type": "rule", "values": LOOKS}
    found = page.evaluate("([where, asked]) => axe.run(where, asked)", [where, asked])
    broken = [
        (each["id"], [node["html"][:200] for node in each["nodes"]]) for each in found["violations"]
    ]
    assert not broken, f"{state}: {broken}"
    assert found["passes"] or looks_alone, state


class Watched:
    """A page of ours. ``wrong`` is what its console, its errors and its dialogs said."""

    def __init__(self, context, address):
        self.context, self.page = context, context.new_page()
        self.asked, self.wrong = [], []
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("console", lambda message: self.wrong.append(message.text))
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("dialog", lambda dialog: (self.wrong.append("a dialog"), dialog.dismiss()))
        self.page.add_init_script(WATCH)
        self.page.goto(address)

    def check(self, own=("file:", "data:", "blob:")):
        """Assert that nothing went wrong, and that the policy refused nothing.

        Nothing may have been asked but what begins with one of ``own``.
        """
        assert not self.wrong, self.wrong
        assert self.page.evaluate("window.refused") == []
        assert [url for url in self.asked if not url.startswith(own)] == []


class DeskPage(Watched):
    """The desk's page of a running server, in a browser of its own."""

    def __init__(self, context, server):
        self.server = server
        super().__init__(context, server.door.invite("/"))

    def open(self, said):
        draft = self.server.session.open_new(said)
        self.page.goto(f"{self.server.door.origin}{self.server.session.address_of(draft)}")
        self.page.wait_for_selector("html[data-ready]")
        self.settle()
        return self

    def settle(self):
        """Wait until nothing is asked any more.

        What was done then reached the page, and what rests for a moment is over.
        """
        self.page.evaluate("window.quiet()")
        self.page.wait_for_selector('#desk[data-asking="0"]')

    @property
    def letter(self):
        return " ".join(self.page.locator(".sentence").all_inner_texts())

    @property
    def numbers(self):
        return [
            number.get_attribute("data-copy") for number in self.page.locator("[data-copy]").all()
        ]

    @property
    def focused(self):
        """The id of what has the focus once nothing more is done, or its kind and class."""
        self.settle()
        had = "document.activeElement"
        return self.page.evaluate(f"{had}.id || {had}.tagName + '.' + {had}.className")

    @property
    def said(self):
        """What the draft on the server says now."""
        *_, id_, step = self.page.evaluate("location.pathname").split("/")
        return self.server.session.drafts.get(id_).said(int(step))

    def fill(self, blank, text):
        self.page.click(f"#blank-{blank}")
        self.page.locator("section.note input").first.fill(text)
        self.page.keyboard.press("Enter")
        self.settle()

    def choose(self, blank, words):
        self.page.click(f"#blank-{blank}")
        self.page.locator("section.note .way", has_text=words).first.click()
        self.settle()

    def pull(self, handle, x, y, steps=6):
        box = self.page.locator(f"#map-{handle}").bounding_box()
        from_x, from_y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.page.mouse.move(from_x, from_y)
        self.page.mouse.down()
        self.page.mouse.move(from_x + x, from_y + y, steps=steps)
        self.page.mouse.up()
        self.settle()

    def tab_to(self, selector, most=80):
        for _ in range(most):
            self.page.keyboard.press("Tab")
            if self.page.evaluate(
                "(selector) => document.activeElement.matches(selector)", selector
            ):
                return
        pytest.fail(f"{selector} is not reached by the Tab key")
