"""The page as one file speaks the browser's language at once, and the one chosen on it."""

import shutil

import pytest

from render.sentences import languages
from render.sentences.say import say, speaking


def _heading(code):
    with speaking(languages.language(code)):
        return str(say("Circles stay round"))


@pytest.mark.skipif(len(languages.offered()) < 3, reason="fewer than two languages are whole")
def test_the_browsers_language_then_the_chosen_one_which_the_storage_remembers(built, tmp_path):
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("chromium is not installed (Debian: apt-get install chromium)")
    from playwright.sync_api import sync_playwright

    _, first, second, *_ = languages.offered()
    wrong, seen = [], []
    with sync_playwright() as playwright:
        for choice in (second, ""):
            context = playwright.chromium.launch_persistent_context(
                tmp_path, executable_path=program, locale=first
            )
            page = context.new_page()
            page.on("pageerror", lambda error: wrong.append(str(error)))
            page.goto((built / "evenstroke.html").as_uri())
            page.wait_for_selector("#storage span", timeout=120_000)
            seen.append((page.evaluate("document.documentElement.lang"), page.inner_text("h1")))
            if choice:
                page.click(f".languages [lang={choice}]")
                page.wait_for_selector(f"html[lang={choice}] #storage span")
            context.close()
    assert seen == [(first, _heading(first)), (second, _heading(second))]
    assert wrong == []
