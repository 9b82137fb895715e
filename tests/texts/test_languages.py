"""Each language says all that English says, with the same slots and groups."""

import os
import re
from dataclasses import replace
from gettext import NullTranslations
from pathlib import Path
from unittest.mock import patch

import pytest
import time_machine
from markupsafe import Markup

from profiles.format.document import to_yaml
from render.desk.answer import answer
from render.desk.figures import figure_parts
from render.desk.markup import html
from render.desk.pad_maps import named_maps
from render.desk.pad_page import _enter
from render.pages.wall_sheet import wall_sheet
from render.sentences import languages
from render.sentences.desk_table import row_cells
from render.sentences.entry import ToType, beside_the_numbers, typed_numbers
from render.sentences.letter import fit_title
from render.sentences.parts import Table
from render.sentences.say import Language, Name, in_order, say, speaking
from render.sentences.words import usual_entry
from tests.texts import commands, page, pseudo
from tests.texts.__main__ import DAY, _environment
from tests.texts.languages import (
    CLDR,
    FOLDER,
    LANGUAGES,
    TEMPLATE,
    catalogue,
    cldr,
    cldr_text,
    is_translated,
    mo_bytes,
    po_text,
    template,
    updated,
)
from tests.texts.messages import Message, of_python, of_template
from tests.visitor import DESK, Visitor

WHOLE = [code for code in languages.offered() if code != languages.ENGLISH]
SLOTS = re.compile(r"\{(\w*)\}")

SOURCE = '''
from render.sentences.say import say, say_count
AROUND = "circles"
TABLE = {"one": template("first of a table")}
class Kept:
    def said(self, count):
        """No message."""
        say_count("{count} desk", "{count} desks", count)
        return say("wide" if count else "narrow", context=AROUND), say(self.words)
'''


def test_messages_are_read_from_code_and_from_templates():
    assert [message for message, _, _ in of_python(SOURCE)] == [
        Message("first of a table"),
        Message("{count} desk", "{count} desks"),
        Message("wide", "", "circles"),
        Message("narrow", "", "circles"),
    ]
    html = (
        '<p title="{{ say("May", context="month")|aloud }}">'
        '{{ say_count("{count} b", "{count} c", 2) }}'
    )
    assert [message for message, _, _ in of_template(html)] == [
        Message("May", "", "month"),
        Message("{count} b", "{count} c"),
    ]


def test_the_template_holds_what_the_program_says_now():
    assert TEMPLATE.read_bytes() == po_text(template()), "python -m tests.texts.languages"


@pytest.mark.parametrize("code", LANGUAGES)
def test_a_catalogue_is_up_to_date_and_compiled_once_it_is_whole(code):
    held = catalogue(code)
    made = updated(held, code)
    assert (FOLDER / f"{code}.po").read_bytes() == po_text(made), "python -m tests.texts.languages"
    is_whole = all(is_translated(message) for message in made if message.id)
    compiled = FOLDER / f"{code}.mo"
    assert compiled.exists() == is_whole
    if is_whole:
        assert compiled.read_bytes() == mo_bytes(made)


def _all_of(text):
    return text if isinstance(text, tuple) else (text,)


@pytest.mark.parametrize("code", LANGUAGES)
def test_a_translation_has_the_slots_and_the_groups_of_the_english(code):
    wrong = {}
    for message in catalogue(code):
        if not message.id or not is_translated(message):
            continue
        english = _all_of(message.id)[-1]
        for text in _all_of(message.string):
            # A count may be in the word for one thing or two.
            slots = set(SLOTS.findall(english))
            missing = slots ^ set(SLOTS.findall(text))
            if isinstance(message.id, tuple):
                missing -= {"count"}
            groups = [re.sub(r"[^\[\]]", "", each) for each in (english, text)]
            spaces = [re.findall(r"^ +| +$", each) for each in (english, text)]
            if missing or groups[0] != groups[1] or spaces[0] != spaces[1]:
                wrong[english] = text
    assert not wrong


@pytest.mark.parametrize("code", LANGUAGES)
def test_numbers_lists_and_shares_are_written_as_cldr_says(code):
    assert CLDR.read_text("utf-8") == cldr_text(), "python -m tests.texts.languages"
    facts, held = cldr(code), catalogue(code)
    # Arabic puts its "and" before each word but the first; that is no mark between them.
    comma = {"ar": "{list}، {next}"}.get(code, facts["list"][0].format("{list}", "{next}"))
    expected = {
        "{list}, {next}": comma,
        "{list} and {last}": facts["list"][2].format("{list}", "{last}"),
        "{list} or {last}": facts["list_or"][2].format("{list}", "{last}"),
    }
    for english, translation in expected.items():
        found = held.get(english)
        if found is not None and is_translated(found):
            assert found.string == translation
    share = held.get("{percent} %")
    if share is not None and is_translated(share):
        blank = "" if facts["percent"].startswith("#,##0%") else " "
        assert re.sub(
            r"\s|[\u200e\u200f\u061c\u2066\u2069]", " " if blank else "", share.string
        ).strip() in {
            f"{{percent}}{blank}%",
            f"%{blank}{{percent}}",
        }


@pytest.fixture
def library(tmp_path):
    with patch.dict(os.environ, _environment(tmp_path)), time_machine.travel(DAY, tick=False):
        yield tmp_path


@pytest.fixture
def visitors(library):
    """Browsers that were let in to servers of one library, one after the other."""
    came = []

    def visitor():
        came.append(Visitor(library / "library"))
        return came[-1]

    yield visitor
    for each in came:
        each.close()


#: What nobody translates: names that somebody gave, what is typed, signs and names of files.
OWN = re.compile(
    r"[0-9]+in-[\w+]+|[0-9][0-9.,x]*(?:mm|in|cm)\b(?:@\S+)?(?: [0-9]+x[0-9]+)?"
    r"|window desk|travel bag|corner studio|dry ink|example desk|main|side|wall|left|below"
    r"|\b(?:card|across|upright|coin|disc|circle|square|rectangle|at|a6)\b"
    r"|(?:small|medium|studio|large):|\bwindow-1\.|-desk\.strokes|\bjson\b|DP-[0-9]"
    r"|\bcm\b|\bmm\b|\bpx\b|\bin\b|\bcounts\b"
    rf"|{'|'.join(languages.OWN_NAMES.values())}"
    r"|\bwindow\b|my tablet|drawing\.svg|x-dosexec|application"
    r"|\b(?:May|soon|moon|spoon|right|small|medium)\b"
    r"|bag desk|Demo Pad|the disk is full|/\S+/workstations/\S+|\(Expected [^()]*\)|[0-9,x]+px"
    r"|\(aloud\)|\(example\)|\(on pointing\)"
)
#: The same on what commands draw.
NAMES = re.compile(
    r"\b(?:studio|before|cropped|upright|askew|projector|row|tall)\b(?:\.yaml)?|\bMia\b|\bBen\b"
    r"|The face|portrait\.svg|OSHA|--against DESK|\blarge\b|after the update|out\.csv"
)
TYPED = re.compile(r"\(example\) \S+( \d+x\d+)?$|\(example\) (window desk|(large|studio): \S+)$")


def _english_of(state):
    """The lines of a state that have English in them."""
    lines = [OWN.sub("", SLOTS.sub("", line)) for line in state if not TYPED.match(line)]
    return [line.strip() for line in lines if re.search(r"[A-Za-z]{2}", line)]


@pytest.mark.long
def test_no_state_of_the_page_says_a_word_past_the_seam(library):
    left = {}
    with pseudo.marked():
        for title, lines in page.states(library / "page"):
            # Whoever asks what no page asks is a program.
            if title != "what no page asks" and (found := _english_of(lines)):
                left[title] = found
    assert not left


class _Noted(type(pseudo.PSEUDO.translations)):
    """The language of marks, which notes what it was asked for."""

    def __init__(self):
        super().__init__()
        self.asked = set()

    def gettext(self, message):
        self.asked.add(message)
        return super().gettext(message)


@pytest.mark.long
def test_no_picture_that_a_command_draws_says_a_word_past_the_seam(library, monkeypatch):
    noted = _Noted()
    spoken = pseudo.PSEUDO._replace(translations=noted)
    monkeypatch.setattr(languages, "language", {"en": None, "de": spoken}.get)
    monkeypatch.setattr("render.cli.picture.language", languages.language)
    found = dict(commands.drawn(library))
    left = {
        title: [
            line for line in _english_of(lines) if re.search(r"[A-Za-z]{2}", NAMES.sub("", line))
        ]
        for title, lines in found.items()
    }
    assert {title: lines for title, lines in left.items() if lines} == {}
    assert [title for title, lines in found.items() if not any("⟦" in each for each in lines)] == []
    known = {each for message in template() if message.id for each in _all_of(message.id)}
    # What was said is said again now and then.
    unknown = {each for each in noted.asked - known if "⟦" not in each}
    assert unknown == set(), "said on a picture, and in no catalogue"


def test_nothing_that_was_said_in_one_language_is_remembered_for_another(visitors):
    visitor = visitors()
    at = visitor.begin(DESK)
    paths = ("/", at, f"{at}/figures", f"{at}/chapter/seat", f"{at}/chapter/pairs")

    def shown():
        replies = [visitor.get(path) for path in paths]
        texts = [each.json["html"] if each.is_json else each.text for each in replies]
        # Pictures have names of chance.
        return [re.sub(r"\bc[0-9a-f]{8}\b", "", text) for text in texts]

    shown()
    before = shown()
    with pseudo.marked():
        said = shown()
    after = shown()
    assert before == after
    assert all("⟦" in text for text in said)
    assert not any("⟦" in text for text in after)


# -- choosing


@pytest.fixture
def two_languages(monkeypatch):
    """German is whole, whatever its catalogue is."""
    german = pseudo.PSEUDO._replace(code="de", decimal_mark=",")
    monkeypatch.setattr("render.desk.app.offered", lambda: ("en", "de"))
    monkeypatch.setattr("render.desk.spoken.offered", lambda: ("en", "de"))
    monkeypatch.setattr(languages, "offered", lambda: ("en", "de"))
    monkeypatch.setattr("render.desk.app.language", {"en": None, "de": german}.get)


@pytest.mark.usefixtures("two_languages")
@pytest.mark.parametrize(
    ("accepted", "code"),
    [
        ("", "en"),
        ("de-AT,de;q=0.9,en;q=0.5", "de"),
        ("en-GB,en;q=0.9,de;q=0.8", "en"),
        ("nl,de;q=0.5,en;q=0.7", "en"),
        ("nl", "en"),
        ("xx;q=x,,;", "en"),
    ],
)
def test_a_page_is_said_in_the_first_of_the_browsers_languages(visitors, accepted, code):
    text = visitors().get("/", **{"Accept-Language": accepted}).text
    assert f'<html lang="{code}"' in text


@pytest.mark.usefixtures("two_languages")
def test_a_choice_on_the_page_is_remembered_beside_the_drafts(visitors):
    visitor = visitors()
    at = visitor.begin(DESK)
    text = re.sub("</?bdi>", "", visitor.get(at).text)
    [link] = re.findall(r'<a href="([^"]+)" lang="de" hreflang="de">Deutsch</a>', text)
    assert '<span aria-current="true" lang="en">English</span>' in text
    reply = visitor.get(link)
    assert reply.status_code == 302
    assert reply.headers["Location"] == visitor.at(f"/desk/{at.split('/')[-2]}")
    again = visitors()
    assert '<html lang="de" dir="ltr">' in again.get("/").text
    assert again.get("/language/en?to=//evil.example/").headers["Location"].startswith("/")
    assert '<html lang="en">' in visitors().get("/").text
    assert visitor.get("/language/xx").status_code == 404


@pytest.mark.usefixtures("two_languages")
def test_a_served_pad_speaks_the_language_that_was_typed_else_that_of_the_browser(
    visitors, library
):
    from click.testing import CliRunner

    from render.cli.pad import command
    from render.desk.app import path_of
    from render.desk.bodies import Wish

    desk = library / "desk.yaml"
    desk.write_text(to_yaml(answer(DESK).workstation))
    with patch("render.cli.desk.serve") as serve:
        for typed in ([], ["--language", "en"]):
            CliRunner().invoke(command, [str(desk), "--serve", *typed], catch_exceptions=False)
    assert [call.args[1]["language"] for call in serve.call_args_list] == ["", "en"]
    visitor = visitors()
    for accepted, typed, code in (("en", "de", "de"), ("de", "en", "en")):
        at = path_of(visitor.session, Wish(pad=[str(desk)], language=typed))
        assert f'<html lang="{code}"' in visitor.get(at, **{"Accept-Language": accepted}).text
    other = visitors()
    at = path_of(other.session, Wish(pad=[str(desk)]))
    text = other.get(at, **{"Accept-Language": "de"}).text
    with speaking(pseudo.PSEUDO):
        other_fit = html(fit_title("full"))
    assert '<html lang="de"' in text
    assert str(other_fit) in text


def test_only_whole_languages_are_offered(visitors):
    text = visitors().get("/").text
    offered = re.findall(r'hreflang="(\w+)"', text)
    assert offered == WHOLE


def test_english_loads_no_catalogue():
    with patch.object(Path, "open", side_effect=AssertionError):
        assert languages.language("en") is None


def test_numbers_for_people_have_the_mark_of_the_language_and_typed_ones_a_point():
    from render.sentences.lengths import in_unit_of
    from render.sentences.words import number, plain

    with speaking(Language("de", pseudo.PSEUDO.translations, decimal_mark=",")):
        assert (number(12.6), plain(12.6)) == ("12,6", "12.6")
        assert in_unit_of("28.5in").typed(723.9) == "28.5in"
    assert number(12.6) == "12.6"


@pytest.mark.usefixtures("two_languages")
def test_numbers_to_type_begin_with_the_mark_of_the_language_and_follow_the_settings(visitors):
    visitor = visitors()
    german = {"Accept-Language": "de"}
    at = visitor.get("/example", **german).headers["Location"]
    assert 'data-copy="8,5"' in visitor.get(at, **german).text
    pointed = visitor.changed(at, {"entry": "size mm"})["address"]
    assert 'data-copy="8.5"' in visitor.get(pointed, **german).text
    assert 'data-copy="8.5"' in visitor.get(visitor.get("/example").headers["Location"]).text


@pytest.mark.parametrize(("entry", "mark"), [("size mm comma", ","), ("size mm", "."), ("", ",")])
def test_every_number_to_type_has_the_decimal_mark_of_the_settings(entry, mark):
    # In a language with a comma, which settings want of which nobody said anything.
    said = DESK.with_({"turn": "90", "scale": "2.2", "entry": entry or "size mm"})
    desk = answer(said).workstation
    desk = replace(desk, entry=desk.entry if entry else None)
    numbers = re.compile(r"[0-9]+[.,][0-9]+")
    with speaking(pseudo.PSEUDO._replace(translations=NullTranslations(), decimal_mark=",")):
        form = usual_entry(desk.entry)
        _, parts = figure_parts(desk.map, form)
        tables = [item for part in parts for item in part.items if isinstance(item, Table)]
        cells = [cell for table in tables[:2] for column in table.columns for cell in column[1:]]
        sheet = [mark.text for mark in wall_sheet(desk, DAY.date()).texts]
        end = next(at for at, text in enumerate(sheet) if text.startswith("The pen reaches: "))
        texts = {
            "figures": cells,
            "answer": typed_numbers(desk.map, form),
            "beside": [str(each) for each in beside_the_numbers(desk.map, form)],
            "table": row_cells(desk, "mm")[1:5],
            "sheet": sheet[: end + 1],
            "pad": [_enter(each) for each in named_maps([("desk.yaml", desk)])],
        }
    for where, found in texts.items():
        marks = {
            sign
            for text in found
            for each in numbers.findall(text)
            for sign in each
            if sign in ",."
        }
        assert (where, marks) == (where, {mark})


def test_where_lines_run_leftward_figures_keep_their_order_and_elements_stay_elements():
    # Unicode Standard Annex 9: what stands between U+2066 and U+2069 is laid by itself.
    with speaking(pseudo.PSEUDO._replace(translations=NullTranslations(), leftward=True)):
        assert say("{times} times", times="2.49") == "\u20662.49\u2069 times"
        assert say("{w} × {h} mm", w="240", h="135") == (
            "\u2066\u2066240\u2069 × \u2066135\u2069 mm\u2069"
        )
        day = "30 \u0646\u0648\u0641\u0645\u0628\u0631"
        assert say("typed in on {day}", day=day) == f"typed in on \u2068{day}\u2069"
        assert say("in {desk}", desk=Name("a desk")) == "in \u2068a desk\u2069"
        assert in_order("-0.06") == "\u2066-0.06\u2069"
        assert say("{number}", number=ToType("8.5")) == "8.5"
        link = Markup('<a href="#">\u0645\u0645 1</a>')
        assert html(say("as {link}", link=link)) == f"as {link}"
