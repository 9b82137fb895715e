"""The rectangle to enter, in sentences of the form that the tablet's settings ask for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mapper.mapping.entry import Entry, entry_numbers
from mapper.mapping.whole_desktop import separate_displays, whole_desktop
from render.sentences.forms import UNIT_WORDS, asked_words, step_words
from render.sentences.say import Name, row_of, say, say_again
from render.sentences.words import circle_words, rotation_sentence, to_type

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from mapper.phrases import Phrase

#: From this stretch on, what rounding does to a circle is worth a word.
_OVAL_STRETCH = 1.0005


class ToType(str):
    """A number as it is typed into the settings: a page shows it as a button that copies it."""

    __slots__ = ()


def form_words(entry: Entry) -> Phrase:
    """``corner and size, in mm, from the bottom left``."""
    return say(asked_words(entry).page, unit=say_again(UNIT_WORDS[entry.unit].page))


def typed_numbers(solved: TabletMap, entry: Entry) -> tuple[ToType, ...]:
    """The numbers to type, in the order of the form: four, and an angle for a turned area.

    Raises RequestError for counts without a resolution.
    """
    return tuple(ToType(each.text) for each in entry_numbers(solved, entry))


def numbers_row(solved: TabletMap, entry: Entry) -> str:
    """The same numbers, each with its name and unit: ``left 0 mm, top 8.5 mm, width 240 mm``.

    Raises RequestError for counts without a resolution.
    """
    return row_of(
        [
            say(
                "{name} {number} {unit}",
                name=say_again(each.label),
                number=each.text,
                unit=say_again(each.unit),
            )
            for each in entry_numbers(solved, entry)
        ]
    )


def answer_sentences(solved: TabletMap, entry: Entry) -> list[Phrase]:
    """What to type: the four numbers in a sentence, and the angle of a turned area in another.

    Each number stands in brackets with the words that must stay on its line. Raises RequestError
    for counts without a resolution.
    """
    words = asked_words(entry)
    one, two, three, four, *turned = typed_numbers(solved, entry)
    unit = say_again(UNIT_WORDS[entry.unit].page)
    numbers = dict(zip(words.numbers, (one, two, three, four), strict=True))
    found = [say(words.sentence, unit=unit, **numbers)]
    return [*found, *(say("Set its angle to [{turn} degrees].", turn=turn) for turn in turned)]


def beside_the_numbers(solved: TabletMap, entry: Entry) -> list[str]:
    """What has to be set or known beside the numbers of the rectangle, a sentence each."""
    request, screen = solved.request, solved.screen_px
    found: list[str] = []
    if request.tablet.turn_deg:
        found += [
            rotation_sentence(request.tablet.turn_deg),
            as_built_sentence(request.tablet.turn_deg),
        ]
    trimmed = solved.summary.screen_used_percent < 100 or bool(request.window_px)
    if screen != request.desktop.rect_px and (trimmed or len(request.desktop.displays) > 1):
        found += screen_sentences(solved, entry)
    if len(solved.reached) > 1 and separate_displays(solved):
        found.append(say("The gap between the displays also takes a part of the tablet."))
    if request.step is not None and solved is not solved.exact:
        step = step_words(request.step)
        shape = solved.figures_on(solved.reference).distortion
        exact = solved.exact.figures_on(solved.reference).distortion
        # Only where rounding made it oval: the picture shows a stretch that was asked for.
        if exact.stretch < 1 + 1e-9 and shape.stretch >= _OVAL_STRETCH:
            found.append(
                say(
                    "The numbers are rounded to steps of {step}: a circle is {shape}.",
                    step=step,
                    shape=circle_words(shape),
                )
            )
        else:
            found.append(say("The numbers are rounded to steps of {step}.", step=step))
    if solved.reference.mm_per_px is None:
        found.append(say("The size of the display is not known, so there is no scale factor."))
    return found


def as_built_sentence(turn_deg: int) -> Phrase:
    """Whose numbers they are where the tablet is turned, and where they are counted from."""
    if turn_deg == 180:
        return say(
            "The numbers are for the tablet when it is not turned. Its top left corner, marked "
            "in the picture, is now at the bottom right."
        )
    if turn_deg == 90:
        return say(
            "The numbers are for the tablet when it is not turned. Its top left corner, marked "
            "in the picture, is now at the top right."
        )
    return say(
        "The numbers are for the tablet when it is not turned. Its top left corner, marked in "
        "the picture, is now at the bottom left."
    )


def screen_sentences(solved: TabletMap, entry: Entry) -> list[str]:
    """The part of the screen to set, where its pixels are counted from, and who cannot set it."""
    desktop, screen = solved.request.desktop, solved.screen_px
    found: list[str] = [screen_sentence(solved, entry)]
    if len(desktop.displays) == 1:
        return found
    main, whole = Name(desktop.primary.label), desktop.rect_px
    if (whole.left, whole.top) == (0, 0):
        found.append(
            say(
                "The pixels are counted from the top left corner of {main}, which is also the "
                "corner "
                "of the whole desktop.",
                main=main,
            )
        )
    else:
        found.append(
            say(
                "The pixels are counted from the top left corner of {main}. If your settings count "
                "from the corner of the whole desktop, type {left} pixels from the left and {top} "
                "pixels from the top.",
                main=main,
                left=to_type(screen.left - whole.left, 1, entry),
                top=to_type(screen.top - whole.top, 1, entry),
            )
        )
    if whole_desktop(solved).possible:
        found.append(
            say(
                "Settings that can only use the whole desktop need another rectangle: see all "
                "numbers."
            )
        )
    else:
        found.append(say("Settings that can only use the whole desktop cannot do this."))
    return found


def screen_sentence(solved: TabletMap, entry: Entry) -> Phrase:
    """The part of the screen to set besides, with the decimal mark that the settings want."""
    screen = solved.screen_px
    return say(
        "Also set the part of the display: {width} × {height} pixels, {left} from the left and "
        "{top} from the top.",
        width=to_type(screen.width, 1, entry),
        height=to_type(screen.height, 1, entry),
        left=to_type(screen.left, 1, entry),
        top=to_type(screen.top, 1, entry),
    )
