"""What all tests share.

How they are spread over the processors, how hypothesis runs, where the checkout is, and one
headless browser.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
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


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config):
    """Spreads the whole suite over the processors, as ``-n auto --dist worksteal`` would.

    Where tests are chosen, where an option already says how they are spread (``-n 0``), or where
    pytest-xdist is missing, pytest runs as it always does.
    """
    option = config.option
    if not hasattr(option, "numprocesses") or "PYTEST_XDIST_WORKER" in os.environ:
        return
    again = getattr(option, "lf", False)
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    chosen = option.keyword or option.collectonly or option.usepdb
    spread = option.numprocesses is not None or option.tx or option.dist != "no"
    # One more than processors, as many tests wait for a browser or another process.
    workers = min(MOST_WORKERS, processors() + 1) if processors() > 1 else 1
    if whole and not (chosen or again or spread) and workers > 1:
        option.numprocesses = workers
        option.dist = "worksteal"


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


@pytest.fixture(autouse=True)
def _no_library_of_the_reader(tmp_path_factory, monkeypatch):
    """Tests neither see nor touch the library and the settings of whoever runs them."""
    monkeypatch.setenv(
        "EVENSTROKE_LIBRARY", str(tmp_path_factory.getbasetemp() / "no library here")
    )
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("settings")))


@pytest.fixture(scope="session")
def checkout():
    """The folder that holds pyproject.toml."""
    return Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def browser():
    """Headless Chromium, one for the session; tests that use it carry the mark ``chromium``."""
    executable = shutil.which("chromium")
    if executable is None:
        pytest.skip("chromium is not installed (Debian: apt-get install chromium)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=executable, args=list(CHROMIUM_FLAGS))
        yield running
        running.close()


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
