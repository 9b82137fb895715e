"""The page as one file and as a folder, beside the served page in the same sitting.

EVENSTROKE_ONE_FILE names what ``python -m render.one_file`` wrote.
"""

import gzip
import json
import os
import shutil
import subprocess
import tempfile
import threading
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from profiles.library.revisions import Library
from render.desk.server import DeskServer

SCRIPT = Path(__file__).parents[1] / "one_file" / "measure.mjs"


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
    said = json.loads(ran.stdout)
    return (
        f"{said['seconds']:.1f} s to the first page; a changed blank {said['p50']} ms, p95 "
        f"{said['p95']} ms; {said['emptyMb']} MB empty, {said['mb']} MB with it ({said['version']})"
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
    for name in ("chromium", "firefox"):
        program = shutil.which(name) or shutil.which(f"{name}-esr")
        if program is None:
            continue
        with tempfile.TemporaryDirectory() as library:
            server = DeskServer(Library(Path(library) / "library"))
            running = threading.Thread(target=server.run, daemon=True)
            running.start()
            yield f"{name}, served: {measured(name, program, server.door.invite('/'))}"
            server.session._ends_at = 0.0
            running.join()
        file = (out / "evenstroke.html").resolve().as_uri()
        yield f"{name}, one file: {measured(name, program, file)}"
        address = f"http://127.0.0.1:{host.server_port}/"
        yield f"{name}, folder: {measured(name, program, address)}"
    host.shutdown()
