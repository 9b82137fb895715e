"""Pictures of every state of the page: ``python -m tests.texts.screens LANGUAGE OUT [WIDTH]``.

A translator sees with them where each sentence stands. Needs Chromium.
"""

from __future__ import annotations

import os
import shutil
import sys
import threading
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

from playwright.sync_api import sync_playwright

from profiles.library.revisions import Library
from render.desk.server import DeskServer
from render.sentences.languages import offered
from tests.texts.__main__ import _environment
from tests.texts.page import CHAPTERS, DEMO, NOTES, SAID, WRONG, noted
from tests.visitor import kept
from tests.watched import DeskPage, show

if TYPE_CHECKING:
    from collections.abc import Iterator


#: What opens a chapter that is there without notes or another desk.
_MEASURE = "measure"


def everywhere(page: DeskPage, folder: Path) -> Iterator[str]:
    """Go to one state of the page after the other; the name of each, once it is shown."""
    yield "start, for the first time"
    for title, change in (SAID | WRONG).items():
        page.open(DEMO.with_(change))
        yield title
    page.open(DEMO.with_({"name": "", "tablet": "", "displays": []}))
    yield "nothing is said yet"
    page.open(DEMO)
    for blank in NOTES:
        opener = page.page.locator(f"#blank-{blank}")
        if opener.count():
            opener.first.click()
            page.settle()
            yield f"note: {blank}"
    yield from _chapters(page)
    yield from _others(page, folder)


def _chapters(page: DeskPage) -> Iterator[str]:
    page.open(DEMO)
    for name in [*CHAPTERS, "touch", _MEASURE]:
        if page.page.locator(f"#chapter-{name}").count():
            show(page.page, name)
            yield f"chapter: {name}"


def _others(page: DeskPage, folder: Path) -> Iterator[str]:
    library = Library(folder / "library")
    kept(library.root, DEMO)
    kept(library.root, DEMO.with_({"name": "corner studio", "distance": "40cm"}))
    station = library.folder_of(DEMO.name)
    noted(library)
    server = page.server
    at = server.session.address_of(server.session.open_station(station))
    for title, path in {
        "a kept desk": at,
        "all numbers": f"{at}/figures",
        "start, with desks": f"{server.door.path}/",
        "all desks in one table": f"{server.door.path}/table",
        "nothing here": f"{server.door.path}/desk/n-000000000000/0",
    }.items():
        page.page.goto(f"{server.door.origin}{path}")
        page.page.wait_for_load_state("networkidle")
        yield title


@contextmanager
def serving(folder: Path) -> Iterator[DeskServer]:
    """A server over an empty library."""
    with patch.dict(os.environ, _environment(folder)):
        server = DeskServer(Library(folder / "library"), silence_s=3600)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        try:
            yield server
        finally:
            server.session._ends_at = 0.0
            thread.join(10)


def main(language: str, out: str, width: str = "1280") -> None:
    """Take the pictures."""
    if language not in offered():
        sys.exit(f"{language} is not whole; whole are {', '.join(offered())}")
    target = Path(out)
    target.mkdir(parents=True, exist_ok=True)
    with (
        TemporaryDirectory() as place,
        serving(Path(place)) as server,
        sync_playwright() as playwright,
    ):
        browser: Any = playwright.chromium.launch(executable_path=shutil.which("chromium"))
        context = browser.new_context(
            viewport={"width": int(width), "height": 800}, locale=language
        )
        page = DeskPage(context, server)
        for number, title in enumerate(everywhere(page, Path(place))):
            name = "".join(letter if letter.isalnum() else "-" for letter in title)
            page.page.screenshot(path=target / f"{number:03}-{name}.png", full_page=True)
        browser.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
