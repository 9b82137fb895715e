"""The notes in the margin: for each blank the ways to fill it, and what each would do.

A way is a change of the description; what it would do is what the changed description comes to, by
the same functions.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_DISPLAYS
from mapper.choosing.viewing import Glass, below_deg_of_top, visual_angle_deg
from mapper.desk import Display
from mapper.mapping.entry import Entry
from mapper.mapping.fits import FITS
from mapper.mapping.forms import UNITS
from mapper.mapping.whole_desktop import separate_displays
from mapper.phrases import phrase, template
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.units import mm_of_inches
from profiles.fields import entry_text, set_to, unsaid
from profiles.numbers import plain_number
from profiles.requests import SEAT
from profiles.scaled import own_pixels
from profiles.shorthand import display_text, rect_text, tablet_text
from render.desk.answer import Answer, answer, blank_of, without_options
from render.desk.described import FeelOf
from render.desk.dropped import without_gaps
from render.desk.slips import Slip, slip_of
from render.fields import BLANKS, SHOWN_FIELDS, STEPS
from render.sentences.entry import numbers_row, screen_sentence
from render.sentences.forms import SHAPE_WORDS, UNIT_WORDS
from render.sentences.letter import displays_words, fit_title, pixels_words, times_words
from render.sentences.measures import diagonal_words, size
from render.sentences.outcome import outcome
from render.sentences.say import Name, paragraph, say, say_again
from render.sentences.words import ROUND_PERCENT, capital, number, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Desktop
    from mapper.mapping.feel import Feel
    from mapper.mapping.solve import TabletMap
    from render.desk.described import Description
    from render.desk.hardware import SaidDesktop

#: Diagonals, in inches, that are offered for a screen of known pixels, and for one that is over
#: twice as wide as high (common practice, no source).
USUAL_INCHES, WIDE_INCHES = (14, 15.6, 17.3, 24, 27, 32, 40, 50), (29, 34, 38, 49)
#: The minus before a length.
_MINUS = re.compile(r"(?<![\w.,)])\s*[-\u2212](?=\d)")


@dataclass(frozen=True, slots=True)
class Oval:
    """A tiny picture of what becomes of a circle, as its radii, the longer at most 1.

    It is dashed where it is no circle.
    """

    across: float
    down: float

    @property
    def round(self) -> bool:
        return abs(self.across / self.down - 1) * 100 < ROUND_PERCENT


@dataclass(frozen=True, slots=True)
class Way:
    """One way to fill a blank: its words, what it would do, and the change to make.

    ``id`` tells it from the other ways of its note by what it means, whichever others there are.
    """

    title: str
    says: str
    change: dict[str, Any]
    chosen: bool = False
    oval: Oval | None = None
    box: tuple[float, float] | None = None
    id: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """A line to type into: the text of the description, its label, and an example.

    ``wrong`` says what is wrong in it.
    """

    key: str
    label: str
    value: str
    example: str
    index: int | None = None
    long: bool = False
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several choices of a note: its name, and the ways of which one holds."""

    title: str
    ways: Sequence[Way]


@dataclass(frozen=True, slots=True)
class Note:
    """All that a blank's note holds.

    ``measure`` names what can be measured; ``plan`` is the desktop to be dragged; ``choices`` stand
    in place of ``ways`` where several are to be made.

    ``known`` is what the hardware says, before all else; ``typed_last`` whether typing comes after
    what is offered; ``wrong`` says what is wrong in the blank but in no one field of it,
    ``understood`` what is doubtful.
    """

    title: str
    lead: str = ""
    ways: Sequence[Way] = ()
    fields: Sequence[Field] = ()
    radio: bool = False
    measure: str = ""
    plan: Desktop | None = None
    known: Sequence[Way] = ()
    typed_last: bool = False
    wrong: Sequence[str] = ()
    understood: Sequence[str] = ()
    choices: Sequence[Choice] = ()


def note(
    blank: str,
    now: Answer,
    last: Answer | None,
    *,
    asks: str = "",
    system: SaidDesktop | None = None,
    feels: Sequence[Feel] = (),
) -> Note:
    """The note of ``blank`` for the description of ``now``.

    ``last`` is the last possible answer, if there was one. ``asks`` are the pixels of the browser's
    own screen while nobody said that it is the display; ``system`` is the desktop as the running
    system has it, and ``feels`` how the hand moves at other desks.
    """
    maker = _Maker(now, last, asks, system)
    made: Note = getattr(maker, f"{blank}_note", lambda: maker.plain_note(blank))()
    wrong = [each for each in slips(now) if each.blank == blank]
    fields = [_with_slip(each, wrong) for each in made.fields]
    told = {each.wrong for each in fields}
    made = replace(made, ways=[*made.ways, *maker.feel_ways(feels)])
    # What is possible, as one click, before all other ways.
    cures = maker.cures(blank) if wrong else []
    offered = [way.change for way in cures]
    known = _identified(made.known, "known")
    ways = [*cures, *(way for way in made.ways if way.change not in offered)]
    return replace(
        made,
        known=known,
        ways=_identified(ways, "way"),
        choices=[
            replace(each, ways=_identified(each.ways, f"choice{at}"))
            for at, each in enumerate(made.choices)
        ],
        fields=fields,
        radio=made.radio and not cures,
        wrong=[each.says for each in wrong if each.says not in told],
        understood=[
            without_options(say_again(each.sentence))
            for each in now.doubts
            if blank_of(each.where) == blank and not wrong
        ],
    )


def slips(now: Answer) -> list[Slip]:
    """What is wrong, each with its blank and its field, in the letter's own words."""
    bound = _scale_bound(now) if any(each.blank == "scale" for each in now.wrong) else ""
    found = [slip_of(now, each) for each in now.wrong]
    if not bound:
        return found
    return [replace(each, says=bound) if each.blank == "scale" else each for each in found]


def _with_slip(field: Field, wrong: Sequence[Slip]) -> Field:
    says = [
        each.says for each in wrong if each.field == field.key and field.index in {None, each.index}
    ]
    return replace(field, wrong=paragraph(list(dict.fromkeys(says))))


def _identified(ways: Sequence[Way], kind: str) -> list[Way]:
    """The ways of a note, each with an id of its own that its words make."""
    found: dict[str, Way] = {}
    for way in ways:
        name = "-".join([kind, *re.findall(r"\w+", way.title.lower())])
        count = sum(id_ == name or id_.startswith(f"{name}--") for id_ in found)
        id_ = f"{name}--{count + 1}" if count else name
        found[id_] = replace(way, id=id_)
    return [*found.values()]


def _other_scale(now: Answer) -> float | None:
    """The bound that a wanted scale factor breaks: the scale factor of the other fit without one.

    None where something else is wrong.
    """
    other = {"locked": "cropped", "cropped": "locked"}.get(now.said.fit, "")
    solved = answer(now.said.with_({"fit": other, **unsaid("scale", "feel")})).solved
    scale = None if solved is None else solved.summary.scale_factor
    try:
        wanted = plain_number(now.said.scale, "scale")
    except RequestError:
        return None
    if scale is None or not wanted > 0 or (wanted > scale) == (now.said.fit == "locked"):
        return None
    return scale


def _scale_bound(now: Answer) -> str:
    """How large strokes can come out, where a wanted scale factor is out of bounds.

    Empty where something else is wrong.
    """
    if now.said.fit == "full":
        return say("You can choose a scale factor only if circles stay round.")
    scale = _other_scale(now)
    if scale is None:
        return ""
    if now.said.fit == "locked":
        return say(
            "Here strokes come out at least {times} times as large. To make them smaller, choose "
            '"part of the display is not used".',
            times=number(math.ceil(100 * scale - 1e-7) / 100),
        )
    return say(
        'Here strokes come out at most {times} times as large. To make them larger, choose "part '
        'of the tablet is not used".',
        times=number(math.floor(100 * scale + 1e-7) / 100),
    )


class _Maker:
    def __init__(
        self, now: Answer, last: Answer | None, asks: str, system: SaidDesktop | None
    ) -> None:
        self.now, self.last, self.said = now, last, now.said
        self.asks, self.system = asks, system
        #: The map of now, or as it was last possible.
        self.solved = now.solved or (last.solved if last else None)

    def tried(self, change: dict[str, Any]) -> Answer:
        return answer(self.said.with_(change))

    def way(
        self,
        title: str,
        change: dict[str, Any],
        *,
        chosen: bool = False,
        oval: bool = False,
        box: tuple[float, float] | None = None,
    ) -> Way:
        """A way with what it would do, from the answer that it would have."""
        tried = self.tried(change)
        solved = tried.solved
        # What is wrong in another blank is told there.
        told = {(each.blank, each.problem.must) for each in self.now.wrong}
        own = [each.says for each in tried.wrong if (each.blank, each.problem.must) not in told]
        says = outcome(solved) if solved is not None else "".join(own[:1])
        shape = None
        if oval and solved is not None:
            distortion = solved.figures_on(solved.reference).distortion
            shape = Oval(distortion.scale_x, distortion.scale_y)
        return Way(title, says, change, chosen, shape, box)

    def with_it(self, change: dict[str, Any], *, clears: tuple[str, ...]) -> dict[str, Any]:
        """``change``, and what else must go because it speaks of the thing that is replaced."""
        if self.tried(change).possible:
            return change
        return {**change, **unsaid(*(name for name in clears if getattr(self.said, name)))}

    def cures(self, blank: str) -> list[Way]:
        """Ways to put right what is wrong in a blank.

        Each is tried, and only those that help are offered.
        """
        changes = self._scale_cures() if blank == "scale" else list(BLANKS[blank].cures)
        if self.last is not None:
            before = {key: getattr(self.last.said, key) for key in BLANKS[blank].fields}
            plain_before = {
                key: list(value) if isinstance(value, tuple) else value
                for key, value in before.items()
            }
            changes.append((say("As it was before"), plain_before))
        if blank == "displays":
            changes += self._fewer_displays()
        changes += self._unit_cures(blank)
        changes += self._sign_cures(blank)
        found: list[Way] = []
        for title, change in changes:
            tried = self.tried(change)
            if not any(each.blank == blank for each in tried.wrong) and change not in [
                way.change for way in found
            ]:
                found.append(Way(say_again(title), outcome(tried.solved), change))
        return found[:4]

    def _fewer_displays(self) -> list[tuple[str, dict[str, Any]]]:
        """The displays without each of them but the first."""
        texts = self.said.displays
        gone = unsaid("onto", "true_on", "window")
        return [
            (
                say("Remove the display “{display}”", display=Name(texts[at].partition(":")[0])),
                {"displays": [*texts[:at], *texts[at + 1 :]], **gone},
            )
            for at in range(1, len(texts))
        ]

    def _unit_cures(self, blank: str) -> list[tuple[str, dict[str, Any]]]:
        """What was typed with a unit behind it, where that makes a length that can be meant."""
        typed = {
            key: getattr(self.said, key)
            for key in BLANKS[blank].fields
            if blank in {"tablet", "seat", "part"}
        }
        named = [
            (f"{text} {unit}", {key: f"{text}{unit}"})
            for key, text in typed.items()
            if isinstance(text, str) and text
            for unit in ("mm", "cm", "in")
        ]
        return [(title, change) for title, change in named if not self.tried(change).slips]

    def _sign_cures(self, blank: str) -> list[tuple[str, dict[str, Any]]]:
        """What was typed without the minus before a length."""
        found: list[tuple[str, dict[str, Any]]] = []
        for key in BLANKS[blank].fields:
            typed = getattr(self.said, key)
            texts = typed if isinstance(typed, tuple) else (typed,)
            if not all(isinstance(each, str) for each in texts):
                continue
            plain = [_MINUS.sub(" ", each, count=1).strip() for each in texts]
            if plain != list(texts):
                title = "; ".join(
                    each for each, was in zip(plain, texts, strict=True) if each != was
                )
                found.append((title, {key: plain if isinstance(typed, tuple) else plain[0]}))
        return found

    def _scale_cures(self) -> list[tuple[str, dict[str, Any]]]:
        """The nearest scale factor that is possible, the other fit, and none."""
        nearest = []
        scale = _other_scale(self.now)
        if scale is not None:
            # To a hundredth, on the side of the bound that is possible.
            if self.said.fit == "locked":
                hundredths = math.floor(scale * 100 + 1e-6) + 1
            else:
                hundredths = math.ceil(scale * 100 - 1e-6) - 1
            nearest.append(plain(hundredths / 100))
        fits = [fit for fit in FITS if fit not in {self.said.fit, "full"}]
        return [
            *((capital(times_words(times)), {"scale": times}) for times in nearest),
            *((fit_title(fit), {"fit": fit}) for fit in fits),
            *BLANKS["scale"].ways,
        ]

    def plain_note(self, blank: str) -> Note:
        """The note of a blank whose row in ``render.fields`` says all of it."""
        row, said = BLANKS[blank], self.said
        seen = any(SHOWN_FIELDS[name].felt for name in row.fields)
        ways = [
            self.way(
                say_again(words),
                change,
                chosen=all(getattr(said, name) == text for name, text in change.items()),
            )
            for words, change in row.ways
        ]
        if not seen:
            # It changes nothing under the hand, but how far down one looks.
            ways = [replace(way, says=self._look_words(self.tried(way.change))) for way in ways]
        fields = [
            Field(
                each.field,
                say_again(each.label),
                getattr(said, each.field),
                each.example,
                long=each.long,
            )
            for each in row.inputs
        ]
        return Note(say_again(row.title), say_again(row.lead), ways, fields, radio=row.radio)

    def feel_ways(self, feels: Sequence[Feel]) -> list[Way]:
        """The feel of other desks, each with a fit that can have it where one does."""
        found = []
        for feel in feels:
            plain = {"scale_x": feel.scale_x, "scale_y": feel.scale_y, "of": feel.of}
            changes = [set_to({"feel": plain, **fit}) for fit in ({}, *_TRIMS)]
            possible = [change for change in changes if self.tried(change).possible]
            title = say("As large as at the desk “{desk}”", desk=Name(feel.of))
            chosen = not self.said.scale and self.said.feel == FeelOf(
                feel.scale_x, feel.scale_y, feel.of
            )
            found.append(self.way(title, (possible or changes)[0], chosen=chosen))
        return found

    def _look_words(self, tried: Answer) -> str:
        """How far down one looks to the middle of the main display."""
        seat, solved = tried.seat, tried.solved
        glass = None
        if solved is not None and solved.request.desktop.primary.mm_per_px is not None:
            radius_mm = None if seat is None else seat.curve_radius_mm
            glass = Glass.of_display(solved.request.desktop.primary, radius_mm)
        if glass is None or seat is None or seat.top_below_eyes_mm is None:
            return say("Then it is not known how far down you look.")
        below_deg = below_deg_of_top(glass, seat.distance_mm, seat.top_below_eyes_mm, seat.tilt_deg)
        if below_deg < 0:
            return say("You look {degrees}° up to its centre.", degrees=number(-below_deg, 0))
        return say("You look {degrees}° down to its centre.", degrees=number(below_deg, 0))

    # -- one method for each blank whose ways depend on the desk

    def tablet_note(self) -> Note:
        from render.desk.hardware import said_tablets

        def taking(text: str) -> dict[str, Any]:
            return self.with_it({"tablet": text}, clears=("within", "area"))

        known = [
            Way(
                say(
                    "{name}: {size}",
                    name=Name(each.name),
                    size=size(each.tablet.width_mm, each.tablet.height_mm),
                ),
                say("plugged in; it reports this itself"),
                taking(each.text),
                self.said.tablet == each.text,
            )
            for each in said_tablets()
        ]
        ways = []
        for tablet in CUSTOMARY_TABLETS:
            text, sides = (
                tablet_text(replace(tablet, label="")),
                (tablet.width_mm, tablet.height_mm),
            )
            title = say(_CUSTOMARY[tablet.label], size=size(*sides))
            ways.append(self.way(title, taking(text), chosen=self.said.tablet == text, box=sides))
        return Note(
            say("The active area: the part of the tablet that feels the pen"),
            ways=ways,
            fields=[
                Field(
                    "tablet",
                    say("Width x height and the unit"),
                    self.said.tablet,
                    say("240x152mm or 9.4x6in"),
                )
            ],
            measure="tablet",
            known=known,
            typed_last=not self.said.tablet,
        )

    def displays_note(self) -> Note:
        from render.desk.hardware import pixels, said_displays

        said = self.said.displays
        fields = [
            Field(
                "displays",
                say("Size and pixels")
                if len(said) < 2
                else say("Display {number}", number=str(index + 1)),
                text,
                "27in 2560x1440",
                index,
            )
            for index, text in enumerate(said or ("",))
        ]
        known = [
            Way(
                say("{name}: {size}", name=Name(each.name), size=_sold_as(each.display)),
                say("connected; it reports this itself"),
                self._showing([each.text]),
                not self.asks and said == (each.text,),
            )
            # The one that the browser is on comes first.
            for each in sorted(
                said_displays(), key=lambda found: pixels(found.display) != self.asks
            )
        ]
        known = [*self._whole_desktop(), *known]
        if self.asks and len(said) < 2:
            return replace(
                self._is_it_this_one(),
                fields=fields,
                measure="display",
                known=known,
                typed_last=True,
            )
        ways = self._with_own_pixels()
        if len(said) < 2:
            for display in USUAL_DISPLAYS:
                text = display_text(replace(display, label="main"), alone=True)
                ways.append(
                    self.way(_sold_as(display), self._showing([text]), chosen=said == (text,))
                )
        solved = self.now.solved
        if solved is not None and separate_displays(solved):
            closed = {"displays": without_gaps(solved, said)}
            ways.append(self.way(say("Without the gap"), closed))
        if said:
            more = [*self._placed_texts(), self._another()]
            ways.append(self.way(say("Another display beside it"), {"displays": more}))
        plan = (
            self.now.solved.request.desktop
            if self.now.solved is not None and len(said) > 1
            else None
        )
        for display in plan.displays if plan else ():
            if (display.left_px, display.top_px) != (0, 0):
                left = self._placed_texts(without=display.label)
                change = {"displays": left, **unsaid("onto", "true_on", "window")}
                ways.append(
                    self.way(
                        say("Remove the display “{display}”", display=Name(display.label)), change
                    )
                )
        return Note(
            say("The display that you look at"),
            ways=ways,
            fields=fields,
            measure="display",
            plan=plan,
            known=known,
            typed_last=not said,
        )

    def _with_own_pixels(self) -> list[Way]:
        """The one display with the pixels that it may have itself, by the system's zoom.

        Empty where what is typed are no pixels that a zoom has made. Beside another display its
        place would change too.
        """
        solved = self.now.solved
        if solved is None or len(self.said.displays) != 1:
            return []
        display = solved.request.desktop.primary
        by_diagonal = display.diagonal_mm is not None
        sides = (None, None) if by_diagonal else (display.width_mm, display.height_mm)
        found = []
        for own in own_pixels(display.width_px, display.height_px):
            title = say(
                "{pixels}, shown at {percent} %",
                pixels=f"{own.width_px} × {own.height_px}",
                percent=str(own.zoom_percent),
            )
            wanted = replace(
                display,
                width_px=own.width_px,
                height_px=own.height_px,
                width_mm=sides[0],
                height_mm=sides[1],
                zoom=own.zoom_percent / 100,
            )
            found.append(self.way(title, self._showing([display_text(wanted, alone=True)])))
        return found

    def _showing(self, texts: list[str]) -> dict[str, Any]:
        return self.with_it({"displays": texts}, clears=("window", "onto", "true_on"))

    def _whole_desktop(self) -> list[Way]:
        """All displays as the running system has them.

        Empty where the displays say as much of themselves.
        """
        if self.system is None or (
            len(self.system.texts) < 2 and self.system.desktop.primary.width_mm is None
        ):
            return []
        return [
            Way(
                capital(displays_words(self.system.desktop)),
                paragraph(
                    [
                        say("This is how this computer has them now."),
                        *(say_again(doubt) for doubt in self.system.doubts),
                    ]
                ),
                self._showing(list(self.system.texts)),
                not self.asks and self.said.displays == self.system.texts,
            )
        ]

    def _is_it_this_one(self) -> Note:
        """The display's note while it is only known which screen the browser is on."""
        width_px, height_px = (int(value) for value in self.asks.split("x"))
        ways = []
        for inches in USUAL_INCHES if width_px <= 2 * height_px else WIDE_INCHES:
            if 75 <= math.hypot(width_px, height_px) / inches <= 190:
                display = Display(width_px, height_px).with_diagonal(mm_of_inches(inches))
                sides = display.width_mm or 1.0, display.height_mm or 1.0
                ways.append(
                    Way(
                        say("Yes, {inches} in", inches=number(inches)),
                        "",
                        {"displays": [display_text(display, alone=True)]},
                        box=sides,
                    )
                )
        unknown = say("Then there is no scale factor. Everything else is exact.")
        # With a label it is said, and no longer only found.
        ways.append(
            Way(
                say("Yes, but I do not know its size"),
                unknown,
                {"displays": [f"main: {self.asks}"]},
            )
        )
        return Note(
            say("Is it this one?"),
            say(
                "This browser is on a display of {width} × {height} pixels.",
                width=str(width_px),
                height=str(height_px),
            ),
            ways,
        )

    def _placed_texts(self, without: str = "") -> list[str]:
        solved = self.now.solved
        if solved is None:
            return list(self.said.displays)
        left = [display for display in solved.request.desktop.displays if display.label != without]
        return [display_text(display, alone=len(left) == 1) for display in left]

    def _another(self) -> str:
        solved = self.now.solved
        if solved is None:
            return "24in 1920x1080"
        desktop = solved.request.desktop
        labels = {display.label for display in desktop.displays}
        names = ("side", "third", "fourth", *(f"display {n}" for n in range(5, 99)))
        label = next(name for name in names if name not in labels)
        return f"{label}: 24in 1920x1080 at {int(desktop.rect_px.right)},0"

    def seat_note(self) -> Note:
        ways = [
            Way(
                say("{distance} cm", distance=str(cm)),
                self._view(cm),
                {"distance": f"{cm}cm"},
                self.said.distance == f"{cm}cm",
            )
            for cm in (50, 60, 70, 80)
        ]
        nothing = unsaid(*SEAT)
        left_out = say("Then there is no advice on where to sit.")
        ways.append(Way(say("I don't know"), left_out, nothing, not self.said.distance))
        inputs = [Field("distance", say("Distance"), self.said.distance, "70cm")]
        if len(self.said.displays) > 1:
            title = say("Straight ahead: a display, or middle")
            inputs.append(Field("ahead", title, self.said.ahead, "middle"))
        return Note(
            say("From your eyes to the main display"),
            say(
                "An arm's length is about 65 cm. If your eyes tire or your neck hurts, change the "
                "distance and see a doctor or physiotherapist. The rules of your workplace and "
                "your country come first."
            ),
            ways,
            inputs,
            radio=True,
        )

    def _view(self, cm: float) -> str:
        """How much of the view the main display fills from so far away."""
        wide_mm = None if self.solved is None else self.solved.request.desktop.primary.width_mm
        if wide_mm is None:
            return ""
        degrees = number(visual_angle_deg(wide_mm, cm * 10), 0)
        return say("The display fills {degrees}° of your view.", degrees=degrees)

    def reach_note(self) -> Note:
        ways = []
        if self.solved is not None:
            request = self.solved.request
            displays = request.desktop.displays
            whole = request.window_px is None

            def way(title: str, onto: str, labels: tuple[str, ...]) -> Way:
                change = {**unsaid("window", "true_on"), "onto": onto}
                return self.way(title, change, chosen=whole and request.onto == labels)

            for each in displays:
                onto = "" if each == request.desktop.primary else each.label
                ways.append(
                    way(
                        Name(each.label) if len(displays) > 1 else say("The whole display"),
                        onto,
                        (each.label,),
                    )
                )
            if len(displays) > 1:
                ways.append(way(say("All displays"), "all", tuple(each.label for each in displays)))
        return Note(
            say("What the pen reaches"),
            say("Or drag the marks beside the picture of the display."),
            ways,
            [
                Field(
                    "window",
                    say("A part: left, top, width x height"),
                    self.said.window,
                    "320,180,1920x1080px",
                )
            ],
            radio=True,
        )

    def fit_note(self) -> Note:
        ways = [
            self.way(
                fit_title(fit),
                set_to({"fit": fit}),
                chosen=self.said.fit == fit and not self.said.area,
                oval=True,
            )
            for fit in FITS
        ]
        # The tiny circles are to one scale, as large as each comes out.
        largest = max(
            (max(way.oval.across, way.oval.down) for way in ways if way.oval), default=1.0
        )
        scaled = [
            replace(way, oval=Oval(way.oval.across / largest, way.oval.down / largest))
            if way.oval
            else way
            for way in ways
        ]
        return Note(say("What happens to circles"), ways=scaled, radio=True)

    def hold_note(self) -> Note:
        """Which side is kept where something is trimmed: only ways that differ are offered."""
        found: dict[object, Way] = {}
        for hold, words in _KEPT.items():
            chosen = self.said.hold == hold
            way = self.way(say_again(words), {"hold": hold}, chosen=chosen)
            solved = self.tried(way.change).solved
            comes_to = hold if solved is None else (solved.area_built_mm, solved.screen_px)
            if solved is not None:
                way = replace(way, says=self._numbers_of(solved))
            if comes_to not in found or chosen:
                found[comes_to] = way
        if self.said.fit == "cropped":
            title = say("Which side of the display stays in use?")
        else:
            title = say("Which side of the tablet stays in use?")
        return Note(title, ways=list(found.values()), radio=True)

    def _numbers_of(self, solved: TabletMap) -> str:
        """The numbers that are typed for a map, those of the screen where a part is to be set."""
        if solved.request.fit == "cropped":
            return screen_sentence(solved, self.now.entry)
        return numbers_row(solved, self.now.entry)

    def part_note(self) -> Note:
        said = self.said
        ways = [
            self.way(
                say("The whole tablet"),
                unsaid("within", "area"),
                chosen=not (said.within or said.area),
            )
        ]
        within = (
            self.solved.request.within_built_mm
            if self.solved and said.within and not said.area
            else None
        )
        if self.solved and within is not None:
            active = self.solved.request.tablet.active_built_mm
            left, top = (active.width - within.width) / 2, (active.height - within.height) / 2
            centred = rect_text(
                Rect(round(left, 2), round(top, 2), within.width, within.height), "mm"
            )
            change = set_to({"within": centred})
            ways.append(self.way(say("Back to the middle"), change, chosen=said.within == centred))
        fields = [
            Field(
                "within",
                say("A part: left, top, width x height"),
                said.within,
                "20,20,200x112.5mm",
            ),
            Field("area", say("Or type the area that is set now"), said.area, "0,0,240x152mm"),
        ]
        lead = say("Or drag the marks beside the picture of the tablet.")
        return Note(say("Which part of the tablet"), lead, ways, fields, radio=True)

    def true_note(self) -> Note:
        solved = self.solved
        ways = [
            self.way(
                Name(display.label),
                {"true_on": display.label},
                chosen=solved is not None and solved.reference == display,
            )
            for display in (solved.reached if solved else ())
        ]
        return Note(say("On which display circles are exactly round"), ways=ways, radio=True)

    def step_note(self) -> Note:
        steps = (
            STEPS
            if self.now.solved is not None and self.now.solved.request.tablet.counts_per_mm
            else [step for step in STEPS if step != "1count"]
        )
        none = unsaid("step", "shape_tolerance")
        ways = [self.way(say("No steps: any number can be typed"), none, chosen=not self.said.step)]
        ways += [
            self.way(
                say("Steps of {step}", step=say_again(STEPS[step])),
                {"step": step},
                chosen=self.said.step == step,
            )
            for step in steps
        ]
        field = Field("step", say("Step"), self.said.step, "0.5mm")
        title = say("The smallest step that your tablet's settings accept")
        return Note(title, ways=ways, fields=[field], radio=True)

    def entry_note(self) -> Note:
        entry: Entry = self.now.entry
        solved = self.now.solved
        counts = solved is not None and solved.request.tablet.counts_per_mm is not None
        units = [unit.name for unit in UNITS.values() if counts or not unit.needs_counts]

        def way(title: str, **changes: Any) -> Way:
            other = replace(entry, **changes)
            return Way(title, "", {"entry": entry_text(other)}, other == entry)

        shapes = [
            way(say_again(words.title), numbers=shape) for shape, words in SHAPE_WORDS.items()
        ]
        choices = [
            Choice(say("Which numbers"), shapes),
            Choice(
                say("Unit"), [way(say_again(UNIT_WORDS[unit].title), unit=unit) for unit in units]
            ),
            Choice(
                say("Counted from"),
                [
                    way(say("From the top left"), from_bottom=False),
                    way(say("From the bottom left"), from_bottom=True),
                ],
            ),
            Choice(
                say("Decimal sign"),
                [
                    way(say("With a decimal point"), comma=False),
                    way(say("With a decimal comma"), comma=True),
                ],
            ),
        ]
        return Note(
            say("What your tablet's settings ask for"),
            say("You choose this once. It is kept with the desk."),
            choices=choices,
        )


def _sold_as(display: Display) -> str:
    """``27 in, 2560 × 1440``."""
    return f"{diagonal_words(display)}, {pixels_words(display)}"


#: The fits that can have a wanted scale.
_TRIMS = ({"fit": "locked"}, {"fit": "cropped"})
#: The customary tablets, by their names.
_CUSTOMARY = {
    "small": template("Small, {size}"),
    "medium": template("Medium, {size}"),
    "large": template("Large, {size}"),
    "extra large": template("Extra large, {size}"),
}
_KEPT = {
    "centre": phrase("The middle"),
    "left": phrase("The left side"),
    "right": phrase("The right side"),
    "top": phrase("The top"),
    "bottom": phrase("The bottom"),
    "top-left": phrase("The top left corner"),
    "top-right": phrase("The top right corner"),
    "bottom-left": phrase("The bottom left corner"),
    "bottom-right": phrase("The bottom right corner"),
}


def changed(before: Description, after: Description) -> str:
    """The name of the first blank in which two descriptions differ.

    Empty where they are the same.
    """
    for name, blank in BLANKS.items():
        if any(getattr(before, field) != getattr(after, field) for field in blank.fields):
            # A dragged area may clear a wanted size and the hold besides: the part is what was
            # meant.
            return name
    return ""
