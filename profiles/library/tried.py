"""What was tried, pairing by pairing, and everything that a study finds in a book."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from mapper.choosing.pairing import pair
from mapper.choosing.viewing import visual_angle_deg
from mapper.desk import Display, Tablet
from mapper.trials.comfort import ComfortBand, Trial, comfort_band, which_end
from mapper.trials.pattern import (
    Patterns,
    PredictorComparison,
    TriedPairing,
    compare_predictors,
    decorrelating_choices,
    patterns,
)
from mapper.trials.people import People, people
from mapper.trials.sizes import UncertainBand
from profiles.library.personal import practice_of
from profiles.library.trial_book import trials_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mapper.choosing.recommended import Band
    from profiles.library.trial_book import Felt


@dataclass(frozen=True, slots=True)
class Manner:
    """How a pairing was tried: the map, the seat, the work.

    Scale to three digits, stretch to two decimals. Entries that differ in these are ways apart.
    """

    scale_factor: float | None
    stretch: float | None
    distance_cm: int | None
    doing: str

    @classmethod
    def of(cls, felt: Felt) -> Manner:
        figures = felt.figures
        return cls(
            None if figures.scale_factor is None else float(f"{figures.scale_factor:.3g}"),
            None if figures.stretch is None else round(figures.stretch, 2),
            None if figures.distance_mm is None else round(figures.distance_mm / 10),
            felt.doing,
        )


@dataclass(frozen=True, slots=True)
class Cell:
    """One tablet with one display: the entries, with the middle of their scales and seats."""

    tablet: str
    display: str
    entries: tuple[Felt, ...]
    factor: float | None
    distance_mm: float | None

    @property
    def ways(self) -> dict[Manner, Cell]:
        """A cell for each way in which the pairing was tried, the one with most entries first."""
        by_manner: dict[Manner, list[Felt]] = {}
        for felt in self.entries:
            by_manner.setdefault(Manner.of(felt), []).append(felt)
        order = sorted(by_manner, key=lambda way: -len(by_manner[way]))
        return {
            way: _cell_of(self.tablet, self.display, by_manner[way], self.factor) for way in order
        }

    @property
    def tried(self) -> bool:
        return bool(self.entries)

    @property
    def days(self) -> int:
        return len({(felt.who, felt.date) for felt in self.entries})

    @property
    def scores(self) -> list[int]:
        return sorted(felt.score for felt in self.entries)

    @property
    def median(self) -> float:
        return float(median(self.scores))

    @property
    def spread(self) -> tuple[int, int]:
        """The scores that leave a quarter of the entries below and above."""
        scores = self.scores
        return scores[(len(scores) - 1) // 4], scores[-1 - (len(scores) - 1) // 4]


@dataclass(frozen=True, slots=True)
class TriedGrid:
    """Tablets down and displays across, both from the smallest to the largest.

    ``unplaced`` is how many entries name no pairing.
    """

    tablets: tuple[Tablet, ...]
    displays: tuple[Display, ...]
    cells: dict[tuple[str, str], Cell]
    unplaced: int

    def cell(self, tablet: Tablet, display: Display) -> Cell:
        return self.cells[tablet.label, display.label]


def tried_grid(book: Iterable[Felt]) -> TriedGrid:
    """The grid of the entries that know their tablet and display with their sizes."""
    tablets: dict[str, Tablet] = {}
    displays: dict[str, Display] = {}
    by_pairing: dict[tuple[str, str], list[Felt]] = {}
    unplaced = 0
    for felt in book:
        figures = felt.figures
        sizes = (
            figures.tablet_width_mm,
            figures.tablet_height_mm,
            figures.display_width_mm,
            figures.display_height_mm,
        )
        if felt.tablet is None or felt.display is None or None in sizes:
            unplaced += 1
            continue
        wide, high, across, down = (float(each or 0) for each in sizes)
        tablets.setdefault(felt.tablet, Tablet(wide, high, label=felt.tablet))
        pixels = max(1, round(across * 10)), max(1, round(down * 10))
        displays.setdefault(felt.display, Display(*pixels, across, down, label=felt.display))
        by_pairing.setdefault((felt.tablet, felt.display), []).append(felt)
    tablet_order = sorted(
        tablets.values(), key=lambda each: (each.width_mm * each.height_mm, each.label)
    )
    display_order = sorted(
        displays.values(),
        key=lambda each: ((each.width_mm or 0) * (each.height_mm or 0), each.label),
    )
    cells = {
        (tablet.label, display.label): _cell_of(
            tablet.label,
            display.label,
            by_pairing.get((tablet.label, display.label), []),
            pair(tablet, display).scale_factor,
        )
        for tablet in tablet_order
        for display in display_order
    }
    return TriedGrid(tuple(tablet_order), tuple(display_order), cells, unplaced)


def _cell_of(tablet: str, display: str, entries: Sequence[Felt], unknown: float | None) -> Cell:
    """The cell of ``entries``; its factor is ``unknown`` where none of them has one."""
    factors = [
        felt.figures.scale_factor for felt in entries if felt.figures.scale_factor is not None
    ]
    seats = [felt.figures.distance_mm for felt in entries if felt.figures.distance_mm is not None]
    factor = float(median(factors)) if factors else unknown
    return Cell(tablet, display, tuple(entries), factor, float(median(seats)) if seats else None)


@dataclass(frozen=True, slots=True)
class Study:
    """Everything that a book says of which display goes with which tablet.

    ``names`` of the people as they are published; ``bands`` in their order; ``together`` what they
    have in common, None for one person; ``patterns`` what the scores follow, ``apart`` whether that
    is the scale factor or the viewing angle, None where no angle is known; ``angles_tried`` the
    smallest and the largest, degrees; ``suiting`` the band that is recommended from, of the one
    person or the middle of several, and where the scores show no pattern the common practice, which
    ``own`` then says.
    """

    book: tuple[Felt, ...]
    grid: TriedGrid
    names: tuple[str, ...]
    trials: tuple[tuple[Trial, ...], ...]
    bands: tuple[ComfortBand, ...]
    together: People | None
    patterns: Patterns
    angles_tried: tuple[float, float] | None
    apart: PredictorComparison | None
    telling: tuple[Cell, ...]
    practice: Band
    suiting: UncertainBand
    own: bool

    @property
    def days(self) -> int:
        return len({(felt.who, felt.date) for felt in self.book})

    @property
    def best_beyond(self) -> str:
        """At which end of what was tried the best may lie: ``low``, ``high``, ``both`` or nothing.

        Of the one person, or of the middle one of several.
        """
        if self.together is None:
            return self.bands[0].best_beyond
        best = self.together.best
        return which_end(best.low, best.high, self.suiting.tried)

    @property
    def has_shared_days(self) -> bool:
        """Whether somebody tried several pairings on one day."""
        return bool(_moods([(felt, float(felt.score)) for felt in self.book]))

    @property
    def tried_cells(self) -> list[Cell]:
        return [cell for cell in self.grid.cells.values() if cell.tried]


def study_of(book: Sequence[Felt], *, doing: str | None = None, letters: bool = False) -> Study:
    """What ``book`` says.

    With ``letters`` people are called A, B, C, in the order of their first days.
    """
    who = list(dict.fromkeys(felt.who or "" for felt in sorted(book, key=lambda each: each.date)))
    names = {name: _letter(at) if letters or not name else name for at, name in enumerate(who)}
    practice = practice_of(doing, "scale_factor")
    trials = [tuple(trials_of([felt for felt in book if (felt.who or "") == name])) for name in who]
    bands = [comfort_band(each, practice) for each in trials]
    together = people(bands, practice) if len(who) > 1 else None
    grid = tried_grid(book)
    pairings = tried_pairings(book)
    found = patterns(pairings)
    angles = [(each.value, each.angle_deg) for each in pairings if each.angle_deg is not None]
    apart: PredictorComparison | None = None
    telling: tuple[Cell, ...] = ()
    if len(angles) >= 2:
        apart = compare_predictors(pairings, found)
        offered = _offered(grid)
        chosen = decorrelating_choices(angles, [each[1] for each in offered])
        telling = tuple(offered[at][0] for at in chosen)
    seen = [angle for _, angle in angles]
    suiting, own = _suiting(bands, together, found, practice)
    return Study(
        book=tuple(book),
        grid=grid,
        names=tuple(names[name] for name in who),
        trials=tuple(trials),
        bands=tuple(bands),
        together=together,
        patterns=found,
        angles_tried=(min(seen), max(seen)) if seen else None,
        apart=apart,
        telling=telling,
        practice=practice,
        suiting=suiting,
        own=own,
    )


def _suiting(
    bands: Sequence[ComfortBand], together: People | None, found: Patterns, practice: Band
) -> tuple[UncertainBand, bool]:
    ends = [band.tried for band in bands if band.tried]
    tried = (min(low for low, _ in ends), max(high for _, high in ends)) if ends else None
    if not found.hill.found or not any(band.one_best for band in bands):
        low, high = practice.low, practice.high
        return UncertainBand(low, high, (low, low), (high, high), tried), False
    if together is not None:
        low_of, high_of = together.low, together.high
        return (
            UncertainBand(
                low_of.middle,
                high_of.middle,
                (low_of.low, low_of.high),
                (high_of.low, high_of.high),
                tried,
            ),
            True,
        )
    band = bands[0]
    return UncertainBand(band.low, band.high, band.low_sure, band.high_sure, tried), True


def tried_pairings(book: Sequence[Felt]) -> list[TriedPairing]:
    """Each pairing in each seat, with its scale factor, viewing angle and scores.

    The scores are less each person's own mean, the mean of each day that several pairings share
    (else its mood would speak for or against all of them), and the cost of first days.
    """
    means: dict[str | None, list[int]] = {}
    for felt in book:
        means.setdefault(felt.who, []).append(felt.score)
    level = {who: sum(scores) / len(scores) for who, scores in means.items()}
    days: list[tuple[Felt, Trial, float]] = []
    for who, own_level in level.items():
        own = [felt for felt in sorted(book, key=lambda each: each.date) if felt.who == who]
        own = [felt for felt in own if felt.figures.scale_factor is not None]
        days += [
            (felt, trial, felt.score - own_level)
            for felt, trial in zip(own, trials_of(own), strict=True)
        ]
    moods = _moods([(felt, score) for felt, _, score in days])
    days = [
        (felt, trial, score - moods.get((felt.who, felt.date), 0.0)) for felt, trial, score in days
    ]
    firsts = [score for _, trial, score in days if trial.first_day]
    others = [score for _, trial, score in days if not trial.first_day]
    cost = sum(firsts) / len(firsts) - sum(others) / len(others) if firsts and others else 0.0
    by_pairing: dict[tuple[str, str, float, float | None], list[float]] = {}
    for felt, trial, score in days:
        angle = felt.figures.viewing_angle_deg
        seen = None if angle is None else round(angle, 1)
        key = (
            felt.tablet or felt.workstation,
            felt.display or "",
            float(f"{trial.value:.3g}"),
            seen,
        )
        by_pairing.setdefault(key, []).append(score - (cost if trial.first_day else 0.0))
    return [
        TriedPairing(factor, tuple(scores), angle_deg)
        for (_, _, factor, angle_deg), scores in by_pairing.items()
    ]


def _moods(days: Sequence[tuple[Felt, float]]) -> dict[tuple[str | None, str], float]:
    """The mean score of each day of a person on which several pairings were tried."""
    together: dict[tuple[str | None, str], list[float]] = {}
    tried: dict[tuple[str | None, str], set[tuple[str, str | None]]] = {}
    for felt, score in days:
        together.setdefault((felt.who, felt.date), []).append(score)
        pairing = felt.tablet or felt.workstation, felt.display
        tried.setdefault((felt.who, felt.date), set()).add(pairing)
    return {
        day: sum(scores) / len(scores) for day, scores in together.items() if len(tried[day]) > 1
    }


def _offered(grid: TriedGrid) -> list[tuple[Cell, tuple[float, float]]]:
    """Pairings from nearer and farther seats than they were tried in.

    Each with its scale factor and viewing angle (deg).
    """
    found = []
    seats = [cell.distance_mm for cell in grid.cells.values() if cell.distance_mm]
    middle = float(median(seats)) if seats else 700.0
    for cell in grid.cells.values():
        display = next(each for each in grid.displays if each.label == cell.display)
        for ratio in (0.8, 1.25):
            distance = (cell.distance_mm or middle) * ratio
            # Nobody is sent nearer than 20 inches or farther than 40 (OSHA, as quoted).
            if cell.factor and display.width_mm and 508 <= distance <= 1016:
                cell_there = Cell(cell.tablet, cell.display, (), cell.factor, distance)
                found.append(
                    (cell_there, (cell.factor, visual_angle_deg(display.width_mm, distance)))
                )
    return found


def _letter(at: int) -> str:
    return (
        chr(ord("A") + at)
        if at < 26
        else f"{chr(ord('A') + at // 26 - 1)}{chr(ord('A') + at % 26)}"
    )


def inches_of(display: Display) -> float:
    """The diagonal of a display of known size, inches."""
    return math.hypot(display.width_mm or math.nan, display.height_mm or math.nan) / 25.4
