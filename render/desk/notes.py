"""The notes in the margin: for each blank the ways to fill it, and what each would do.

A way is a change of the description; what it would do is what the changed description comes to, by
the same functions.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_DISPLAYS
from mapper.choosing.viewing import visual_angle_deg
from mapper.desk import Display
from mapper.mapping.entry import Entry
from mapper.mapping.fits import FITS
from mapper.mapping.forms import UNITS
from mapper.mapping.reach import in_reach_percent
from mapper.rect import Rect
from mapper.units import mm_of_inches
from profiles.fields import entry_text, set_to, unsaid
from profiles.requests import SEAT
from profiles.shorthand import display_text, rect_text, tablet_text
from render.desk.answer import Answer, answer, blank_of, without_options
from render.fields import BLANKS, STEPS
from render.sentences.entry import answer_parts
from render.sentences.forms import SHAPE_WORDS, UNIT_WORDS
from render.sentences.letter import displays_words
from render.sentences.measures import diagonal_words, size
from render.sentences.words import ROUND_PERCENT, capital, map_sentence, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Desktop
    from mapper.mapping.solve import TabletMap
    from render.desk.described import Description
    from render.desk.hardware import SaidDesktop

#: Diagonals, in inches, that are offered for a screen of known pixels, and for one that is over
#: twice as wide as high (common practice, no source).
USUAL_INCHES, WIDE_INCHES = (14, 15.6, 17.3, 24, 27, 32, 40, 50), (29, 34, 38, 49)


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
    """One way to fill a blank: its words, what it would do, and the change to make."""

    title: str
    says: str
    change: dict[str, Any]
    chosen: bool = False
    oval: Oval | None = None
    box: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Field:
    """A line to type into: the text of the description, its label, and an example."""

    key: str
    label: str
    value: str
    example: str
    index: int | None = None
    long: bool = False


@dataclass(frozen=True, slots=True)
class Note:
    """All that a blank's note holds.

    ``measure`` names what can be measured; ``plan`` is the desktop to be dragged.

    ``known`` is what the hardware says, before all else; ``typed_last`` whether typing comes after
    what is offered; ``wrong`` says what is wrong in the blank, ``understood`` what is doubtful.
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


def note(
    blank: str,
    now: Answer,
    last: Answer | None,
    *,
    asks: str = "",
    system: SaidDesktop | None = None,
) -> Note:
    """The note of ``blank`` for the description of ``now``.

    ``last`` is the last possible answer, if there was one. ``asks`` are the pixels of the browser's
    own screen while nobody said that it is the display; ``system`` is the desktop as the running
    system has it.
    """
    maker = _Maker(now, last, asks, system)
    made: Note = getattr(maker, f"{blank}_note", lambda: maker.plain_note(blank))()
    wrong = [says for name, says in wrong_words(now) if name == blank]
    # What is possible, as one click, before all other ways.
    cures = maker.cures(blank) if wrong else []
    offered = [way.change for way in cures]
    return replace(
        made,
        ways=[*cures, *(way for way in made.ways if way.change not in offered)],
        radio=made.radio and not cures,
        wrong=wrong,
        understood=[
            without_options(each.sentence) for each in now.doubts if blank_of(each.where) == blank
        ],
    )


def wrong_words(now: Answer) -> list[tuple[str, str]]:
    """What is wrong, each with its blank, in the letter's own words."""
    return [
        (each.blank, (each.blank == "scale" and _scale_bound(now)) or each.says)
        for each in now.wrong
    ]


def _scale_bound(now: Answer) -> str:
    """How large things can come out, where a wanted size is out of bounds.

    Empty where something else is wrong.
    """
    if now.said.fit == "full":
        return "A wanted size needs shapes that stay true."
    other = {"locked": "cropped", "cropped": "locked"}.get(now.said.fit, "")
    solved = answer(now.said.with_({"fit": other, **unsaid("scale", "feel")})).solved
    scale = None if solved is None else solved.summary.scale_factor
    try:
        wanted = float(now.said.scale or "x")
    except ValueError:
        return ""
    if scale is None or not wanted > 0 or (wanted > scale) == (now.said.fit == "locked"):
        return ""
    if now.said.fit == "locked":
        return (
            f"Here things come out more than {number(scale, 2)} times as large; for smaller, a "
            f"strip of the display has to stay unused."
        )
    return (
        f"Here things come out less than {number(scale, 2)} times as large; for larger, a strip "
        f"of the tablet has to stay unused."
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
        says = outcome(solved) if solved is not None else tried.wrong[0].says if tried.wrong else ""
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
            changes.append(("as it was before", plain_before))
        changes += self._unit_cures(blank)
        found: list[Way] = []
        for title, change in changes:
            tried = self.tried(change)
            if not any(each.blank == blank for each in tried.wrong) and change not in [
                way.change for way in found
            ]:
                found.append(Way(capital(title), outcome(tried.solved), change))
        return found[:4]

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

    def _scale_cures(self) -> list[tuple[str, dict[str, Any]]]:
        """The nearest scale that the problem names, the other fit, and none."""
        words = " ".join(each.problem.instead for each in self.now.wrong).replace(";", " ").split()
        nearest = [word for word in words if word.replace(".", "", 1).isdigit()]
        fits = [fit for fit in FITS if fit not in {self.said.fit, "full"}]
        return [
            *((f"{word} times as large", {"scale": word}) for word in nearest),
            *((_FIT_TITLES[fit], {"fit": fit}) for fit in fits),
            *BLANKS["scale"].ways,
        ]

    def plain_note(self, blank: str) -> Note:
        """The note of a blank whose row in ``render.fields`` says all of it."""
        row, said = BLANKS[blank], self.said
        ways = [
            self.way(
                capital(words),
                change,
                chosen=all(getattr(said, name) == text for name, text in change.items()),
            )
            for words, change in row.ways
        ]
        fields = [
            Field(each.field, each.label, getattr(said, each.field), each.example, long=each.long)
            for each in row.inputs
        ]
        return Note(row.title, row.lead, ways, fields, radio=row.radio)

    # -- one method for each blank whose ways depend on the desk

    def tablet_note(self) -> Note:
        from render.desk.hardware import said_tablets

        def taking(text: str) -> dict[str, Any]:
            return self.with_it({"tablet": text}, clears=("within", "area"))

        known = [
            Way(
                f"{each.name}: {size(each.tablet.width_mm, each.tablet.height_mm)}",
                "plugged in; it reports this itself",
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
            title = f"{capital(tablet.label)}, {size(*sides)}"
            ways.append(self.way(title, taking(text), chosen=self.said.tablet == text, box=sides))
        return Note(
            "The part of the tablet that feels the pen",
            ways=ways,
            fields=[
                Field(
                    "tablet",
                    "Width x height and the unit",
                    self.said.tablet,
                    "240x152mm or 9.4x6in",
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
                "Size and pixels" if len(said) < 2 else f"Display {index + 1}",
                text,
                "27in 2560x1440",
                index,
            )
            for index, text in enumerate(said or ("",))
        ]
        known = [
            Way(
                f"{each.name}: {_glass(each.display)}",
                "connected; it reports this itself",
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
        ways = []
        if len(said) < 2:
            for display in USUAL_DISPLAYS:
                text = display_text(replace(display, label="main"), alone=True)
                ways.append(
                    self.way(_glass(display), self._showing([text]), chosen=said == (text,))
                )
        if said:
            more = [*self._placed_texts(), self._another()]
            ways.append(self.way("Another display beside it", {"displays": more}))
        plan = (
            self.now.solved.request.desktop
            if self.now.solved is not None and len(said) > 1
            else None
        )
        for display in plan.displays if plan else ():
            if (display.left_px, display.top_px) != (0, 0):
                left = self._placed_texts(without=display.label)
                change = {"displays": left, **unsaid("onto", "true_on", "window")}
                ways.append(self.way(f"Without {display.label}", change))
        return Note(
            "What you look at",
            ways=ways,
            fields=fields,
            measure="display",
            plan=plan,
            known=known,
            typed_last=not said,
        )

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
                " ".join(("as this computer has them now.", *self.system.doubts)),
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
                        f"Yes, {inches} in",
                        "",
                        {"displays": [display_text(display, alone=True)]},
                        box=sides,
                    )
                )
        unknown = "Then it stays unknown how much larger things come out; all else is exact."
        # With a label it is said, and no longer only found.
        ways.append(
            Way("Yes; I do not know its size", unknown, {"displays": [f"main: {self.asks}"]})
        )
        return Note(
            "Is it this one?",
            f"This browser is on a screen of {width_px} × {height_px} pixels.",
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
                f"{cm} cm", self._view(cm), {"distance": f"{cm}cm"}, self.said.distance == f"{cm}cm"
            )
            for cm in (50, 60, 70, 80)
        ]
        nothing = unsaid(*SEAT)
        left_out = "The letter leaves out how you sit."
        ways.append(Way("I never measured it", left_out, nothing, not self.said.distance))
        inputs = [Field("distance", "Distance", self.said.distance, "70cm")]
        if len(self.said.displays) > 1:
            title = "Straight ahead: a display, or middle"
            inputs.append(Field("ahead", title, self.said.ahead, "middle"))
        return Note(
            "From your eyes to the main display",
            "An arm's length is about 65 cm.",
            ways,
            inputs,
            radio=True,
        )

    def _view(self, cm: float) -> str:
        """How much of the view the main display fills from so far away."""
        wide_mm = None if self.solved is None else self.solved.request.desktop.primary.width_mm
        if wide_mm is None:
            return ""
        return f"The display fills {number(visual_angle_deg(wide_mm, cm * 10), 0)}° of your view."

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
                        each.label if len(displays) > 1 else "The whole display",
                        onto,
                        (each.label,),
                    )
                )
            if len(displays) > 1:
                ways.append(way("All displays", "all", tuple(each.label for each in displays)))
        return Note(
            "What the pen reaches",
            "Or pull the marks beside the picture of the display.",
            ways,
            [
                Field(
                    "window",
                    "A window: left, top, width x height",
                    self.said.window,
                    "320,180,1920x1080px",
                )
            ],
            radio=True,
        )

    def fit_note(self) -> Note:
        ways = [
            self.way(
                _FIT_TITLES[fit],
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
        return Note("What happens to shapes", ways=scaled, radio=True)

    def part_note(self) -> Note:
        said = self.said
        ways = [
            self.way(
                "The whole tablet",
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
            ways.append(self.way("Back to the middle", change, chosen=said.within == centred))
        fields = [
            Field("within", "A part: left, top, width x height", said.within, "20,20,200x112.5mm"),
            Field(
                "area", "Or what your settings say now, taken as it is", said.area, "0,0,240x152mm"
            ),
        ]
        lead = "Or pull the marks beside the picture of the tablet."
        return Note("Which part of the tablet", lead, ways, fields, radio=True)

    def true_note(self) -> Note:
        solved = self.solved
        ways = [
            self.way(
                display.label,
                {"true_on": display.label},
                chosen=solved is not None and solved.reference == display,
            )
            for display in (solved.reached if solved else ())
        ]
        return Note("Where shapes are true", ways=ways, radio=True)

    def step_note(self) -> Note:
        steps = (
            STEPS
            if self.now.solved is not None and self.now.solved.request.tablet.counts_per_mm
            else STEPS[:-1]
        )
        none = unsaid("step", "shape_tolerance")
        ways = [self.way("No steps: any number can be typed", none, chosen=not self.said.step)]
        ways += [
            self.way(f"Steps of {step}", {"step": step}, chosen=self.said.step == step)
            for step in steps
        ]
        field = Field("step", "Step", self.said.step, "0.5mm")
        return Note("What the form rounds to", ways=ways, fields=[field], radio=True)

    def entry_note(self) -> Note:
        entry: Entry = self.now.entry
        solved = self.now.solved
        counts = solved is not None and solved.request.tablet.counts_per_mm is not None
        units = [unit.name for unit in UNITS.values() if counts or not unit.needs_counts]

        def way(title: str, **changes: Any) -> Way:
            other = replace(entry, **changes)
            # The numbers as they would stand in the answer.
            numbers = () if solved is None else answer_parts(solved, other)[1]
            says = " \N{MIDDLE DOT} ".join(each.text for each in numbers)
            return Way(title, says, {"entry": entry_text(other)}, other == entry)

        ways = [way(capital(words.page), numbers=shape) for shape, words in SHAPE_WORDS.items()]
        ways += [way(f"In {UNIT_WORDS[unit].page}", unit=unit) for unit in units]
        ways += [
            way("From the top left", from_bottom=False),
            way("From the bottom left", from_bottom=True),
        ]
        ways += [way("With a decimal point", comma=False), way("With a decimal comma", comma=True)]
        return Note(
            "What your tablet's settings ask for", "Chosen once, and kept with the desk.", ways
        )


def _glass(display: Display) -> str:
    """``27 in, 2560 × 1440``."""
    return f"{diagonal_words(display)}, {display.width_px} × {display.height_px}"


_FIT_TITLES = {
    "full": "Everything reaches everything",
    "locked": "Stay true; a strip of the tablet unused",
    "cropped": "Stay true; a strip of the display unused",
}


def outcome(solved: TabletMap | None) -> str:
    """What a map comes to, in a line: ``Round, 2.49 times as large; 11 % of the tablet unused``."""
    if solved is None:
        return ""
    shape = (
        map_sentence(solved, factor=False)
        .replace("A circle stays round", "Round")
        .removesuffix(".")
    )
    spare, lost = 100 - solved.summary.area_used_percent, 100 - in_reach_percent(solved)
    left = [
        f"{number(value, 0 if value >= 10 else 1)} % of the {what} unused"
        for value, what in ((spare, "tablet"), (lost, "display"))
        if value > 0.05
    ]
    return f"{shape}{'; ' + ' and '.join(left) if left else ''}."


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
