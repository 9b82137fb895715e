"""How each field of a desk is asked for and shown, and the blanks of the letter.

What a field is, how it is read and written, stands in ``profiles.fields`` under the same name. A
blank is a place in the letter of the desk page; it shows one field or a few.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from mapper.phrases import phrase, template
from profiles.fields import FIELDS, unsaid

if TYPE_CHECKING:
    from collections.abc import Mapping


class ShownField(NamedTuple):
    """How one field is asked for and shown.

    ``option`` takes it on the command line, with its ``metavar`` and ``help``. ``blanks`` are the
    blanks of the letter that show it; what is wrong in it is told in the first. ``changed`` is what
    it is called in the list of what changed, where the profile keeps it in several keys; hand and
    eye notice a change of it where it is ``felt``.
    """

    name: str
    option: str
    metavar: str | None
    help: str
    blanks: tuple[str, ...]
    changed: str = ""
    felt: bool = True


_FIELDS = (
    ShownField(
        "name",
        "--workstation",
        "NAME",
        help="The desk's name.  [default: DESK's, else from the file of --save]",
        blanks=("name",),
        felt=False,
    ),
    ShownField(
        "note",
        "--note",
        "TEXT",
        help="A note to keep in the profile.",
        blanks=("name",),
        felt=False,
    ),
    ShownField(
        "tablet",
        "--tablet",
        "SIZE",
        help="Active area: 240x152mm, 9.4x6in; with its resolution (counts: the "
        "steps that it measures for 1 mm): 240x152mm@150/mm, @3810/in. "
        "From the tablet itself: @connected, @hid:FILE.",
        blanks=("tablet",),
    ),
    ShownField(
        "turn",
        "--turn",
        None,
        help="How far the tablet is turned clockwise on the desk, in degrees.  [default: DESK's, "
        "else 0]",
        blanks=("lying",),
    ),
    ShownField(
        "slant",
        "--slant",
        "DEGREES",
        help="How far the tablet lies askew, clockwise, besides --turn: from -45 to 45 degrees.",
        blanks=("lying",),
    ),
    ShownField(
        "displays",
        "--display",
        "DISPLAY",
        help='"27in 2560x1440", "597x336mm 2560x1440" or "2560x1440" (size unknown); several are '
        'allowed, with label, place, zoom and frame: "left: 24in 1920x1080 at -1920,0 zoom 1.5 '
        'bezel 8mm". From the display itself: @connected, @edid:FILE.',
        blanks=("displays",),
    ),
    ShownField(
        "distance",
        "--distance",
        "LENGTH",
        help="From your eyes to the main display, for example 70cm.",
        blanks=("seat",),
        felt=False,
    ),
    ShownField(
        "drop",
        "--top-below-eyes",
        "LENGTH",
        help="How far the display's top edge lies below eye level; negative: above eye level.",
        blanks=("stand",),
        felt=False,
    ),
    ShownField(
        "tilt",
        "--tilt",
        "DEGREES",
        help="How far the display's top leans back.  [default: it faces the eyes]",
        blanks=("stand",),
        felt=False,
    ),
    ShownField(
        "curve",
        "--radius",
        "[LABEL:] LENGTH",
        help="Radius of a curved display, 1800mm if sold as 1800R; without a label, for all.",
        blanks=("stand",),
        felt=False,
    ),
    ShownField(
        "ahead",
        "--ahead",
        "LABEL",
        blanks=("seat",),
        felt=False,
        help="The display that you face; middle: you face the middle of the arc.  "
        "[default: DESK's, else the main display]",
    ),
    ShownField(
        "fit",
        "--fit",
        None,
        help="full: whole tablet, whole display. locked: part of the tablet, circles stay round. "
        "cropped: part of the display, circles stay round.  [default: locked]",
        blanks=("fit",),
    ),
    ShownField(
        "hold",
        "--hold",
        None,
        help="The side or corner that stays in use where a part of tablet or display is not "
        "used.  [default: "
        "centre]",
        blanks=("hold",),
    ),
    ShownField(
        "onto",
        "--onto",
        "LABELS",
        help="The displays that the pen may reach: main, main+left or all.  [default: the main "
        "display]",
        blanks=("reach",),
    ),
    ShownField(
        "true_on",
        "--true-on",
        "LABEL",
        help="The display on which circles are exactly round; on others they may not be.  "
        "[default: the main display if it is reached]",
        blanks=("true", "reach"),
    ),
    ShownField(
        "window",
        "--window",
        "RECT",
        help="The part of the displays that the pen may reach: 100,80,1600x900px of all displays "
        "together, 10,10,80x80%, or 50,40,800x450logical (px as the system counts them at its "
        'zoom). Add "of LABEL" to count on this display alone.',
        blanks=("reach",),
        changed=phrase("part of the display"),
    ),
    ShownField(
        "within",
        "--within",
        "RECT",
        help="The part of the active area that may be used, on the tablet when it is not turned: "
        '20,0,220x152mm (left, top, size) or "20,0 to 240,152mm"; also in %, inches or counts. '
        'You can add "from bottom-left" after it, or "as seen" for the tablet as it lies.',
        blanks=("part",),
        changed=phrase("part of the tablet that may be used"),
    ),
    ShownField(
        "area",
        "--area",
        "RECT",
        help="The area that your tablet's settings have now; it is used unchanged: "
        "10,5,200x120mm, or another form of --within.",
        blanks=("part", "fit"),
        changed=phrase("area that is set"),
    ),
    ShownField(
        "step",
        "--step",
        "STEP",
        help="The smallest step that your tablet's settings accept: 0.5mm, 0.01in, 0.1%, 1count.",
        blanks=("step",),
        changed=phrase("step"),
    ),
    ShownField(
        "shape_tolerance",
        "--shape-tolerance",
        "PERCENT",
        help="How much a circle may stretch if the area can then be larger after its numbers are "
        "rounded.  [default: 0.5%]",
        blanks=("step",),
        changed=phrase("step"),
    ),
    ShownField(
        "scale",
        "--scale",
        "FACTOR",
        help="How many times as large strokes come out. With --fit locked this sets the area, with "
        "--fit cropped the part of the display.",
        blanks=("scale",),
        changed=phrase("wanted scale factor"),
    ),
    ShownField(
        "feel",
        "--feel-of",
        "DESK",
        help="The same scale factor as at this desk, from a file or the library.",
        blanks=("scale",),
        changed=phrase("wanted scale factor"),
    ),
    ShownField(
        "entry",
        "--entry",
        "FORM",
        help='How your tablet\'s settings ask for the rectangle: "corners mm", "size %", "corners '
        'counts from bottom-left", or "centre in comma" for inches with a decimal comma. It '
        "is printed first and saved in the "
        "profile.",
        blanks=("entry",),
        changed=phrase("numbers to type"),
        felt=False,
    ),
)
#: How every field is asked for and shown, by its name.
SHOWN_FIELDS = {field.name: field for field in _FIELDS}


class Input(NamedTuple):
    """A line to type into: the field that it is, what it is called, and an example."""

    field: str
    label: str
    example: str
    long: bool = False


class LetterBlank(NamedTuple):
    """One blank of the letter.

    ``about`` says what it is about, to a screen reader and for undo; ``more`` offers it where a
    short letter does without it. ``cures`` could stand in place of what is wrong in it, each its
    words and the change of the description; each is tried before it is offered.

    ``title``, ``lead``, ``ways`` (words and change), ``inputs`` and ``radio`` are its note, where
    ``render.desk.notes`` has no method for it; ``sentence`` its place in the letter, where one of
    its fields says something and ``render.desk.letter`` has no sentence for it. ``words`` stand in
    it for texts that no letter would say; where several fields say something, ``parts`` has the
    words of each for its text, and under ``-`` and its name those of a negative one.
    """

    name: str
    about: str
    more: str = ""
    cures: tuple[tuple[str, dict[str, Any]], ...] = ()
    title: str = ""
    lead: str = ""
    ways: tuple[tuple[str, dict[str, Any]], ...] = ()
    inputs: tuple[Input, ...] = ()
    radio: bool = False
    sentence: str = ""
    words: Mapping[str, str] = {}
    parts: Mapping[str, str] = {}

    @property
    def fields(self) -> tuple[str, ...]:
        """The fields that it shows, by name."""
        return tuple(field.name for field in _FIELDS if self.name in field.blanks)


HOLD_WORDS = {
    "centre": phrase("in the middle"),
    "left": phrase("at the left"),
    "right": phrase("at the right"),
    "top": phrase("at the top"),
    "bottom": phrase("at the bottom"),
    "top-left": phrase("in the top left corner"),
    "top-right": phrase("in the top right corner"),
    "bottom-left": phrase("in the bottom left corner"),
    "bottom-right": phrase("in the bottom right corner"),
}

#: Steps that tablet settings go in (common practice, no source).
STEPS = {
    "1mm": phrase("1 mm"),
    "0.5mm": phrase("0.5 mm"),
    "0.1mm": phrase("0.1 mm"),
    "0.01in": phrase("0.01 in"),
    "0.1%": phrase("0.1 %"),
    "1count": phrase("1 count"),
}
_MM_STEPS = ("1mm", "0.5mm", "0.1mm")

_BLANKS = (
    LetterBlank(
        "name",
        phrase("the desk's name"),
        title=phrase("What this desk is called"),
        inputs=(
            Input("name", phrase("Name"), "window desk"),
            Input("note", phrase("A note to remember it by"), "", long=True),
        ),
    ),
    LetterBlank("tablet", phrase("tablet size")),
    LetterBlank(
        "lying",
        phrase("how the tablet lies"),
        cures=((phrase("Straight"), unsaid("turn", "slant")),),
        title=phrase("How the tablet lies on the desk"),
        ways=(
            (phrase("Straight"), {"turn": "0"}),
            (phrase("Turned 90° to the right"), {"turn": "90"}),
            (phrase("Turned 180°"), {"turn": "180"}),
            (phrase("Turned 90° to the left"), {"turn": "270"}),
        ),
        inputs=(
            Input(
                "slant",
                phrase("How far it lies askew to the right, in degrees (-5 is to the left)"),
                "10",
            ),
        ),
        radio=True,
    ),
    LetterBlank("displays", phrase("displays")),
    LetterBlank("seat", phrase("distance")),
    LetterBlank(
        "stand",
        phrase("how the display stands"),
        phrase("height, tilt and curve of the display"),
        cures=((phrase("Leave it out"), unsaid("drop", "tilt", "curve")),),
        title=phrase("How the display stands"),
        lead=phrase(
            "Its height shows how far down you look. The tilt is used only if the height is known."
        ),
        ways=(
            (phrase("Its top at eye level"), {"drop": "0mm"}),
            (phrase("I don't know"), unsaid("drop", "tilt", "curve")),
        ),
        inputs=(
            Input("drop", phrase("From eye level down to the top edge of the display"), "5cm"),
            Input("tilt", phrase("How far its top leans back, in degrees (-5 is forward)"), "10"),
            Input("curve", phrase("Radius, if it is curved (1800mm if sold as 1800R)"), "1800mm"),
        ),
        sentence=template("The display has {stand}."),
        words={"0mm": phrase("its top at eye level")},
        parts={
            "drop": template("its top {text} below my eyes"),
            "-drop": template("its top {text} above my eyes"),
            "tilt": template("a tilt of {text}° back"),
            "-tilt": template("a tilt of {text}° forward"),
            "curve": template("a curve with a radius of {text}"),
        },
    ),
    LetterBlank(
        "reach",
        phrase("what the pen reaches"),
        cures=((phrase("The whole display"), unsaid("window", "onto", "true_on")),),
    ),
    LetterBlank("fit", phrase("circles")),
    LetterBlank(
        "part",
        phrase("part of the tablet"),
        phrase("a part of the tablet"),
        cures=((phrase("The whole tablet"), unsaid("within", "area")),),
    ),
    LetterBlank(
        "scale",
        phrase("scale factor"),
        phrase("a scale factor"),
        title=phrase("How much larger a stroke is on the display than under your hand"),
        ways=((phrase("Any scale factor"), unsaid("scale", "feel")),),
        inputs=(Input("scale", phrase("Times as large"), "2.6"),),
    ),
    LetterBlank(
        "hold",
        phrase("which side stays in use"),
        phrase("which side stays in use"),
        cures=((phrase("The middle"), unsaid("hold")),),
        sentence=template("The used part of the tablet stays {hold}."),
        words=HOLD_WORDS,
    ),
    LetterBlank(
        "true",
        phrase("where circles are round"),
        cures=((phrase("The main display"), unsaid("true_on")),),
    ),
    LetterBlank(
        "step",
        phrase("steps of the settings"),
        phrase("the steps of my tablet's settings"),
        cures=(
            *((phrase("Steps of {step}", step=STEPS[step]), {"step": step}) for step in _MM_STEPS),
            (phrase("No steps"), unsaid("step", "shape_tolerance")),
        ),
    ),
    LetterBlank(
        "entry",
        phrase("how the settings ask for the numbers"),
        cures=((phrase("Corner and size, in mm"), unsaid("entry")),),
    ),
)
#: Every blank of the letter by its name, in the order in which a change is looked for.
BLANKS = {blank.name: blank for blank in _BLANKS}

#: The blank in which a problem is told, by what the problem calls the field.
BLANK_OF = {
    called: SHOWN_FIELDS[name].blanks[0]
    for name, field in FIELDS.items()
    for called in field.called
}
