"""Pictures of the desk's page, taken in headless Chromium.

Their letters are of our own choice, so that every machine takes the same pictures.
"""

from __future__ import annotations

import base64
import shutil
import threading
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

WIDE_PX, HIGH_PX = 1200, 720
_LETTERS = (
    ("page-serif", "STIXGeneral.ttf", "400"),
    ("page-sans", "DejaVuSans.ttf", "400"),
    ("page-sans", "DejaVuSans-Bold.ttf", "600"),
)
_TRIES = 150

# A picture of a page has no pointer, so one is drawn where the hand holds.
_POINTER = """([x, y]) => {
  const place = "position:absolute;width:22px;pointer-events:none;overflow:visible;"
    + "left:" + x + "px;top:" + (y + scrollY) + "px";
  const arrow = '<path d="M0 0v17l4-4 3 7 3-1.4-3-6.6h6z" '
    + 'style="fill:#000;stroke:#fff;stroke-width:1.2"/>';
  document.body.insertAdjacentHTML("beforeend",
    '<svg viewBox="0 0 14 20" style="' + place + '">' + arrow + "</svg>");
}"""


@dataclass(frozen=True, slots=True)
class PagePicture:
    """One picture of the page: its file, what to see, and what is described, opened and pulled.

    ``said`` are texts of render.desk.described.Description; ``blank`` is clicked; ``pull`` is a
    handle, and how far it is pulled right and down, in px. ``press`` are buttons, one after the
    other, and ``part`` is what is shown of the page where it is not letter, picture and answer.
    """

    file: str
    caption: str
    described: dict[str, Any]
    blank: str = ""
    pull: tuple[str, int, int] | None = None
    press: tuple[str, ...] = ()
    part: str = ""
    scheme: str = "light"
    command: str = "evenstroke desk"


_DESK = {
    "name": "window desk",
    "tablet": "240x152mm@150/mm",
    "displays": ["27in 2560x1440"],
    "distance": "70cm",
}
_TWO = ["main: 27in 2560x1440 at 0,0", "side: 24in 1200x1920 at 2560,-240"]

PAGE_PICTURES = (
    PagePicture(
        "page.png",
        "The desk described in sentences: every underlined part can be clicked and changed, the "
        "picture changes at once, and the numbers to type stand beside it.",
        _DESK,
    ),
    PagePicture(
        "page-shapes.png",
        "Three ways for shapes, each with the circle that it would make, before any is taken.",
        {**_DESK, "fit": "full"},
        blank="fit",
        scheme="dark",
    ),
    PagePicture(
        "page-displays.png",
        "Two displays are dragged on a small plan to where they stand; the pen reaches both, and "
        "the tablet is turned.",
        {**_DESK, "displays": _TWO, "onto": "all", "turn": "180"},
        blank="displays",
    ),
    PagePicture(
        "page-pulled.png",
        "The left edge of the area while it is pulled: the hand's side grows, the circle stays "
        "round, and the letter says the part.",
        _DESK,
        pull=("area-left", 44, 0),
    ),
    PagePicture(
        "page-next.png",
        "Under the numbers four words say how far this desk is, each with its day, and one button "
        "says what comes next.",
        {**_DESK, "name": "studio desk"},
        press=("#keep", "#typed-in"),
    ),
    PagePicture(
        "page-pad.png",
        "A circle drawn on the page with the numbers typed in: what the same movement of the hand "
        "gave before, and what it gives now.",
        {**_DESK, "name": "pad desk"},
        press=("#keep", "#typed-in", "[data-open=strokes]", "#pad-circle"),
        part="#chapter-strokes",
    ),
)

# The day of today would make another picture every day.
_DAY = """(today) => {
  const replace = () => {
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (texts.nextNode())
      if (texts.currentNode.data.includes(today))
        texts.currentNode.data = texts.currentNode.data.replaceAll(today, "2 March");
  };
  replace();
  // What the page writes anew while the picture is taken has that day too.
  const all = { childList: true, characterData: true, subtree: true };
  new MutationObserver(replace).observe(document.body, all);
}"""


def browser() -> str | None:
    """The path of a browser that can take the pictures, or None."""
    return shutil.which("chromium")


def take(work: Path) -> None:
    """Take all pictures of the page into ``work``, which exists, at twice the pixels."""
    from playwright.sync_api import sync_playwright

    from profiles.library.revisions import Library
    from render.desk.server import DeskServer

    # Between two pages it must not think that the last one is gone, however slow the machine.
    server = DeskServer(Library(work / "page-library"), silence_s=600, grace_s=600)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(
            executable_path=browser(), args=["--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
        )
        for picture in PAGE_PICTURES:
            _take(running, server, picture, work)
        running.close()
    for _ in range(_TRIES):
        # Its last page is gone, so there is nothing to wait for; a late goodbye would put the end
        # off.
        server.session._ends_at = 0.0  # noqa: SLF001
        thread.join(0.2)
        if not thread.is_alive():
            break


def _take(running: Any, server: Any, picture: PagePicture, work: Path) -> None:
    from render.desk.described import from_plain
    from render.sentences.proofs import day_words

    context = running.new_context(
        viewport={"width": WIDE_PX, "height": HIGH_PX},
        screen={"width": 1280, "height": 720},
        device_scale_factor=2,
        color_scheme=picture.scheme,
        reduced_motion="reduce",
        bypass_csp=True,
    )
    page = context.new_page()
    page.goto(server.door.invite("/"))
    page.goto(
        f"{server.door.origin}{server.session.address_of(server.session.open_new(from_plain(picture.described)))}"
    )
    page.wait_for_selector("html[data-ready]", state="attached")
    page.add_style_tag(content=_letters())
    page.evaluate(
        "document.fonts.load('1rem page-serif').then(() => document.fonts.ready).then(() => true)"
    )
    _settled(page)
    if picture.blank:
        page.click(f"#blank-{picture.blank}")
        page.wait_for_selector("section.note h2")
    if picture.pull:
        handle, x, y = picture.pull
        box = page.locator(f"#map-{handle}").bounding_box()
        from_x, from_y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.move(from_x, from_y)
        page.mouse.down()
        page.mouse.move(from_x + x, from_y + y, steps=4)
        page.evaluate(_POINTER, [from_x + x, from_y + y])
    for button in picture.press:
        page.wait_for_selector(button)
        page.click(button)
        _settled(page)
    _settled(page)
    page.evaluate(_DAY, day_words(datetime.now(UTC)))
    if picture.part:
        box = page.locator(picture.part).bounding_box()
        box["y"] += page.evaluate("scrollY")
        page.screenshot(path=str(work / picture.file), full_page=True, clip=_with_margin(box))
        context.close()
        return
    # Letter, picture and answer whole; the chapters below have pictures of their own.
    high = page.evaluate("document.querySelector('.page').getBoundingClientRect().bottom + scrollY")
    clip = {"x": 0, "y": 0, "width": WIDE_PX, "height": round(high) + 18}
    page.screenshot(path=str(work / picture.file), full_page=True, clip=clip)
    context.close()


def _with_margin(box: dict[str, float], margin_px: float = 14) -> dict[str, float]:
    """A part of the page, from its top at most, with some of the page around it."""
    left, top = max(box["x"] - margin_px, 0), max(box["y"] - margin_px, 0)
    right, bottom = box["x"] + box["width"] + margin_px, box["y"] + box["height"] + margin_px
    return {"x": left, "y": top, "width": right - left, "height": bottom - top}


def _settled(page: Any) -> None:
    page.wait_for_timeout(400)
    page.wait_for_selector('#desk[data-asking="0"]', state="attached")


def _letters() -> str:
    """The CSS that gives the page matplotlib's letters, since every system has others."""
    from matplotlib import get_data_path

    faces = ""
    for family, file, weight in _LETTERS:
        # The mathematical letters of this family reach far below the line.
        shape = (
            "ascent-override:89%;descent-override:22%;line-gap-override:0%;"
            if family == "page-serif"
            else ""
        )
        with open(f"{get_data_path()}/fonts/ttf/{file}", "rb") as opened:  # noqa: PTH123 - a library's own file
            data = base64.b64encode(opened.read()).decode()
        faces += (
            f"@font-face{{font-family:{family};font-weight:{weight};{shape}"
            f"src:url(data:font/ttf;base64,{data})}}"
        )
    return f"{faces}:root{{--serif:page-serif!important;--sans:page-sans!important}}"
