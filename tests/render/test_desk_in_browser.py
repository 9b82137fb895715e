"""The desk's page in headless Chromium.

The whole job by mouse, by keys alone, at every width and in every colour scheme.

What the map must be is asked of the command line's own reader and solver here, never read from the
page's script.
"""

import shutil
import subprocess
from datetime import UTC, datetime

import pytest

from profiles.library.revisions import Library
from render.desk.answer import answer
from render.desk.described import Description
from render.fields import BLANKS
from render.pages.wall_sheet import wall_sheet
from tests.visitor import DESK as BARE
from tests.visitor import kept
from tests.watched import FITS, axe_finds_nothing, axe_finds_nothing_in_other_colours

DESK = BARE.with_({"distance": "70cm"})

# A letter that has every sentence there is.
FULL = DESK.with_(
    {
        "displays": ["main: 27in 2560x1440 at 0,0", "side: 24in 1200x1920 at 2560,-240"],
        "onto": "all",
        "turn": "180",
        "within": "10,10,220x130mm",
        "hold": "top",
        "scale": "5",
        "step": "0.5mm",
    }
)


@pytest.mark.visit
def test_three_actions_from_nothing_to_four_numbers(opened):
    page = opened()
    page.page.click("#new")
    page.page.wait_for_selector("html[data-ready]")
    assert "I draw on a tablet of which size?" in page.letter
    # The browser's own screen is there already, its size unknown.
    assert "in front of one display, 1366 × 768 (is it this one?)" in page.letter
    assert page.numbers == []
    page.fill("tablet", "240x152mm")
    assert len(page.numbers) == 4
    assert "is not known" in page.page.inner_text("#answer")
    assert "is it this one?" in page.letter
    page.page.click("#blank-displays")
    page.page.wait_for_selector("section.note .way")
    titles = page.page.locator("section.note .way b").all_inner_texts()
    assert titles[-1] == "Yes, but I do not know its size"
    page.page.locator("section.note .way").first.click()
    page.settle()
    assert "is it this one?" not in page.letter
    page.page.keyboard.press("Escape")
    page.choose("displays", "27 in, 2560")
    page.page.click("[data-close]")
    assert page.numbers == ["0", "8.5", "240", "135"]


@pytest.mark.parametrize(
    ("window", "expected"),
    [
        # screen, pixel ratio, outer and inner width: a system's zoom of 1.5; Chromium and Firefox
        # zoomed to 125 %; a side panel.
        (((1707, 960), 1.5, 1200, 1200), (2560, 1440)),
        (((2560, 1440), 1.25, 1250, 1000), (2560, 1440)),
        (((2048, 1152), 1.25, 1000, 1000), (2560, 1440)),
        (((2560, 1440), 1, 1250, 1000), (2560, 1440)),
    ],
)
def test_the_screens_pixels_are_known_whatever_the_zoom(opened, window, expected):
    page = opened()
    told = page.page.evaluate(
        """async ([[width, height], ratio, outer, inner]) => {
          const as = (object, values) => {
            for (const [name, value] of Object.entries(values)) {
              Object.defineProperty(object, name, { get: () => value, configurable: true });
            }
          };
          as(screen, { width, height });
          as(window, { devicePixelRatio: ratio, outerWidth: outer, innerWidth: inner });
          const script = document.querySelector("script[src]").src;
          const { screenPx } = await import(new URL("screen.js", script));
          return screenPx();
        }""",
        [*window],
    )
    assert told == [*expected]


def test_the_whole_job_by_mouse(opened, served):
    page = opened().open(DESK)
    page.choose("fit", "Whole tablet, whole display")
    assert page.numbers == ["0", "0", "240", "152"]
    assert "12.6 %" in page.page.inner_text("#picture")
    page.choose("fit", "part of the tablet")
    page.pull("area-left", 40, 0)
    said = page.said
    told = answer(said).solved
    assert said.within
    assert told.figures_on(told.reference).distortion.stretch == pytest.approx(1)
    assert told.area_built_mm.right == pytest.approx(240, abs=0.02)
    assert page.numbers[2] == f"{told.area_built_mm.width:.3f}".rstrip("0").rstrip(".")
    page.pull("area-both", 0, -300)
    assert answer(page.said).solved.area_built_mm.top == pytest.approx(0, abs=0.02)
    page.pull("screen-right", -100, 0)
    assert "pixels of the display" in page.letter
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.page.click("#number-width")
    page.settle()
    assert page.page.evaluate("navigator.clipboard.readText()") == page.numbers[2]
    assert "copied" in page.page.get_attribute("#number-width", "class")
    assert "next" in page.page.get_attribute("#number-height", "class")
    page.page.click("#keep")
    page.settle()
    assert "Kept as setting 1." in page.page.inner_text("#told")
    library = Library(served.session.library.root)
    revision = library.newest(library.folder_of("window desk"))
    assert library.load(revision).map.area_built_mm == answer(page.said).solved.area_built_mm


def test_undo_says_what_it_undoes_and_goes_through_the_browsers_history(opened):
    page = opened().open(DESK)
    first = page.letter
    page.choose("fit", "Whole tablet, whole display")
    second = page.letter
    page.fill("tablet", "330x214mm")
    assert page.page.inner_text("#undo") == "undo: tablet size"
    page.page.click("#undo")
    page.settle()
    assert page.letter == second
    page.page.keyboard.press("Control+z")
    page.settle()
    assert page.letter == first
    assert page.page.inner_text("#redo") == "redo: circles"
    page.page.keyboard.press("Control+Shift+z")
    page.settle()
    assert page.letter == second
    page.page.go_back()
    page.settle()
    assert page.letter == first
    page.page.reload()
    page.page.wait_for_selector("html[data-ready]")
    assert page.letter == first


def test_dragging_makes_one_step_and_a_hair_makes_none(opened):
    page = opened().open(DESK)
    page.pull("area-top", 0, 2)
    assert page.page.evaluate("location.pathname").endswith("/0")
    page.pull("area-top", 0, 30, steps=40)
    assert page.page.evaluate("location.pathname").endswith("/1")
    box = page.page.locator("#map-area-bottom").bounding_box()
    before = page.numbers
    page.page.mouse.move(box["x"] + 5, box["y"] + 5)
    page.page.mouse.down()
    page.page.mouse.move(box["x"] + 5, box["y"] - 30)
    page.settle()
    assert page.numbers != before
    moved = page.numbers
    page.page.set_viewport_size({"width": 1300, "height": 768})
    page.settle()
    assert page.numbers == moved, "a window that changes its size leaves the pull as it is"
    # The letter has grown by a line, and the mark is where the hand is all the same.
    tick = page.page.locator("#map-area-bottom").bounding_box()
    assert tick["y"] + tick["height"] / 2 == pytest.approx(box["y"] - 30, abs=16)
    assert "pulled" in page.page.get_attribute("#map-area-bottom", "class")
    # The hand's picture has grown, through every answer, and is itself again afterwards.
    assert page.page.evaluate(
        "getComputedStyle(document.querySelector('.hand-side')).transform"
    ).startswith("matrix(1.18")
    page.page.keyboard.press("Escape")
    page.page.mouse.up()
    page.settle()
    assert page.numbers == before
    assert (
        page.page.evaluate("getComputedStyle(document.querySelector('.hand-side')).transform")
        == "none"
    )
    assert page.page.evaluate("location.pathname").endswith("/1")


def test_what_is_typed_wrong_stays_as_a_marked_draft_and_the_answer_pales(opened):
    page = opened().open(DESK)
    page.page.click("#blank-scale")
    page.page.locator("section.note input").fill("1")
    page.page.wait_for_selector(".blank.wrong")
    assert page.page.inner_text("#field-1-wrong") == (
        "Here strokes come out at least 2.22 times as large. To make "
        'them smaller, choose "part of the display is not used".'
    )
    page.page.mouse.click(500, 60)
    page.settle()
    assert page.page.get_attribute("#blank-scale", "aria-invalid") == "true"
    assert page.page.locator("#picture.pale").count() == 1
    assert page.numbers == ["0", "8.5", "240", "135"]
    assert page.page.locator("[data-copy]:disabled").count() == 4
    assert page.page.locator("#keep").count() == 0
    page.page.click("#blank-scale")
    page.page.wait_for_selector("section.note .wrong")
    page.page.locator("section.note .way").first.click()
    page.settle()
    assert page.page.locator(".blank.wrong, .pale").count() == 0


def test_escape_restores_and_the_focus_returns_to_the_blank(opened):
    page = opened().open(DESK)
    before = page.letter
    page.page.click("#blank-tablet")
    page.page.locator("section.note input").fill("330x214mm")
    page.settle()
    page.page.keyboard.press("Escape")
    page.settle()
    assert page.letter == before
    assert page.page.evaluate("document.activeElement.id") == "blank-tablet"
    assert page.page.get_attribute("#blank-tablet", "aria-expanded") == "false"


def test_the_whole_job_by_keys_alone(opened, served):
    page = opened().open(DESK.with_({"name": ""}))
    page.tab_to("#blank-tablet")
    page.page.keyboard.press("Space")
    page.page.wait_for_selector("section.note input:focus")
    page.page.keyboard.press("Control+a")
    page.page.keyboard.type("330x214mm")
    page.page.keyboard.press("Enter")
    page.settle()
    assert page.page.evaluate("document.activeElement.id") == "blank-tablet"
    page.tab_to("#blank-fit")
    page.page.keyboard.press("Enter")
    page.page.wait_for_selector("section.note .way:focus")
    page.page.keyboard.press("ArrowDown")
    page.page.keyboard.press("Enter")
    page.settle()
    assert page.said.fit == "cropped"
    page.page.click("body", position={"x": 3, "y": 3})
    page.tab_to("#map-area-top")
    page.page.keyboard.press("ArrowDown")
    page.page.keyboard.press("Shift+ArrowDown")
    page.settle()
    assert page.said.within == "0,5.5,330x208.5mm"
    assert page.page.evaluate("document.activeElement.id") == "map-area-top"
    assert page.page.get_attribute("#map-area-top", "aria-valuetext") == "5.5 mm from the top"
    page.page.keyboard.press("Control+z")
    page.settle()
    assert page.said.within == ""
    page.page.click("body", position={"x": 3, "y": 3})
    page.tab_to("#keep")
    page.page.keyboard.press("Enter")
    page.page.wait_for_selector("section.note input:focus")
    # With its name the desk is kept.
    page.page.keyboard.type("left desk")
    page.page.keyboard.press("Enter")
    page.page.wait_for_selector("#told:text('Kept as setting')")
    assert Library(served.session.library.root).folder_of("left desk")


def test_the_ways_for_shapes_are_one_radio_group_that_shows_before_it_takes(opened):
    page = opened().open(DESK)
    page.page.focus("#blank-fit")
    page.page.keyboard.press("Enter")
    page.page.wait_for_selector("section.note .way:focus")
    # One stop of the Tab key, and the arrow keys show what each would do before it is taken.
    assert page.page.locator('[role=radiogroup] [tabindex="0"]').count() == 1
    page.page.keyboard.press("ArrowUp")
    page.settle()
    checked = page.page.locator("[role=radio][aria-checked=true]")
    assert "Whole tablet, whole display" in checked.inner_text()
    assert checked.evaluate("(each) => each === document.activeElement")
    assert ("may come out oval" in page.letter, page.said.fit) == (True, "locked")
    page.page.keyboard.press("Escape")
    page.settle()
    assert "stay round" in page.letter
    page.page.keyboard.press("Enter")
    page.page.wait_for_selector("section.note .way:focus")
    page.page.keyboard.press("ArrowDown")
    page.page.keyboard.press("Tab")
    assert not page.page.evaluate("document.activeElement.matches('[role=radio]')")
    page.page.keyboard.press("Shift+Tab")
    page.page.keyboard.press("Enter")
    page.settle()
    assert page.said.fit == "cropped"
    page.page.click("#blank-fit")
    page.page.wait_for_selector("section.note .way:focus")
    page.page.keyboard.press("ArrowUp")
    page.page.mouse.click(3, 3)
    page.settle()
    assert page.said.fit == "locked", "a click elsewhere takes what is tried"


def test_displays_are_dragged_on_a_plan_and_snap(opened):
    page = opened().open(
        DESK.with_({"displays": ["main: 27in 2560x1440 at 0,0", "side: 24in 1920x1080 at 2560,0"]})
    )
    page.page.click("#blank-displays")
    place = page.page.locator('.place[data-index="1"]')
    box = place.bounding_box()
    main = page.page.locator('.place[data-index="0"]').bounding_box()
    page.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.page.mouse.down()
    page.page.mouse.move(
        main["x"] - box["width"] / 2 + 3, main["y"] + box["height"] / 2 + 2, steps=5
    )
    page.page.mouse.up()
    page.settle()
    assert page.said.displays[1] == "side: 24in 1920x1080 at -1920,0"
    assert "side, 24 in, to its left" in page.letter
    place.drag_to(page.page.locator('.place[data-index="0"]'))
    page.settle()
    assert answer(page.said).possible, "no display is laid over another"
    page.page.evaluate("history.back()")
    page.settle()
    # By keys: those in a row are one step, and the focus stays where it was.
    before = page.page.url
    page.page.locator('.place[data-index="1"]').focus()
    for key in ("ArrowUp", "Shift+ArrowUp", "ArrowUp"):
        page.page.keyboard.press(key)
    page.settle()
    assert page.said.displays[1] == "side: 24in 1920x1080 at -1920,-120"
    assert page.page.evaluate("document.activeElement.dataset.index") == "1"
    page.page.click("#undo")
    page.settle()
    assert page.page.url == before


def test_axe_finds_nothing_on_a_dark_telephone(opened):
    """Oracle: axe-core (npm)."""
    page = opened(375, 800, color_scheme="dark").open(FULL)
    axe_finds_nothing(page.page, "a full letter")
    for blank in ("displays", "part", "fit"):
        page.page.click(f"#blank-{blank}")
        page.page.wait_for_selector("section.note h2")
        page.settle()
        axe_finds_nothing(page.page, blank, looks_alone=True)
        page.page.keyboard.press("Escape")
    page.page.goto(f"{page.server.door.base}/")
    axe_finds_nothing(page.page, "start")


def test_axe_finds_nothing_in_any_state(opened, served):
    """Oracle: axe-core (npm), all its rules in one look, and in other colours those of looks."""
    kept(served.session.library.root, DESK)
    page = opened()

    def look(state, where="html"):
        axe_finds_nothing(page.page, state, where)
        axe_finds_nothing_in_other_colours(page.page, state, where)

    page.page.reload()
    look("start")
    page.open(Description())
    look("nothing known yet")
    page.page.click("#blank-tablet")
    page.page.wait_for_selector("section.note .way")
    look("the sizes of an unknown tablet", "section.note")
    page.open(DESK)
    look("letter")
    page.choose("fit", "Whole tablet, whole display")
    page.page.goto(f"{served.door.base}/")
    page.page.click("[data-forget]")
    page.page.wait_for_selector(".gone")
    look("start, with one that was never kept and one that is thrown away")
    page.page.goto(f"{served.door.base}/nowhere")
    look("nothing there")
    page.wrong.clear()  # the browser's own word on that
    page.open(DESK)
    page.page.click("#show")
    page.settle()
    look("shown large")
    page.page.keyboard.press("Escape")
    page.open(FULL)
    look("a full letter")
    blanks = [each.get_attribute("data-blank") for each in page.page.locator("[data-blank]").all()]
    assert {*blanks} == {*BLANKS}
    for blank in blanks:
        page.page.click(f"#blank-{blank}")
        page.page.wait_for_selector("section.note h2")
        page.settle()
        look(blank, "section.note")
        page.page.keyboard.press("Escape")
        page.settle()
    page.open(DESK.with_({"slant": "12"}))
    look("askew")
    page.page.evaluate(
        "import(new URL('page.js', "
        "document.querySelector('script[src]').src)).then(({ trouble }) => trouble('It may have "
        "been stopped.'))"
    )
    look("a notice")
    page.fill("scale", "1")
    page.page.wait_for_selector("section.note .wrong")
    look("impossible, its sheet open")


@pytest.mark.parametrize("width", [320, 768, 1920, 3840])
def test_it_fits_every_width_and_everything_can_be_hit(opened, width):
    page = opened(width, max(600, width * 9 // 16)).open(
        DESK.with_({"name": "مكتب النافذة with a very long name of many words"})
    )
    for blank in ("", "displays"):
        if blank:
            page.page.click(f"#blank-{blank}")
            page.settle()
        assert page.page.evaluate(FITS)
        for element in page.page.locator("button:visible, .handle .hit").all():
            box = element.bounding_box()
            assert min(box["width"], box["height"]) >= 23.9, element.evaluate(
                "(each) => each.outerHTML"
            )
    if width <= 768:
        note, picture = (
            page.page.locator(each).bounding_box() for each in ("section.note", "#map")
        )
        seen = min(note["y"], picture["y"] + picture["height"]) - max(0, picture["y"])
        assert seen > 0.9 * picture["height"]
        # A sheet from the bottom, the picture staying in sight above.
        assert note["height"] <= 0.46 * page.page.viewport_size["height"]
        assert note["y"] + note["height"] == pytest.approx(page.page.viewport_size["height"], abs=1)


def test_touch_pulls_too_and_the_page_does_not_scroll_away(opened):
    page = opened(768, 1000, has_touch=True).open(DESK)
    box = page.page.locator("#map-area-right").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    devtools = page.context.new_cdp_session(page.page)
    for index in range(8):
        points = [{"x": x - 4 * index, "y": y}]
        devtools.send(
            "Input.dispatchTouchEvent",
            {"type": "touchMove" if index else "touchStart", "touchPoints": points},
        )
    devtools.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    page.settle()
    assert page.said.within.startswith("0,")


def test_it_prints_as_the_sheet_for_the_wall(opened, tmp_path):
    """Oracle: pdftotext of poppler on what the browser prints.

    It has the words of the sheet that the command makes.
    """
    pdftotext = shutil.which("pdftotext")
    if pdftotext is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    page = opened(locale="en-GB").open(DESK)

    def printed():
        # A print by the browser's own key: no word to the page but that it begins.
        page.page.pdf(path=tmp_path / "wall.pdf", format="A4", prefer_css_page_size=False)
        ran = subprocess.run(
            [pdftotext, tmp_path / "wall.pdf", "-"], capture_output=True, text=True, check=True
        )
        return sorted(ran.stdout.split())

    def sheet():
        wanted = wall_sheet(answer(page.said).workstation, datetime.now(UTC).astimezone().date())
        return sorted(" ".join(text.text for text in wanted.texts).split())

    first = printed()
    assert first == sheet()
    page.choose("fit", "Whole tablet, whole display")
    assert printed() == sheet() != first
    # The browser says of this one wait that others should not do as much.
    page.wrong = [text for text in page.wrong if "Synchronous XMLHttpRequest" not in text]


def test_the_picture_alone_large_copied_and_back_by_keys(opened):
    page = opened().open(DESK)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])

    def letters_px():
        # Upright words are as wide as letters are high.
        box = page.page.locator("#map text").first.bounding_box()
        return min(box["width"], box["height"])

    small = letters_px()
    page.page.focus("#show")
    page.page.keyboard.press("Enter")
    page.settle()
    assert not page.page.locator("#answer").is_visible()
    assert letters_px() > 1.2 * small
    assert page.page.evaluate("document.documentElement.scrollHeight <= innerHeight")
    page.page.click("[data-act=copy]:visible")
    page.page.wait_for_selector("#say:text-is('The picture is copied.')", state="attached")
    assert page.page.locator("[data-act=copy].copied").count() == 1
    size = """navigator.clipboard.read().then(async ([item]) => {
        const picture = await createImageBitmap(await item.getType("image/png"));
        return [picture.width > 1000, picture.height > 500];
    })"""
    assert page.page.evaluate(size) == [True, True]
    # The blanks work here too, their ways in a sheet below the picture.
    page.choose("fit", "Whole tablet, whole display")
    assert page.said.fit == "full"
    page.page.keyboard.press("Escape")
    page.settle()
    assert page.page.locator("#answer").is_visible()
    assert page.page.evaluate("document.activeElement.id") == "show"


def test_a_stopped_server_is_told_in_a_sentence(opened, served):
    page = opened().open(DESK)
    served.session._ends_at = 0.0
    page.page.wait_for_timeout(700)
    page.page.click("#blank-fit")
    page.page.wait_for_selector("#trouble")
    assert "Evenstroke has stopped" in page.page.inner_text("#trouble")
    page.wrong.clear()  # the browser's own word on that


def test_no_step_is_passed_over_by_a_look_at_what_changed_elsewhere(opened):
    """A window that gets the focus asks anew: before, between and after two steps of the letter."""
    page = opened().open(DESK)
    page.page.evaluate(
        "import(new URL('page.js', document.querySelector('script[src]').src)).then(async (module) "
        "=> { module.again(); const steps = [module.change({ turn: '180' }, 'turn')]; "
        "module.again(); steps.push(module.change({ fit: 'full' }, 'fit')); module.again(); "
        "await Promise.all(steps); await module.again(); })"
    )
    page.settle()
    assert (page.said.turn, page.said.fit) == ("180", "full")
    assert page.page.url.endswith("/2")
