"""The letter of a desk: which sentences it has, and what stands in each of their blanks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from profiles.fields import FIELDS
from render.fields import BLANKS, LetterBlank
from render.sentences import letter as words
from render.sentences.forms import step_words
from render.sentences.say import Name, listed, row_of, say, say_again

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Self

    from mapper.mapping.solve import TabletMap
    from mapper.phrases import Phrase
    from render.desk.answer import Answer


class Blank(str):
    """The words in a blank, and whether they are wrong or stand for something not said yet.

    ``words`` are what it shows, with the names in them known as names.
    """

    __slots__ = ("empty", "words", "wrong")

    words: str
    wrong: bool
    empty: bool

    def __new__(cls, words: str, *, wrong: bool = False, empty: bool = False) -> Self:
        made = super().__new__(cls, words)
        made.words, made.wrong, made.empty = words, wrong, empty
        return made


def letter(
    answer: Answer, last: TabletMap | None, *, asks: bool = False
) -> tuple[list[Phrase], list[str]]:
    """The sentences of a desk, and the names of the blanks that could be added.

    The slots of a sentence are its blanks, by name. ``last`` is the last possible map, for the
    words of a description that has none now. ``asks`` says that the display is only the screen that
    the browser is on.
    """
    writer = _Writer(answer, answer.solved or last)
    sentences = [writer.desk(asks=asks), writer.reach(), *writer.further()]
    there = {name for sentence in sentences for name in sentence.slots}
    # An area that is taken as it is set has neither a wanted scale factor nor something that stays.
    unfit = {"scale", "hold"} if answer.said.area else set()
    if not answer.said.distance:
        # Without a distance nothing follows from a height.
        unfit.add("stand")
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

    def desk(self, *, asks: bool) -> Phrase:
        said = self.said
        displays = self._displays()
        if asks:
            displays = words.is_it_this(displays)
        blanks = {
            "tablet": self.blank("tablet", self._tablet(), said.tablet, empty=not said.tablet),
            "lying": self.blank(
                "lying", words.lying_words(said.turn, said.slant), f"{said.turn}°, {said.slant}°"
            ),
            "displays": self.blank(
                "displays", displays, "; ".join(said.displays), empty=asks or not said.displays
            ),
        }
        if not said.distance:
            seat = Blank(words.never_measured(), wrong="seat" in self.wrong, empty=True)
            return words.desk_sentence_without_distance(**blanks, seat=seat)
        distance = words.typed_distance_words(said.distance)
        return words.desk_sentence(**blanks, seat=self.blank("seat", distance, said.distance))

    def _tablet(self) -> str:
        if not self.said.tablet:
            return words.which_tablet()
        if self.solved is None:
            return str(self.said.tablet)
        return words.tablet_words(self.solved.request.tablet)

    def _displays(self) -> str:
        if not self.said.displays:
            return words.which_display()
        if self.solved is None:
            return words.typed_displays_words(self.said.displays)
        return words.displays_words(self.solved.request.desktop)

    def reach(self) -> Phrase:
        said = self.said
        reach = self.blank("reach", words.reach_words(self.solved), said.window or said.onto)
        if said.area:
            return words.reach_sentence(reach)
        fit = self.blank("fit", words.fit_words(said.fit, self.solved), said.fit)
        return words.reach_sentence(reach, fit)

    def further(self) -> list[Phrase]:
        """The sentences that only some letters have."""
        said, solved = self.said, self.solved
        request = None if solved is None else solved.request
        found: list[Phrase] = []

        def add(sentence: Callable[[str], Phrase], name: str, text: str, typed: str) -> None:
            found.append(sentence(self.blank(name, text, typed)))

        if said.area:
            area = words.area_words(None if request is None else request.area_built_mm)
            add(words.area_sentence, "part", area, said.area)
        elif said.within:
            part = words.part_words(None if request is None else request.within_built_mm)
            add(words.part_sentence, "part", part, said.within)
        if said.scale:
            add(words.scale_sentence, "scale", words.times_words(said.scale), said.scale)
        elif said.feel:
            feel = words.feel_words(said.feel.of, said.feel.scale_x, said.feel.scale_y)
            add(words.scale_sentence, "scale", feel, feel)
        if solved is not None and len(solved.reached) > 1 and said.fit != "full" and not said.area:
            add(words.true_sentence, "true", Name(solved.reference.label), said.true_on)
        if said.step:
            add(words.step_sentence, "step", self._step(), said.step)
        found += [
            self.plain(row) for row in BLANKS.values() if row.sentence and self._is_filled(row)
        ]
        order = list(BLANKS)
        return sorted(found, key=lambda sentence: order.index(next(iter(sentence.slots))))

    def _is_filled(self, row: LetterBlank) -> bool:
        """Whether any field of the blank says more than a new desk does."""
        return any(getattr(self.said, name) != FIELDS[name].unsaid for name in row.fields)

    def plain(self, row: LetterBlank) -> Phrase:
        """The sentence of a blank that has one in its row."""
        said = [name for name in row.fields if getattr(self.said, name) != FIELDS[name].unsaid]
        typed = [str(getattr(self.said, name)) for name in said]
        parts = [self._part(row, *each) for each in zip(said, typed, strict=True)]
        blank = self.blank(row.name, listed(parts), row_of(typed))
        return say(row.sentence, **{row.name: blank})

    def _part(self, row: LetterBlank, name: str, typed: str) -> str:
        """What a blank says of one of its fields."""
        if typed in row.words or not row.parts:
            return say_again(row.words.get(typed, typed))
        key = f"-{name}" if typed.startswith("-") else name
        return say(row.parts[key], text=words.typed_distance_words(typed.lstrip("-")))

    def _step(self) -> str:
        step = None if self.answer.solved is None else self.answer.solved.request.step
        return str(self.said.step) if step is None else step_words(step)
