"""The chapters below the letter.

What each heading says, what its buttons do, and that it is what the commands say.
"""

import io
import json
import math
import re
from html import unescape
from random import Random

import numpy as np
import pytest
from PIL import Image

from mapper.choosing.advice import advise
from mapper.choosing.recommended import band_for
from mapper.mapping.solve import MapRequest
from mapper.solving import solve
from mapper.touching.setting import DriverSetting
from mapper.touching.verdict import judge
from mapper.tracing.outline import KnownOutline
from profiles.library.proofs import note_touch, note_typed, proofs_of
from profiles.library.trial_book import in_library
from render.desk.answer import answer
from render.desk.chapters import CHAPTERS, UNLISTED, listed
from tests.drawn_windows import Sheet, wobbly
from tests.touched import EIGHTEEN, Hand
from tests.visitor import CARD_MM, DESK, Visitor, offered, stages, traced, whole


def headings(visitor, at):
    return {name: heading.sentence for name, heading, _ in listed(visitor.desk(at))}


def ask(visitor, at, chapter, verb, data=None, **more):
    return visitor.post(f"{at}/chapter/{chapter}/{verb}", data, **more)


def shown(visitor, at, chapter):
    reply = visitor.get(f"{at}/chapter/{chapter}")
    assert reply.status_code == 200, reply.text
    return whole(reply.json["html"])


def test_every_heading_is_a_sentence_with_the_answer_of_now(visitor):
    at = visitor.begin(DESK.with_({"distance": "70cm"}))
    said = headings(visitor, at)
    assert list(said) == list(CHAPTERS)
    assert said["strokes"] == (
        "Your circles come out round. With the default settings they would be 12.6 % wider than "
        "tall."
    )
    assert said["took"] == "Not tested yet: does your tablet use these numbers?"
    assert said["seat"] == "At 70 cm you can see single pixels; from 80 cm on you cannot."
    assert said["pairs"] == "The scale factor 2.49 is in the usual band, 2 to 3.5."
    assert said["felt"] == "No notes yet on how it felt."
    assert said["kept"] == "This desk is not kept yet."
    for sentence in said.values():
        assert sentence.endswith((".", "?"))
    bare = headings(visitor, visitor.begin(DESK.with_({"displays": ["2560x1440"]})))
    assert "not known" in bare["pairs"]
    part = headings(visitor, visitor.begin(DESK.with_({"within": "20,20,160x90mm"})))
    assert part["strokes"] == said["strokes"], "a driver at its default has the whole tablet"
    full = headings(visitor, visitor.begin(DESK.with_({"fit": "full"})))
    assert full["strokes"] == "Your circles come out 12.6 % wider than tall."


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"displays": ["2560x1440"]},
        {"turn": "90"},
        {"slant": "10"},
        {
            "displays": ["main: 27in 2560x1440 at 0,0", "side: 24in 1920x1080 at 2560,0"],
            "onto": "all",
        },
    ],
)
def test_every_chapter_opens_for_every_kind_of_desk(visitor, change):
    at = visitor.begin(DESK.with_(change))
    for name in CHAPTERS:
        assert len(shown(visitor, at, name)) > 50
    assert visitor.get(f"{at}/chapter/nothing").status_code == 404
    assert set(UNLISTED) == {"measure"}


def test_the_pads_numbers_are_those_of_the_map(visitor):
    at = visitor.begin()
    html = shown(visitor, at, "strokes")
    numbers = json.loads(html.partition('data-pad="numbers">')[2].partition("</script>")[0])
    exact = answer(DESK).solved
    full = solve(MapRequest(exact.request.tablet, exact.request.desktop, fit="full"))
    x, y = (
        full.screen_px.width / full.area_seen_mm.width,
        full.screen_px.height / full.area_seen_mm.height,
    )
    assert numbers["hand_mm_to_desktop_px"][0] == pytest.approx(x)
    assert numbers["hand_mm_to_desktop_px"][4] == pytest.approx(y)
    assert numbers["setting_percent"] == pytest.approx((x / y - 1) * 100)


def test_a_dropped_drawing_is_shown_under_both_maps_and_stays_through_a_change(visitor):
    at = visitor.begin()
    picture = io.BytesIO()
    Image.new("RGB", (400, 300), "white").save(picture, "PNG")
    reply = visitor.send(f"{at}/chapter/strokes/drop", picture.getvalue(), "image/png")
    assert reply.status_code == 200, reply.text
    assert reply.json["html"].count("data:image/png;base64,") == 2
    changed = visitor.changed(at, {"fit": "cropped"})["address"]
    assert shown(visitor, changed, "strokes").count("data:image/png;base64,") == 2
    other = Visitor(visitor.session.library.root)
    assert (
        shown(other, changed[changed.index("/desk/") :], "strokes").count("data:image/png;base64,")
        == 2
    )
    other.close()
    wrong = visitor.send(f"{at}/chapter/strokes/drop", b"MZ", "application/x-dosexec")
    assert (wrong.status_code, "must be a .png" in wrong.text) == (422, True)
    assert "data:image" not in ask(visitor, at, "strokes", "drop-away").json["html"]


@pytest.mark.parametrize("verb", ["strokes/drop", "took/picture-card"])
@pytest.mark.parametrize(
    ("kind", "content"),
    [
        ("image/png", b"no picture"),
        ("image/jpeg", b"\xff\xd8\xff\xe0 torn"),
        ("image/svg+xml", b"<svg"),
        ("text/csv", b"x,y\n1,2\n3,zzz\n"),
        ("application/json", b"[[[1,2],[3]]]"),
    ],
)
def test_what_is_wrong_with_a_dropped_file_is_said_under_its_own_name(visitor, verb, kind, content):
    at = visitor.begin()
    for query, name in (
        ("?name=my%20oval%20%C3%A9.x", "my oval é.x"),
        ("?name=evil%1B%5B31m%E2%80%AE", "evil\ufffd[31m"),
        ("", "the file"),
    ):
        reply = visitor.send(f"{at}/chapter/{verb}{query}", content, kind)
        says = " ".join(reply.json["wrong"])
        assert (reply.status_code, says.startswith(name)) == (422, True), says
        assert not re.search(r"/|evenstroke-|drawing\.", says.replace("Show a line", "")), says


def test_a_trace_on_the_page_proves_the_setting_or_names_the_number_to_correct(visitor):
    at = visitor.begin()
    good = ask(visitor, at, "took", "trace", {"thing": "card", "strokes": [traced(240, 135)]})
    assert good.status_code == 200, good.text
    assert "The tablet seems to use this setting" in good.json["html"]
    assert headings(visitor, at)["took"] == "Tested: your tablet uses this setting."
    sent = {"thing": "card", "strokes": [traced(240, 152)]}
    bad = whole(ask(visitor, at, "took", "trace", sent).json["html"])
    assert "the area does not have the display" in bad
    driver, _, letter = bad.partition("but not as described")
    assert "Change the height from about 152 mm to " in driver
    assert [piece.partition('"')[0] for piece in driver.split('data-copy="')[1:]] == ["135", "8.5"]
    after = visitor.changed(at, offered(letter)[0])
    told = visitor.desk(after["address"]).now.solved
    assert (told.area_built_mm.width, told.area_built_mm.height) == (240, 152)
    assert "before the description changed" in headings(visitor, after["address"])["took"]
    # The trace lies beside the draft: a new start of the server still knows it.
    other = Visitor(visitor.session.library.root)
    assert "does not use" in headings(other, at)["took"]
    assert "from about 152 mm to" in shown(other, at[at.index("/desk/") :], "took")
    other.close()
    for wrong in (
        {"thing": "spoon"},
        {"thing": "card", "strokes": "x"},
        {"thing": "card", "strokes": [[[0, 0], [1, 1]]]},
    ):
        assert ask(visitor, at, "took", "trace", wrong).status_code == 422


@pytest.mark.parametrize(
    ("strokes", "driver", "letter", "trace"),
    [
        # A quarter turn; the driver's numbers and the way the tablet lies are both a way out.
        (
            [traced(135, 240)],
            "rotation in the tablet",
            ["90° more, to the right", "90° more, to the left"],
            "",
        ),
        ([traced(160, 90)], "from about", ["159.9 × 90 mm"], ""),
        # A picture of a trace may have been enlarged, and is then read again.
        ([traced(120, 67.5)], "", [], "The paint program showed"),
    ],
)
def test_each_finding_has_a_click(visitor, strokes, driver, letter, trace):
    at = visitor.begin()
    kept = {
        "evenstroke_strokes": 1,
        "frame": "desktop_px",
        "strokes": [[[*at, 0.5] for at in strokes[0]]],
    }
    if trace:
        reply = visitor.send(
            f"{at}/chapter/took/picture-card", json.dumps(kept), "application/json"
        )
    else:
        reply = ask(visitor, at, "took", "trace", {"thing": "card", "strokes": strokes})
    html = reply.json["html"]
    assert driver in html
    for words in letter:
        assert words in html
    assert trace in html
    if letter:
        said = visitor.changed(at, offered(html)[0])
        assert said["possible"]
    if trace:
        again = ask(visitor, at, "took", "again", {"zoom": 50.0})
        assert "The tablet seems to use this setting" in again.json["html"]


def test_the_seat_says_what_advise_says(visitor):
    said = DESK.with_({"distance": "40cm"})
    at = visitor.begin(said)
    html = shown(visitor, at, "seat")
    from render.sentences.advice import change_words
    from render.sentences.lengths import in_unit_of

    now = answer(said)
    advice = advise(now.solved, now.workstation.seat, band_for("illustration"), "illustration")
    assert advice.changes
    for change in advice.changes:
        assert change_words(change, lengths=in_unit_of("40cm"))[0] in unescape(html)
    assert html.count(">Rules of thumb") == 1, "the caution, once"


@pytest.mark.parametrize(
    "change",
    [
        {"tablet": "480x300mm"},
        {"tablet": "100x63mm"},
        {"fit": "full"},
        {"distance": "35cm"},
        {"distance": "150cm"},
    ],
)
def test_a_change_that_is_offered_can_be_taken_and_no_option_is_named(visitor, change):
    at = visitor.begin(DESK.with_({"distance": "70cm", **change}))
    html = shown(visitor, at, "seat")
    assert "--" not in html
    changes = offered(html)
    assert changes
    for each in changes:
        said = visitor.changed(at, each)
        assert said["possible"], said["wrong"]


def test_how_it_felt_goes_into_the_trial_book(visitor):
    at = visitor.begin()
    for score, day in (("4", "2026-11-20"), ("5", "2026-11-21"), ("2", "2026-11-22")):
        reply = ask(
            visitor,
            at,
            "felt",
            "note",
            {"score": score, "doing": "drawing", "date": day, "note": "<b>ink</b>"},
        )
        assert reply.json["say"] == "Noted."
    assert "&lt;b&gt;ink&lt;/b&gt;" in reply.json["html"]
    assert headings(visitor, at)["felt"] == "It felt good on 2 of 3 days."
    book, problems = in_library(visitor.session.library)
    assert ([felt.score for felt in book], problems) == ([4, 5, 2], [])
    assert book[0].figures.scale_factor == pytest.approx(2.49, abs=0.01)
    for wrong in (
        {"score": "6"},
        {"score": "4", "minutes": "-3"},
        {"score": "4", "date": "20 November"},
    ):
        assert ask(visitor, at, "felt", "note", wrong).status_code == 422
    nameless = visitor.begin(DESK.with_({"name": ""}))
    assert ask(visitor, nameless, "felt", "note", {"score": "4"}).status_code == 422


def test_the_study_says_what_the_command_says(visitor):
    at = visitor.begin()
    assert headings(visitor, at)["study"].startswith("No trial day is noted")
    assert visitor.get(f"{at}/study.html").status_code == 404
    for score, day in (("4", "2026-11-20"), ("5", "2026-11-21")):
        ask(visitor, at, "felt", "note", {"score": score, "date": day})
    assert headings(visitor, at)["study"] == "Desks that you have tried: 1. Days: 2."
    from profiles.library.tried import study_of
    from render.sentences.study import study_sections

    html = shown(visitor, at, "study")
    for section in study_sections(study_of(in_library(visitor.session.library)[0])):
        assert section.statement in unescape(html)
    page = visitor.get(f"{at}/study.html")
    assert page.text.startswith("<!DOCTYPE html>")
    assert page.headers["Content-Disposition"] == 'attachment; filename="window desk study.html"'


def test_what_was_kept_can_be_got_back_pinned_retired_and_taken_back(visitor):
    at = visitor.begin()
    visitor.post(f"{at}/keep")
    second = visitor.changed(at, {"fit": "full"})["address"]
    visitor.post(f"{second}/keep")
    assert headings(visitor, second)["kept"] == "2 settings of this desk are kept."
    back = ask(visitor, second, "kept", "back", {"revision": "1"}).json
    after = visitor.changed(second, back["change"])
    desk = visitor.desk(after["address"])
    assert desk.said.fit == "locked"
    assert desk.said == desk.draft.said(0)
    folder, library = desk.folder, visitor.session.library
    ask(visitor, second, "kept", "pin", {"revision": "1"})
    assert library.in_force(folder).number == 1
    assert ">pinned</span>" in shown(visitor, second, "kept")
    ask(visitor, second, "kept", "undo")
    assert library.in_force(folder).number == 2
    ask(visitor, second, "kept", "retire", {"revision": "2"})
    assert library.in_force(folder).number == 1
    assert "kept in another window" not in visitor.get(second).text
    ask(visitor, second, "kept", "undo")
    ask(visitor, second, "kept", "retire")
    assert library.marks(folder).station_retired
    assert "retired" in shown(visitor, second, "kept")
    ask(visitor, second, "kept", "undo")
    assert not library.marks(folder).station_retired
    assert ask(visitor, second, "kept", "pin", {"revision": "9"}).status_code in {404, 422}


def test_the_display_is_measured_by_pulls(visitor):
    at = visitor.begin(DESK.with_({"displays": ["2560x1440"]}))
    pitch = 27 * 25.4 / math.hypot(2560, 1440)
    pull = [CARD_MM[0] / pitch, CARD_MM[1] / pitch]
    body = {"thing": "card", "screen": [2560, 1440], "pulls": [pull]}
    assert ask(visitor, at, "measure", "pulls", body).json["another"]
    told = ask(
        visitor, at, "measure", "pulls", {**body, "pulls": [pull, [pull[0] + 1, pull[1] - 1]]}
    ).json
    assert not told["another"]
    assert "27in 2560x1440" in told["html"]
    far = ask(
        visitor, at, "measure", "pulls", {**body, "pulls": [pull, [pull[0] * 1.02, pull[1] * 1.02]]}
    ).json
    assert far["another"]
    assert "drag once more" in far["html"]
    # Two displays of these pixels: nobody but the person knows on which of them the card was held.
    twins = visitor.begin(
        DESK.with_({"displays": ["left: 2560x1440 at 0,0", "right: 2560x1440 at 2560,0"]})
    )
    html = ask(visitor, twins, "measure", "pulls", {**body, "pulls": [pull, pull]}).json["html"]
    assert "27 in, for <bdi>left</bdi>" in whole(html)
    assert "left: 2560x1440 at 0,0&#34;, &#34;right: 27in 2560x1440 at 2560,0" in html
    other = visitor.begin(
        DESK.with_({"displays": ["left: 1920x1080 at 0,0", "right: 1920x1080 at 1920,0"]})
    )
    html = ask(visitor, other, "measure", "pulls", {**body, "pulls": [pull, pull]}).json["html"]
    assert "Move this window to the one you measure" in html
    assert ask(visitor, at, "measure", "pulls", {**body, "pulls": [[1, 1]]}).status_code == 422
    assert ask(visitor, at, "measure", "pulls", {**body, "screen": [0, 0]}).status_code == 422


def test_the_tablet_is_measured_by_a_card_lying_and_upright(visitor):
    at = visitor.begin(DESK.with_({"tablet": ""}))
    lying, upright = traced(240, 152, off_mm=0.6), traced(240, 152, off_mm=0.6, upright=True)
    body = {"thing": "card", "screen": [2560, 1440], "traces": [[lying]]}
    assert ask(visitor, at, "measure", "traces", body).json["another"]
    told = ask(visitor, at, "measure", "traces", {**body, "traces": [[lying], [upright]]}).json
    assert not told["another"]
    width, height = (
        float(part) for part in offered(told["html"])[0]["tablet"].removesuffix("mm").split("x")
    )
    assert width / height == pytest.approx(240 / 152, rel=0.0035)
    assert width == pytest.approx(240, rel=0.011)
    assert ask(visitor, at, "measure", "traces", {**body, "traces": []}).status_code == 422


def test_marks_of_a_kept_desk_stand_on_its_card_by_its_numbers_and_beside_its_setting(visitor):
    at = visitor.begin(DESK)
    visitor.post(f"{at}/keep")
    library = visitor.session.library
    revision = library.in_force(library.folder_of(DESK.name))
    meant = library.load(revision).map
    note_typed(library, revision, meant)
    assert "typed in" in visitor.get(at).text
    assert "not tested yet" in visitor.get("/").text
    touches = Hand(0.3).touch(DriverSetting.of(meant), Random(4), EIGHTEEN)
    note_touch(library, revision, meant, judge(touches, meant))
    for path in (at, "/"):
        assert "tested " in visitor.get(path).text
        assert "not tested yet" not in visitor.get(path).text
    assert "accurate to 1." in shown(visitor, at, "kept")
    assert "Your own taps land about" in visitor.get(f"{at}/chapter/pairs").json["html"]
    # Other numbers are neither typed in nor tested, and to go back brings the marks back.
    changed = visitor.changed(at, {"turn": "180"})
    assert stages(changed["parts"]["answer"])["tested"] == ("open", "tested")
    back = visitor.changed(at, {"turn": "0"})
    assert stages(back["parts"]["answer"])["tested"][0] == "done"


def test_a_trace_on_the_page_is_a_mark_beside_the_kept_setting(visitor):
    at = visitor.begin(DESK)
    strokes = {"thing": "card", "strokes": [[list(point) for point in traced(240, 135)]]}
    visitor.post(f"{at}/chapter/took/trace", strokes)
    visitor.post(f"{at}/keep")
    library = visitor.session.library
    folder = library.folder_of(DESK.name)
    # What was not kept has nothing to stand beside.
    assert proofs_of(library, folder) == ([], [])
    assert visitor.post(f"{at}/chapter/took/trace", strokes).status_code == 200
    assert [(proof.mark, proof.right) for proof in proofs_of(library, folder)[0]] == [
        ("trace", True)
    ]


def test_a_trace_tells_which_step_it_is_at_while_it_is_read_and_forgets_it_then(
    visitor, monkeypatch
):
    from profiles.strokes import traces

    at = visitor.begin(DESK)
    told = []

    def slow(*asked, **more):
        told.append(visitor.get("/work/mine").json)
        return measure(*asked, **more)

    measure = traces.measure
    monkeypatch.setattr(traces, "measure", slow)
    sent = {"thing": "card", "strokes": [[list(point) for point in traced(240, 136)]]}
    reply = visitor.post(f"{at}/chapter/took/trace", sent, **{"X-Evenstroke-Work": "mine"})
    assert reply.status_code == 200
    # A card may have lain across or upright, and its picture a quarter turned.
    assert [(each["done"], each["count"]) for each in told] == [(n, 5) for n in (1, 2, 3, 4)]
    assert told[1]["words"] == "Measuring the line, reading 2 of 4."
    assert visitor.get("/work/mine").json == {}


def test_a_failed_test_is_over_when_the_numbers_are_typed_in_again(visitor):
    at = visitor.begin(DESK)
    visitor.post(f"{at}/keep")
    ask(visitor, at, "took", "trace", {"thing": "card", "strokes": [traced(240, 152)]})
    assert "does not use these numbers" in headings(visitor, at)["took"]
    visitor.post(f"{at}/typed", {})
    assert headings(visitor, at)["took"] == "Not tested since you typed the numbers in."
    assert "That was before you typed the numbers in." in shown(visitor, at, "took")


def test_a_part_of_a_picture_is_read_where_the_whole_is_no_answer(visitor):
    at = visitor.begin()
    sheet = Sheet((1400, 800), (1, 1, 1))
    for x in (380, 1010):
        centre, matrix = np.array([x, 400.0]), np.diag([10.667, 10.667])
        outline = KnownOutline.circle(40)
        hand = wobbly(np.random.default_rng(3), outline, matrix, centre, 0.1)
        sheet.stroke(hand, (0.1, 0.1, 0.3), 4)
    out = io.BytesIO()
    Image.fromarray(sheet.pixels()).save(out, "PNG")
    sent = f"{at}/chapter/took/picture-coin_40mm"
    whole = visitor.send(sent, out.getvalue(), "image/png")
    assert (whole.status_code, "2 that could be it" in whole.text) == (422, True)
    part = visitor.send(f"{sent}~100,100,600x600px", out.getvalue(), "image/png")
    assert "The tablet seems to use this setting" in part.json["html"]
    # It is read so again.
    assert "The tablet seems to use this setting" in shown(visitor, at, "took")
    wrong = visitor.send(f"{sent}~here", out.getvalue(), "image/png")
    assert (wrong.status_code, "left,top" in wrong.text) == (422, True)
