"""Names and notes from strangers in each output: text, and nothing of the line around it moves.

Control characters reach no terminal, templates stay letters, and a name written from right to left
is isolated. Data for other programs holds a name exactly as it was given.
"""

import csv
import io
import json
import re
import unicodedata
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import pytest
import yaml

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest
from mapper.phrases import in_line
from mapper.seat import Seat
from mapper.solving import solve
from profiles.format.document import Workstation, save
from profiles.library.revisions import Library
from profiles.library.trial_book import add_all, felt_at
from render.canvas.lettering import letters, width_mm
from tests.profiles.libraries import NOW

NAMES = {
    "a terminal's": "desk\x1b]0;x\x07\x1b[31m \x9b2J a\x08b",
    "two lines": "desk\r\nall is well\u2028and\x85more",
    "turning": "desk\u202e 27 \u2066in\u202d",
    "from right to left": "مكتب 2",
    "from right to left, ending ours": "\u2069\u2069משך (3)\u200f",
    "a template": "{{89*97}}{% raw %}{0}{width}{desk} %s %(x)s ${HOME} $x$ \\frac{1}{2} <%= 1 %>",
    "a tag": "<img src=x onerror=alert(1)> &lt;b&gt; ]]> --> </title></svg></script>",
}

#: One command a line; DESK stands for the profile's file and STATION for the workstation's folder.
COMMANDS = """
map DESK
map DESK --as json
map DESK --fit full
report DESK
report DESK --as json
report DESK --as yaml
seat DESK
travel DESK
travel DESK --as csv
advise DESK
explain 0,0,100x100mm DESK
check DESK
table DESK
table DESK --as markdown
table DESK --as csv
table DESK --as json
pair --tablets named.csv
pair --tablets named.csv --as markdown
pair --tablets named.csv --as csv
pair --tablets named.csv --want 2.5 --displays sized.txt
picture DESK out.svg
picture DESK fits.svg --view fits
picture DESK desk.svg --view desk
picture DESK glance.svg --view glance
picture DESK --describe
sheet DESK wall.svg
pad DESK pad.html
keep DESK --note NAME
keep DESK --note NAME
stations
stations --as json
history STATION
history STATION --as json
pin STATION 1 --note NAME
recall STATION
recall STATION --as yaml
changes STATION 1 1
here DESK
here
retire STATION
retire STATION --undo
export out.zip
audit
felt STATION --score 4 --note NAME --who NAME
book
book --as csv
book --as json
book --grid
book --grid --as json
book --calendar
band
band --as json
plan-trials
plan-trials --as markdown
plan-trials --as csv
plan-trials --as calendar
study study.html study.md
report nowhere/NAME
""".strip().splitlines()
#: Letters that are drawn, which nobody reads here: they come out, whatever a name holds.
DRAWN = """
picture DESK out.png
picture DESK out.pdf
sheet DESK wall.pdf
stencil DESK stencil.pdf
study study.pdf
""".strip().splitlines()


def desk_of(name):
    """A desk of which everything bears the name."""
    desktop = Desktop(
        (
            Display(2560, 1440, diagonal_mm=685.8, label=name),
            Display(1920, 1080, diagonal_mm=609.6, left_px=2560, label=f"{name} b"),
        )
    )
    request = MapRequest(Tablet(240, 152, label=name), desktop, onto=(name,))
    return Workstation(name, solve(request), name, Seat(700))


@pytest.fixture(params=NAMES, ids=lambda name: name.replace(" ", "-"))
def strange(request, tmp_path, monkeypatch):
    """A strange name, a desk of that name in the folder, and a library with a book about it."""
    name = NAMES[request.param]
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    desk = desk_of(name)
    save(desk, tmp_path / "desk.yaml")
    kept, _ = Library(tmp_path / "library").keep(desk, note=name, now=NOW)
    notes = [
        felt_at(desk, date=f"2026-02-{day:02d}", doing="drawing", score=score, who=name, note=name)
        for day, score in enumerate([4, 3, 5, 4, 2, 4, 4, 5, 3, 4], 1)
    ]
    add_all(Library(tmp_path / "library"), notes)
    with (tmp_path / "named.csv").open("w", encoding="utf-8", newline="") as file:
        rows = [["label", "size"], [name, "240x152mm"], ["plain", "160x100mm"]]
        csv.writer(file).writerows(rows)
    (tmp_path / "sized.txt").write_text("27in 2560x1440\n")
    return name, kept.path.parent.name


def wrong_with(text, name):
    """What is wrong with a text for people in which the name stands; empty where nothing is."""
    found = []
    for line in text.split("\n"):
        # A calendar's lines end in CR and LF (RFC 5545).
        if any(unicodedata.category(char) == "Cc" for char in line.rstrip("\r")):
            found.append(f"control: {line!r}")
        if re.search("[\u202a-\u202e\u2028\u2029]", line):
            found.append(f"turns: {line!r}")
        outside: list[str] = []
        depth = 0
        for char in line:
            depth += {"\u2066": 1, "\u2067": 1, "\u2068": 1, "\u2069": -1}.get(char, 0)
            outside += [char] * (depth == 0)
            if depth < 0:
                break
        if depth:
            found.append(f"unbalanced: {line!r}")
        if any(unicodedata.bidirectional(char) in {"R", "AL"} for char in outside):
            found.append(f"not isolated: {line!r}")
    if "89*97" in name and re.search(r"(?<![\d.])8633(?!\d)", text) and "89*97" not in text:
        found.append("computed")
    return found


class PageTexts(HTMLParser):
    """The texts of a page for people: of elements, with whether in <bdi>, and of attributes."""

    #: Attributes that hold no text of ours around a name.
    ALONE = frozenset({"value", "data-name", "placeholder"})

    def __init__(self):
        super().__init__()
        self.texts, self._open = [], []

    def handle_starttag(self, tag, attrs):
        assert ("src", "x") not in attrs
        assert not any(key.startswith("on") for key, _ in attrs), attrs
        self.texts += [
            value
            for key, value in attrs
            if value and key in {"title", "aria-label", "alt", "aria-valuetext"}
        ]
        if tag not in {"meta", "link", "br", "img", "input", "hr"}:
            self._open.append(tag)

    def handle_endtag(self, tag):
        while self._open and self._open.pop() != tag:
            pass

    def handle_data(self, data):
        if not {"bdi", "script", "style"} & {*self._open}:
            self.texts += data.split("\n")


def in_file(path, name):
    """What is wrong with the texts of a file that a command wrote."""
    if path.suffix == ".svg":
        root = ET.fromstring(path.read_text("utf-8"))  # noqa: S314 - of our own writing
        texts = [*root.itertext()]
        texts += [value for each in root.iter() for value in each.attrib.values()]
        assert {each.tag.rpartition("}")[2] for each in root.iter()}.isdisjoint({"img", "script"})
        return [wrong for text in texts for wrong in wrong_with(text, name)]
    if path.suffix == ".html":
        page = PageTexts()
        page.feed(path.read_text("utf-8"))
        return [wrong for text in page.texts for wrong in wrong_with(text.strip(), name)]
    if path.suffix in {".md", ".ics"}:
        return wrong_with(path.read_text("utf-8"), name)
    return []


def data_texts(form, out):
    """All texts of data that was printed."""
    if form == "csv":
        return {cell for row in csv.reader(io.StringIO(out, newline="")) for cell in row}
    found, left = set(), [json.loads(out) if form == "json" else yaml.safe_load(out)]
    for each in left:
        if isinstance(each, dict):
            left += [*each, *each.values()]
        elif isinstance(each, list):
            left += each
        else:
            found.add(each)
    return found


@pytest.mark.parametrize("strange", ["a terminal's", "a template"], indirect=True)
@pytest.mark.parametrize("line", DRAWN)
@pytest.mark.usefixtures("strange")
def test_strange_names_are_drawn(run, line):
    code, _, err = run(*line.replace("DESK", "desk.yaml").split(" "))
    assert (code, err) == (0, ""), line


def test_strange_names_move_nothing_in_any_output(strange, run, tmp_path):
    name, folder = strange
    found, exact, before = {}, {}, set()
    for line in COMMANDS:
        put = {"DESK": "desk.yaml", "STATION": folder, "NAME": name, "nowhere/NAME": "no/" + name}
        code, out, err = run(*(put.get(word, word) for word in line.split(" ")))
        assert code in {0, 1, 2}, (line, err)
        wrong = wrong_with(err, name)
        form = line.partition("--as ")[2]
        if form in {"json", "yaml", "csv"}:
            exact[line] = data_texts(form, out) if code == 0 else {err}
        else:
            wrong += wrong_with(out, name)
        for path in {*tmp_path.glob("*.*")} - before:
            wrong += in_file(path, name)
            before.add(path)
        if wrong or (code == 2 and "nowhere" not in line):
            found[line] = wrong or err
    assert found == {}
    for line in ("table DESK --as csv", "book --as csv", "book --as json", "stations --as json"):
        assert name in exact[line], f"{line}: data holds the name itself"


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_a_name_in_a_line_stays_itself_and_once_is_enough(name):
    shown = in_line(name)
    assert in_line(shown) == shown
    assert wrong_with(f"{shown}: 2", name) == []
    kept = re.sub("[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]+", "", name)
    assert re.sub("[ \ufffd\u2066-\u2069]+", "", shown) == kept.replace(" ", "")


def test_marks_of_direction_are_no_letters_of_a_picture():
    assert letters(in_line("مكتب")) == "مكتب"
    assert width_mm(in_line("مكتب"), 3) == width_mm("مكتب", 3)
