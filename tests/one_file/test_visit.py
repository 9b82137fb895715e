"""The page as one file, opened from disk in each browser, in a network that has nothing in it."""

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
from tests.one_file.webkit import missing, webkit

pytestmark = pytest.mark.browsers

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
    assert seen["pasted"] == seen["pulled"][0]
    assert seen["undone"] == seen["described"]
    assert seen["kept"] == "Kept as setting 1."
    assert seen["changed"] == ["0", "0", "240", "152"]
    assert seen["found"] == ['disk <b>&"desk']
    assert seen["again"] == seen["changed"]
    assert seen["back"] == seen["forward"] == seen["reloaded"] == seen["described"]


@pytest.mark.oracle
def test_axe_core_finds_nothing_in_any_look_and_telephones_are_wide_enough(seen):
    assert seen["axe"] == []
    assert {name: more for name, more in seen["wide"].items() if more > 0} == {}


def test_the_touch_test_fills_the_screen_and_proves_the_setting(seen):
    assert seen["full"]
    assert seen["left"]
    assert seen["crosses"] == [str(number) for number in range(1, 10)]
    assert seen["verdict"].startswith("The tablet uses this setting: ")


def test_a_file_dropped_on_its_zone_is_taken_and_beside_it_the_page_stays(seen):
    assert seen["droppedArchive"]
    assert "already" in seen["already"]
    assert seen["droppedBeside"]
    assert seen["stays"] == seen["moved"]


def test_every_chapter_opens(seen):
    assert {"strokes", "took", "seat", "pairs", "felt", "kept", "study"} <= set(seen["chapters"])
    assert "12.6 % wider than tall" in seen["pad"]
    assert seen["felt"] == 1
    assert seen["figures"]


def test_where_the_desks_are_stored_is_said(seen):
    assert seen["first"].startswith("Your desks are stored in this browser")
    assert "have never been saved as a file" in seen["asked"]
    assert "All saved as a file on" in seen["told"]
    assert "for a week" not in seen["soon"]
    assert "open in another tab" in seen["elsewhere"]


def test_files_that_are_saved_have_the_desks_name_and_a_second_profile_takes_them_in(seen):
    assert sorted(seen["saved"]) == [
        "disk b & desk-strokes.json",
        "disk b & desk-strokes.svg",
        "disk b & desk.png",
        "disk b & desk.yaml",
        "evenstroke-desks.zip",
    ]
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


def test_the_sheet_prints_and_not_the_letter(seen):
    pdfinfo, pdftotext = shutil.which("pdfinfo"), shutil.which("pdftotext")
    if pdfinfo is None or pdftotext is None:
        pytest.skip("pdfinfo is not installed (Debian: apt-get install poppler-utils)")
    said = printed(pdftotext, "-layout", seen["folder"] / "sheet.pdf", "-")
    assert seen["sheeted"]
    assert "enter left 0 mm" in said
    assert "I draw on a tablet" not in said
    if seen["name"] != "chromium":
        return  # its driver says how large the paper is, not the page
    said = printed(pdfinfo, seen["folder"] / "sheet.pdf")
    wide, high = map(float, re.search(r"Page size: +([\d.]+) x ([\d.]+) pts", said).groups())
    # ISO 216: A4 is 210 x 297 mm; ANSI letter is 8.5 x 11 in.
    a4, letter = (595.3, 841.9), (612.0, 792.0)
    assert any(abs(wide - w) < 1 and abs(high - h) < 1 for w, h in (a4, letter)), (wide, high)


def printed(*command):
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


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
    assert found["status"] == 200
    for odd in ("blocked", "private", "full"):
        seen = found[odd]
        assert seen["kept"].startswith("Kept ")
        assert seen["saved"] == ["evenstroke-desks.zip"]
        # Whoever would lose something is asked before the window closes.
        assert seen["stays"] == (seen["state"] != "stored")
    assert (found["blocked"]["state"], found["private"]["state"]) == ("visit", "stored")
    state, says = found["filled"]
    assert state == "full"
    assert says.startswith("Not stored: the browser's storage is full")
    assert "Save all my desks as one file" in says
    assert found["blocked"]["says"].startswith("Not stored: this browser stores nothing")
    assert "a private window does when you close it" in found["private"]["says"]
    if name == "chromium":
        assert "my desks.zip is kept up to date." in found["chosen"][1]
        assert "Keep my desks.zip up to date" in found["next"][1]
        # ZIP File Format Specification (APPNOTE.TXT), 4.3.7: a local file header's signature.
        assert found["file"] == [0x50, 0x4B, 3, 4]


# -- WebKit, Safari's engine


def until(holds, seconds=180):
    ends = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < ends, "it did not come"
        time.sleep(0.25)


@pytest.fixture
def driver(tmp_path):
    if missing():
        pytest.skip(f"{missing()} is not installed (Debian: webkit2gtk-driver xvfb)")
    with webkit(tmp_path) as made:
        yield made


class Looked:
    """What a page in the browser shows."""

    def __init__(self, driver):
        self.driver = driver

    def there(self, selector):
        return self.driver.find_elements("css selector", selector)

    def says(self, selector):
        return "".join(each.text for each in self.there(selector)[:1])

    def numbers(self):
        return [each.get_attribute("data-copy") for each in self.there("#answer [data-copy]")]

    def example_is_kept(self):
        """Whoever looks has opened the start page."""
        self.there('a[href$="/example"]')[0].click()
        numbers = ["0", "8.5", "240", "135"]
        until(lambda: self.there("html[data-ready]") and self.numbers() == numbers)
        self.driver.find_element("id", "keep").click()
        until(lambda: "Kept" in self.says("#answer .sign"))


# Selenium's own driver of this browser calls what selenium calls deprecated.
deprecated = pytest.mark.filterwarnings("ignore:setting remote_server_addr:DeprecationWarning")


@deprecated
def test_webkit_describes_keeps_and_finds_again(built, driver):
    """In one session, as this browser forgets all when one that is driven ends: a tab is closed."""
    address = (built / "evenstroke.html").as_uri()
    page = Looked(driver)
    driver.get(address)
    until(lambda: page.there("#storage span"))
    assert page.says("#storage").startswith("Your desks are stored in this browser")
    page.example_is_kept()
    first = driver.current_window_handle
    driver.switch_to.new_window("tab")
    second = driver.current_window_handle
    driver.get(address)
    until(lambda: page.there("html[data-ready=elsewhere]"))
    assert "open in another tab" in page.says("p")
    driver.switch_to.window(first)
    driver.close()
    driver.switch_to.window(second)
    until(lambda: "example desk" in page.says(".desks"))
    page.there(".desks a")[0].click()
    until(lambda: page.numbers() == ["0", "8.5", "240", "135"])


@deprecated
def test_webkit_shows_the_served_page(served, driver):
    page = Looked(driver)
    driver.get(served.door.invite("/"))
    until(lambda: page.there("main.start"))
    page.example_is_kept()
    driver.refresh()
    until(lambda: page.there("html[data-ready]") and page.numbers() == ["0", "8.5", "240", "135"])
    page.there("a#all")[0].click()
    until(lambda: "example desk" in page.says(".desks"))
