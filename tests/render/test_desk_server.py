"""The desk's server.

Who may come in, what is written down, and that nothing is lost, whatever happens underneath.
"""

import contextlib
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from profiles.format.document import loads, to_yaml
from profiles.library.revisions import Library
from render.desk.address import ask_running
from render.desk.answer import answer
from render.desk.app import LARGEST_BODY, LARGEST_UPLOAD
from render.desk.bodies import Wish
from render.desk.drafts import MOST_ASIDE, MOST_STEPS, Drafts
from render.desk.server import DeskServer
from render.desk.shortcut import write_shortcut
from tests.visitor import DESK, Visitor, kept, whole


@pytest.fixture(autouse=True)
def _own_state(tmp_path_factory, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))


# -- who may come in


def test_an_address_works_once_and_its_cookie_is_seen_by_no_script(visitor):
    code = visitor.door.invite("/").rpartition("/")[2]
    bare = {"Host": visitor.door.host}
    first = visitor.client.get(visitor.at(f"/in/{code}"), headers=bare)
    assert (first.status_code, first.headers["Location"]) == (302, visitor.at("/"))
    cookie = first.headers["Set-Cookie"]
    assert f"Path={visitor.door.path}" in cookie
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    again = visitor.server.door.admit(code)
    assert again is None
    assert Visitor.get(visitor, f"/in/{code}").status_code == 403


@pytest.mark.parametrize(
    "path", ["/", "/example", "/desk/n-000000000000/0", "/look.css", "/static/desk.js"]
)
def test_nothing_is_shown_without_the_cookie(visitor, path):
    for cookie in ("", "x", f"{visitor.door.cookie}=wrong"):
        reply = visitor.client.get(
            visitor.at(path), headers={"Host": visitor.door.host, "Cookie": cookie}
        )
        assert reply.status_code == 403


@pytest.mark.parametrize(
    "path", ["/", "/example", "/favicon.ico", "//", "/x/", "/caf\u00e9/", "/../../etc/passwd"]
)
def test_nothing_is_there_but_under_the_random_path(visitor, path):
    for method in (visitor.client.get, visitor.client.post):
        reply = method(path, headers=visitor.headers)
        assert (reply.status_code, reply.text) == (404, "There is nothing here.")
        assert "default-src 'none'" in reply.headers["Content-Security-Policy"]


def test_port_and_path_are_other_ones_each_time(tmp_path):
    visitors = [Visitor(tmp_path / "library") for _ in range(3)]
    assert len({each.door.port for each in visitors}) == 3
    assert len({each.door.path for each in visitors}) == 3
    assert all(len(each.door.path) > 24 for each in visitors)
    for each in visitors:
        each.close()


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "evil.example"},
        {"Host": "localhost"},
        {"Host": "127.0.0.1"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_other_hosts_other_origins_and_foreign_pages_are_refused(visitor, headers):
    at = visitor.begin()
    assert visitor.post(f"{at}/answer", {}, **headers).status_code == 403
    if "Origin" not in headers:
        assert visitor.get(at, **headers).status_code == 403


def test_a_post_without_an_origin_is_refused(visitor):
    at = visitor.begin()
    headers = {name: value for name, value in visitor.headers.items() if name != "Origin"}
    assert visitor.client.post(f"{at}/answer", json={}, headers=headers).status_code == 403


def test_every_answer_has_the_policy_and_no_page_has_a_script_or_style_in_it(visitor):
    kept(visitor.session.library.root)
    at = visitor.begin()
    for path in ("/", at, "/desk/n-0/0", "/static/desk.js"):
        reply = visitor.get(path)
        policy = reply.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        if reply.mimetype == "text/html":
            assert not re.search(
                r"<style|\sstyle=|<script>|\son[a-z]+=|https?://(?!www\.w3\.org)", reply.text
            )


def test_a_body_has_a_limit(visitor):
    at = visitor.begin()
    assert visitor.post(f"{at}/answer", {"change": {"note": "x" * LARGEST_BODY}}).status_code == 413
    assert visitor.post(f"{at}/answer", {"change": {"tablet": "x" * 4001}}).status_code == 422


@pytest.mark.parametrize(
    "body",
    [
        {"change": {"colour": "red"}},
        {"change": {"tablet": 7}},
        {"pull": {"what": "area-top", "y": "far"}},
        {"pull": {"what": "moon", "y": 1}},
        {"pull": {"what": "area-top", "y": 1e308}},
        {"room": ["wide"]},
        {"room": [0, 0, 0]},
        [],
    ],
)
def test_nonsense_is_answered_with_words(visitor, body):
    reply = visitor.post(f"{visitor.begin()}/answer", body)
    assert reply.status_code == 422
    assert reply.json["wrong"]


def test_a_fault_of_the_program_is_a_sentence_too(visitor, monkeypatch):
    def fault(*_):
        raise ZeroDivisionError

    at = visitor.begin()
    with monkeypatch.context() as broken:
        broken.setattr("render.desk.app.outcome", fault)
        reply = visitor.post(f"{at}/answer", {})
    assert (reply.status_code, "went wrong inside the program" in reply.json["wrong"][0]) == (
        500,
        True,
    )


@pytest.mark.parametrize("id_", ["n-000000000000", "s-nobody", "..", "n-..%2f..", "x"])
def test_a_desk_that_is_not_there_is_a_page_that_says_so(visitor, id_):
    assert visitor.get(f"/desk/{id_}/0").status_code == 404


def test_what_can_hardly_be_meant_is_asked_about_at_the_top_and_no_option_is_named(visitor):
    for change, asks in (
        (
            {"distance": "7mm"},
            "Distance: 7 mm, but 200 to 10000 mm is usual: are the number and its unit right?",
        ),
        (
            {"tablet": "9,4x6mm"},
            "Tablet size: 9.4 × 6 mm is unlikely for a tablet: did you mean 9.4x6in?",
        ),
    ):
        page = visitor.get(visitor.begin(DESK.with_(change))).text
        assert f'<p class="notice">{asks}</p>' in whole(page)
        assert "read as" not in page


def test_names_are_shown_as_text(visitor):
    hostile = "</a><script>window.hit=1</script>\u202e&amp;"
    at = visitor.begin(DESK.with_({"name": hostile, "tablet": "<b>x: 240x152mm"}))
    page = visitor.get(at).text
    assert "<script>window" not in page
    assert "&lt;script&gt;" in page
    assert "<b>x" not in page


# -- drafts, keeping, undo


def test_a_change_is_there_after_a_new_start_and_says_that_it_is_not_kept(visitor):
    at = visitor.begin()
    at = visitor.changed(at, {"fit": "full"})["address"]
    at = visitor.changed(at, {"turn": "180"})["address"]
    other = Visitor(visitor.session.library.root)
    page = other.get(at[at.index("/desk/") :]).text
    assert "turned 180°" in page
    assert "may come out oval" in page
    assert 'id="keep"' in page
    assert "undo: how the tablet lies" in page
    assert "window desk" in other.get("/").text
    other.close()


def test_keeping_changes_from_two_windows_keeps_both(visitor):
    root = visitor.session.library.root
    at = visitor.begin()
    one = visitor.changed(at, {"fit": "full"})["address"]
    two = visitor.changed(at, {"turn": "180"})["address"]
    assert visitor.post(f"{one}/keep").json["says"] == "Kept as setting 1."
    other = kept(root, DESK.with_({"hold": "top"}))
    assert other.number == 2
    says = visitor.post(f"{two}/keep").json["says"]
    assert (
        says
        == "Kept as setting 3. Setting 2 was kept in another window meanwhile, and is still there."
    )
    library = Library(root)
    fits = [
        library.load(each).map.request
        for each in library.revisions(library.folder_of("window desk"))
    ]
    assert [(each.fit, each.tablet.turn_deg, each.hold) for each in fits] == [
        ("full", 0, "centre"),
        ("locked", 0, "top"),
        ("locked", 180, "centre"),
    ]


def test_a_desk_without_a_name_asks_for_one_before_it_is_kept(visitor):
    at = visitor.begin(DESK.with_({"name": " "}))
    assert visitor.post(f"{at}/keep").json["needs"] == "name"
    assert not visitor.session.library.root.exists()


def test_what_is_impossible_is_neither_kept_nor_downloaded(visitor):
    at = visitor.changed(visitor.begin(), {"scale": "1"})
    assert not at["possible"]
    assert "disabled" in at["parts"]["answer"]
    assert "Round" not in at["say"]
    assert "135" in at["parts"]["picture"], "the last possible picture stays"
    assert visitor.post(f"{at['address']}/keep").status_code == 422
    assert visitor.get(f"{at['address']}/profile.yaml").status_code == 422


def test_a_profile_that_was_kept_elsewhere_meanwhile_is_told_and_taken_with_one_click(visitor):
    root = visitor.session.library.root
    kept(root)
    at = visitor.get("/station/window-desk-97bfabd78d9aef1a").headers["Location"]
    at = visitor.changed(at, {"turn": "90"})["address"]
    kept(root, DESK.with_({"fit": "cropped"}))
    assert "kept in another window meanwhile, as setting 2" in visitor.get(at).text
    taken = visitor.post(f"{at}/take").json["address"]
    page = visitor.get(taken).text
    assert "part of the display is not used" in page
    assert "undo: what was kept" in page
    assert "meanwhile" not in page
    assert "turned 90° to the right" in visitor.get(at).text, "one undo brings the letter back"


def test_a_profile_file_that_changes_underneath_is_told(visitor, tmp_path):
    path = tmp_path / "desk.yaml"
    path.write_text(to_yaml(answer(DESK).workstation))
    draft = visitor.session.open_file(str(path))
    at = visitor.changed(f"/desk/{draft.id}/0", {"turn": "90"})["address"]
    path.write_text(to_yaml(answer(DESK.with_({"fit": "full"})).workstation))
    assert "changed by another program" in visitor.get(at).text
    assert "may come out oval" in visitor.get(visitor.post(f"{at}/take").json["address"]).text
    path.unlink()
    assert "is gone" in visitor.get(at).text


def test_a_torn_line_is_passed_over_and_the_next_begins_anew(tmp_path):
    drafts = Drafts(tmp_path / "library")
    draft = drafts.begin("n-1", {"new": True}, DESK)
    draft.change(0, "fit", DESK.with_({"fit": "full"}))
    with draft.path.open("ab") as file:
        file.write(b'{"step": 2, "after": 1, "said": {"na')
    again = Drafts(tmp_path / "library").get("n-1")
    assert again.said().fit == "full"
    again.change(again.at, "lying", again.said().with_({"turn": "90"}))
    assert Drafts(tmp_path / "library").get("n-1").said().turn == "90"


def test_a_long_draft_is_shortened_to_its_last_steps(tmp_path):
    drafts = Drafts(tmp_path / "library")
    draft = drafts.begin("n-1", {"new": True}, DESK)
    draft.change(0, "fit", DESK.with_({"fit": "full"}))
    with draft.path.open("a") as file:
        for number in range(2, MOST_STEPS + 20):
            said = {"displays": ["27in 2560x1440"], "tablet": f"{100 + number}x152mm"}
            file.write(
                json.dumps({"step": number, "after": number - 1, "about": "tablet", "said": said})
                + "\n"
            )
    again = Drafts(tmp_path / "library").get("n-1")
    assert again.said().tablet == f"{100 + MOST_STEPS + 19}x152mm"
    assert len(again.steps) == 500
    assert Drafts(tmp_path / "library").get("n-1").steps == again.steps


# -- the pad

STROKES = b'{"evenstroke_strokes": 1, "frame": "desktop_px", "strokes": [[[1, 2, 0.5]]]}\n'


@pytest.fixture
def pad(visitor, tmp_path):
    """The address of a pad for a profile in a folder of its own."""
    folder = tmp_path / "work"
    folder.mkdir()
    (folder / "desk.yaml").write_text(to_yaml(answer(DESK).workstation))
    return f"/pad/{visitor.session.open_pad(Wish(pad=[str(folder / 'desk.yaml')]))}"


def drawn(visitor, at, content=STROKES, kind="application/json", **more):
    return visitor.send(f"{at}/strokes", content, kind, **more)


def test_the_pad_is_a_page_that_saves_beside_the_profile_under_the_first_free_name(
    visitor, pad, tmp_path
):
    folder = tmp_path / "work"
    page = visitor.get(pad)
    assert (page.status_code, "window desk" in page.text) == (200, True)
    assert f'"save_to":"{visitor.at(pad)}/strokes"' in page.text
    (folder / "desk.strokes-2.json").write_text("mine")
    assert [drawn(visitor, pad).text for _ in range(2)] == [
        "desk.strokes-1.json",
        "desk.strokes-3.json",
    ]
    svg = b'<svg xmlns="http://www.w3.org/2000/svg"/>'
    assert drawn(visitor, pad, svg, "image/svg+xml").text == "desk.strokes-1.svg"
    (folder / "desk.yaml").unlink()
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == {
        "desk.strokes-1.json": STROKES,
        "desk.strokes-2.json": b"mine",
        "desk.strokes-3.json": STROKES,
        "desk.strokes-1.svg": svg,
    }


def test_what_cannot_be_strokes_is_refused_and_so_is_one_file_too_many(
    visitor, pad, tmp_path, monkeypatch
):
    before = set((tmp_path / "work").iterdir())
    assert drawn(visitor, pad, kind="text/html").status_code == 415
    assert drawn(visitor, pad, Origin="http://evil.example").status_code == 403
    assert visitor.get("/pad/0123456789ab").status_code == 404
    assert set((tmp_path / "work").iterdir()) == before
    monkeypatch.setattr("render.desk.pads.MOST_SAVED", 1)
    assert drawn(visitor, pad).status_code == 200
    reply = drawn(visitor, pad)
    assert (reply.status_code, "Move some away" in reply.text) == (422, True)
    monkeypatch.setattr("render.desk.pads.MOST_SAVED", 9)
    monkeypatch.setattr("render.desk.pads.MOST_SAVED_BYTES", 1000)
    (tmp_path / "work" / "desk.strokes-2.svg").write_bytes(bytes(1000))
    assert drawn(visitor, pad).status_code == 422


def test_what_lies_beside_drafts_is_bounded_and_the_oldest_goes_first(tmp_path, monkeypatch):
    draft = Drafts(tmp_path / "library").begin("n-1", {"new": True}, DESK)
    monkeypatch.setattr("render.desk.drafts.MOST_ASIDE_BYTES", 1000)
    for at in range(70):
        draft.put(f"a{at:02}", b"x")
    assert len(list(draft.path.parent.iterdir())) == MOST_ASIDE
    assert (draft.get("a00"), draft.get("a69")) == (None, b"x")
    draft.put("b", bytes(990))
    assert sum(path.stat().st_size for path in draft.path.parent.iterdir()) <= 1000
    assert draft.get("b") is not None


def test_a_folder_that_is_gone_is_said(visitor, pad, tmp_path):
    (tmp_path / "work" / "desk.yaml").unlink()
    (tmp_path / "work").rmdir()
    reply = drawn(visitor, pad)
    assert reply.status_code == 422
    assert "work" in reply.text


# -- the whole program


class Program:
    """``evenstroke desk`` as its own process."""

    def __init__(self, library, *arguments, code=""):
        self.library = library
        command = [
            sys.executable,
            "-m",
            "render.cli",
            "desk",
            "--no-browser",
            "--library",
            str(library),
            *arguments,
        ]
        command = [sys.executable, "-c", code, str(library)] if code else command
        # A job in the background may have been told to pass over Ctrl+C, and would hand that on.
        hears = (
            None
            if sys.platform == "win32"
            else lambda: signal.signal(signal.SIGINT, signal.SIG_DFL)
        )
        self.process = subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            preexec_fn=hears,  # noqa: PLW1509 - one call, which takes no lock
        )
        self.first = self.process.stdout.readline()
        self.address = re.search(r"http://(127\.0\.0\.1:(\d+))(/[\w-]+)/in/\S+", self.first)
        assert self.address, self.first + self.process.stderr.read()
        self.host, self.port, self.path = self.address[1], int(self.address[2]), self.address[3]
        self.cookie = ""

    def ask(self, method, path, data=None):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            body = data
            if data is not None and not isinstance(data, str):
                body = json.dumps(data)
            headers = {
                "Origin": f"http://{self.host}",
                "Cookie": self.cookie,
                "Content-Type": "application/json",
            }
            connection.request(
                method, path if path.startswith(self.path) else self.path + path, body, headers
            )
            reply = connection.getresponse()
            if "Set-Cookie" in reply.headers:
                self.cookie = reply.headers["Set-Cookie"].partition(";")[0]
            return reply.status, reply.headers.get("Location"), reply.read().decode()
        finally:
            connection.close()

    def post(self, path, data):
        """What comes back as JSON."""
        return json.loads(self.ask("POST", path, data)[2])

    def come_in(self):
        return self.ask("GET", "/in/" + self.address[0].rpartition("/")[2])[1]

    def end(self):
        self.process.kill()
        self.process.communicate(timeout=60)


@pytest.fixture
def program(tmp_path):
    running = []

    def start(*arguments):
        running.append(Program(tmp_path / "library", *arguments))
        return running[-1]

    yield start
    for each in running:
        each.end()


def test_it_listens_on_the_loopback_address_alone(program):
    port = program().port
    other = [info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    for address in {address for address in other if not address.startswith("127.")}:
        with pytest.raises(OSError), socket.create_connection((address, port), timeout=2):  # noqa: PT011
            pass


def test_strokes_that_break_off_are_not_saved(program, tmp_path):
    (tmp_path / "desk.yaml").write_text(to_yaml(answer(DESK).workstation))
    running = program()
    running.come_in()
    code, out = second_start(tmp_path, "pad", tmp_path / "desk.yaml", "--serve", "--no-browser")
    assert (code, "the pad is at" in out) == (0, True), "the server that runs already has it"
    at = running.ask("GET", "/in/" + out.split()[-1].rpartition("/")[2])[1]
    head = (
        f"POST {at}/strokes HTTP/1.1\r\nHost: {running.host}\r\nOrigin: http://{running.host}\r\n"
    )
    with socket.create_connection(("127.0.0.1", running.port), timeout=10) as connection:
        large = (
            head.replace("strokes HTTP", "answer HTTP")
            + f"Content-Length: {LARGEST_UPLOAD + 1}\r\n\r\n"
        )
        connection.sendall(large.encode())
        assert b" 413 " in connection.recv(4096), "refused before any of it is read"
    with socket.create_connection(("127.0.0.1", running.port), timeout=10) as connection:
        head += (
            f"Cookie: {running.cookie}\r\nContent-Type: application/json\r\nContent-Length: "
            f"100\r\n\r\n["
        )
        connection.sendall(head.encode())
        connection.shutdown(socket.SHUT_WR)
        connection.recv(4096)
    assert [path.name for path in tmp_path.glob("desk*")] == ["desk.yaml"]
    assert running.ask("POST", f"{at}/strokes", "[]")[2] == "desk.strokes-1.json"


def second_start(folder, *arguments):
    command = [
        sys.executable,
        "-m",
        "render.cli",
        *map(str, arguments),
        "--library",
        str(folder / "library"),
    ]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    return ran.returncode, ran.stdout


def test_a_page_that_is_loaded_again_keeps_it_alive_and_a_long_silence_ends_it(tmp_path):
    server = DeskServer(Library(tmp_path / "library"), silence_s=1.5, grace_s=0.6)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    server.session.here("one")
    server.session.bye("one")
    server.session.here("two")
    thread.join(0.9)
    assert thread.is_alive(), "the same page again, within the grace"
    thread.join(10)
    assert not thread.is_alive()


@pytest.mark.parametrize(
    "ask",
    [
        lambda visitor, at: visitor.post(f"{at}/answer", {"change": {"turn": "90"}}),
        lambda visitor, at: visitor.post(f"{at}/keep"),
        lambda visitor, at: visitor.send(f"{at}/chapter/strokes/drop", b"x", "image/png"),
        lambda visitor, _: visitor.post("/bring"),
        lambda visitor, _: visitor.get("/static/desk.css"),
        lambda visitor, at: visitor.get(f"{at}/figures"),
    ],
)
def test_whoever_asks_is_there_and_a_stranger_is_not(visitor, ask):
    at, session = visitor.begin(), visitor.session
    session._ends_at = time.monotonic() + 1
    visitor.client.post(visitor.at(f"{at}/answer"), headers={"Host": visitor.door.host})
    assert session._ends_at < time.monotonic() + 2, "without its key"
    ask(visitor, at)
    assert session._ends_at > time.monotonic() + 100
    visitor.post("/bye", {})
    session.bye("one")
    assert session._ends_at < time.monotonic() + 10, "and the last goodbye still ends it"


def test_it_ends_with_its_last_page(program):
    running = program()
    running.come_in()
    running.ask("POST", "/here", "one")
    running.ask("POST", "/here", "two")
    running.ask("POST", "/bye", "one")
    time.sleep(0.5)
    assert running.process.poll() is None
    running.ask("POST", "/bye", "two")
    out, err = running.process.communicate(timeout=60)
    assert (running.process.returncode, err) == (0, "")
    assert out.endswith("The desk is closed.\n")


@pytest.mark.skipif(sys.platform == "win32", reason="signals are a matter of POSIX")
def test_ctrl_c_ends_it_quietly(program):
    running = program()
    running.process.send_signal(signal.SIGINT)
    out, err = running.process.communicate(timeout=60)
    assert (running.process.returncode, err) == (0, "")
    assert out.endswith("The desk is closed.\n")


def test_a_second_start_finds_the_running_one_and_a_stranger_does_not(program, tmp_path, run_alone):
    running = program()
    code, out, _ = run_alone("desk", "--no-browser", "--library", tmp_path / "library")
    assert code == 0
    address = re.search(r"http://127\.0\.0\.1:(\d+)/[\w-]+/in/(\S+)", out)
    assert int(address[1]) == running.port
    assert running.ask("GET", f"/in/{address[2]}")[:2] == (302, f"{running.path}/")
    assert running.ask("POST", "/again", {})[0] == 403
    state = next(Path(os.environ["XDG_STATE_HOME"]).rglob("desk-*.json"))
    if sys.platform != "win32":
        assert state.stat().st_mode & 0o077 == 0
    running.end()
    assert ask_running(tmp_path / "library", {}) is None


def test_it_opens_the_desk_that_is_named(program, tmp_path, run_alone):
    revision = kept(tmp_path / "library")
    named = program("window desk")
    assert named.come_in() == f"{named.path}/desk/s-{revision.path.parent.name}/0"
    code, _, err = run_alone("desk", "--library", tmp_path / "other", "nobody's desk")
    assert code in {1, 2}
    assert "nobody's desk" in err or "library" in err


@pytest.mark.parametrize("after_s", [0.02, 0.11, 0.23])
def test_kill_in_the_midst_of_editing_and_keeping_loses_nothing_that_was_answered(
    program, tmp_path, after_s
):
    running = program()
    running.come_in()
    at = running.ask("GET", "/example")[1]
    answered, kept_ = [], []

    def work():
        address = at
        for number in range(500):
            try:
                change = {"tablet": f"{150 + number}x152mm", "name": "window desk"}
                address = running.post(f"{address}/answer", {"change": change, "commit": True})[
                    "address"
                ]
                answered.append(change["tablet"])
                kept_.append(running.post(f"{address}/keep", {})["says"])
            except (OSError, http.client.HTTPException, ValueError, KeyError):
                return

    thread = threading.Thread(target=work)
    thread.start()
    while not kept_ and thread.is_alive():
        time.sleep(0.005)
    time.sleep(after_s)
    running.end()
    thread.join(60)
    drafts, library = Drafts(tmp_path / "library"), Library(tmp_path / "library")
    draft = drafts.get(at.split("/")[3])
    said = [step.said.tablet for step in draft.steps.values()]
    assert answered
    assert [tablet for tablet in answered if tablet not in said] == []
    revisions = library.revisions(library.folder_of("window desk"))
    assert len(revisions) >= len(kept_) > 0
    for revision in revisions:
        library.load(revision)


# -- folders that nobody may write, and a disk that is full, for real


# Permissions do not bind root, who becomes the user nobody once the server listens and all modules
# are there.
SERVED = """
import os, sys
from profiles.library.revisions import Library
from render.desk.app import context, warm
from render.desk.server import DeskServer
import mapper.rounding.rounded, profiles.library.audit, render.reports.text, tempfile
server = DeskServer(Library(sys.argv[1]))
warm(server.app, server.session)
for name in server.app.jinja_env.list_templates():  # the checkout may lie where nobody may read
    server.app.jinja_env.get_template(name)
if not os.geteuid():
    os.setgroups([])
    os.setresgid(65534, 65534, 65534)
    os.setresuid(65534, 65534, 65534)
print(f"The desk is at {server.door.invite('/')}", flush=True)
server.run()
"""


@pytest.mark.skipif(os.name != "posix", reason="needs Unix's users")
def test_a_library_that_may_only_be_read_is_shown_and_what_is_changed_is_not_lost(
    open_folder, monkeypatch
):
    revision = kept(open_folder / "library")
    (open_folder / "library-drafts").mkdir()
    for path in [open_folder, *open_folder.rglob("*")]:
        if path.is_dir():
            path.chmod(0o555)
    monkeypatch.setenv("XDG_STATE_HOME", str(open_folder))
    running = Program(open_folder / "library", code=SERVED)
    try:
        running.come_in()
        assert "window desk" in running.ask("GET", "/")[2]
        at = running.ask("GET", f"/station/{revision.path.parent.name}")[1]
        said = running.post(f"{at}/answer", {"change": {"fit": "full"}, "commit": True})
        notices = re.sub(r"<[^>]*>", " ", said["parts"]["notices"])
        assert "Your changes cannot be saved: Permission denied." in notices
        assert "download the profile" in notices
        reply = running.ask("POST", f"{said['address']}/keep", {})
        assert (reply[0], "Permission denied" in reply[2], "Traceback" in reply[2]) == (
            422,
            True,
            False,
        )
        # What was said is still there, at its step and as a file to take away.
        assert "may come out oval" in running.ask("GET", said["address"])[2]
        profile = running.ask("GET", f"{said['address']}/profile.yaml")[2]
        assert loads(profile, "page").map.request.fit == "full"
    finally:
        running.end()
    assert [path.name for path in (open_folder / "library-drafts").iterdir()] == []
    assert Library(open_folder / "library").newest(revision.path.parent).number == 1


def test_a_full_disk_is_said_and_once_there_is_room_all_is_written(
    small_disk, monkeypatch, tmp_path
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    revision = kept(small_disk / "library")
    filler = small_disk / "filler"
    running = Program(small_disk / "library")
    try:
        running.come_in()
        at = running.ask("GET", f"/station/{revision.path.parent.name}")[1]
        with filler.open("wb", buffering=0) as file, contextlib.suppress(OSError):
            while True:
                file.write(b"x" * 512)
        said = running.post(f"{at}/answer", {"change": {"fit": "full"}, "commit": True})
        assert "No space left on device" in said["parts"]["notices"]
        reply = running.ask("POST", f"{said['address']}/keep", {})
        assert (reply[0], "No space left on device" in reply[2]) == (422, True)
        filler.unlink()
        said = running.post(f"{said['address']}/answer", {"change": {"turn": "90"}, "commit": True})
        assert "No space" not in said["parts"]["notices"]
        assert "Kept as setting 2" in running.ask("POST", f"{said['address']}/keep", {})[2]
    finally:
        running.end()
    steps = Drafts(small_disk / "library").get(said["address"].split("/")[3]).steps.values()
    assert [step.about for step in steps] == ["", "fit", "lying"]


def test_a_page_that_can_be_used_needs_nothing_from_elsewhere_and_is_small(visitor):
    page = visitor.get(visitor.begin()).text
    size, seen = len(page.encode()), set()
    waiting = ["/look.css", "/static/desk.css", "/static/desk.js", "/static/icon.svg"]
    while waiting:
        path = waiting.pop()
        if path in seen:
            continue
        seen.add(path)
        text = visitor.get(path).text
        size += len(text.encode())
        waiting += [
            f"/static/{name}" for name in re.findall(r'(?:from|import) "\./([a-z]+\.js)"', text)
        ]
        assert not re.search(r"https?://(?!www\.w3\.org)", text)
    assert len(seen) > 10
    assert size < 150_000


@pytest.mark.parametrize(
    ("system", "name"),
    [
        ("linux", "evenstroke-desk.desktop"),
        ("darwin", "Evenstroke desk.command"),
        ("win32", "Evenstroke desk.vbs"),
    ],
)
def test_the_shortcut_is_what_each_system_starts(tmp_path, monkeypatch, system, name):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("APPDATA", str(tmp_path / "menu"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    program = tmp_path / 'a "b" $c' / "evenstroke-desk"
    monkeypatch.setattr("render.desk.shortcut._program", lambda: str(program))
    for folder in (
        tmp_path / "Desktop",
        tmp_path / "menu" / "Microsoft" / "Windows" / "Start Menu" / "Programs",
    ):
        folder.mkdir(parents=True)
    path = write_shortcut(system)
    assert path.name == name
    content = path.read_bytes()
    if system == "linux":
        text = content.decode()
        assert text.startswith("[Desktop Entry]\nType=Application\n")
        escaped = str(program).replace("\\", "\\\\").replace('"', '\\\\"').replace("$", "\\\\$")
        assert f'Exec="{escaped}"\n' in text
        assert (
            tmp_path / "data" / "icons" / "hicolor" / "scalable" / "apps" / "evenstroke.svg"
        ).exists()
    elif system == "darwin":
        program.parent.mkdir()
        program.write_text("#!/bin/sh\necho started\n")
        program.chmod(0o755)
        assert (
            subprocess.run([path], capture_output=True, text=True, check=True).stdout == "started\n"
        )
    else:
        assert str(program).replace('"', '""') in content.decode("utf-16")


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"slant": "10", "entry": "centre in from bottom-left comma"},
        {
            "turn": "90",
            "step": "0.5mm",
            "onto": "all",
            "displays": ["main: 27in 2560x1440 zoom 1.25 at 0,0", "side: 24in 1920x1080 at 2560,0"],
        },
    ],
)
def test_the_page_of_all_figures_has_every_number_of_the_report_and_names_no_option(
    visitor, change
):
    from render.reports.text import map_text

    at = visitor.changed(visitor.begin(), change)["address"] if change else visitor.begin()
    page = visitor.get(f"{at}/figures").text
    now = answer(DESK.with_(change))
    words = re.sub(r"<[^>]*>", " ", page)
    report = re.sub(r": --shape.*", "", map_text(now.solved, now.entry))
    assert set(re.findall(r"[-\d.,]*\d", report)) <= set(re.findall(r"[-\d.,]*\d", words))
    assert "--" not in words
    assert not re.search(r"-0(?![.\d])", words)
    for value in now.solved.built_mm_to_desktop_px.rows[0]:
        assert f"{value:.9g}" in words


def test_what_was_never_kept_can_be_thrown_away_and_brought_back(visitor):
    at = visitor.changed(visitor.begin(), {"fit": "full"})["address"]
    id_ = at.split("/")[3]
    visitor.session.drafts.get(id_).put("drawing", b"dropped")
    assert f'data-forget="{id_}"' in visitor.get("/").text
    assert visitor.post(f"/desk/{id_}/forget").status_code == 200
    assert not [*visitor.session.drafts.folder.glob(f"{id_}*")]
    assert id_ not in visitor.get("/").text
    assert visitor.get(at).status_code == 404
    assert visitor.post(f"/desk/{id_}/forget").status_code == 404
    assert visitor.post(f"/desk/{id_}/restore").status_code == 200
    assert "may come out oval" in visitor.get(at).text
    again = Drafts(visitor.session.library.root).get(id_)
    assert (again.said().fit, again.get("drawing")) == ("full", b"dropped")
    kept(visitor.session.library.root)
    assert visitor.post("/desk/s-window-desk-97bfabd78d9aef1a/forget").status_code == 404
