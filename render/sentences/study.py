"""The sections of a study: a statement each, with the sentences and the table that back it.

Every number comes from the trial book. Where there is no pattern, the statement says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from statistics import median
from typing import TYPE_CHECKING

from mapper.choosing.pairing import pair
from mapper.choosing.recommended import CAUTION
from mapper.trials.comfort import INTERVAL_PERCENT
from mapper.trials.pattern import FALSE_PERCENT, LEAST_PAIRINGS
from mapper.trials.people import LEAST_PEOPLE
from mapper.trials.sizes import displays_for, tablets_for
from profiles.library.tried import inches_of
from render.sentences.grid import cell_words, expected_words, felt_words, median_word, way_words
from render.sentences.pairs import tablet_name
from render.sentences.suiting import (
    SIZE_HEAD,
    SOLD,
    eyes_limits_in,
    size_rows,
    trade_sentences,
    with_customary,
)
from render.sentences.words import capital, counted, fixed, listed, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.desk import Display
    from mapper.trials.comfort import ComfortBand
    from mapper.trials.sizes import SizeChoice
    from profiles.library.tried import Cell, Study


@dataclass(frozen=True, slots=True)
class Section:
    """One statement with its paragraphs and its table.

    ``key`` names it; ``picture`` is the picture that shows it: grid, band, people, sizes or none.
    """

    key: str
    statement: str
    paragraphs: list[str]
    head: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    picture: str = ""


def study_sections(study: Study, before: Study | None = None) -> list[Section]:
    """All sections in their order.

    With ``before``, the study of an earlier day, one section shows what changed since.
    """
    sections = [_question(study), _tried(study), _grid(study), _pattern(study)]
    if study.together is not None:
        sections.append(_people(study))
    sections += [_sizes(study), _tablets(study), _locking(study), _seats(study)]
    if before is not None:
        sections.append(_changes(study, before))
    sections += [_method(study), _limits(study), _cautions()]
    return [replace(each, statement=capital(each.statement)) for each in sections]


def _question(study: Study) -> Section:
    days = sorted(felt.date for felt in study.book)
    kinds = list(dict.fromkeys(felt.doing for felt in study.book))
    who = "One person" if len(study.names) == 1 else f"{len(study.names)} people"
    return Section(
        "question",
        "Which display goes with which tablet?",
        [
            (
                f"{who} tried tablets with displays for "
                f"{counted(study.days, 'day')}{'' if len(study.names) == 1 else ' in all'}, from "
                f"{days[0]} to {days[-1]}, "
                f"and noted each day how it felt: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy."
            ),
            f"The work was {listed(kinds)}." + (_shares(study)),
            (
                "What may tell a good pairing from a poor one is its scale factor: how many "
                "millimetres the pen's mark moves on "
                "the display for one millimetre of the hand."
            ),
        ],
    )


def _shares(study: Study) -> str:
    totals: dict[str, float] = {}
    if not any(felt.shares for felt in study.book):
        return ""
    for felt in study.book:
        for kind, share in (felt.shares or {felt.doing: 100.0}).items():
            totals[kind] = totals.get(kind, 0.0) + share / len(study.book)
    return (
        " In shares of the time: "
        + listed([f"{kind} {number(share, 0)} %" for kind, share in totals.items()])
        + "."
    )


def _tried(study: Study) -> Section:
    grid, tried = study.grid, study.tried_cells
    possible = len(grid.cells)
    rows = [
        [
            tablet_name(tablet),
            counted(sum(grid.cell(tablet, display).tried for display in grid.displays), "display"),
            counted(sum(grid.cell(tablet, display).days for display in grid.displays), "day"),
        ]
        for tablet in grid.tablets
    ]
    each = [cell.days for cell in tried]
    paragraphs = [f"Displays: {listed([_with_inches(each) for each in grid.displays])}."]
    if each:
        paragraphs.append(
            f"Each pairing that was tried had {min(each)} to {max(each)} days."
            if min(each) < max(each)
            else f"Each pairing had {counted(each[0], 'day')}."
        )
    if grid.unplaced:
        paragraphs.append(
            f"{counted(grid.unplaced, 'entry', 'entries')} give no tablet and display with "
            f"sizes, and are in no cell."
        )
    verb = "was" if len(tried) == 1 else "were"
    statement = (
        f"{counted(len(grid.tablets), 'tablet')} and {counted(len(grid.displays), 'display')}: "
        f"{len(tried)} of {possible} pairings {verb} tried"
    )
    return Section("tried", statement, paragraphs, ["tablet", "met", "for"], rows)


def _with_inches(display: Display) -> str:
    inches = f"{number(inches_of(display), 1)} in"
    return display.label if display.label == inches else f"{display.label} ({inches})"


def _grid(study: Study) -> Section:
    named = [each for cell in study.tried_cells for each in _told_apart(cell)]
    # A day or two say little beside three; where few had three, all count.
    tried = [each for each in named if each[1].days >= 3]
    tried = tried if len(tried) > 1 else named
    if not tried:
        return Section(
            "grid",
            "No entry gives a tablet and a display with sizes",
            ["So there is no grid to show."],
        )
    ranked = sorted(
        tried, key=lambda each: (-each[1].median, -sum(each[1].scores) / len(each[1].scores))
    )
    (first_name, first), (last_name, last) = ranked[0], ranked[-1]
    best = [name for name, cell in ranked if cell.median == first.median]
    longer = "" if len(tried) == len(named) else " of three days or more"
    if len(tried) == 1:
        statement = f"Only one pairing was tried: it felt {median_word(first)}"
    elif first.median == last.median:
        statement = f"Every pairing{longer} felt {median_word(last)}: the grid prefers none"
    elif len(best) <= 3:
        verb = "was" if len(best) == 1 else "were"
        statement = f"{listed(best)} {verb} liked best"
    else:
        statement = (
            f"{len(best)} of {len(tried)} pairings{longer} felt {median_word(first)}; "
            f"{last_name} felt {median_word(last)}"
        )
    head = ["tablet", *(display.label for display in study.grid.displays)]
    rows = [
        [
            tablet.label,
            *(
                cell_words(study, study.grid.cell(tablet, display))
                for display in study.grid.displays
            ),
        ]
        for tablet in study.grid.tablets
    ]
    paragraphs = [
        (
            f"It felt {felt_words(first)} over {counted(first.days, 'day')}."
            if len(tried) == 1
            else f"Highest: {first_name}, {felt_words(first)} over {counted(first.days, 'day')}. "
            f"Lowest: {last_name}, {felt_words(last)} over {counted(last.days, 'day')}."
        ),
        (
            "First comes the middle score; in brackets, the scores between which the middle half "
            "of the days lie."
        ),
    ]
    empty = [cell for cell in study.grid.cells.values() if not cell.tried]
    if empty:
        paragraphs.append(
            f"{counted(len(empty), 'pairing was', 'pairings were')} not tried; what is expected "
            f"there: "
            + "; ".join(
                f"{cell.tablet} with {cell.display} {expected_words(study, cell)}"
                for cell in empty[:8]
            )
            + ("; and more." if len(empty) > 8 else ".")
        )
    return Section("grid", statement, paragraphs, head, rows, "grid")


def _told_apart(cell: Cell) -> list[tuple[str, Cell]]:
    """The cell by its name, or each way in which it was tried with its own name.

    Other maps, seats and kinds of work are other trials.
    """
    name = f"{cell.tablet} with {cell.display}"
    return [(f"{name} ({way})", each) for way, each in way_words(cell)] or [(name, cell)]


def _pattern(study: Study) -> Section:
    found, band = study.patterns.hill, study.suiting
    chance = (
        f"Chance alone shows a pattern as clear as this, here or in the seats, in "
        f"{_percent(found.p_percent)} of 100 shuffled studies."
    )
    odd = study.patterns.valley.found and not all(each.one_best for each in study.bands)
    if not found.enough:
        statement = "Too few pairings to say whether the scale factor matters"
        paragraphs = [f"At least {LEAST_PAIRINGS} pairings of different scale factors are needed."]
    elif not found.found:
        statement = "No pattern: how a pairing felt does not follow its scale factor"
        paragraphs = [
            chance,
            (
                "That is a result: with these days, other things mattered more, or the "
                "differences are smaller than the days can show. "
                f"The recommendations below are common practice, factors of {fixed(band.low, 1)} "
                f"to {fixed(band.high, 1)}."
            ),
            *(
                ["Factors on both sides felt better than those between; that is no band."]
                if odd
                else []
            ),
        ]
    elif not study.own:
        statement = "The scores follow the scale factor, but do not fit one best value"
        paragraphs = [
            chance,
            (
                "Values on both sides felt better than those between, so no band is drawn from "
                "them."
                if odd
                else "So no band is drawn from them."
            ),
            "The recommendations below are common practice.",
        ]
    else:
        statement = (
            f"Scale factors of {fixed(band.low, 1)} to {fixed(band.high, 1)} felt best"
            + _beyond(study)
        )
        paragraphs = [
            (
                f"The lower edge lies between {fixed(band.low_sure[0], 1)} and "
                f"{fixed(band.low_sure[1], 1)}, the upper one between "
                f"{fixed(band.high_sure[0], 1)} and {fixed(band.high_sure[1], 1)}, each "
                f"{INTERVAL_PERCENT:.0f} % sure."
            ),
            f"The scale factor explains {number(found.explained_percent, 0)} % of the "
            f"differences between pairings. " + chance,
        ]
        if len(study.bands) == 1:
            own = study.bands[0]
            paragraphs.insert(
                0,
                f"The best value is {fixed(own.best, 2)} ({INTERVAL_PERCENT:.0f} % sure: between "
                f"{fixed(own.best_low, 2)} and {fixed(own.best_high, 2)}).",
            )
            if own.best_beyond:
                paragraphs.append(
                    "The best value may lie at an end of what was tried or beyond it, so this is "
                    "not yet a band of the person's own."
                )
            elif not own.enough:
                paragraphs.append(
                    "The days do not yet outweigh what is commonly believed, so take this as a "
                    "first hint."
                )
    return Section(
        "pattern", statement, paragraphs, picture="band" if len(study.bands) == 1 else ""
    )


def _percent(value: float) -> str:
    return "fewer than 1" if value < 1 else number(value, 0)


def _beyond(study: Study) -> str:
    band = study.suiting
    if band.tried is None:
        return ""
    ends = []
    if band.low < band.tried[0] * 0.98:
        ends.append(f"below {fixed(band.tried[0], 1)}")
    if band.high > band.tried[1] * 1.02:
        ends.append(f"above {fixed(band.tried[1], 1)}")
    return f"; nothing {listed(ends).replace(' and ', ' or ')} was tried" if ends else ""


def _people(study: Study) -> Section:
    together = study.together
    assert together is not None  # the caller asked
    rows = [
        [
            name or "-",
            counted(band.entries, "entry", "entries"),
            f"{fixed(each.low.middle, 1)} to {fixed(each.high.middle, 1)}",
            fixed(each.best.middle, 2),
            f"{fixed(each.best.low, 2)} to {fixed(each.best.high, 2)}",
            _fits_one_best(study, band),
        ]
        for name, band, each in zip(study.names, study.bands, together.each, strict=True)
    ]
    rows.append(
        [
            "in common",
            "",
            f"{fixed(together.low.middle, 1)} to {fixed(together.high.middle, 1)}",
            fixed(together.best.middle, 2),
            f"{fixed(together.best.low, 2)} to {fixed(together.best.high, 2)}",
            "",
        ]
    )
    another = together.another
    spread = (
        f"The next person's best would lie between {fixed(another.low, 1)} and "
        f"{fixed(another.high, 1)} ({INTERVAL_PERCENT:.0f} % sure)."
    )
    if together.says_of_most and study.own:
        statement = (
            f"A scale factor near {fixed(together.best.middle, 1)} would suit most people like "
            f"these"
        )
        paragraphs = [spread]
    else:
        if len(rows) - 1 < LEAST_PEOPLE:
            why = f"only {len(rows) - 1} took part"
        elif study.own:
            why = "they differ too much"
        else:
            why = "their scores show no pattern in common"
        statement = f"This study says nothing about most people: {why}"
        paragraphs = [spread, f"This page is only about these {len(rows) - 1} people."]
    paragraphs.append(
        "Each person's band is drawn towards the others as far as the scores allow: much where "
        "there are few days, little where there are many."
    )
    return Section(
        "people",
        statement,
        paragraphs,
        ["person", "entries", "band", "best", f"{INTERVAL_PERCENT:.0f} % sure", "one best"],
        rows,
        "people",
    )


def _fits_one_best(study: Study, band: ComfortBand) -> str:
    """Whether a person's scores fit one best value; open where the study shows no pattern at all."""
    if not study.patterns.hill.found and not study.patterns.valley.found:
        return "-"
    return "yes" if band.one_best else "no"


def _range(choices: Sequence[SizeChoice]) -> str:
    inches = [round(each.inches) for each in choices]
    return f"{inches[0]} in" if len(inches) == 1 else f"{inches[0]} to {inches[-1]} in"


def _sizes(study: Study) -> Section:
    pairings, tablets = [], with_customary(study.grid.tablets)
    for tablet in study.grid.tablets:
        # What the eyes advise against is no headline, however well it suits the hand.
        low_in, high_in = eyes_limits_in(study.suiting, tablet)
        suits = [
            each
            for each in displays_for(tablet, study.suiting)
            if each.verdict == "suits" and low_in <= each.inches <= high_in
        ]
        pairings.append(f"{tablet.label} with {_range(suits) if suits else 'none that is sold'}")
    whose = "For hand and eyes: " if study.own else "By common practice, for hand and eyes: "
    statement = whose + ", ".join(pairings) if pairings else "displays by size of tablet"
    paragraphs = [SOLD, *trade_sentences(study.suiting, tablets)]
    rows = size_rows(study.suiting, tablets)
    return Section(
        "sizes", statement, paragraphs, SIZE_HEAD, rows, "sizes" if study.grid.tablets else ""
    )


def _tablets(study: Study) -> Section:
    rows = []
    for display in study.grid.displays:
        choices = tablets_for(display, study.suiting, with_customary(study.grid.tablets))
        named = {
            verdict: [
                f"{each.tablet.label} "
                f"({fixed(each.factor, 2)}{'' if each.tried else ', not tried'})"
                for each in choices
                if each.verdict == verdict
            ]
            for verdict in ("suits", "perhaps")
        }
        rows.append(
            [
                display.label,
                f"{number(inches_of(display), 1)} in",
                ", ".join(named["suits"]) or "none",
                ", ".join(named["perhaps"]) or "-",
            ]
        )
    without = [row[0] for row in rows if row[2] == "none"]
    statement = (
        f"For {listed(without)} no tablet here suits"
        if without
        else "Every display here has a tablet that suits it"
    )
    return Section(
        "tablets",
        statement,
        [("The other way round: which tablet for this display, each with its scale factor.")],
        ["display", "size", "suits", "may suit"],
        rows,
    )


def _locking(study: Study) -> Section:
    rows = []
    losses = []
    for tablet in study.grid.tablets:
        for display in study.grid.displays:
            figures = pair(tablet, display)
            losses.append((figures.area_lost_percent, tablet.label, display.label))
            # Left whole, the two sides have factors of their own.
            across, down = (
                (display.width_mm or 0) / tablet.width_mm,
                (display.height_mm or 0) / tablet.height_mm,
            )
            rows.append(
                [
                    tablet.label,
                    display.label,
                    f"{number(tablet.width_mm)} x {number(tablet.height_mm)}",
                    f"{number(figures.area_width_mm, 1)} x {number(figures.area_height_mm, 1)}",
                    f"{fixed(max(0.0, figures.area_lost_percent), 1)} %",
                    f"{fixed(across, 2)} across, {fixed(down, 2)} down",
                    fixed(figures.scale_factor or 0.0, 2),
                ]
            )
    if not losses:
        return Section("locking", "What locking takes is unknown: no pairing has sizes", [])
    most, least = max(losses), min(losses)
    statement = (
        f"Locking the proportions takes {number(max(0.0, least[0]), 0)} to {number(most[0], 0)} "
        f"% of a tablet"
        if most[0] - least[0] >= 1
        else f"Locking the proportions takes {number(max(0.0, most[0]), 0)} % of a tablet"
    )
    return Section(
        "locking",
        statement,
        [
            (
                f"It takes most from {most[1]}. Before, circles come out oval, since each "
                f"direction has its own factor; after, round shapes stay round, and one factor "
                "counts for both."
            )
        ],
        ["tablet", "display", "before, mm", "after, mm", "taken", "factors before", "after"],
        rows,
    )


def _seats(study: Study) -> Section:
    rows = []
    for cell in (each for whole in study.tried_cells for _, each in _told_apart(whole)):
        angles = [
            felt.figures.viewing_angle_deg
            for felt in cell.entries
            if felt.figures.viewing_angle_deg
        ]
        if cell.distance_mm and angles:
            rows.append(
                [
                    cell.tablet,
                    cell.display,
                    f"{number(cell.distance_mm / 10, 0)} cm",
                    f"{number(float(median(angles)), 0)} degrees",
                    felt_words(cell),
                ]
            )
    head = ["tablet", "display", "eyes", "picture seen", "how it felt"]
    apart = study.apart
    if apart is None or not rows:
        return Section(
            "seats",
            "The book does not say how far the eyes were",
            [
                (
                    "Note the distance with each entry, and the study can tell the hand's comfort "
                    "from the eyes'."
                )
            ],
            head,
            rows,
        )
    neither = not study.patterns.hill.found and not study.patterns.seen.found
    if neither:
        statement = "Neither the scale factor nor the seat explains how it felt"
    elif apart.answer == "value":
        statement = "Liking follows the scale factor rather than how wide the picture was seen"
    elif apart.answer == "angle":
        statement = "Liking follows how wide the picture was seen rather than the scale factor"
    else:
        statement = "Whether liking follows the scale factor or the seat cannot be told apart"
    correlation = fixed(apart.correlation, 2)
    if apart.answer == "together":
        paragraphs = [
            f"Scale factor and viewing angle rose and fell together (correlation {correlation})."
        ]
    elif neither:
        paragraphs = [f"Over the pairings the two go together with a correlation of {correlation}."]
    else:
        paragraphs = [
            (
                f"Over the pairings the two go together with a correlation of {correlation}; the "
                f"scores are {_times(apart.ratio)} if liking follows the factor as if it follows "
                f"the angle."
            )
        ]
    if apart.answer in {"together", "open"} and study.telling:
        days = [
            f"{cell.tablet} with {cell.display} from {number((cell.distance_mm or 0) / 10, 0)} cm"
            for cell in study.telling
        ]
        paragraphs.append(f"Days with {listed(days)} would tell them apart best.")
    return Section("seats", statement, paragraphs, head, rows)


def _times(ratio: float) -> str:
    if ratio > 1000:
        return "more than 1000 times as likely"
    if ratio < 0.1:
        return "less than a tenth as likely"
    return f"{number(ratio, 1 if ratio < 10 else 0)} times as likely"


def _changes(study: Study, before: Study) -> Section:
    new = len(study.book) - len(before.book)
    old, now = before.suiting, study.suiting
    rows = [
        ["entries", f"{len(before.book)}", f"{len(study.book)}"],
        ["pairings tried", f"{len(before.tried_cells)}", f"{len(study.tried_cells)}"],
        [
            "pattern",
            "yes" if before.patterns.hill.found else "no",
            "yes" if study.patterns.hill.found else "no",
        ],
        [
            "band",
            f"{fixed(old.low, 1)} to {fixed(old.high, 1)}",
            f"{fixed(now.low, 1)} to {fixed(now.high, 1)}",
        ],
    ]
    moved = max(abs(now.low / old.low - 1), abs(now.high / old.high - 1))
    statement = (
        f"{counted(new, 'new entry', 'new entries')} moved the band by {number(100 * moved, 0)} %"
        if moved >= 0.005
        else f"{counted(new, 'new entry', 'new entries')} left the band where it was"
    )
    return Section(
        "changes",
        statement,
        ["The same study as it stood on the earlier day, and now."],
        ["", "then", "now"],
        rows,
    )


def _method(study: Study) -> Section:
    found = study.patterns.hill
    return Section(
        "method",
        "How it was computed",
        [
            (
                "A scale factor is the diagonal of the picture on the glass over the diagonal of "
                "the tablet's area, locked to the display's proportions."
            ),
            (
                "The band uses only the order of the scores: a cumulative-logit model (McCullagh 1980) "
                "with one best value, a fall of its own on each side, and a cost of first days. "
                "Its band is where "
                f"liking stays within one step of its best; edges and best are given with the "
                f"range that is {INTERVAL_PERCENT:.0f} % sure. Before the first day, the model takes "
                f"best values inside and outside common practice (factors of "
                f"{fixed(study.practice.low, 1)} to {fixed(study.practice.high, 1)}) to be "
                f"equally likely."
            ),
            (
                "Whether there is a pattern, how much it explains, and how much likelier the scores "
                "are by the factor than by the angle, use the scores as numbers from 1 to 5: the mean "
                "of each pairing, less each person's own mean and the cost of first days, each mean "
                "counting for its days."
            ),
            (
                f"Whether there is a pattern at all is decided by shuffling whole pairings, their "
                f"days with them. Looked for are a hill or a slope over the scale factor, the same "
                f"over the viewing angle, and a valley over the scale factor. All three together "
                f"show something by chance alone in at most {number(FALSE_PERCENT, 0)} of 100 "
                f"studies (the hill over the scale factor here: {_percent(found.p_percent)})."
            ),
            *(
                []
                if study.together is None
                else [
                    (
                        "Several people: each alone first, then together (two-stage hierarchical "
                        "model, Lunn and others 2013), so that few days lean on the others and "
                        "many speak for themselves."
                    )
                ]
            ),
        ],
    )


def _limits(study: Study) -> Section:
    days = [cell.days for cell in study.tried_cells]
    people = "one person" if len(study.names) == 1 else f"{len(study.names)} people"
    limits = [
        f"It speaks of {people}, not of you: eyes, hands, habits and work differ.",
        (
            "A pairing may be liked for reasons that are not noted: the tablet's surface, the "
            "pen, the colours of a display. Only the scale factor, the seat and first days are "
            "known here."
        ),
        "The person knew what was tried, and may have scored what was expected.",
    ]
    if days and min(days) < 3:
        limits.append("Some pairings had fewer than three days; a first day always feels odd.")
    if len(days) < len(study.grid.cells):
        limits.append(
            f"{len(study.grid.cells) - len(days)} pairings were not tried; what stands in their "
            f"cells follows from the band."
        )
    if study.suiting.tried:
        low, high = study.suiting.tried
        limits.append(
            f"Factors below {fixed(low, 1)} and above {fixed(high, 1)} were not tried; nothing "
            f"is known there."
        )
    if study.angles_tried:
        narrow, wide = study.angles_tried
        seen = f"{number(narrow, 0)} to {number(wide, 0)}"
        if number(narrow, 0) == number(wide, 0):
            seen = number(wide, 0)
        limits.append(
            f"The pictures were seen {seen} degrees wide; of narrower and wider ones nothing is "
            f"known."
        )
    return Section("limits", "What it cannot say", limits)


def _cautions() -> Section:
    return Section(
        "cautions",
        "What felt good is not what is healthy",
        [
            CAUTION,
            (
                "If a day hurts, stop: no entry is worth it. These are notes on comfort, not "
                "advice on health."
            ),
        ],
    )
