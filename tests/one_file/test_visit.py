"""The page as one file, opened from disk in each browser, in a network that has nothing in it."""

import os
import re
import shutil
import subprocess
import sys
import time
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest

from profiles.library.revisions import Library
from render.desk.drafts import drafts_folder
from render.desk.moved import save_all, take_archive
from tests.driven import puppeteer, seen_by

HERE = Path(__file__).parent


def alone():
    """What runs a command without a network, where that is allowed here; else nothing."""
    unshare = shutil.which("unshare")
    command = [unshare, "--net", sys.executable, str(HERE / "alone.py")]
    if (
        unshare
        and not subprocess.run([*command, "true"], check=False, capture_output=True).returncode
    ):
        return command
    return []


def driven(name, script, *arguments, network=False):
    """What a script saw in the browser ``name``. Skips where something for it is missing."""
    node, program, modules = puppeteer(name)
    before = [] if network else alone()
    script = str(HERE / script)
    return seen_by(*before, node, script, name, program, modules, *arguments, timeout_s=900)


@pytest.fixture(scope="module", params=["chromium", "firefox"])
def seen(request, built, tmp_path_factory):
    folder = tmp_path_factory.mktemp(request.param)
    address = (built / "evenstroke.html").as_uri()
    found = driven(request.param, "visit.mjs", address, str(folder))
    return {**found, "name": request.param, "folder": folder}


def test_nothing_goes_wrong_and_nothing_is_fetched(seen):
    assert "failed" not in seen, (seen["failed"], seen["steps"])
    assert seen["wrong"] == []
    assert seen["fetched"] == "TypeError"


def test_a_desk_is_described_pulled_copied_kept_and_brought_back(seen):
    assert seen["heading"] == "Circles stay round"
    assert seen["described"] == ["0", "8.5", "240", "135"]
    assert float(seen["pulled"][0]) + float(seen["pulled"][2]) == pytest.approx(240, abs=0.01)
    assert "copied" in seen["copied"]
    assert seen["undone"] == seen["described"]
    assert seen["kept"] == "Kept as setting 1."
    assert seen["changed"] == ["0", "0", "240", "152"]
    assert seen["found"] == ['disk <b>&"desk']
    assert seen["again"] == seen["changed"]
    assert seen["back"] == seen["forward"] == seen["reloaded"] == seen["described"]


@pytest.mark.oracle
def test_axe_core_finds_nothing_and_a_phone_is_wide_enough(seen):
    assert seen["axe"] == []
    assert max(seen["wide"]) <= 0


def test_every_chapter_opens(seen):
    assert {"strokes", "took", "seat", "pairs", "felt", "kept", "study"} <= set(seen["chapters"])
    assert "12.6 % wider than tall" in seen["pad"]
    assert seen["felt"] == 1
    assert seen["figures"]


def test_where_the_desks_are_stored_is_said(seen):
    assert seen["first"].startswith("Stored in this browser")
    assert "have never been saved as a file" in seen["asked"]
    assert "All saved as a file on" in seen["told"]
    assert "open in another tab" in seen["elsewhere"]


def test_files_that_are_saved_have_the_desks_name_and_a_second_profile_takes_them_in(seen):
    kinds = sorted(name.rpartition(".")[2] for name in seen["saved"])
    assert kinds == ["png", "yaml", "zip"]
    picture = next((seen["folder"] / "downloads").glob("*.png")).read_bytes()
    # W3C, Portable Network Graphics 3: the width is the first number after the header's name.
    assert picture.startswith(b"\x89PNG\r\n\x1a\n")
    assert int.from_bytes(picture[16:20], "big") == 1600
    assert seen["empty"] == []
    assert seen["brought"] == ['disk <b>&"desk']
    assert seen["moved"] == seen["described"]
    assert seen["markup"] == 0


def test_the_installed_program_takes_them_in_and_gives_them_back(seen, tmp_path):
    archive = seen["folder"] / "downloads" / "evenstroke-desks.zip"
    library = Library(tmp_path / "library")
    done = take_archive(library, archive)
    assert (done.problems, done.here_already) == ((), 0)
    assert len(library.stations()[0]) == 1
    assert list(drafts_folder(library.root).glob("*.jsonl"))
    assert save_all(library) == archive.read_bytes()


def test_the_sheet_prints_at_true_size(seen):
    pdfinfo = shutil.which("pdfinfo")
    if pdfinfo is None or seen["name"] != "chromium":
        pytest.skip("pdfinfo is not installed, or this browser is asked for no page size")
    said = subprocess.run(
        [pdfinfo, seen["folder"] / "sheet.pdf"], capture_output=True, text=True, check=True
    ).stdout
    wide, high = map(float, re.search(r"Page size: +([\d.]+) x ([\d.]+) pts", said).groups())
    assert seen["sheeted"]
    # ISO 216: A4 is 210 x 297 mm; ANSI letter is 8.5 x 11 in.
    a4, letter = (595.3, 841.9), (612.0, 792.0)
    assert any(abs(wide - w) < 1 and abs(high - h) < 1 for w, h in (a4, letter)), (wide, high)


# -- storage that is blocked or full, and the file that is kept up to date


class Quiet(SimpleHTTPRequestHandler):
    """A server of files that says nothing."""

    def log_message(self, *_):
        pass


@pytest.fixture(scope="module")
def hosted(built):
    """The folder's address on a host of files."""
    handler = partial(Quiet, directory=str(built / "folder"))
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as host:
        Thread(target=host.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{host.server_port}/"
        host.shutdown()


@pytest.mark.parametrize("name", ["chromium", "firefox"])
def test_with_blocked_or_full_storage_everything_works_for_this_visit(
    name, built, hosted, tmp_path
):
    address = (built / "evenstroke.html").as_uri()
    found = driven(name, "odd.mjs", address, hosted, str(tmp_path), network=True)
    assert "failed" not in found, found
    kept, state, says = found["blocked"]
    assert (kept.startswith("Kept "), state) == (True, "visit")
    assert "Not stored" in says
    assert "Save all my desks as one file" in says
    if name == "chromium":
        kept, status, state, says = found["full"]
        assert (kept.startswith("Kept "), status, state) == (True, 200, "full")
        assert "storage is full" in says
        assert "Save all my desks as one file" in says
        assert "evenstroke-desks.zip is kept up to date." in found["chosen"][1]
        assert len(found["written"]) == 2
        assert all(size > 1000 for size in found["written"])


# -- WebKit, Safari's engine


def webkit():
    """A driver of WebKitGTK's small browser. Skips where something for it is missing."""
    driver = shutil.which("WebKitWebDriver")
    browser = next(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"), None)
    selenium = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    if driver is None or browser is None or shutil.which("Xvfb") is None:
        pytest.skip("webkit2gtk-driver or Xvfb is not installed (Debian: webkit2gtk-driver xvfb)")
    options = selenium.WebKitGTKOptions()
    options.binary_location = str(browser)
    options.add_argument("--automation")
    return selenium.WebKitGTK(
        options=options, service=selenium.webkitgtk.service.Service(executable_path=driver)
    )


@pytest.fixture
def screen(monkeypatch, tmp_path):
    """A screen without glass, and a home of its own for what the browser stores."""
    xvfb = shutil.which("Xvfb")
    if xvfb is None:
        pytest.skip("Xvfb is not installed (Debian: apt-get install xvfb)")
    read, write = os.pipe()
    command = [xvfb, "-displayfd", str(write), "-screen", "0", "1366x900x24", "-nolisten", "tcp"]
    running = subprocess.Popen(
        command, pass_fds=(write,), stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL
    )
    os.close(write)
    with os.fdopen(read) as said:
        monkeypatch.setenv("DISPLAY", f":{said.readline().strip()}")
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    monkeypatch.setenv("WEBKIT_DISABLE_COMPOSITING_MODE", "1")
    monkeypatch.setenv("WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS", "1")
    monkeypatch.setenv("LIBGL_ALWAYS_SOFTWARE", "1")
    yield
    running.terminate()
    running.wait()


def numbers(driver):
    return [
        each.get_attribute("data-copy")
        for each in driver.find_elements("css selector", "#answer [data-copy]")
    ]


def until(holds, seconds=60):
    ends = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < ends, "it did not come"
        time.sleep(0.25)


# Selenium's own driver of this browser calls what selenium calls deprecated.
@pytest.mark.filterwarnings("ignore:setting remote_server_addr:DeprecationWarning")
@pytest.mark.usefixtures("screen")
def test_webkit_describes_keeps_and_finds_again(built):
    """In one session, as this browser forgets all when one that is driven ends: a tab is closed."""
    address = (built / "evenstroke.html").as_uri()
    driver = webkit()

    def there(selector):
        return driver.find_elements("css selector", selector)

    def shown(what):
        return there("#answer .sign, .desks") and what in there("#answer .sign, .desks")[0].text

    try:
        driver.get(address)
        until(lambda: there("#storage span"), 180)
        assert driver.find_element("id", "storage").text.startswith("Stored in this browser")
        there('a[href="/e/example"]')[0].click()
        until(lambda: there("html[data-ready]") and numbers(driver) == ["0", "8.5", "240", "135"])
        driver.find_element("id", "keep").click()
        until(lambda: shown("Kept"))
        first = driver.current_window_handle
        driver.switch_to.new_window("tab")
        second = driver.current_window_handle
        driver.switch_to.window(first)
        driver.close()
        driver.switch_to.window(second)
        driver.get(address)
        until(lambda: there(".desks li"), 180)
        assert shown("example desk")
        there(".desks a")[0].click()
        until(lambda: numbers(driver) == ["0", "8.5", "240", "135"])
    finally:
        driver.quit()
