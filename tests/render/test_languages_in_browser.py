"""The page in other languages, in headless Chromium: it fits, and says which language it is in."""

import pytest

from render.sentences import languages
from render.sentences.say import say, speaking
from tests.texts.page import CHAPTERS, DEMO, SAID
from tests.watched import FITS, axe_finds_nothing, show

SIZES = [(320, 640), (390, 844), (768, 1024), (1280, 800), (1920, 1080)]
#: Long letters: many displays, a window, all that can be said of a tablet.
LONG = ["four displays, all reached", "a window of one of two displays", "askew to the right"]


@pytest.fixture
def said_in(opened):
    """Opens the page in a language; skips where its catalogue is not whole."""

    def open_one(code, **more):
        if code not in languages.offered():
            pytest.skip(f"{code} is not whole")
        return opened(locale=code, **more)

    return open_one


@pytest.mark.parametrize("code", ["de", "ja", "ar"])
def test_nothing_sticks_out_of_the_window_at_any_width(said_in, code):
    page = said_in(code)
    wide = []

    def look(state):
        for width, height in SIZES:
            page.page.set_viewport_size({"width": width, "height": height})
            if not page.page.evaluate(FITS):
                wide.append((state, width))

    assert page.page.evaluate("document.documentElement.lang") == code
    look("start")
    for title in LONG:
        page.open(DEMO.with_(SAID[title]))
        look(title)
    page.open(DEMO)
    for name in [*CHAPTERS, "touch", "measure"]:
        if page.page.locator(f"#chapter-{name}").count():
            show(page.page, name)
    look("all chapters")
    for blank in ("displays", "entry", "scale"):
        page.page.set_viewport_size({"width": 1280, "height": 800})
        page.page.locator(f"#blank-{blank}").first.click()
        page.settle()
        look(f"note: {blank}")
    assert not wide


def test_a_page_that_is_read_from_the_right_is_mirrored_and_its_pictures_are_not(said_in):
    page = said_in("ar").open(DEMO)
    assert page.page.evaluate("document.dir") == "rtl"
    places = page.page.evaluate("""() => {
      const left = (what) => document.querySelector(what).getBoundingClientRect().left;
      const names = [...document.querySelectorAll("#picture svg text")].map((each) => [
        each.textContent, each.getBoundingClientRect().left]);
      return { letter: left("#letter"), answer: left("#answer"), svg: left("#picture svg"), names };
    }""")
    # The answer stands beside the letter, which is read first.
    assert places["answer"] < places["letter"]
    [tablet, *_] = [at for text, at in places["names"] if "240" in text]
    [screen, *_] = [at for text, at in places["names"] if "2560" in text]
    assert tablet < screen
    # A number to type keeps its sign in front.
    page.open(DEMO.with_({"slant": "10"}))
    directions = page.page.evaluate(
        "[...document.querySelectorAll('#answer .n')].map((n) => getComputedStyle(n).direction)"
    )
    assert len(directions) == 5
    assert set(directions) == {"ltr"}
    axe_finds_nothing(page.page, "a desk in Arabic")


@pytest.mark.parametrize("code", ["de", "fr", "es", "ja", "ar"])
def test_the_accessibility_tree_says_the_language(said_in, code):
    page = said_in(code).open(DEMO)
    # axe-core's rules html-has-lang and html-lang-valid (WCAG 2.2, 3.1.1), and 3.1.2 for the names
    # of the other languages.
    axe_finds_nothing(page.page, f"a desk in {code}")
    assert page.page.evaluate("document.documentElement.lang") == code
    own = page.page.locator(".languages [lang]")
    assert own.evaluate_all("all => all.map((each) => [each.lang, each.textContent])") == [
        [each, languages.OWN_NAMES[each]] for each in languages.offered()
    ]


def test_a_language_is_chosen_on_the_page_and_stays(said_in):
    page = said_in("de").open(DEMO)
    page.page.click(".languages [lang=fr]")
    page.page.wait_for_selector("html[lang=fr][data-ready]")
    with speaking(languages.language("fr")):
        title = str(say("What to type"))
    assert page.page.get_attribute("#answer", "aria-label") == title
    page.page.reload()
    page.page.wait_for_selector("html[lang=fr][data-ready]")
