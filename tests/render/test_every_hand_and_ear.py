"""The desk's page for every hand and ear: what keys do, where the focus goes, and what is heard.

Real keys in headless Chromium, and the accessibility tree as its debugger gives it. The rules are
those of WCAG 2.2: 2.1.1 keyboard, 2.4.3 focus order, 2.4.11 focus not obscured, 2.5.7 dragging
movements, 3.3.1 error identification, 4.1.2 name, role, value, 4.1.3 status messages; and of the
ARIA Authoring Practices (slider). Numbers of success criteria are from memory, not checked against
the standard.
"""

import pytest

from profiles.library.revisions import Library
from tests.visitor import DESK as BARE
from tests.visitor import kept
from tests.watched import axe_finds_nothing, show, until

DESK = BARE.with_({"distance": "70cm"})
TWO = DESK.with_({"displays": ["main: 27in 2560x1440 at 0,0", "side: 24in 1920x1080 at 2560,0"]})
SCREEN = {"width": 2560, "height": 1440}
FOCUS = "document.activeElement"

LISTEN = """
(() => {
window.heard = [];
const region = document.getElementById("say");
new MutationObserver(() => {
  const words = region.textContent;
  // That a busy machine takes longer is no result.
  if (words && !words.startsWith("One moment:")) window.heard.push(words);
}).observe(region, { childList: true, subtree: true });
})()
"""


def heard_after(desk, act):
    """What the page's region says after something was done, until nothing more comes."""
    page = desk.page
    page.evaluate(LISTEN if page.evaluate("!window.heard") else "window.heard.length = 0")
    act()
    desk.settle()
    until(page, "window.heard.length > 0")
    page.wait_for_timeout(800)
    return page.evaluate("window.heard")


def tree(page, where=None):
    """The nodes of the accessibility tree that are not ignored, as role, name and description."""
    devtools = page.context.new_cdp_session(page)
    nodes = devtools.send("Accessibility.getFullAXTree")["nodes"]
    devtools.detach()

    def value(node, key):
        return str(node.get(key, {}).get("value", ""))

    found = [
        (value(node, "role"), value(node, "name"), value(node, "description"))
        for node in nodes
        if not node["ignored"]
    ]
    return [each for each in found if where is None or each[0] == where]


def change_elsewhere(desk, change):
    """What another part of the page, or an undo, does to the letter."""
    desk.page.evaluate(
        "(texts) => import(new URL('page.js', document.querySelector('script[src]').src))"
        ".then((page) => page.change(texts))",
        change,
    )
    desk.settle()
    desk.page.wait_for_timeout(400)
    desk.settle()


# What is being typed ------------------------------------------------------------------------------


def test_a_change_elsewhere_leaves_what_is_typed_in_an_open_chapter(opened):
    desk = opened().open(DESK)
    page = desk.page
    show(page, "felt")
    page.fill("#felt-note", "the wrist is")
    page.fill("#felt-minutes", "40")
    node = page.evaluate_handle("document.getElementById('felt-note')")
    change_elsewhere(desk, {"fit": "full"})
    assert page.input_value("#felt-note") == "the wrist is"
    assert page.input_value("#felt-minutes") == "40"
    assert node.evaluate("(each) => each.isConnected && each === document.getElementById(each.id)")
    # The focus has left it, and it says that it is of before; it comes up to date on demand, with
    # what was typed.
    page.focus("#blank-fit")
    desk.settle()
    assert page.input_value("#felt-note") == "the wrist is"
    page.locator("#chapter-felt .waits button").press("Enter")
    until(page, "!document.querySelector('#chapter-felt .waits')")
    assert page.input_value("#felt-note") == "the wrist is"
    page.locator("#chapter-felt button[type=submit]").press("Enter")
    page.wait_for_selector("#felt-newest")
    assert "the wrist is" in page.inner_text("#felt-newest")
    assert page.input_value("#felt-note") == ""


def test_undo_in_the_pad_is_the_pad_s_alone(opened):
    desk = opened(screen=SCREEN).open(DESK)
    page = desk.page
    desk.choose("fit", "Whole tablet, whole display")
    show(page, "strokes")
    for _ in range(2):
        page.locator("#pad-circle").press("Enter")
    page.keyboard.press("Control+z")
    desk.settle()
    assert desk.said.fit == "full", "the letter is as it was"
    assert "Strokes in the drawing area: 1" in page.inner_text("#pad-told")
    # Nor is it the letter that a hand means that has just drawn.
    page.evaluate("document.activeElement.blur()")
    box = page.locator("#pad-sheet").bounding_box()
    page.mouse.move(box["x"] + 40, box["y"] + 40)
    page.mouse.down()
    page.mouse.move(box["x"] + 90, box["y"] + 60, steps=4)
    page.mouse.up()
    page.keyboard.press("Control+z")
    desk.settle()
    assert desk.said.fit == "full"
    page.focus("#blank-fit")
    page.keyboard.press("Control+z")
    desk.settle()
    assert desk.said.fit == "locked"


# Keys that are held -------------------------------------------------------------------------------


def test_a_second_or_held_enter_chooses_nothing_else(opened):
    desk = opened().open(DESK)
    page = desk.page
    page.focus("#blank-displays")
    page.keyboard.press("Enter")
    page.wait_for_selector("section.note .way")
    ids = page.locator("section.note .way").evaluate_all("(all) => all.map((each) => each.id)")
    assert len(set(ids)) == len(ids)
    assert not any(each.split("-")[-1].isdigit() and each.count("-") == 1 for each in ids), ids
    page.locator("#way-another-display-beside-it").focus()
    page.keyboard.down("Enter")
    for _ in range(3):
        page.keyboard.down("Enter")  # the same key again, as a keyboard repeats it
    page.keyboard.up("Enter")
    desk.settle()
    assert len(desk.said.displays) == 2
    assert page.evaluate(f"{FOCUS}.id") == "note-title"
    page.keyboard.press("Enter")
    desk.settle()
    assert len(desk.said.displays) == 2
    # The next key stop is in the note.
    page.keyboard.press("Tab")
    assert page.evaluate(f"document.getElementById('note').contains({FOCUS})")


# What is heard ------------------------------------------------------------------------------------


def test_each_result_is_said_once_in_the_one_polite_region(opened):
    desk = opened(screen=SCREEN).open(DESK.with_({"distance": "45cm"}))
    page = desk.page
    show(page, "strokes")
    show(page, "seat")
    polite = page.locator("[role=status], [aria-live=polite], output:not([for])")
    assert polite.evaluate_all("(all) => all.map((each) => each.id)") == ["say"]

    def typed():
        page.click("#blank-tablet")
        page.locator("section.note input").fill("330x214mm")
        page.keyboard.press("Enter")

    assert heard_after(desk, typed) == [
        "Round, 1.81 times as large. 13 % of the tablet is not used."
    ]

    def pulled():
        page.focus("#map-area-left")
        for _ in range(3):
            page.keyboard.press("ArrowRight")

    (said,) = heard_after(desk, pulled)
    assert said.startswith("Round, 1.8")
    (said,) = heard_after(desk, lambda: page.locator("#undo").press("Enter"))
    assert said.startswith("Undone: part of the tablet. Round, 1.81 times as large.")
    (said,) = heard_after(desk, lambda: page.locator("#redo").press("Enter"))
    assert said.startswith("Redone: part of the tablet. Round, 1.8")
    tries = page.locator("#chapter-seat [data-change]").first
    (said,) = heard_after(desk, lambda: tries.press("Enter"))
    assert said.startswith("Round, 1.8")
    (said,) = heard_after(desk, lambda: page.locator("#pad-circle").press("Enter"))
    assert said.startswith("Your circle came out")
    # The same words again are said again.
    (said,) = heard_after(desk, lambda: page.locator("#pad-circle").press("Enter"))
    assert said.startswith("Your circle came out")


def test_an_error_describes_its_own_field_alone_and_is_heard(opened):
    desk = opened().open(TWO)
    page = desk.page
    page.click("#blank-displays")
    fields = page.locator("section.note input")
    fields.nth(1).focus()
    said = heard_after(desk, lambda: fields.nth(1).fill("side: -24in 1920x1080 at 2560,0"))
    words = 'Displays: a length is more than 0, and "side: -24in 1920x1080 at 2560,0" is not.'
    assert said == [words]

    def fields_in_tree():
        return [(name, words in description) for _, name, description in tree(page, "textbox")]

    assert fields_in_tree() == [("Display 1", False), ("Display 2", True)]
    invalid = "(all) => all.map((each) => each.getAttribute('aria-invalid'))"
    assert fields.evaluate_all(invalid) == [None, "true"]
    # Refused, it stays there, and what was taken before comes back by Escape.
    assert heard_after(desk, lambda: page.keyboard.press("Enter")) == [words]
    assert fields_in_tree() == [("Display 1", False), ("Display 2", True)]
    assert page.evaluate(f"{FOCUS}.id") == "field-2"
    axe_finds_nothing(page, "a refused display", "section.note")
    page.keyboard.press("Escape")
    desk.settle()
    assert desk.said == TWO
    assert page.locator("[aria-invalid=true]").count() == 0


def test_a_wrong_size_is_told_in_the_ruler_s_own_dialog(opened):
    desk = opened(screen=SCREEN).open(DESK)
    page = desk.page
    page.locator("#blank-tablet").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.locator("#measure-ruler").fill("-240x152mm")
    said = heard_after(desk, lambda: page.keyboard.press("Enter"))
    words = 'Tablet size: a length is more than 0, and "-240x152mm" is not.'
    assert said == [words]
    assert page.evaluate("document.getElementById('say').closest('dialog[open]') !== null")
    assert page.inner_text("#measure-ruler-wrong") == words
    assert [each[2] for each in tree(page, "textbox") if each[1] == "Width x height"] == [words]
    assert page.evaluate(f"{FOCUS}.id") == "measure-ruler"
    assert page.locator("dialog [aria-invalid=true]").count() == 1
    assert desk.said == DESK
    page.locator("#measure-ruler").fill("330x214mm")
    assert heard_after(desk, lambda: page.keyboard.press("Enter")) == [
        "Round, 1.81 times as large. 13 % of the tablet is not used."
    ]
    assert page.evaluate(f"{FOCUS}.id") == "blank-tablet"


def test_what_is_wrong_in_one_field_of_a_dialog_is_not_told_of_another(opened):
    desk = opened(screen=SCREEN).open(DESK)
    page = desk.page
    page.locator("#blank-tablet").press("Enter")
    page.locator("[data-measure]").press("Enter")
    shared = page.locator("dialog.measure > .wrong[role=alert]")

    def seen():
        (described,) = (each[2] for each in tree(page, "textbox") if each[1] == "Width x height")
        return described, page.inner_text("#measure-ruler-wrong"), shared.is_visible()

    words = 'Tablet size: a length is more than 0, and "-240x152mm" is not.'
    for _ in range(2):
        page.locator("#measure-ruler").fill("-240x152mm")
        page.keyboard.press("Enter")
        until(page, "document.getElementById('measure-ruler').ariaInvalid === 'true'")
        desk.settle()
        assert seen() == (words, words, False)
        page.locator("#measure-across").fill("wide")
        page.locator("[data-touches]").press("Enter")
        shared.wait_for()
        desk.settle()
        assert seen() == ("", "", True)
        assert page.locator("dialog.measure #measure-ruler[aria-invalid]").count() == 0
    desk.wrong.clear()  # the browser's own word on that


def test_an_error_of_a_chapter_s_form_describes_its_field(opened):
    desk = opened().open(DESK)
    page = desk.page
    show(page, "felt")
    page.fill("#felt-minutes", "a while")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('#chapter-felt [aria-invalid=true]')")
    desk.wrong.clear()  # the browser's own word on that
    (described,) = (each[2] for each in tree(page, "textbox") if each[1] == "Minutes")
    assert "must be a number" in described
    assert page.locator("#chapter-felt [aria-invalid=true]").count() == 1
    assert page.input_value("#felt-minutes") == "a while"


# The focus ----------------------------------------------------------------------------------------


def test_the_focus_is_never_lost_to_the_body(opened):
    desk = opened(screen=SCREEN).open(DESK.with_({"distance": "45cm"}))
    page = desk.page
    page.locator("#keep").press("Enter")
    page.wait_for_selector("#typed-in")
    assert desk.focused == "typed-in"
    desk.fill("tablet", "330x214mm")
    page.locator("#keep").press("Enter")
    page.wait_for_selector("#typed-in")
    page.locator("#undo").press("Enter")
    assert desk.focused == "redo"
    page.keyboard.press("Enter")
    assert desk.focused == "undo"
    show(page, "felt")
    page.locator("#chapter-felt button[type=submit]").press("Enter")
    page.wait_for_selector("#felt-newest")
    assert desk.focused == "felt-newest"
    page.locator("[id^=edit-]").press("Enter")
    until(page, "document.querySelector('#chapter-felt [name=instead]')")
    assert desk.focused == "felt-note"
    page.locator("[id^=delete-]").press("Enter")
    page.wait_for_selector("#felt-undo")
    assert desk.focused == "felt-undo"
    show(page, "kept")
    page.locator(".setting").last.press("Enter")
    page.wait_for_selector("#hold")
    for button, then in (
        ("#hold", "hold"),
        ("#away", "away"),
        ("#desk-away", "desk-back"),
        ("#desk-back", "desk-away"),
    ):
        page.locator(button).press("Enter")
        desk.settle()
        page.wait_for_selector(f"#{then}")
        assert desk.focused == then
    show(page, "seat")
    page.locator("#chapter-seat [data-change]").first.press("Enter")
    desk.settle()
    page.wait_for_timeout(500)
    # Its heading says what it came to.
    assert desk.focused == "SUMMARY."
    assert page.evaluate(f"{FOCUS}.parentElement.id") == "chapter-seat"


def test_the_plan_keeps_the_focus_and_says_what_its_keys_do(opened):
    desk = opened().open(TWO)
    page = desk.page
    page.locator("#blank-displays").press("Enter")
    page.wait_for_selector("#plan")
    # The first is a picture, the other takes keys and says which.
    plan = [each for each in tree(page) if each[1].startswith(("main,", "side,"))]
    assert [each[:2] for each in plan] == [
        ("image", "main, which stays where it is"),
        (
            "button",
            "side, 2560 pixels across and 0 down from the top left corner of the first display",
        ),
    ]
    assert "arrow keys" in plan[1][2]
    assert "space bar" in plan[1][2]
    page.locator("#place-1").focus()
    said = heard_after(desk, lambda: page.keyboard.press("ArrowLeft"))
    assert said == ["It cannot overlap main."]
    assert desk.said == TWO
    for place in ("0,1440", "-1920,0", "0,-1080", "2560,0"):
        page.keyboard.press("Space")
        page.wait_for_timeout(500)
        desk.settle()
        assert desk.said.displays[1] == f"side: 24in 1920x1080 at {place}"
        assert desk.focused == "place-1"
    scrolled = page.evaluate("scrollY")
    page.keyboard.press("ArrowDown")
    page.wait_for_timeout(500)
    desk.settle()
    assert desk.said.displays[1] == "side: 24in 1920x1080 at 2560,10"
    assert desk.focused == "place-1"
    assert page.evaluate("scrollY") == scrolled


def test_draw_blind_is_modal(opened):
    desk = opened(screen=SCREEN).open(DESK)
    page = desk.page
    show(page, "strokes")
    (said,) = heard_after(desk, lambda: page.locator("#pad-blind").press("Enter"))
    assert said.startswith("Start on the cross.")
    roles = tree(page)
    assert ("dialog", "Draw blind", "") in roles
    # Nothing else is there for a reader of the screen, nor for the Tab key.
    assert {each[0] for each in roles} & {"heading", "textbox", "slider", "link"} == set()
    stops = set()
    for _ in range(8):
        page.keyboard.press("Tab")
        stops.add(page.evaluate(f"{FOCUS}.id || {FOCUS}.tagName"))
    assert stops <= {"pad-blind-leave", "BODY", "HTML"}
    axe_finds_nothing(page, "draw blind")
    page.locator("#pad-blind-leave").press("Escape")
    assert desk.focused == "pad-blind"
    assert page.locator("[inert]").count() == 0


UNSEEN = """
() => {
  const had = document.activeElement;
  if (had === document.body) return "";
  const box = had.getBoundingClientRect();
  const note = document.getElementById("note");
  const isSheet = !note.hidden && getComputedStyle(note).position === "fixed";
  const inNote = note.contains(had);
  const bottom = isSheet && !inNote ? note.getBoundingClientRect().top : innerHeight;
  const top = isSheet && inNote ? note.getBoundingClientRect().top : 0;
  // What is larger than the room cannot be all in it; some of it is.
  const seenHigh = Math.min(box.bottom, bottom) - Math.max(box.top, top);
  const seenWide = Math.min(box.right, innerWidth) - Math.max(box.left, 0);
  const wanted = Math.min(box.height, bottom - top, 24);
  if (seenHigh >= wanted - 1 && seenWide >= Math.min(box.width, 24) - 1) return "";
  return `${had.outerHTML.slice(0, 120)} at ${JSON.stringify(box)} in ${top} to ${bottom}`;
}
"""


@pytest.mark.parametrize("height", [256, 640])
def test_nothing_that_has_the_focus_is_outside_the_window_or_under_the_sheet(opened, height):
    desk = opened(320, height, screen=SCREEN).open(TWO.with_({"distance": "45cm"}))
    page = desk.page
    missed = []

    def tab_through(state, most=90):
        seen = set()
        for _ in range(most):
            page.keyboard.press("Tab")
            page.evaluate("window.quiet()")
            found = page.evaluate(UNSEEN)
            if found:
                missed.append((state, found))
            at = page.evaluate(
                f"{FOCUS} === document.body ? '' : "
                f"[...document.querySelectorAll('*')].indexOf({FOCUS})"
            )
            if at in seen or at == "":
                break
            seen.add(at)
        return len(seen)

    assert tab_through("the letter") > 20
    for blank in ("displays", "fit", "entry"):
        page.locator(f"#blank-{blank}").press("Enter")
        page.wait_for_selector("section.note h2")
        desk.settle()
        missed += [(blank, each) for each in [page.evaluate(UNSEEN)] if each]
        tab_through(f"the note of {blank}")
        page.locator(f"#blank-{blank}").focus()
        page.keyboard.press("Escape")
        desk.settle()
    for chapter in ("seat", "felt"):
        show(page, chapter)
    tab_through("with chapters open", 160)
    page.locator("#blank-tablet").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.wait_for_selector("dialog[open]")
    tab_through("the ruler's dialog", 20)
    page.keyboard.press("Escape")
    until(page, "!document.querySelector('dialog[open]')")
    page.locator("#blank-displays").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.wait_for_selector("dialog[open]")
    tab_through("the card's dialog", 20)
    assert missed == []


# Names --------------------------------------------------------------------------------------------


def test_the_letter_is_read_as_its_sentences_alone(opened):
    desk = opened().open(DESK)
    read = "".join(
        name for role, name, _ in tree(desk.page) if role in {"StaticText", "InlineTextBox"}
    )
    assert "tablet size" not in read
    assert "how the tablet lies" not in read
    blanks = {name: description for role, name, description in tree(desk.page, "button")}
    assert blanks["240 × 152 mm"] == "tablet size"


def test_pictures_have_their_titles_as_names_and_marks_are_in_none(opened, served):
    kept(served.session.library.root, DESK)
    desk = opened(screen=SCREEN)
    page = desk.page
    page.reload()
    (card,) = (each for each in tree(page, "link") if each[1] == "window desk")
    assert "Round, 2.49 times as large." in card[2]
    desk.open(DESK.with_({"distance": "45cm"}))
    for chapter in ("seat", "pairs"):
        show(page, chapter)
    page.click("#blank-fit")
    page.wait_for_selector("section.note h2")
    for role, name, _ in tree(page):
        assert not set("▸▾✓") & set(name), (role, name)
        assert name != "Picture"
    titles = [name for role, name, _ in tree(page, "image") if len(name) > 20]
    assert len(titles) >= 3
    assert len(set(titles)) == len(titles)
    for figure in page.locator("svg[role=img]:visible, svg[role=group]:visible").all():
        assert figure.get_attribute("aria-label")


def test_a_skip_link_and_a_heading_lead_to_the_numbers(opened):
    desk = opened().open(DESK)
    page = desk.page
    page.keyboard.press("Tab")
    assert page.inner_text(":focus") == "Go to the numbers to type"
    page.keyboard.press("Enter")
    assert page.evaluate(f"{FOCUS}.id") == "answer-title"
    assert ("heading", "The numbers to type", "") in tree(page)
    page.keyboard.press("Tab")
    assert page.evaluate(f"{FOCUS}.id") == "number-left"


def test_sliders_take_both_pairs_of_arrows_and_home_and_end_and_the_page_stays(opened):
    desk = opened(1280, 500).open(DESK)
    page = desk.page

    def value(handle):
        return float(page.get_attribute(f"#map-area-{handle}", "aria-valuenow"))

    def pressed(handle, *keys):
        page.focus(f"#map-area-{handle}")
        desk.settle()
        scrolled = page.evaluate("scrollY")
        for key in keys:
            page.keyboard.press(key)
        page.wait_for_timeout(450)
        desk.settle()
        assert page.evaluate("scrollY") == scrolled, keys
        return value(handle)

    # 240 x 135 mm from 0, 8.5: the whole slides from 0 to 17 mm.
    assert pressed("down", "ArrowDown") == 9.0
    assert pressed("down", "ArrowRight") == 9.5
    assert pressed("down", "ArrowUp", "ArrowLeft") == 8.5
    assert pressed("down", "End") == 17.0
    assert pressed("down", "Home") == 0.0
    assert pressed("down", "End", "ArrowUp") == 16.5
    assert pressed("left", "ArrowUp") == 0.5
    assert pressed("left", "ArrowDown") == 0.0


def test_the_card_s_lines_have_plus_and_minus(opened):
    page = opened(1200, 900, screen=SCREEN).open(DESK.with_({"displays": ["2560x1440"]})).page
    page.locator("#blank-displays").press("Enter")
    page.locator("[data-measure]").press("Enter")
    page.wait_for_selector("dialog[open].measure")

    def wide():
        return int(page.get_attribute(".edge.right", "aria-valuenow"))

    was = wide()
    page.get_by_role("button", name="Right edge: one pixel more").click()
    assert wide() == was + 1
    page.get_by_role("button", name="Right edge: one pixel less").press("Enter")
    assert wide() == was
    page.locator(".edge.right").press("+")
    assert wide() == was + 1
    page.locator(".edge.right").press("Home")
    assert wide() == 60
    page.locator(".edge.right").press("End")
    assert wide() == (1200 - 72)
    axe_finds_nothing(page, "the card's lines", "dialog")


# How many keys ------------------------------------------------------------------------------------


def test_keystrokes_from_nothing_to_numbers_copied_and_kept(opened):
    """The aims: 9 to the numbers, 15 until all four are copied, 25 until the desk is kept."""
    desk = opened(screen=SCREEN)
    page = desk.page
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    pressed = []

    def press(*keys):
        for key in keys:
            page.keyboard.press(key)
            pressed.append(key)
            page.wait_for_timeout(50)

    def press_and_wait(*keys):
        for key in keys:
            press(key)
            page.evaluate("window.quiet()")

    page.reload()
    page.evaluate("window.quiet()")
    press("Tab", "Enter")
    page.wait_for_selector("html[data-ready]")
    desk.settle()
    press_and_wait("Enter", "Tab", "Enter")
    assert desk.said.tablet
    press_and_wait("Enter", "Tab", "Enter")
    assert "is it this one?" not in desk.letter
    assert len(desk.numbers) == 4
    assert len(pressed) <= 9
    press_and_wait("Enter", "Tab", "Enter", "Tab", "Enter", "Tab", "Enter")
    assert page.locator("#answer .copied").count() == 4
    assert page.evaluate("navigator.clipboard.readText()") == desk.numbers[3]
    assert len(pressed) <= 15
    press_and_wait("Tab", "Enter")
    page.wait_for_selector("section.note input:focus")
    press_and_wait(*"desk", "Enter")
    page.wait_for_selector("#typed-in")
    assert Library(desk.server.session.library.root).folder_of("desk")
    assert len(pressed) <= 25


# Small windows ------------------------------------------------------------------------------------


LINES = """
() => [...document.querySelectorAll("#letter .sentence")].map((each) => {
  const range = document.createRange();
  range.selectNodeContents(each);
  return [...range.getClientRects()].map((box) => [Math.round(box.left), Math.round(box.top)]);
})
"""


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_a_note_that_opens_does_not_rewrap_the_letter_and_numbers_keep_their_units(opened, width):
    desk = opened(width, 800).open(TWO)
    page = desk.page
    was = page.evaluate(LINES)
    for blank in ("tablet", "lying", "fit"):
        page.evaluate(f"document.getElementById('blank-{blank}').focus({{ preventScroll: true }})")
        page.keyboard.press("Enter")
        page.wait_for_selector("section.note h2")
        desk.settle()
        page.evaluate("scrollTo(0, 0)")
        assert page.evaluate(LINES) == was, blank
        page.keyboard.press("Escape")
        desk.settle()
        page.evaluate("scrollTo(0, 0)")
    held = page.locator("#letter .held, #answer .held, #answer .nb").all()
    assert {"240 × 152 mm", "70 cm"} <= {each.inner_text() for each in held}
    for each in held:
        tops = each.evaluate(
            "(each) => [...each.getClientRects()].map((box) => Math.round(box.top))"
        )
        assert len({*tops}) <= 1, each.inner_text()


def test_throwing_away_stands_apart_from_opening(opened):
    desk = opened(390, 844).open(DESK)
    page = desk.page
    desk.choose("fit", "Whole tablet, whole display")
    page.goto(f"{desk.server.door.base}/")
    link, button = (page.locator(each).bounding_box() for each in (".desks small", "[data-forget]"))
    assert button["y"] - (link["y"] + link["height"]) >= 12
    assert min(button["height"], button["width"]) >= 24


# Signs of work ------------------------------------------------------------------------------------


SIGNS = """
(() => {
window.signs = [];
let began = 0;
addEventListener("keydown", () => { began ||= performance.now(); }, true);
new MutationObserver(() => {
  const sign = document.querySelector(".working");
  const has = Boolean(sign?.querySelector("progress"));
  if (sign) window.signs.push([performance.now() - began, has]);
}).observe(document.querySelector("main"), { childList: true, subtree: true });
})()
"""


def test_what_takes_long_says_so_in_words_and_then_shows_that_it_goes_on(opened):
    desk = opened(screen=SCREEN).open(DESK)
    page = desk.page
    page.evaluate(SIGNS)

    def slow(route):
        page.wait_for_timeout(1800)
        axe_finds_nothing(page, "working", ".working")
        assert page.inner_text(".working").startswith("One moment: this part is being worked out.")
        route.continue_()

    page.route("**/chapter/seat?*", slow)
    page.locator("#chapter-seat > summary").press("Enter")
    page.wait_for_selector("#chapter-seat .chapter:not([aria-busy]) > *")
    (words_ms, first), *more = page.evaluate("window.signs")
    assert (first, words_ms >= 480) == (False, True), "words come first"
    assert min(ms for ms, has_progress in more if has_progress) >= 980
    assert page.locator(".working").count() == 0


def test_where_the_steps_are_counted_the_sign_shows_which_one_and_the_share(opened):
    desk = opened(screen=SCREEN).open(DESK)
    page = desk.page
    seen = []

    def slow(route):
        page.wait_for_timeout(1800)
        sign = page.locator(".working")
        seen.append((sign.inner_text(), sign.locator("progress").evaluate("each => each.value")))
        route.continue_()

    far = {"words": "Measuring the line, reading 1 of 2.", "done": 1, "count": 3}
    page.route("**/work/*", lambda route: route.fulfill(json=far))
    page.route("**/chapter/seat?*", slow)
    page.locator("#chapter-seat > summary").press("Enter")
    page.wait_for_selector("#chapter-seat .chapter:not([aria-busy]) > *")
    (words, share), *_ = seen
    assert words.startswith("Measuring the line, reading 1 of 2.")
    assert words.endswith("s so far")
    assert share == pytest.approx(1 / 3)


# Errors -------------------------------------------------------------------------------------------


def test_escape_after_a_refused_enter_restores_and_the_minus_is_taken_away_by_a_click(opened):
    desk = opened().open(DESK)
    page = desk.page
    before = desk.letter
    page.click("#blank-displays")
    page.locator("section.note input").fill("-24in 1920x1080")
    page.keyboard.press("Enter")
    desk.settle()
    assert desk.letter != before
    assert "609" not in page.inner_text("main")
    titles = page.locator("section.note .way b").all_inner_texts()
    assert titles[:2] == ["As it was before", "24in 1920x1080"]
    page.locator("section.note input").press("Escape")
    desk.settle()
    assert desk.letter == before
    assert desk.said == DESK
    assert page.evaluate(f"{FOCUS}.id") == "blank-displays"
