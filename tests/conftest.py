"""What all tests share.

How they are spread over the processors, how hypothesis runs, where the checkout is, and one
headless browser.
"""

from __future__ import annotations

import itertools
import os
import shutil
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

# What is compiled is kept, whoever's variable says otherwise: each of the hundreds of processes
# that the tests start would compile everything anew, and so would each worker.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

import pytest  # noqa: E402
from hypothesis import settings  # noqa: E402

# No deadline: a busy machine is no bug. In CI the examples are the same in every run, so that a red
# run can be repeated; at home they differ, so that the search goes on.
settings.register_profile(
    "evenstroke", deadline=None, max_examples=100, derandomize="CI" in os.environ
)
settings.load_profile("evenstroke")
# Small matrices on many threads, in as many processes as there are cores, wait for each other. Set
# before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# For a long search by hand: python -m pytest tests/mapper --hypothesis-profile=long
settings.register_profile("long", deadline=None, max_examples=5000)
# For other versions of Python and of libraries (.ci/versions), where the examples are not what is
# tried.
settings.register_profile("few", deadline=None, max_examples=15, derandomize=True)

#: Each worker has a browser of its own: with more of them the memory goes before the time does.
MOST_WORKERS = 8

#: What the whole suite runs where nothing is chosen: what is short, and one visit in a browser.
SHORT = "visit or not (browsers or long)"

#: The files that take longest, the longest first, in seconds on a machine of two processors. They
#: are begun first, so that nobody waits for one of them at the end. Roughly is enough.
LONG_S = {
    "render/test_every_hand_and_ear.py": 60,
    "render/test_desk_in_browser.py": 50,
    "render/test_pad_in_browser.py": 40,
    "render/test_desk_chapters_in_browser.py": 30,
    "render/test_life_in_browser.py": 25,
    "render/test_touch_in_browser.py": 25,
    "profiles/test_hostile.py": 20,
    "profiles/test_canvas.py": 20,
    "render/test_desk_in_firefox.py": 15,
    "profiles/test_library_killed.py": 15,
    "one_file/test_stranger.py": 12,
    "render/test_study.py": 12,
    "texts/test_english.py": 12,
    "render/test_strange_names.py": 10,
    "render/test_desk_attacked.py": 10,
    "render/test_desk_server.py": 10,
    "profiles/test_tracing.py": 10,
    "mapper/test_comfort.py": 10,
    "mapper/test_trace_measure.py": 8,
    "render/test_trial_cli.py": 8,
    "render/test_hard_ends.py": 8,
    "render/test_trace_command.py": 8,
    "profiles/test_library_adversity.py": 8,
    "render/test_formats.py": 6,
    "render/test_written_files.py": 6,
    "test_readme.py": 5,
    "render/test_desk_names.py": 5,
}
TESTS = Path(__file__).parent


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config):
    """Leaves the long tests out of the whole suite, and spreads it over the processors.

    Where tests are chosen, by file or by an option, all of them are run. The suite is spread as
    ``-n auto --dist worksteal`` would, unless an option already says how (``-n 0``), or
    pytest-xdist is missing.
    """
    option = config.option
    again = getattr(option, "lf", False)
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    chosen = option.keyword or option.collectonly or option.usepdb
    if whole and not (option.markexpr or option.keyword or again):
        option.markexpr = SHORT
    # A worker is told the same arguments, and chooses for itself.
    if "PYTEST_XDIST_WORKER" in os.environ or not hasattr(option, "numprocesses"):
        return
    spread = option.numprocesses is not None or option.tx or option.dist != "no"
    # One more than processors, as many tests wait for a browser or another process.
    workers = min(MOST_WORKERS, processors() + 1) if processors() > 1 else 1
    if whole and not (chosen or again or spread) and workers > 1:
        option.numprocesses = workers
        option.dist = "worksteal"


class Marks:
    """Marks what needs a browser, before tests are chosen by their marks."""

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection_modifyitems(self, items):
        for item in items:
            if "browser" in getattr(item, "fixturenames", ()):
                item.add_marker(pytest.mark.browsers)


def pytest_configure(config):
    config.pluginmanager.register(Marks())


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items):
    """Lets each worker begin with some of the long files.

    Each gets a stretch of the tests at first and takes of the others' when it is done with them.
    """
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "0"))
    if not workers:
        return
    by_file = {}
    for item in items:
        by_file.setdefault(item.path.relative_to(TESTS).as_posix(), []).append(item)
    shares, seconds = [[] for _ in range(workers)], [0] * workers
    for name, length_s in LONG_S.items():
        if name in by_file:
            least = seconds.index(min(seconds))
            shares[least] += by_file.pop(name)
            seconds[least] += length_s
    short = iter(itertools.chain.from_iterable(by_file.values()))
    stretch = -(-len(items) // workers)
    for share in shares:
        share.extend(itertools.islice(short, max(0, stretch - len(share))))
    items[:] = [*itertools.chain.from_iterable(shares), *short]


def processors():
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
)


SETTINGS = itertools.count()


@pytest.fixture(autouse=True)
def _no_library_of_the_reader(tmp_path_factory, monkeypatch):
    """Tests neither see nor touch the library and the settings of whoever runs them."""
    monkeypatch.setenv(
        "EVENSTROKE_LIBRARY", str(tmp_path_factory.getbasetemp() / "no library here")
    )
    # No folder is made before it is needed: each would be looked up among thousands.
    monkeypatch.setenv(
        "XDG_CONFIG_HOME", str(tmp_path_factory.getbasetemp() / "settings" / str(next(SETTINGS)))
    )


@pytest.fixture(scope="session")
def checkout():
    """The folder that holds pyproject.toml."""
    return Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def browser():
    """Headless Chromium, one for the session; tests that use it carry the mark ``chromium``."""
    executable = shutil.which(os.environ.get("EVENSTROKE_CHROMIUM", "chromium"))
    if executable is None:
        pytest.skip("chromium is not installed (Debian: apt-get install chromium)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=executable, args=list(CHROMIUM_FLAGS))
        yield running
        running.close()


@pytest.fixture
def served(tmp_path, monkeypatch):
    """A running server of desks with a library of its own; ends with the test."""
    from profiles.library.revisions import Library
    from render.desk.server import DeskServer

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    server = DeskServer(Library(tmp_path / "library"), silence_s=120, grace_s=60)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield server
    # A page that is still open says that it lives, and puts the end off: so more than once.
    for _ in range(300):
        server.session._ends_at = 0.0
        thread.join(0.2)
        if not thread.is_alive():
            break
    assert not thread.is_alive()


@pytest.fixture
def small_disk(tmp_path):
    """A file system of its own, of 256 KiB."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=256k,mode=755", "tmpfs", folder]
    if (
        os.name != "posix"
        or os.geteuid()
        or subprocess.run(mount, capture_output=True, check=False).returncode
    ):
        pytest.skip("mounting a small tmpfs needs root and a system that lets it")
    yield folder
    subprocess.run(["umount", folder], check=True)  # noqa: S607


@pytest.fixture
def open_folder():
    """A folder that every user can reach, unlike pytest's own."""
    folder = Path(tempfile.mkdtemp(prefix="evenstroke-test-"))
    folder.chmod(0o755)
    yield folder
    for path in [folder, *folder.rglob("*")]:
        path.chmod(0o755)
    shutil.rmtree(folder)
