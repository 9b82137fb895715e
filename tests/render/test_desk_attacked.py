"""The desk's server under attack.

Two servers on one library, bodies that are none, connections that are held open, large drawings.
``tests/fuzz`` does the same for ten minutes, with whole processes that are killed.
"""

import contextlib
import http.client
import io
import json
import os
import random
import re
import socket
from types import SimpleNamespace

import pytest
from PIL import Image

from render.desk.chapters import CHAPTERS, UNLISTED
from render.desk.chapters import strokes as strokes_chapter
from render.desk.drafts import Drafts
from render.desk.server import MOST_CONNECTIONS
from tests.fuzz.hands import CONTENTS, PLACES, edited, library_in_use, walked
from tests.visitor import DESK, Visitor, kept

# -- two servers on one library


@pytest.fixture
def two(visitor):
    """Two servers on one library, and the address at which both open its one desk."""
    revision = kept(visitor.session.library.root)
    other = Visitor(visitor.session.library.root)
    at = f"/desk/s-{revision.path.parent.name}/0"
    assert visitor.get(at).status_code == other.get(at).status_code == 200
    yield visitor, other, at
    other.close()


def said_in_file(visitor, at):
    """What all steps of the draft say, as a server reads it that starts now."""
    draft = Drafts(visitor.session.library.root).get(at.split("/")[-2])
    return [(each.said.turn, each.said.fit) for each in draft.steps.values()]


def test_the_first_changes_of_two_servers_are_both_kept_and_told(two):
    one, other, at = two
    first = one.changed(at, {"turn": "90"})
    second = other.changed(at, {"fit": "full"})
    assert first["step"] != second["step"]
    assert sorted(said_in_file(one, at)) == [("0", "full"), ("0", "locked"), ("90", "locked")]
    assert "changed elsewhere meanwhile" in second["parts"]["notices"]
    third = one.changed(first["address"], {"hold": "top"})
    assert "changed elsewhere meanwhile" in third["parts"]["notices"]
    assert "turned 90°" in one.get(third["address"]).text, "nobody's letter is changed"
    taken = one.post(f"{third['address']}/take", {"what": "elsewhere"}).json["address"]
    page = one.get(taken).text
    assert "may come out oval" in page
    assert "changed elsewhere meanwhile" not in page
    assert "undo: what was changed elsewhere" in page


def test_a_desk_begun_from_two_revisions_keeps_both_beginnings(visitor):
    root = visitor.session.library.root
    revision = kept(root)
    at = f"/desk/s-{revision.path.parent.name}/0"
    visitor.get(at)
    kept(root, DESK.with_({"hold": "left"}))
    other = Visitor(root)
    other.get(at)
    visitor.changed(at, {"turn": "90"})
    made = other.changed(at, {"turn": "180"})["address"]
    other.close()
    draft = Drafts(root).get(at.split("/")[-2])
    step = int(made.rpartition("/")[2])
    assert draft.said(step).hold == "left"
    assert draft.said(draft.before(step)).hold == "left", "undo goes to where it came from"
    assert sum(each.said.hold == "centre" for each in draft.steps.values()) == 2


def test_a_draft_that_another_server_threw_away_is_written_again_with_the_next_change(visitor):
    at = visitor.changed(visitor.begin(), {"turn": "90"})["address"]
    id_ = at.split("/")[-2]
    Drafts(visitor.session.library.root).forget(id_)
    visitor.changed(at, {"fit": "full"})
    assert ("90", "full") in said_in_file(visitor, at)
    assert ("90", "locked") in said_in_file(visitor, at)


def test_a_draft_written_anew_is_read_anew_where_files_have_no_numbers(tmp_path, monkeypatch):
    """Some shares give every file the number 0, or another one at each look."""
    real = os.fstat
    monkeypatch.setattr(
        "render.desk.drafts.os.fstat",
        lambda file: SimpleNamespace(st_dev=0, st_ino=0, st_size=real(file).st_size),
    )
    library = tmp_path / "library"
    mine = Drafts(library).begin("s-desk", {"station": "desk"}, DESK)
    mine.change(0, "turn", DESK.with_({"turn": "90"}))
    other = Drafts(library).get("s-desk")
    other.change(1, "turn", DESK.with_({"turn": "180"}))
    head, first, _, *added = mine.path.read_bytes().splitlines(keepends=True)
    # Shorter at first, then longer than what was read of the one before.
    mine.path.write_bytes(
        head + first + added[-1].replace(b'"after": 1', b'"after": 0') + head * 40
    )
    mine.look()
    assert [step.said.turn for step in mine.steps.values()] == ["0", "90", "180"]


@pytest.mark.parametrize("locks", [True, False])
def test_no_change_of_four_servers_at_once_is_lost(tmp_path, monkeypatch, locks):
    if not locks:
        # A share without locks: reading back alone keeps them apart.
        monkeypatch.setattr("render.desk.drafts.taking_turns", lambda _folder: io.BytesIO())
    servers = [Drafts(tmp_path / "library") for _ in range(4)]
    drafts = [each.begin("s-desk", {"station": "desk"}, DESK) for each in servers]
    rng, acknowledged = random.Random(7), []
    for number in range(60):
        draft = rng.choice(drafts)
        if rng.random() < 0.5:
            draft.look()
        width = f"{120 + number}x{100 + rng.randrange(40)}mm"
        after = rng.choice(list(draft.steps))
        step = draft.change(after, "tablet", draft.said(after).with_({"tablet": width}))
        acknowledged.append((step.number, width))
    steps = Drafts(tmp_path / "library").get("s-desk").steps
    assert [each for each in acknowledged if steps[each[0]].said.tablet != each[1]] == []


# -- bodies that are none

ROUTES = [
    "{at}/answer",
    "{at}/note/tablet",
    "{at}/keep",
    "{at}/take",
    "{at}/sheet",
    "/new",
    "/again",
    "/here",
    "/desk/n-0/forget",
    *(
        f"{{at}}/chapter/{name}/{verb}"
        for name in (*CHAPTERS, *UNLISTED)
        for verb in (
            "note",
            "drop",
            "trace",
            "again",
            "picture-card",
            "pulls",
            "traces",
            "pin",
            "x",
        )
    ),
]
BODIES = [
    b"[" * 100_000,
    b'{"change":' * 50_000,
    b"1",
    b'"x"',
    b"null",
    b"\xff\xfe",
    b'{"change": "x"}',
    b'{"change": {"name": 1}}',
    b'{"change": {"displays": [[]]}}',
    b'{"paper": []}',
    b'{"screen": [1e400, 1], "pulls": [[1, 2]]}',
    b'{"screen": [2560, 1440], "pulls": [[1e308, 1e-308]]}',
    b'{"screen": [2560, 1440], "traces": [[[[1e300, 1], [2, 3]]]]}',
    b'{"strokes": [[[1e308, 1], [-1e308, 3]]]}',
    b'{"strokes": {"x": 1}, "thing": "square 1e999mm"}',
    b'{"zoom": 1e400}',
    b'{"room": [1e400, 1, 1]}',
    b'{"score": "5", "minutes": "' + b"9" * 400 + b'"}',
    b'{"score": 5, "date": "99999-01-01", "doing": {"a": 1}}',
    b'{"revision": "\\ud800"}',
    b'{"desk": "\\u0000"}',
    b'{"pad": ["x", 1]}',
]


@pytest.mark.parametrize("route", ROUTES)
def test_no_body_is_answered_with_a_fault_of_ours(visitor, route):
    at = visitor.begin()
    found = {}
    for number, content in enumerate(BODIES):
        secret = {"X-Evenstroke-Secret": visitor.door._secret}
        # Whatever a body is, one that is called a picture is read alike.
        for kind in ("application/json", "image/svg+xml")[: 1 + (number % 6 == 0)]:
            reply = visitor.send(route.format(at=at), content, kind, **secret)
            if reply.status_code >= 500:
                found[content[:40]] = reply.status_code
    assert found == {}


@pytest.mark.parametrize("length", [80, 300, 5000])
def test_long_addresses_lead_nowhere(visitor, length):
    kept(visitor.session.library.root)
    long = "x" * length
    paths = [f"/{long}", f"/desk/s-{long}", f"/desk/{long}/0", f"/station/{long}", f"/pad/{long}"]
    paths += [f"/desk/n-0/{'9' * length}", f"/in/{long}", f"{visitor.begin()}/chapter/{long}"]
    codes = {path[:20]: visitor.get(path).status_code for path in paths}
    assert set(codes.values()) <= {403, 404}, codes


# -- connections


def test_a_page_is_answered_beside_500_connections_that_are_held_open(served):
    address = ("127.0.0.1", served.door.port)
    held = []
    try:
        for number in range(500):
            held.append(socket.create_connection(address))
            if number % 2:
                # A request that never ends.
                held[-1].sendall(b"POST /x HTTP/1.1\r\nHos")
        headers = {
            "Host": served.door.host,
            "Origin": served.door.origin,
            "Cookie": f"{served.door.cookie}={served.door.key}",
        }
        page = http.client.HTTPConnection(served.door.host, timeout=60)
        page.request("POST", f"{served.door.path}/here", "one", headers)
        assert page.getresponse().status == 204
        assert len(served._server.active_channels) <= MOST_CONNECTIONS + 1
    finally:
        for each in held:
            each.close()


def test_nothing_that_a_stranger_sends_is_stored(served):
    head = b"POST /x HTTP/1.1\r\nHost: x\r\nContent-Length: 20000000\r\n\r\n"
    with socket.create_connection(("127.0.0.1", served.door.port), timeout=60) as connection:
        connection.sendall(head)
        assert b" 400 " in connection.recv(4096), "refused before any of it is read"


def test_a_sign_of_life_is_served_before_what_waits():
    from render.desk.server import _Dispatcher

    class Channel:
        def __init__(self, path):
            self.requests = [type("Request", (), {"path": path})]

    dispatcher = _Dispatcher()
    for path in ("/k/desk/n-1/0/answer", "/k/here", "/k/desk/n-1/1/answer"):
        dispatcher.add_task(Channel(path))
    waiting = [channel.requests[0].path for channel in dispatcher.queue]
    assert waiting == ["/k/here", "/k/desk/n-1/0/answer", "/k/desk/n-1/1/answer"]


# -- large drawings


@pytest.mark.parametrize("kind", ["png", "jpeg", "webp"])
def test_a_drawing_is_held_as_large_as_it_is_shown(visitor, kind):
    at = visitor.begin()
    for shade in range(2):
        out = io.BytesIO()
        Image.new("RGB", (5000, 2900), (shade, 0, 0)).save(out, kind)
        reply = visitor.send(f"{at}/chapter/strokes/drop", out.getvalue(), f"image/{kind}")
        assert reply.status_code == 200
        assert re.search(r"data:image/png", json.dumps(reply.json))
    held = list(strokes_chapter._last_read.values())
    assert len(held) == 1
    raster = held[0].raster
    assert raster.width * raster.height <= strokes_chapter.MOST_SHOWN_PIXELS
    assert raster.width / raster.height == pytest.approx(5000 / 2900, rel=0.01)


# -- a large library


@pytest.mark.long
def test_a_desk_with_5000_kept_settings_reads_no_more_files_than_one_with_60(visitor, monkeypatch):
    from profiles.library import revisions

    root, seen = visitor.session.library.root, []
    read = revisions.read_unchanged
    monkeypatch.setattr(
        revisions,
        "read_unchanged",
        lambda path, *more: seen.append(path) or read(path, *more),
    )
    folder = kept(root).path.parent
    counts = {}
    for many in (60, 5000):
        for number in range(many):
            (folder / f"{number + 2:04d}-20200101-000000-{number:016x}.yaml").touch()
        kept(root, DESK.with_({"hold": "top" if many == 60 else "left"}))
        at = f"/desk/s-{folder.name}/0"
        visitor.session.drafts.forget(f"s-{folder.name}")
        seen.clear()
        page = visitor.get(at).text
        opened = len(seen)
        visitor.changed(at, {"turn": "90"})
        changed = len(seen) - opened
        chapter = visitor.get(f"{at}/chapter/kept").json["html"]
        counts[many] = (opened, changed, len(seen) - opened - changed)
        assert f"{library_count(folder)} settings of this desk are kept." in page
        assert chapter.count('class="setting"') == 24
        assert "Show more" in chapter
    assert counts[5000] == counts[60]
    assert max(counts[5000]) <= 30
    reply = visitor.post(f"{at}/chapter/kept/earlier", {"shown": 100})
    assert reply.json["html"].count('class="setting"') == 100


def library_count(folder):
    return len([*folder.glob("[0-9]*.yaml")])


# -- what hands and synced folders leave


@pytest.mark.parametrize("how", [*CONTENTS, *PLACES])
@pytest.mark.long
def test_a_library_and_a_draft_edited_by_hand_are_answered_in_words(how, tmp_path, monkeypatch):
    """Each way to one of the kinds of files; ``tests/fuzz/attack.py hands`` does all to all."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "in"
    visitor, at = library_in_use(folder)
    kinds = ("*/*/000[13]-*", "*/*/marks/*", "*/*/trials/*", "library.yaml", "../*-drafts/*")
    kind = kinds[[*CONTENTS, *PLACES].index(how) % len(kinds)]
    path = min((folder / "library").glob(kind))
    with contextlib.suppress(FileExistsError):
        edited(path, how, random.Random(3))
    wrong = walked(visitor, at)
    visitor.close()
    assert wrong == [], path
