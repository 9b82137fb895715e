"""The few sentences that scripts of the page say, in the language in use.

A page hands them to its scripts as JSON, by name; ``static/fill.js`` fills their slots. A script
holds no sentence of its own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.phrases import template
from render.sentences.say import template_said

if TYPE_CHECKING:
    from render.desk.place import Place

_PAGE = {
    "copied": template("{number} is copied."),
    "copy_by_hand": template("This browser does not let the page copy. Select the number instead."),
    "not_worked": template("That did not work. Try again."),
    "gone": template("This no longer exists."),
    "undo_done": template("Undone. {now}"),
    "undo_done_of": template("Undone: {what}. {now}"),
    "redo_done": template("Redone. {now}"),
    "redo_done_of": template("Redone: {what}. {now}"),
    "works": template("One moment: this takes a little longer."),
    "works_trace": template("One moment: the trace is being read."),
    "works_drawing": template("One moment: your drawing is being read."),
    "works_chapter": template("One moment: this part is being worked out."),
    "works_seconds": template("{seconds} s so far"),
    "chapter_waits": template(
        "The description changed. This part is not updated while you type in it."
    ),
    "chapter_anew": template("Update this part"),
    "lies_over": template("It cannot overlap {display}."),
    "picture_copied": template("The picture is copied."),
    "save_picture": template("This browser does not let a page copy a picture. Save it instead."),
    "thrown_away": template("deleted; bring it back"),
    "throw_away": template("delete it"),
    "from_corner": template("{pixels} pixels from the corner"),
    "pinched": template(
        "You have zoomed the page with two fingers. Pinch it back to its normal size first."
    ),
    "no_touch": template(
        "Nothing was touched for a while. If the pen moves somewhere else, it is on another "
        "display or in another window: press Escape and move this window there."
    ),
    "finger": template("That was a finger. Touch with the pen."),
    "mouse_now": template("That was the mouse. Touch with the pen."),
    "other_window": template(
        "Another window came to the front. Come back to this one and continue."
    ),
    "left_untested": template("You left the test. Nothing was tested."),
    "the_corner": template(
        "The top left corner of the active area, when the tablet is not turned."
    ),
    "zoom_changed": template("The page's zoom or the display changed, so this starts again."),
}


_PAD = {
    "square": template("square"),
    "as_wide_as_tall": template("as wide as tall"),
    "wider": template("{percent} % wider than tall"),
    "taller": template("{percent} % taller than wide"),
    "slanting": template("{percent} % longer along a diagonal"),
    "size": template("about {long} by {short} mm"),
    "size_wide": template("about {long} mm wide and {short} mm tall"),
    "size_tall": template("about {long} mm tall and {short} mm wide"),
    "size_of_corners": template("about {long} by {short} mm from corner to corner"),
    "shape_and_size": template("{shape}, {size}"),
    "picture_and_stroke": template("{picture} Stroke {number} is {shape} here."),
    "came_circle": template("Your circle came out {seen}."),
    "came_square": template("Your square came out {seen}."),
    "came_spiral": template("Your spiral came out {seen}."),
    "came_shape": template("Your shape came out {seen}."),
    "came_oval": template("Your oval came out {seen}."),
    "came_rectangle": template("Your rectangle came out {seen}."),
    "came_and_rest": template("{came} {setting} The rest is as your hand drew it."),
    "came_as_drawn": template(
        "{came} That is how your hand drew it: this setting keeps circles round."
    ),
    "came_setting_hand": template("{came} {setting} {hand}"),
    "came_hand": template("{came} {hand} This setting keeps circles round."),
    "hand_drew": template("Your hand drew it {own}."),
    "hand_drew_nearly_round": template("Your hand drew it nearly round: {own}."),
    "hand_drew_nearly_square": template("Your hand drew it nearly square: {own}."),
    "hand_drew_round": template("Your hand drew it round."),
    "hand_drew_square": template("Your hand drew it square."),
    "other_setting": template(
        "These strokes were drawn with another setting. You see how today's setting draws the same "
        "movement of your hand."
    ),
    "stroke_open": template(
        "Stroke {number} does not end where it began. End a shape where it began to have it "
        "measured."
    ),
    "blind_one": template(
        "One shape drawn blind. Draw two more to see what your hand does and what the setting does."
    ),
    "blind_two": template(
        "Two shapes drawn blind. Draw one more to see what your hand does and what the setting "
        "does."
    ),
    "blind_drawn": template(
        "Shapes drawn blind: {count}. On the tablet your hand makes them {middle}, and varies by "
        "{spread} %."
    ),
    "blind_no_setting": template("{drawn} The setting adds nothing to it."),
    "blind_setting": template(
        "{drawn} {setting} That is more than your hand varies, so it comes from the setting."
    ),
    "blind_hand": template(
        "{drawn} Your hand varies more than the {percent} % that the setting adds, so these "
        "strokes alone prove nothing."
    ),
    "blind_start": template(
        "Start on the cross. Draw a circle below it, clockwise, as large as your palm."
    ),
    "blind_open": template(
        "That shape is not closed. Try again: all the way around, back to the cross."
    ),
    "blind_again": template(
        "{count} of 3 drawn. Draw the next from the cross, clockwise, without looking for the line."
    ),
    "blind_enough": template(
        "Three are enough. Draw one or two more, or press Escape to see the result."
    ),
    "your_hand": template("your hand"),
    "on_the_screen": template("on the screen"),
    "axis_wider": template("wider"),
    "axis_taller": template("taller"),
    "shown_at": template("Shown at {percent} % of real size."),
    "size_assumed": template(
        "The size of a display is not known and was assumed: shapes are right, sizes may not be."
    ),
    "pinched": template(
        "The page is zoomed with two fingers: sizes in mm are wrong until you pinch it back to "
        "its normal size."
    ),
    "other_pixels": template(
        "This display has {width} × {height} pixels, but the profile expects {expected}. The "
        "numbers are right for the display of the profile: open this page there."
    ),
    "grid": template(
        "A grid of squares, {size} mm wide under your hand, as it comes out with each setting."
    ),
    "erased": template("Strokes erased: {count}. Undo brings them back."),
    "cleared": template("Cleared. Undo brings the strokes back."),
    "nothing_to_undo": template("Nothing to undo."),
    "nothing_to_redo": template("Nothing to redo."),
    "done_undo": template("Undone. Strokes in the drawing area: {count}."),
    "done_redo": template("Redone. Strokes in the drawing area: {count}."),
    "no_stroke": template("There is no stroke to save yet."),
    "svg_title": template("Strokes from the Evenstroke pad, in desktop pixels"),
    "downloaded": template("Saved as {file}, in your browser's download folder."),
    "saved": template("Saved as {file}, beside the profile."),
    "not_saved": template("Not saved: {reason}"),
    "no_server": template(
        "Not saved: Evenstroke is no longer running. The strokes are still in the drawing area."
    ),
    "file_read": template("Read from {file}. Strokes: {count}."),
    "file_not_json": template(
        "{file} cannot be read: it is not JSON. Open strokes that were saved here (.json)."
    ),
    "file_no_strokes": template(
        "{file} cannot be read: it holds no saved strokes. Open strokes that were saved here "
        "(.json)."
    ),
    "file_bad_stroke": template(
        "{file} cannot be read: its stroke {stroke} is not a list of points. Open strokes that "
        "were saved here (.json)."
    ),
}

#: Of the page that runs from one file: before its Python runs, and where the desks are stored.
_ONE_FILE = {
    "unpacking": template("One moment: the page is being unpacked."),
    "starting": template("One moment: Python is starting."),
    "nearly": template("One moment: your desks are being read."),
    "elsewhere": template(
        "Your desks are open in another tab or window. Close it, and they open here."
    ),
    "not_started": template(
        "The page could not start. It needs a browser of the last two years and about 600 MB of "
        "memory. Close other tabs and load it again. Your desks are where they were."
    ),
    "storage_stored": template(
        "Your desks are stored in this browser. It may delete them (a private window does when "
        "you close it), "
        "or not find them if you move this file."
    ),
    "storage_visit": template(
        "Not stored: this browser stores nothing for this page. Your desks will be lost when you "
        "close it."
    ),
    "storage_full": template(
        "Not stored: the browser's storage is full. Your latest changes will be lost when you "
        "close the page."
    ),
    "saved_all": template("All saved as a file on {day}."),
    "saved_before": template("Last saved as a file on {day}."),
    "save_now": template("Your desks have not been saved as a file for a week."),
    "save_first": template("Your desks have never been saved as a file."),
    "save_all": template("Save all my desks as one file"),
    "file_current": template("{file} is kept up to date."),
    "update_file": template("Keep {file} up to date"),
    "file_failed": template("The file could not be written."),
}


def page_texts(place: Place) -> dict[str, str]:
    """The templates that the scripts of the desk's pages fill, by name."""
    said = {**_PAGE, "no_answer": place.no_answer}
    return {name: template_said(text) for name, text in said.items()}


def pad_texts() -> dict[str, str]:
    """The templates that the pad's script fills, by name."""
    return {
        "round": template_said("round", context="a stroke"),
        "axis_round": template_said("round", context="on an axis"),
        **{name: template_said(text) for name, text in _PAD.items()},
    }


def one_file_texts() -> dict[str, str]:
    """The templates that the scripts around the page fill where it runs from one file, by name."""
    return {name: template_said(text) for name, text in _ONE_FILE.items()}
