"""What people read goes through the seam, so that it can be said in another language."""

from tests.texts.seam import allowed, counts, texts

SOURCE = '''
"""A docstring is no text."""
from mapper.phrases import phrase
NAMED = "one word"
def told(name, count):
    """Nor is this one."""
    say("Round, {times} times as large.", times=f"{count:.2f}")
    phrase("must be at most {most} of them", most=count)
    Problem("display size", phrase("is needed"))
    raise ValueError("never shown to a person")
    raise ImportError("the command shows it")
    return f"{name} stays round", f"{count} mm", "none is left"
FRAMES: dict = {"built": "as the tablet was built"}
class Named:
    def __repr__(self):
        return f"<{self} for the developer>"
'''


def test_the_search_finds_texts_and_nothing_else():
    assert [text for _, text in texts(SOURCE)] == [
        "one word",
        "the command shows it",
        "\0 stays round",
        "none is left",
    ]


def test_no_module_has_more_texts_outside_the_seam_than_the_list_allows():
    before = {path: count for path, (count, _) in allowed().items()}
    risen = {
        path: f"{count} texts, {before.get(path, 0)} allowed"
        for path, count in counts().items()
        if count > before.get(path, 0)
    }
    assert not risen, (
        "say them with say() or phrase(); python -m tests.texts.seam MODULE lists them"
    )


def test_each_text_that_stays_outside_the_seam_has_its_reason():
    assert [path for path, (_, reason) in allowed().items() if not reason] == []
