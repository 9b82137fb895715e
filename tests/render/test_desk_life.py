"""A desk's life beside its letter: kept, renamed, put away, noted, and opened in two windows."""

import re
from html import unescape

import pytest

from profiles.library.trial_book import in_library
from render.desk.described import LONGEST_TEXT
from tests.visitor import DESK, Visitor


def cards(visitor):
    page = visitor.get("/").text
    link, about = r'<a href="([^"]+)"[^>]*><b><bdi>(.*?)</bdi></b>', "<small>(.*?)</small>"
    found = re.findall(f'<li><span class="small".*?{link}.*?{about}', page, re.DOTALL)
    return [(unescape(name), unescape(about), href) for href, name, about in found]


def keep(visitor, at):
    return visitor.post(f"{at}/keep").json["says"]


def notices(visitor, at):
    """What stands at the top, and what its buttons do."""
    part = visitor.post(f"{at}/answer", {}).json["parts"]["notices"]
    return [unescape(each) for each in re.findall(r'data-take="(\w+)"', part)], part


# One desk is one card
# ------------------------------------------------------------


def test_one_desk_is_one_card_whatever_draft_it_was_changed_in(visitor):
    at = visitor.begin(DESK)
    keep(visitor, at)
    ((name, about, href),) = cards(visitor)
    assert (name, about[:5]) == (DESK.name, "kept ")
    changed = visitor.changed(at, {"fit": "full"})["address"]
    ((_, about, again),) = cards(visitor)
    assert (about.endswith(", changed since"), again) == (True, href)
    # The card opens what was changed, and a new server does too.
    assert visitor.get(href).headers["Location"] == changed
    other = Visitor(visitor.session.library.root)
    ((_, _, href),) = cards(other)
    assert other.get(href).headers["Location"].endswith(changed[changed.index("/desk/") :])
    other.close()


def test_two_ways_from_one_desk_are_both_found(visitor):
    first, second = visitor.begin(DESK), visitor.begin(DESK)
    keep(visitor, first)
    keep(visitor, second)
    visitor.changed(first, {"turn": "90"})
    visitor.changed(second, {"turn": "180"})
    about = [about for _, about, _ in cards(visitor)]
    assert (len(about), about[0].endswith("changed since")) == (2, True)
    assert about[1] == "changed in another window, not kept"


def test_another_name_starts_a_copy_and_says_so(visitor):
    at = visitor.begin(DESK)
    assert "copy" not in visitor.post(f"{at}/note/name").json["html"]
    keep(visitor, at)
    assert "you get a second desk" in visitor.post(f"{at}/note/name").json["html"]
    renamed = visitor.changed(at, {"name": "attic desk"})["address"]
    says = keep(visitor, renamed)
    assert says.startswith("Kept as setting 1. It is a copy under a new name: ")
    assert "window desk" in says
    assert sorted(name for name, _, _ in cards(visitor)) == ["attic desk", "window desk"]
    # From here on it is the other desk's, and its name is no news any more.
    assert "copy" not in keep(visitor, visitor.changed(renamed, {"turn": "90"})["address"])


def test_keeping_without_a_name_says_why_it_asks(visitor):
    asked = visitor.post(f"{visitor.begin(DESK.with_({'name': ' '}))}/keep").json
    assert (asked["needs"], "needs a name" in asked["why"]) == ("name", True)


# Texts and notes
# ------------------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [
        {"note": "\N{GRINNING FACE}" * 1000},
        {"note": "x" * 4000},
        {"name": "n" * 300},
        {"displays": [f"{'L' * 280}: 27in 2560x1440", f"{'R' * 280}: 24in 1920x1080 at 2560,0"]},
    ],
)
def test_what_a_blank_takes_can_be_opened_changed_and_got_back(visitor, change):
    at = visitor.changed(visitor.begin(DESK), change)["address"]
    assert keep(visitor, at).startswith("Kept")
    other = Visitor(visitor.session.library.root)
    for draft in other.session.drafts.folder.iterdir():
        draft.unlink()
    ((_, _, href),) = cards(other)
    opened = other.get(href).headers["Location"]
    changed = other.changed(opened, {"turn": "180"})["address"]
    back = other.post(f"{changed}/chapter/kept/back", {"revision": "1"}).json
    assert other.changed(changed, back["change"])["possible"]
    other.close()


def test_a_text_that_nobody_types_is_refused(visitor):
    change = {"change": {"tablet": "x" * (LONGEST_TEXT + 1)}}
    assert visitor.post(f"{visitor.begin(DESK)}/answer", change).status_code == 422


def test_a_note_is_corrected_deleted_and_brought_back(visitor):
    at = visitor.begin(DESK)
    keep(visitor, at)
    felt = f"{at}/chapter/felt"
    visitor.post(f"{felt}/note", {"score": "2", "date": "2026-02-27", "note": "dry ink"})
    html = visitor.post(f"{felt}/note", {"score": "4", "date": "2026-02-28", "minutes": "90"}).json

    def names(html):
        return re.findall(r'id="edit-(\w+)"', html)

    newest, oldest = names(html["html"])
    html = visitor.post(f"{felt}/edit", {"name": oldest}).json["html"]
    assert 'value="dry ink"' in html
    assert re.search(r'value="2" checked', html)
    assert f'name="instead" value="{oldest}"' in html
    body = {"score": "3", "date": "2026-02-27", "note": "wet ink", "instead": oldest}
    assert visitor.post(f"{felt}/note", body).json["say"] == "Corrected."
    library = visitor.session.library
    noted = [(each.score, each.note) for each in in_library(library)[0]]
    assert noted == [(3, "wet ink"), (4, None)]
    html = visitor.post(f"{felt}/delete", {"name": newest}).json["html"]
    assert "undo: deleting the note" in html
    assert [each.score for each in in_library(library)[0]] == [3]
    visitor.post(f"{felt}/bring-back", {"name": newest})
    assert [each.score for each in in_library(library)[0]] == [3, 4]
    # Deleted anew, it is gone for another server too, and the audit finds nothing wrong.
    visitor.post(f"{felt}/delete", {"name": newest})
    other = Visitor(library.root)
    assert [each.score for each in in_library(other.session.library)[0]] == [3]
    other.close()
    assert visitor.post(f"{felt}/edit", {"name": "0" * 16}).status_code == 404


# Two windows
# ------------------------------------------------------------


def test_two_windows_on_one_desk_notice_each_other_and_nothing_is_lost(visitor):
    at = visitor.begin(DESK)
    one = visitor.changed(at, {"turn": "90"})["address"]
    assert notices(visitor, one)[0] == []
    # The other window still shows the first step.
    assert notices(visitor, at)[0] == ["window"]
    two = visitor.changed(at, {"fit": "full"})["address"]
    assert notices(visitor, two)[0] == []
    taken, part = notices(visitor, one)
    assert (taken, "in another window" in part) == (["window"], True)
    assert "turned 90°" in visitor.get(one).text
    # To look at the page stood there; the other one's step is one click away.
    visitor.get(two)
    assert visitor.post(f"{one}/take", {"what": "window"}).json["address"] == two
    assert "turned 90°" in visitor.get(one).text


# What was kept
# ------------------------------------------------------------


@pytest.fixture
def twice(visitor):
    """A desk of which two settings are kept: its address with the second."""
    at = visitor.begin(DESK)
    keep(visitor, at)
    at = visitor.changed(at, {"fit": "full", "note": "for sketches"})["address"]
    keep(visitor, at)
    return at


def test_a_kept_setting_stands_beside_the_letter_with_what_differs_in_plain_words(visitor, twice):
    html = visitor.get(f"{twice}/chapter/kept").json["html"]
    assert html.count('class="setting"') == 2
    assert "for sketches" in html
    html = visitor.post(f"{twice}/chapter/kept/beside", {"revision": "1"}).json["html"]
    rows = re.findall(r'<th scope="row">(.*?)</th><td>(.*?)</td><td>(.*?)</td>', html)
    assert [unescape(about) for about, _, _ in rows] == [
        "Circles",
        "A note to remember it by",
        "Results",
        "Numbers to type",
    ]
    assert rows[0][1:] == (
        "stay round; part of the tablet is not used",
        "may come out oval; nothing is left over",
    ) or rows[0][1].startswith("stay round")
    assert rows[1][1] == "not said"
    assert rows[3][1:] == ("0, 8.5, 240, 135", "0, 0, 240, 152")
    assert 'data-back="1"' in html


def test_two_settings_of_one_minute_are_told_apart_and_those_of_two_by_the_time(
    visitor, twice, monkeypatch
):
    from render.desk.chapters import kept

    def labels():
        return re.findall(r"<b>(.*?)</b>", visitor.get(f"{twice}/chapter/kept").json["html"])

    monkeypatch.setattr(kept, "_time", lambda _: "09:05")
    assert [each.partition(", ")[2] for each in labels()] == [
        "09:05, setting 2",
        "09:05, setting 1",
    ]
    times = iter(range(100))
    monkeypatch.setattr(kept, "_time", lambda _: f"09:{next(times):02}")
    assert all(re.fullmatch(r"\d+ \w+, 09:\d\d", each) for each in labels())


def test_a_setting_is_got_back_with_an_undo_that_names_it(visitor, twice):
    back = visitor.post(f"{twice}/chapter/kept/back", {"revision": "1"}).json
    assert "is open now" in back["say"]
    body = {"change": back["change"], "about": back["about"], "commit": True}
    said = visitor.post(f"{twice}/answer", body).json
    assert "stay round" in said["parts"]["letter"]
    assert re.search(r"undo: opening the setting of \d+ \w+", said["parts"]["top"])
    assert "undo: circles" in visitor.changed(twice, {"fit": "cropped"})["parts"]["top"]


def test_a_desk_whose_settings_are_all_put_away_is_found_and_brought_back(visitor, twice):
    for number in ("1", "2"):
        visitor.post(f"{twice}/chapter/kept/retire", {"revision": number})
    page = visitor.get("/").text
    assert (cards(visitor), "1 desk is retired" in page) == ([], True)
    assert "cannot be read" not in page
    assert "are retired" in visitor.get(f"{twice}/chapter/kept").json["html"]
    take, part = notices(visitor, twice)
    assert (take, "cannot be read" in part) == (["back"], False)
    assert visitor.post(f"{twice}/take", {"what": "back"}).status_code == 200
    assert [name for name, _, _ in cards(visitor)] == [DESK.name]
    visitor.post(f"{twice}/chapter/kept/retire")
    page = visitor.get("/").text
    folder = re.search(r'data-back="([\w-]+)"', page).group(1)
    assert "is back in the list" in visitor.post(f"/station/{folder}/back").json["says"]
    assert [name for name, _, _ in cards(visitor)] == [DESK.name]
    assert visitor.post("/station/nowhere/back").status_code == 404


# A server that stopped
# ------------------------------------------------------------


def test_pages_of_the_last_server_learn_of_the_next_one_and_nobody_else(visitor):
    root = visitor.session.library.root
    at = visitor.begin(DESK)
    first = visitor.door
    visitor.close()
    other = Visitor(root)
    reply = other.client.get(
        other.at(other.door.invite("/").removeprefix(other.door.origin)),
        headers={"Host": other.door.host},
    )
    following = [each for each in reply.headers.getlist("Set-Cookie") if "evenstroke-next" in each]
    (cookie,) = following
    assert f"{other.door.port}{other.door.path}" in cookie
    assert f"Path={first.path}/;" in cookie
    step = at[at.index("/desk/") + len("/desk/") :]
    came = {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "navigate"}
    on = other.client.get(other.at(f"/on/{step}"), headers=other.headers | came)
    assert (on.status_code, f"url={other.door.path}/desk/{step}" in on.text) == (200, True)
    # Nothing else may be asked from another port, and nothing without the browser's own cookie.
    assert other.client.get(other.at("/"), headers=other.headers | came).status_code == 403
    stranger = other.client.get(other.at(f"/on/{step}"), headers={"Host": other.door.host} | came)
    assert stranger.status_code == 403
    foreign = {"Sec-Fetch-Site": "cross-site"}
    refused = other.client.get(other.at(f"/on/{step}"), headers=other.headers | foreign)
    assert refused.status_code == 403
    other.close()
