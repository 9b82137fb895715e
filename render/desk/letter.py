"""The letter of a desk: which sentences it has, and what stands in each of their blanks."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from profiles.fields import FIELDS
from render.fields import BLANKS, LetterBlank
from render.sentences import letter as words
from render.sentences.forms import step_words

if TYPE_CHECKING:
    from mapper.mapping.solve import TabletMap
    from render.desk.answer import Answer


class Blank(NamedTuple):
    """The words in a blank, and whether they are wrong or stand for something not said yet."""

    words: str
    wrong: bool = False
    empty: bool = False


class Sentence(NamedTuple):
    """One sentence and its blanks by name."""

    template: str
    blanks: dict[str, Blank]


def letter(
    answer: Answer, last: TabletMap | None, *, asks: bool = False
) -> tuple[list[Sentence], list[str]]:
    """The sentences of a desk, and the names of the blanks that could be added.

    ``last`` is the last possible map, for the words of a description that has none now. ``asks``
    says that the display is only the screen that the browser is on.
    """
    writer = _Writer(answer, answer.solved or last)
    sentences = [writer.desk(asks=asks), writer.reach(), *writer.further()]
    there = {name for sentence in sentences for name in sentence.blanks}
    # An area that is taken as it is set has neither a wanted size nor something that stays.
    unfit = {"scale", "hold"} if answer.said.area else set()
    more = [row.name for row in BLANKS.values() if row.more and row.name not in there | unfit]
    return sentences, more


class _Writer:
    """Writes the sentences of one letter."""

    def __init__(self, answer: Answer, solved: TabletMap | None) -> None:
        self.answer, self.said, self.solved = answer, answer.said, solved
        self.wrong = {each.blank for each in answer.wrong}

    def blank(self, name: str, text: str, typed: str = "", *, empty: bool = False) -> Blank:
        """A blank with its words; one that is wrong shows what was typed instead."""
        if name in self.wrong:
            return Blank(typed or text, wrong=True)
        return Blank(text, empty=empty)

    def alone(self, template: str, name: str, text: str, typed: str) -> Sentence:
        """A sentence with one blank."""
        return Sentence(template, {name: self.blank(name, text, typed)})

    def desk(self, *, asks: bool) -> Sentence:
        said = self.said
        lying = words.lying_words(said.turn, said.slant)
        displays = f"{self._displays()} (is it this one?)" if asks else self._displays()
        blanks = {
            "tablet": self.blank("tablet", self._tablet(), said.tablet, empty=not said.tablet),
            "lying": self.blank("lying", lying, f"{said.turn}° and {said.slant}°"),
            "displays": self.blank(
                "displays", displays, "; ".join(said.displays), empty=asks or not said.displays
            ),
        }
        if not said.distance:
            blanks["seat"] = Blank(words.NEVER_MEASURED, "seat" in self.wrong, empty=True)
            return Sentence(words.DESK_WITHOUT_DISTANCE, blanks)
        distance = words.typed_distance_words(said.distance)
        blanks["seat"] = self.blank("seat", distance, said.distance)
        return Sentence(words.DESK, blanks)

    def _tablet(self) -> str:
        if not self.said.tablet:
            return words.WHICH_TABLET
        if self.solved is None:
            return str(self.said.tablet)
        return words.tablet_words(self.solved.request.tablet)

    def _displays(self) -> str:
        if not self.said.displays:
            return words.WHICH_DISPLAY
        if self.solved is None:
            return words.typed_displays_words(self.said.displays)
        return words.displays_words(self.solved.request.desktop)

    def reach(self) -> Sentence:
        said = self.said
        reach = self.blank("reach", words.reach_words(self.solved), said.window or said.onto)
        if said.area:
            return Sentence(words.REACH, {"reach": reach})
        fit = self.blank("fit", words.fit_words(said.fit, self.solved), said.fit)
        return Sentence(words.REACH_AND_SHAPES, {"reach": reach, "fit": fit})

    def further(self) -> list[Sentence]:
        """The sentences that only some letters have."""
        said, solved = self.said, self.solved
        request = None if solved is None else solved.request
        found = []
        if said.area:
            area = words.area_words(None if request is None else request.area_built_mm)
            found.append(self.alone(words.AREA_AS_SET, "part", area, said.area))
        elif said.within:
            part = words.part_words(None if request is None else request.within_built_mm)
            found.append(self.alone(words.PART, "part", part, said.within))
        if said.scale:
            times = f"{said.scale} times as large"
            found.append(self.alone(words.SCALE, "scale", times, said.scale))
        elif said.feel:
            feel = words.feel_words(said.feel.of, said.feel.scale_x, said.feel.scale_y)
            found.append(self.alone(words.SCALE, "scale", feel, feel))
        if solved is not None and len(solved.reached) > 1 and said.fit != "full" and not said.area:
            found.append(self.alone(words.TRUE_ON, "true", solved.reference.label, said.true_on))
        if said.step:
            found.append(self.alone(words.STEP, "step", self._step(), said.step))
        found += [
            self.plain(row) for row in BLANKS.values() if row.sentence and self._is_filled(row)
        ]
        order = list(BLANKS)
        return sorted(found, key=lambda sentence: order.index(next(iter(sentence.blanks))))

    def _is_filled(self, row: LetterBlank) -> bool:
        """Whether any field of the blank says more than a new desk does."""
        return any(getattr(self.said, name) != FIELDS[name].unsaid for name in row.fields)

    def plain(self, row: LetterBlank) -> Sentence:
        """The sentence of a blank that has one in its row."""
        typed = str(getattr(self.said, row.fields[0]))
        return self.alone(row.sentence, row.name, row.words.get(typed, typed), typed)

    def _step(self) -> str:
        step = None if self.answer.solved is None else self.answer.solved.request.step
        return f"steps of {self.said.step if step is None else step_words(step)}"
