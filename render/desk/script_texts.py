"""The few sentences that scripts of the page say, in the language in use.

A page hands them to its scripts as JSON, by name; ``static/fill.js`` fills their slots. A script
holds no sentence of its own.
"""

from __future__ import annotations

from mapper.phrases import template
from render.sentences.say import template_said

_PAGE = {
    "copied": template("{number} is copied."),
    "copy_by_hand": template("This browser does not let the page copy. Select the number instead."),
    "not_worked": template("It did not work."),
    "gone": template("It is gone."),
    "field_keys": template("Press Enter to use it, Escape to cancel."),
    "no_answer": template(
        "The desk does not answer. It may have been stopped. Your letter is written down. Start it "
        "again with: evenstroke desk"
    ),
    "picture_copied": template("The picture is copied."),
    "save_picture": template("This browser does not let a page copy a picture. Save it instead."),
    "thrown_away": template("thrown away; bring it back"),
    "throw_away": template("throw it away"),
    "from_corner": template("{pixels} pixels from the corner"),
    "pinched": template("The page is pinched to another size. Pinch it back first."),
    "zoom_changed": template("The zoom of the page changed, or the display, so this starts again."),
}


def page_texts() -> dict[str, str]:
    """The templates that the scripts of the desk's pages fill, by name."""
    return {name: template_said(text) for name, text in _PAGE.items()}
