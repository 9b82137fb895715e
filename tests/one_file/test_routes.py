"""Every route of the page answers where there is neither numpy nor Pillow nor matplotlib.

What reads traces says who does.
"""

import json
import re
import shutil
import subprocess
import sys
from difflib import unified_diff
from pathlib import Path

import pytest
from platformdirs import user_cache_path

from render.one_file.fetched import fetch
from render.one_file.inside import Inside

HERE = Path(__file__).parent
CACHE = user_cache_path("evenstroke") / "one-file"

#: What the visit asks for that is not there, or is no archive.
REFUSED = {
    "GET /nothing": 404,
    "POST note/nothing": 404,
    "POST sheet": 404,
    "GET chapter/nothing": 404,
    "POST /bring": 422,
}
#: What needs numpy or Pillow.
TRACES = ["POST took/trace", "POST strokes/drop", "POST measure/traces"]

BLOCKED = """
import json, sys
for name in ("numpy", "PIL", "matplotlib", "svgelements"):
    sys.modules[name] = None
from pathlib import Path
from render.one_file.fetched import fetch
from render.one_file.inside import Inside
from visit import visit

seen = visit(Inside(Path(sys.argv[1]) / "library", {}))
print(json.dumps([(what, status, content.decode("latin-1")) for what, status, _, content in seen]))
"""


@pytest.fixture(scope="module")
def seen(tmp_path_factory):
    checkout = HERE.parents[1]
    ran = subprocess.run(
        [sys.executable, "-c", BLOCKED, str(tmp_path_factory.mktemp("visit"))],
        cwd=checkout,
        env={"PYTHONPATH": f"{checkout}:{HERE}", "PATH": "/usr/bin:/bin"},
        check=False,
        capture_output=True,
        text=True,
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr == ""
    return json.loads(ran.stdout)


def short(what):
    """A request without its desk: ``POST sheet``."""
    method, _, address = what.partition(" ")
    if not address.startswith("/desk/"):
        return what
    rest = address.split("/")[4:]
    return f"{method} {'/'.join(rest[-2:])}"


def test_every_route_answers_but_those_of_traces(seen):
    wrong = {}
    for what, status, _ in seen:
        if status >= 400:
            wrong.setdefault(short(what), status)
    assert wrong == REFUSED | dict.fromkeys(TRACES, 422)
    for what, _, content in seen:
        if short(what) in TRACES:
            assert "the installed program does" in content, what


def test_the_visit_reaches_every_route_of_the_application(seen, tmp_path):
    inside = Inside(tmp_path / "library", {})
    routes = inside.app.url_map.bind("localhost")
    reached = set()
    for what, status, _ in seen:
        method, _, address = what.partition(" ")
        if status != 404:
            reached.add(routes.match(address, method)[0])
    # A pad by itself is opened by a command, and styles are in the file.
    assert reached == set(inside.app.view_functions) - {"pad", "strokes", "static"}


def test_chapters_of_traces_say_who_reads_them_and_offer_no_button(seen):
    took = [content for what, _, content in seen if short(what) == "GET chapter/took"]
    assert took
    for content in took:
        assert "the installed program does" in content
        assert "data-trace" not in content


#: What differs by chance or by the clock: names of drafts and of pictures in a page, digests,
#: moments, and what both are in.
CHANCE = re.compile(
    r"[nsf]-[0-9a-f]{12,16}\b|\bc[0-9a-f]{8}\b|\b[0-9a-f]{16,64}\b|\d{4}-\d\d-\d\dT[\d:.]+(?:Z|[+-]\d\d:?\d\d)?"
    r"|\b\d{8}T\d{6}\w*|\b\d\d:\d\d(?::\d\d\.\d+)?\b"
)


def comparable(seen):
    """Each request and its answer, without what differs by chance; archives are not compared."""
    return [
        (CHANCE.sub("*", what), status, CHANCE.sub("*", content))
        for what, status, content in seen
        if not what.endswith("desks.zip")
    ]


@pytest.mark.oracle
def test_the_webassembly_python_gives_the_same_answers(seen, built):
    """CPython here and the Python of the file under node, request by request."""
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed (Debian: apt-get install nodejs)")
    modules = fetch(CACHE).modules
    command = [node, HERE / "routes_in_node.mjs", modules, built / "folder", HERE / "visit.py"]
    ran = subprocess.run(command, check=False, capture_output=True, text=True, timeout=600)
    assert ran.returncode == 0, ran.stderr[-2000:]
    here, there = comparable(seen), comparable(json.loads(ran.stdout))
    assert [each[:2] for each in there] == [each[:2] for each in here]
    for (what, _, ours), (_, _, its) in zip(here, there, strict=True):
        if its != ours:  # pytest's own difference of so much text takes minutes
            lines = [each.replace("><", ">\n<").splitlines() for each in (ours, its)]
            pytest.fail("\n".join([what, *list(unified_diff(*lines, lineterm="", n=0))[:20]]))
