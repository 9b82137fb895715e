"""The page as one file and as a folder, beside the served page in the same sitting.

EVENSTROKE_ONE_FILE names what ``python -m render.one_file`` wrote.
"""

import gzip
import json
import os
import re
import shutil
import subprocess
import tempfile
import threading
import time
from contextlib import suppress
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from profiles.library.revisions import Library
from render.desk.server import DeskServer
from tests.one_file.webkit import missing, webkit

ONE_FILE = Path(__file__).parents[1] / "one_file"
SCRIPT = ONE_FILE / "measure.mjs"
CHANGES = 50


class Quiet(SimpleHTTPRequestHandler):
    """A server of files that says nothing."""

    def log_message(self, *_):
        pass


def measured(name, program, address):
    modules = os.environ["EVENSTROKE_NODE_MODULES"]
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        command = ["node", str(SCRIPT), name, program, modules, address, folder]
        ran = subprocess.run(command, check=False, capture_output=True, text=True)
    if ran.returncode:
        return f"failed: {ran.stderr.strip().splitlines()[-1:]}"
    return told(json.loads(ran.stdout))


def told(said):
    return (
        f"{said['seconds']:.1f} s to the first page; a changed blank {said['p50']} ms, p95 "
        f"{said['p95']} ms; {said['emptyMb']} MB empty, {said['mb']} MB with it ({said['version']})"
    )


def memory_mb(pid):
    """The memory of a process and all below it, each shared page once (proc(5): Pss)."""
    parents = {}
    for status in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            after_name = status.read_text("latin-1").rpartition(")")[2].split()
            parents[int(status.parent.name)] = int(after_name[1])
    tree, kb = [pid], 0
    for above in tree:
        tree += [child for child, parent in parents.items() if parent == above]
        with suppress(OSError):
            sums = Path(f"/proc/{above}/smaps_rollup").read_text("latin-1")
            kb += int(re.search(r"^Pss:\s+(\d+)", sums, re.MULTILINE)[1])
    return round(kb / 1024)


def measured_in_webkit(address):
    """As ``measure.mjs`` does it in the others."""
    changes = (ONE_FILE / "changes.mjs").read_text("utf-8").replace("export ", "")
    home = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
    with home as folder, webkit(Path(folder)) as driver:
        driver.set_script_timeout(120)

        def until(selector):
            while not driver.find_elements("css selector", selector):
                time.sleep(0.02)

        pid = driver.service.process.pid
        empty_mb = memory_mb(pid)
        began = time.monotonic()
        driver.get(address)
        until("main.start")
        seconds = time.monotonic() - began
        driver.find_element("css selector", "a[href$='/example']").click()
        until("html[data-ready]")
        driver.find_element("id", "blank-fit").click()
        until("section.note [role=radio][aria-checked=true]")
        took = driver.execute_async_script(f"{changes}; changes({CHANGES}).then(arguments[0])")
        time.sleep(0.5)
        p50, p95 = (round(took[int(share * (len(took) - 1))], 1) for share in (0.5, 0.95))
        version = driver.capabilities["browserVersion"]
        return told(
            {
                "seconds": seconds,
                "p50": p50,
                "p95": p95,
                "emptyMb": empty_mb,
                "mb": memory_mb(pid),
                "version": f"WebKitGTK {version}, software rendering",
            }
        )


def results():
    """Bytes, then each browser with each form."""
    built = os.environ.get("EVENSTROKE_ONE_FILE")
    if not built or "EVENSTROKE_NODE_MODULES" not in os.environ:
        yield "one file: EVENSTROKE_ONE_FILE and EVENSTROKE_NODE_MODULES are not set"
        return
    out = Path(built)
    whole = (out / "evenstroke.html").read_bytes()
    packed = len(gzip.compress(whole)) / 1e6
    folder = sum(path.stat().st_size for path in (out / "folder").iterdir()) / 1e6
    yield f"one file: {len(whole) / 1e6:.2f} MB ({packed:.2f} gzip); folder: {folder:.2f} MB"
    handler = partial(Quiet, directory=str(out / "folder"))
    host = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=host.serve_forever, daemon=True).start()
    browsers = {}
    for name in ("chromium", "firefox"):
        program = shutil.which(name) or shutil.which(f"{name}-esr")
        if program is not None:
            browsers[name] = partial(measured, name, program)
    if not missing():
        browsers["webkit"] = measured_in_webkit
    for name, cost in browsers.items():
        with tempfile.TemporaryDirectory() as library:
            server = DeskServer(Library(Path(library) / "library"))
            running = threading.Thread(target=server.run, daemon=True)
            running.start()
            yield f"{name}, served: {cost(server.door.invite('/'))}"
            server.session._ends_at = 0.0
            running.join()
        yield f"{name}, one file: {cost((out / 'evenstroke.html').resolve().as_uri())}"
        yield f"{name}, folder: {cost(f'http://127.0.0.1:{host.server_port}/')}"
    host.shutdown()
