"""The served pad: who may reach it, what it saves and that it ends."""

import http.client
import socket
import threading
import time

import pytest

from render.desk.pad_page import Page
from render.desk.pad_server import LARGEST_STROKES_BYTES, PadServer

STROKES = b'{"evenstroke_strokes": 1, "frame": "desktop_px", "strokes": [[[1, 2, 0.5]]]}\n'


class Running:
    """A pad that is served in a thread of its own."""

    def __init__(self, folder, **times):
        self.pages = []
        self.pad = PadServer(self._page, folder, "desk", **times)
        self.host = self.pad.host
        self.port = int(self.host.partition(":")[2])
        self.path = self.pad.url.removeprefix(f"http://{self.host}")
        self.thread = threading.Thread(target=self.pad.run, daemon=True)
        self.thread.start()

    def _page(self, name):
        self.pages.append(name)
        return Page("<!doctype html><title>pad</title>", "default-src 'none'")

    def ask(self, method, path, body=None, **headers):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        try:
            given = {"Host": self.host, "Origin": f"http://{self.host}", "Content-Type": "application/json"}
            given |= {name.replace("_", "-"): value for name, value in headers.items()}
            connection.request(method, path, body, {name: value for name, value in given.items() if value is not None})
            answer = connection.getresponse()
            return answer.status, answer.read().decode(), answer.headers
        finally:
            connection.close()

    def ended_within(self, seconds):
        self.thread.join(seconds)
        return not self.thread.is_alive()


@pytest.fixture
def running(tmp_path):
    served = Running(tmp_path, silence_s=30.0, grace_s=0.0)
    yield served
    for name in served.pages or ["none"]:
        served.pad.bye(name)
    assert served.ended_within(10)


def test_it_listens_on_the_loopback_address_alone(running):
    assert running.pad.url.startswith("http://127.0.0.1:")
    other = [info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    for address in {address for address in other if not address.startswith("127.")}:
        with pytest.raises(OSError), socket.create_connection((address, running.port), timeout=2):  # noqa: PT011
            pass


def test_port_and_path_are_other_ones_each_time(tmp_path):
    pads = [PadServer(lambda _: Page("", ""), tmp_path, "desk", silence_s=0) for _ in range(3)]
    assert len({pad.host for pad in pads}) == 3
    assert len({pad.url.rsplit("/", 2)[1] for pad in pads}) == 3
    assert all(len(pad.url.rsplit("/", 2)[1]) >= 24 for pad in pads)
    for pad in pads:
        pad.run()


def test_the_page_is_served_with_its_policy_and_is_not_kept(running):
    status, text, headers = running.ask("GET", running.path, Origin=None)
    assert (status, text) == (200, "<!doctype html><title>pad</title>")
    assert headers["Content-Type"] == "text/html; charset=utf-8"
    assert headers["Content-Security-Policy"] == "default-src 'none'; frame-ancestors 'none'"
    assert (headers["Cache-Control"], headers["X-Content-Type-Options"]) == ("no-store", "nosniff")
    running.ask("GET", running.path)
    assert len(set(running.pages)) == 2


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "127.0.0.1", "127.0.0.1:1", "", None])
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_host_is_refused(running, tmp_path, method, host):
    connection = http.client.HTTPConnection("127.0.0.1", running.port, timeout=10)
    connection.putrequest(method, f"{running.path}{'strokes' if method == 'POST' else ''}", skip_host=True)
    if host is not None:
        connection.putheader("Host", host)
    connection.putheader("Origin", f"http://{running.host}")
    connection.putheader("Content-Type", "application/json")
    connection.putheader("Content-Length", "2")
    connection.endheaders(b"[]")
    assert connection.getresponse().status == 403
    connection.close()
    assert not running.pages
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("path", ["/", "/favicon.ico", "//", "/x/", "/%2e%2e/", "/../../etc/passwd"])
def test_another_path_is_nothing(running, path):
    assert running.ask("GET", path)[0] == 404
    assert running.ask("POST", f"{path}/strokes", STROKES)[0] == 404


def test_a_path_may_hold_any_character(running):
    assert running.pad.owns("/caf\u00e9/") is None
    assert running.pad.owns(running.path) == ""


def test_nothing_but_the_page_is_under_the_path(running):
    assert running.ask("GET", f"{running.path}strokes")[0] == 404
    assert running.ask("POST", running.path, STROKES)[0] == 404
    assert running.ask("POST", f"{running.path}other", STROKES)[0] == 404
    assert running.ask("PUT", f"{running.path}strokes", STROKES)[0] == 501


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example", "https://127.0.0.1"])
def test_strokes_are_taken_from_the_pads_own_page_alone(running, tmp_path, origin):
    assert running.ask("POST", f"{running.path}strokes", STROKES, Origin=origin)[0] == 403
    assert not list(tmp_path.iterdir())


def test_strokes_are_saved_beside_the_profile_under_the_first_free_name(running, tmp_path):
    (tmp_path / "desk.strokes-2.json").write_text("mine")
    names = [running.ask("POST", f"{running.path}strokes", STROKES)[1] for _ in range(2)]
    assert names == ["desk.strokes-1.json", "desk.strokes-3.json"]
    svg = b'<svg xmlns="http://www.w3.org/2000/svg"/>'
    assert running.ask("POST", f"{running.path}strokes", svg, Content_Type="image/svg+xml")[1] == "desk.strokes-1.svg"
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {
        "desk.strokes-1.json": STROKES,
        "desk.strokes-2.json": b"mine",
        "desk.strokes-3.json": STROKES,
        "desk.strokes-1.svg": svg,
    }


def test_what_cannot_be_strokes_is_refused(running, tmp_path):
    assert running.ask("POST", f"{running.path}strokes", STROKES, Content_Type="text/html")[0] == 415
    for length in (str(LARGEST_STROKES_BYTES + 1), "-1", "x", "\u00b2".encode().decode("latin-1"), "9" * 40, ""):
        assert running.ask("POST", f"{running.path}strokes", None, Content_Length=length)[0] == 413, length
    assert not list(tmp_path.iterdir())


def test_strokes_that_break_off_are_not_saved(running, tmp_path):
    with socket.create_connection(("127.0.0.1", running.port), timeout=10) as connection:
        head = f"POST {running.path}strokes HTTP/1.1\r\nHost: {running.host}\r\nOrigin: http://{running.host}\r\n"
        connection.sendall(f"{head}Content-Type: application/json\r\nContent-Length: 100\r\n\r\n[".encode())
        connection.shutdown(socket.SHUT_WR)
        assert b" 400 " in connection.recv(4096)
    assert not list(tmp_path.iterdir())


def test_a_folder_that_cannot_be_written_is_said(running, tmp_path):
    tmp_path.rmdir()
    status, text, _ = running.ask("POST", f"{running.path}strokes", STROKES)
    assert status == 500
    assert "could not be written" in text


def test_it_ends_when_the_last_page_says_goodbye(tmp_path):
    served = Running(tmp_path, silence_s=60.0, grace_s=0.3)
    served.ask("GET", served.path)
    served.ask("GET", served.path)
    one, two = served.pages
    assert served.ask("POST", f"{served.path}bye", one, Content_Type="text/plain")[0] == 204
    assert not served.ended_within(0.8)
    assert served.ask("POST", f"{served.path}bye", two, Content_Type="text/plain")[0] == 204
    assert served.ended_within(5)


def test_a_page_that_is_loaded_again_keeps_it_alive(tmp_path):
    served = Running(tmp_path, silence_s=60.0, grace_s=2.0)
    served.ask("GET", served.path)
    served.ask("POST", f"{served.path}bye", served.pages[0], Content_Type="text/plain")
    served.ask("GET", served.path)
    assert not served.ended_within(2.5)
    served.ask("POST", f"{served.path}bye", served.pages[1], Content_Type="text/plain")
    assert served.ended_within(5)


def test_it_ends_after_a_long_silence(tmp_path):
    served = Running(tmp_path, silence_s=1.5)
    served.ask("GET", served.path)
    for _ in range(5):
        time.sleep(0.4)
        assert served.ask("POST", f"{served.path}here", served.pages[0], Content_Type="text/plain")[0] == 204
    assert served.ended_within(5)
