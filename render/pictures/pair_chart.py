"""The chart of pairs: a lane for each tablet along the scale factor, over the comfortable band."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.choosing.pairing import Pair, pair
from mapper.choosing.recommended import CAUTION, PRACTICE
from mapper.paths import Outline
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.rect import Rect
from render.canvas.lettering import fitted, shortened, width_mm
from render.canvas.scene import Easel, Scene
from render.canvas.theme import style
from render.pictures.chart import (
    NARROW_MM,
    WIDE_MM,
    Axis,
    draw_head,
    draw_notes,
    name_comfortable_band,
)
from render.pictures.frame import margin_mm
from render.sentences.measures import diagonal_inches, inches_words, size
from render.sentences.pairs import FEEL, tablet_name, use_words
from render.sentences.say import Name, listed, paragraph, row_of, say, say_again, say_count
from render.sentences.words import number, share_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.choosing.recommended import Band
    from mapper.desk import Display, Tablet

#: More lanes than this no longer read in three seconds.
MOST_TABLETS = 24

# The column with the tablets, and the gap after it; on a narrow sheet they stand above their lanes.
NAMES_MM, NAMES_ABOVE_MM = 72.0, 10.0
DOT_MM = 2.1
# A lane without labels, and what each level of labels adds to it.
LANE_MM, LEVEL_MM = 15.0, 4.4
# The axis always shows these, and no more than those.
LEAST_RANGE, MOST_RANGE = (1.0, 6.0), (0.4, 20.0)


@dataclass(frozen=True, slots=True)
class _Dot:
    """One pair on its lane; ``name`` is empty where there was no room for it.

    ``level`` counts the rows of names: from 0 up above the lane, from -1 down below it.
    """

    pair: Pair
    x_mm: float
    name: str
    name_x_mm: float
    level: int


def pair_chart_scene(
    tablets: Sequence[Tablet],
    displays: Sequence[Display],
    band: Band,
    use: str | None,
    *,
    wide_mm: float = WIDE_MM,
) -> Scene:
    """The chart of all ``tablets`` with all ``displays``, on a sheet that is ``wide_mm`` wide.

    ``use`` names what ``band`` is for, None for a band of the user's own. Raises RequestError where
    there are more than MOST_TABLETS tablets, or where no display's size is known.
    """
    if len(tablets) > MOST_TABLETS:
        raise RequestError(
            Problem(
                "--picture",
                phrase("shows at most {most} tablets", most=MOST_TABLETS),
                f"{len(tablets)}",
                phrase("Chart a part of the list"),
            )
        )
    sized = [display for display in displays if display.width_mm is not None]
    if not sized:
        raise RequestError(
            Problem(
                "--picture",
                phrase("needs the size of a display for a scale factor"),
                "",
                phrase("Type for example {display}", display='"27in 2560x1440"'),
            )
        )
    lanes = [[pair(tablet, display) for display in sized] for tablet in tablets]
    unsized = [display.label for display in displays if display.width_mm is None]
    return _PairChart(lanes, band, use, unsized, wide_mm).scene()


class _PairChart:
    def __init__(
        self,
        lanes: list[list[Pair]],
        band: Band,
        use: str | None,
        unsized: list[str],
        wide_mm: float,
    ) -> None:
        self.easel = Easel(wide_mm, wide_mm)
        self.margin_mm = margin_mm(self.easel)
        self.names_mm = NAMES_MM if wide_mm >= NARROW_MM else 2.0
        self.above_mm = 0.0 if wide_mm >= NARROW_MM else NAMES_ABOVE_MM
        self.band = band
        self.use = use
        self.unsized = unsized
        scales = [
            each.scale_factor for lane in lanes for each in lane if each.scale_factor is not None
        ]
        low = max(MOST_RANGE[0], min(LEAST_RANGE[0], *scales, band.low) / 1.06)
        high = min(MOST_RANGE[1], max(LEAST_RANGE[1], *scales, band.high) * 1.06)
        left = self.margin_mm + self.names_mm
        self.axis = Axis(low, high, left, wide_mm - self.margin_mm)
        self.names = _short_names([each.display for each in lanes[0]])
        self.lanes = [self._dots(lane) for lane in lanes]
        self.inside = sum(band.side(scale) == "inside" for scale in scales)
        self.count = len(scales)

    def title(self) -> str:
        if self.use:
            return self._title_for(use_words(self.use))
        if self.inside == self.count == 1:
            return say("This pair lies in your band")
        if self.inside == self.count:
            return say_count(
                "The {count} pair lies in your band",
                "All {count} pairs lie in your band",
                self.count,
            )
        if not self.inside:
            return say_count(
                "The {count} pair does not lie in your band",
                "None of {count} pairs lies in your band",
                self.count,
            )
        return say_count(
            "{count} of {all} pairs lies in your band",
            "{count} of {all} pairs lie in your band",
            self.inside,
            all=str(self.count),
        )

    def _title_for(self, use: str) -> str:
        if self.inside == self.count == 1:
            return say("This pair is comfortable for {use}", use=use)
        if self.inside == self.count:
            return say_count(
                "The {count} pair is comfortable for {use}",
                "All {count} pairs are comfortable for {use}",
                self.count,
                use=use,
            )
        if not self.inside:
            return say_count(
                "The {count} pair is not comfortable for {use}",
                "None of {count} pairs is comfortable for {use}",
                self.count,
                use=use,
            )
        return say_count(
            "{count} of {all} pairs is comfortable for {use}",
            "{count} of {all} pairs are comfortable for {use}",
            self.inside,
            all=str(self.count),
            use=use,
        )

    def scene(self) -> Scene:
        easel = self.easel
        words = say(
            "Scale factor: how much larger a stroke is on the display than under the hand, with "
            "circles that stay round."
        )
        down = draw_head(easel, self.title(), words)
        starts, tops = [], []
        y = 42.0 + down
        for lane in self.lanes:
            up = max((dot.level for dot in lane if dot.name), default=0)
            under = -min((dot.level for dot in lane if dot.name), default=0)
            starts.append(y)
            tops.append(y + self.above_mm + max(up - 1, 0) * LEVEL_MM)
            y += self.above_mm + LANE_MM + (max(up - 1, 0) + max(under, 0)) * LEVEL_MM
        bottom = y
        self._draw_axis(easel, 39.0 + down, bottom)
        biggest = max(
            max(lane[0].pair.tablet.width_mm, lane[0].pair.tablet.height_mm) for lane in self.lanes
        )
        for lane, start, top in zip(self.lanes, starts, tops, strict=True):
            if self.above_mm:
                self._write_tablet(easel, lane, start)
            self._draw_lane(easel, lane, top + LANE_MM / 2 + 1.0, 20.0 / biggest)
        end = self._draw_foot(easel, bottom)
        easel.height_mm = bottom + 20.0 + (5.0 if self.unsized else 0.0)
        if easel.width_mm < WIDE_MM:
            easel.height_mm = end + self.margin_mm
        return easel.scene(title=self.title(), description=self._description())

    def _dots(self, lane: list[Pair]) -> list[_Dot]:
        """The dots of one lane, with names where they find room; comfortable pairs choose first."""
        em = style("label").em_mm
        middle = math.sqrt(self.band.low * self.band.high)
        order = sorted(lane, key=lambda each: abs(math.log((each.scale_factor or 1.0) / middle)))
        taken: dict[int, list[tuple[float, float]]] = {}
        dots = []
        for each in order:
            x, name = self.axis.x(each.scale_factor or 1.0), self.names[each.display.label]
            half = width_mm(name, em, bold=True) / 2 + 1.0
            centre = self._name_x(x, half, self.band.side(each.scale_factor or 1.0))
            start, end = centre - half, centre + half
            dot = _Dot(each, x, "", centre, 0)
            for level in (1, -1, 2, -2):
                others = taken.setdefault(level, [])
                if all(end <= low or start >= high for low, high in others):
                    others.append((start, end))
                    dot = _Dot(each, x, name, centre, level)
                    break
            dots.append(dot)
        return dots

    def _name_x(self, x: float, half: float, side: str) -> float:
        """The middle of a name near ``x``, on one side of the band's edges and on the sheet."""
        low, high = self.axis.x(self.band.low), self.axis.x(self.band.high)
        if side == "inside" and high - low >= 2 * half:
            return min(max(x, low + half), high - half)
        if side == "below":
            x = min(x, low - half)
        elif side == "above":
            x = max(x, high + half)
        edge = min(4.0, self.margin_mm - 1.0)
        return min(max(x, self.axis.left + half - edge), self.easel.width_mm - edge - half)

    def _draw_axis(self, easel: Easel, top: float, bottom: float) -> None:
        band = self.band.low, self.band.high
        low, high = map(self.axis.x, band)
        easel.rect(Rect(low, top, max(high - low, 0.5), bottom - top), "band")
        for tick in self.axis.ticks:
            x = self.axis.x(tick)
            easel.line([(x, top), (x, bottom)], "lane-rule")
        for tick in self.axis.named_ticks:
            x = self.axis.x(tick)
            easel.text(number(tick), x, bottom + 2.5, "note", anchor="middle", level="top")
        name_comfortable_band(easel, self.axis, band, (top, bottom))

    def _draw_lane(self, easel: Easel, lane: list[_Dot], y: float, scale: float) -> None:
        easel.line([(self.axis.left, y), (self.axis.right, y)], "rule")
        if not self.above_mm:
            self._draw_tablet(easel, lane, y, scale)
        for dot in reversed(lane):
            inside = self.band.side(dot.pair.scale_factor or 1.0) == "inside"
            easel.shape(
                Outline.circle(dot.x_mm, y, DOT_MM if inside else DOT_MM * 0.8),
                "dot" if inside else "dot-out",
            )
            if dot.name:
                role = "hand-label" if inside else "note"
                away = 3.2 + (abs(dot.level) - 1) * LEVEL_MM
                above = dot.level > 0
                base, level = (y - away, "base") if above else (y + away, "top")
                easel.text(dot.name, dot.name_x_mm, base, role, anchor="middle", level=level)

    def _draw_tablet(self, easel: Easel, lane: list[_Dot], y: float, scale: float) -> None:
        """Draw the tablet of a lane to the left of it, and its words."""
        seen = lane[0].pair.tablet.active_seen_mm
        width, height = seen.width * scale, seen.height * scale
        shrink = min(1.0, (LANE_MM - 2.0) / height)
        plate = Rect(
            self.margin_mm + 10.0 - width * shrink / 2,
            y - height * shrink / 2,
            width * shrink,
            height * shrink,
        )
        easel.rect(plate, "plate", radius=0.6)
        x, room = self.margin_mm + 24.0, NAMES_MM - 30.0
        words = _tablet_words(lane)
        down = y - 2.35 * (len(words) - 1.0)
        with easel.block(x, room):
            for at, line in enumerate(words):
                role = "note" if at else "heading"
                em = max(
                    fitted(line, style(role).em_mm * (0.92 if at else 1.0), room, bold=not at), 2.2
                )
                easel.text(line, x, down, role, level="middle", em_mm=em)
                down += 4.7

    def _write_tablet(self, easel: Easel, lane: list[_Dot], top: float) -> None:
        """Write the words of a lane's tablet above it."""
        *name, size_words, not_used = _tablet_words(lane)
        room = self.axis.right - self.margin_mm
        lines = [*name, say("{size}; {share}", size=size_words, share=not_used)]
        # The band does not run through words.
        ground = Rect(0.0, top - 1.5, easel.width_mm, self.above_mm + 0.5)
        easel.rect(ground, "word-ground")
        with easel.block(self.margin_mm, room):
            for at, line in enumerate(lines[-2:]):
                role = "note" if at == len(lines) - 1 else "heading"
                em = fitted(line, style("label").em_mm, room, bold=role == "heading")
                easel.text(line, self.margin_mm, top + 4.8 * at, role, level="top", em_mm=em)

    def _draw_foot(self, easel: Easel, bottom: float) -> float:
        """Write the words at the foot, and return where they end."""
        rule = self.use is not None and self.band.source == PRACTICE
        lines = [
            say(
                "Filled dots are comfortable pairs, by your own band. A pair that you can use all "
                "day without tiring is right for you. Take breaks; if anything hurts, stop."
            )
        ]
        if rule:
            lines = [
                say(
                    "Filled dots are comfortable pairs, by the usual band for {use} ({source}). A "
                    "pair that you can use all day without tiring is right for you. Take breaks; "
                    "if anything hurts, stop.",
                    use=use_words(self.use or ""),
                    source=say_again(PRACTICE),
                )
            ]
        if self.unsized:
            named: list[str] = [Name(label) for label in self.unsized[:4]]
            if len(self.unsized) > 4:
                named.append(
                    say_count("{count} more", "{count} more", len(self.unsized) - len(named))
                )
            lines.append(
                say(
                    "Without a size, so without a scale factor: {displays}.", displays=listed(named)
                )
            )
        return draw_notes(easel, lines, bottom + 11.0)

    def _description(self) -> str:
        sentences: list[str] = [
            say(
                "{title}, scale factors of {low} to {high}.",
                title=self.title(),
                low=number(self.band.low),
                high=number(self.band.high),
            )
        ]
        for lane in self.lanes:
            tablet = lane[0].pair.tablet
            pairs = [
                say(
                    "{display} {factor} ({feel})",
                    display=Name(dot.pair.display.label),
                    factor=number(dot.pair.scale_factor or 0.0),
                    feel=say_again(FEEL[self.band.side(dot.pair.scale_factor or 0.0)]),
                )
                for dot in sorted(lane, key=lambda dot: dot.pair.scale_factor or 0.0)
            ]
            sentences.append(
                say("{tablet}: {pairs}.", tablet=tablet_name(tablet), pairs=row_of(pairs))
            )
        return paragraph([*sentences, say_again(CAUTION)])


def _tablet_words(lane: list[_Dot]) -> list[str]:
    """The tablet of a lane in lines: its name where it has one, its size, what is not used."""
    tablet = lane[0].pair.tablet
    seen = tablet.active_seen_mm
    has_name = tablet.label and tablet.label != tablet_name(tablet)
    percents = sorted(dot.pair.area_lost_percent for dot in lane)
    least, most = share_words(percents[0]), share_words(percents[-1])
    not_used = say("{share} of it not used", share=most)
    if least != most:
        not_used = say("{least} to {most} of it not used", least=least, most=most)
    return [
        *([tablet.label] if has_name else []),
        size(seen.width, seen.height),
        not_used,
    ]


def _short_names(displays: list[Display]) -> dict[str, str]:
    """A short name for each display: its own name, or its diagonal where no other has the same."""
    inches = {}
    for display in displays:
        diagonal = diagonal_inches(display.width_mm, display.height_mm) or 0.0
        inches[display.label] = inches_words(diagonal)
    names = {}
    for display in displays:
        called_by_size = display.label.endswith(" px")
        alone = list(inches.values()).count(inches[display.label]) == 1
        name = (
            inches[display.label] if called_by_size and alone else display.label.removesuffix(" px")
        )
        names[display.label] = shortened(name, 1.0, 13.0)
    return names
