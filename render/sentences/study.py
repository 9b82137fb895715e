"""The sections of a study: a statement each, with the sentences and the table that back it.

Every number comes from the trial book. Where there is no pattern, the statement says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from statistics import median
from typing import TYPE_CHECKING

from mapper.choosing.pairing import pair
from mapper.choosing.recommended import CAUTION
from mapper.trials.comfort import INTERVAL_PERCENT, untried_end, which_end
from mapper.trials.next_trial import STEP
from mapper.trials.pattern import FALSE_PERCENT, LEAST_PAIRINGS
from mapper.trials.people import LEAST_PEOPLE
from mapper.trials.sizes import displays_for, tablets_for
from profiles.library.tried import inches_of
from render.sentences.band import nothing_beyond, steep_sentence, work_words
from render.sentences.grid import (
    cell_words,
    expected_words,
    felt_words,
    median_word,
    unplaced_sentence,
    way_words,
)
from render.sentences.measures import inches_words
from render.sentences.pairs import tablet_name
from render.sentences.say import Name, listed, paragraph, row_of, say, say_again, say_count, scraps
from render.sentences.suiting import (
    SOLD,
    eyes_limits_in,
    size_head,
    size_rows,
    trade_sentences,
    with_customary,
)
from render.sentences.words import capital, days_words, displays_count, fixed, number

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
    kinds = [work_words(each) for each in dict.fromkeys(felt.doing for felt in study.book)]
    slots = {
        "first": days[0],
        "last": days[-1],
    }
    if len(study.names) == 1:
        who = say_count(
            "One person tried tablets with displays for {count} day, from {first} to {last}, and "
            "noted each day how it felt: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy.",
            "One person tried tablets with displays for {count} days, from {first} to {last}, and "
            "noted each day how it felt: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy.",
            study.days,
            **slots,
        )
    else:
        who = say(
            "Several people tried tablets with displays, from {first} to {last}, and noted each "
            "day how it felt: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy. People: {people}. Days "
            "in all: {days}.",
            people=str(len(study.names)),
            days=str(study.days),
            **slots,
        )
    return Section(
        "question",
        say("Which display goes with which tablet?"),
        [
            who,
            paragraph([say("The work was {kinds}.", kinds=listed(kinds)), *_shares(study)]),
            say(
                "The scale factor may be what makes a pair good or poor: how many millimetres "
                "the pen's mark moves on the display for one millimetre of hand movement."
            ),
        ],
    )


def _shares(study: Study) -> list[str]:
    totals: dict[str, float] = {}
    if not any(felt.shares for felt in study.book):
        return []
    for felt in study.book:
        for kind, share in (felt.shares or {felt.doing: 100.0}).items():
            totals[kind] = totals.get(kind, 0.0) + share / len(study.book)
    shares = [
        say("{kind} {percent} %", kind=work_words(kind), percent=number(share, 0))
        for kind, share in totals.items()
    ]
    return [say("In shares of the time: {shares}.", shares=listed(shares))]


def _tried(study: Study) -> Section:
    grid, tried = study.grid, study.tried_cells
    possible = len(grid.cells)
    rows = [
        [
            tablet_name(tablet),
            displays_count(sum(grid.cell(tablet, display).tried for display in grid.displays)),
            days_words(sum(grid.cell(tablet, display).days for display in grid.displays)),
        ]
        for tablet in grid.tablets
    ]
    each = [cell.days for cell in tried]
    displays = listed([_with_inches(each) for each in grid.displays])
    paragraphs: list[str] = [say("Displays: {displays}.", displays=displays)]
    if each and min(each) < max(each):
        paragraphs.append(
            say_count(
                "Each pair that was tried had {least} to {count} day.",
                "Each pair that was tried had {least} to {count} days.",
                max(each),
                least=str(min(each)),
            )
        )
    elif each:
        paragraphs.append(
            say_count("Each pair had {count} day.", "Each pair had {count} days.", each[0])
        )
    if grid.unplaced:
        paragraphs.append(unplaced_sentence(grid.unplaced))
    statement = say_count(
        "{tablets} and {displays}: {count} of {possible} pairs was tried",
        "{tablets} and {displays}: {count} of {possible} pairs were tried",
        len(tried),
        tablets=say_count("{count} tablet", "{count} tablets", len(grid.tablets)),
        displays=displays_count(len(grid.displays)),
        possible=str(possible),
    )
    head: list[str] = [say("tablet"), say("displays tried"), say("days")]
    return Section("tried", statement, paragraphs, head, rows)


def _with_inches(display: Display) -> str:
    inches = inches_words(inches_of(display))
    if display.label == inches:
        return inches
    return say("{display} ({size})", display=Name(display.label), size=inches)


def _grid(study: Study) -> Section:
    named = [each for cell in study.tried_cells for each in _told_apart(cell)]
    # A day or two say little beside three; where few had three, all count.
    tried = [each for each in named if each[1].days >= 3]
    tried = tried if len(tried) > 1 else named
    if not tried:
        return Section(
            "grid",
            say("No note gives a tablet and a display with sizes"),
            [say("So there is no grid to show.")],
        )
    ranked = sorted(
        tried, key=lambda each: (-each[1].median, -sum(each[1].scores) / len(each[1].scores))
    )
    (first_name, first), (last_name, last) = ranked[0], ranked[-1]
    best = [name for name, cell in ranked if cell.median == first.median]
    if len(tried) == 1:
        statement = say("Only one pair was tried: it felt {word}", word=median_word(first))
    elif first.median == last.median:
        word = median_word(last)
        statement = say("Every pair felt {word}: no pair stands out", word=word)
    elif len(best) <= 3:
        statement = say_count(
            "{best} was liked best", "{best} were liked best", len(best), best=listed(best)
        )
    else:
        statement = say_count(
            "{best} of {count} pair felt {word}; {last} felt {worst}",
            "{best} of {count} pairs felt {word}; {last} felt {worst}",
            len(tried),
            best=str(len(best)),
            word=median_word(first),
            last=last_name,
            worst=median_word(last),
        )
    head = [say("tablet"), *(display.label for display in study.grid.displays)]
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
    middle = say(
        "The first number is the middle score; the middle half of the days scored within the "
        "range in brackets."
    )
    if len(tried) == 1:
        felt: str = say_count(
            "It felt {felt} on {count} day.",
            "It felt {felt} on {count} days.",
            first.days,
            felt=felt_words(first),
        )
    else:
        felt = paragraph(
            [
                say_count(
                    "Highest: {pair}, {felt} on {count} day.",
                    "Highest: {pair}, {felt} on {count} days.",
                    first.days,
                    pair=first_name,
                    felt=felt_words(first),
                ),
                say_count(
                    "Lowest: {pair}, {felt} on {count} day.",
                    "Lowest: {pair}, {felt} on {count} days.",
                    last.days,
                    pair=last_name,
                    felt=felt_words(last),
                ),
            ]
        )
    paragraphs: list[str] = [felt, middle]
    if len(tried) < len(named):
        paragraphs.append(say("Pairs of one or two days are left out here."))
    empty = [cell for cell in study.grid.cells.values() if not cell.tried]
    if empty:
        expected = [
            say(
                "{tablet} with {display} {expected}",
                tablet=Name(cell.tablet),
                display=Name(cell.display),
                expected=expected_words(study, cell),
            )
            for cell in empty[:8]
        ]
        if len(empty) > 8:
            expected.append(say("and more"))
        paragraphs.append(
            say_count(
                "{count} pair was not tried; what is expected there: {expected}.",
                "{count} pairs were not tried; what is expected there: {expected}.",
                len(empty),
                expected=scraps(expected),
            )
        )
    return Section("grid", statement, paragraphs, head, rows, "grid")


def _told_apart(cell: Cell) -> list[tuple[str, Cell]]:
    """The cell by its name, or each way in which it was tried with its own name.

    Other maps, seats and kinds of work are other trials.
    """
    name = say("{tablet} with {display}", tablet=Name(cell.tablet), display=Name(cell.display))
    ways = way_words(cell)
    return [(say("{pairing} ({way})", pairing=name, way=way), each) for way, each in ways] or [
        (name, cell)
    ]


def _pattern(study: Study) -> Section:
    found, band = study.patterns.hill, study.suiting
    odd = study.patterns.valley.found and not all(each.one_best for each in study.bands)
    low, high = fixed(band.low, 1), fixed(band.high, 1)
    chance = say(
        "With shuffled scores, {percent} of 100 studies show a pattern as clear as this by "
        "chance, for the scale factor or the viewing angle.",
        percent=_percent(found.p_percent),
    )
    statement: str
    paragraphs: list[str]
    if not found.enough:
        statement = say("Too few pairs to say whether the scale factor matters")
        paragraphs = [
            say(
                "At least {least} pairs of different scale factors are needed.",
                least=str(LEAST_PAIRINGS),
            )
        ]
    elif not found.found:
        statement = say("No pattern: how a pair felt does not follow its scale factor")
        paragraphs = [
            chance,
            say(
                "This is a result too: other things mattered more, or there are too few days to "
                "show small differences. The recommendations below are the usual ones, "
                "scale factors of {low} to {high}.",
                low=low,
                high=high,
            ),
        ]
        if odd:
            paragraphs.append(
                say(
                    "Scale factors on both sides felt better than those between, so there is no "
                    "band."
                )
            )
    elif not study.own:
        statement = say("The scores follow the scale factor, but do not fit one best value")
        paragraphs = [
            chance,
            say(
                "Values on both sides felt better than those between, so no band is drawn from "
                "them."
            )
            if odd
            else say("So no band is drawn from them."),
            say("The recommendations below are the usual ones."),
        ]
    elif study.best_beyond:
        statement, advised = _best_beyond(study)
        so_far = say("So far the band goes from {low} to {high}.", low=low, high=high)
        paragraphs = [_explained(study, chance), so_far, advised]
    else:
        statement = say("Scale factors of {low} to {high} felt best", low=low, high=high)
        untried = _beyond(study)
        if untried:
            statement = say("{statement}; {untried}", statement=statement, untried=untried)
        paragraphs = _own_band(study, chance)
    return Section(
        "pattern", statement, paragraphs, picture="band" if len(study.bands) == 1 else ""
    )


def _explained(study: Study, chance: str) -> str:
    """What the scale factor explains, and how often chance does as well."""
    explained = say(
        "The scale factor explains {percent} % of the differences between pairs.",
        percent=number(study.patterns.hill.explained_percent, 0),
    )
    return paragraph([explained, chance])


def _best_beyond(study: Study) -> tuple[str, str]:
    """That the best may lie beyond what was tried, and what to try."""
    least, most = study.suiting.tried or (1.0, 1.0)
    low, high = fixed(least, 1), fixed(most, 1)
    tells = {
        "low": say(
            "Days at a scale factor near {value} would show it.", value=fixed(least / STEP, 1)
        ),
        "high": say(
            "Days at a scale factor near {value} would show it.", value=fixed(most * STEP, 1)
        ),
        "both": say("More days at more scale factors would show it."),
    }
    statements = {
        "low": say(
            "The best scale factor may lie at or below {low}, the smallest that was tried", low=low
        ),
        "high": say(
            "The best scale factor may lie at or above {high}, the largest that was tried",
            high=high,
        ),
        "both": say("The scores follow the scale factor, but its best value is still open"),
    }
    return statements[study.best_beyond], tells[study.best_beyond]


def _own_band(study: Study, chance: str) -> list[str]:
    """How sure the band is that these notes make."""
    band = study.suiting
    sure = fixed(INTERVAL_PERCENT, 0)
    paragraphs: list[str] = [
        say(
            "The lower edge lies between {low} and {low_most}, the upper one between {high} and "
            "{high_most}, each {sure} % sure.",
            low=fixed(band.low_sure[0], 1),
            low_most=fixed(band.low_sure[1], 1),
            high=fixed(band.high_sure[0], 1),
            high_most=fixed(band.high_sure[1], 1),
            sure=sure,
        ),
        _explained(study, chance),
    ]
    if len(study.bands) > 1:
        return paragraphs
    own = study.bands[0]
    best = say(
        "The best value is {best} ({sure} % sure: between {low} and {high}).",
        best=fixed(own.best, 2),
        sure=sure,
        low=fixed(own.best_low, 2),
        high=fixed(own.best_high, 2),
    )
    if own.enough:
        return [best, *paragraphs, steep_sentence()]
    return [
        best,
        *paragraphs,
        say("There are too few days yet to outweigh the usual band, so take this as a first hint."),
    ]


def _percent(value: float) -> str:
    return say("fewer than 1") if value < 1 else number(value, 0)


def _beyond(study: Study) -> str:
    """Which ends of the band nobody tried; empty where all of it was tried."""
    band = study.suiting
    side = untried_end(band.low, band.high, band.tried)
    if band.tried is None or not side:
        return ""
    low, high = (fixed(value, 1) for value in band.tried)
    return nothing_beyond(side, low, high)


def _people(study: Study) -> Section:
    together = study.together
    assert together is not None  # the caller asked
    rows = [
        [
            name or "-",
            say_count("{count} entry", "{count} entries", band.entries),
            _ends(each.low.middle, each.high.middle),
            fixed(each.best.middle, 2),
            say("open")
            if which_end(each.best.low, each.best.high, band.tried)
            else _ends(each.best.low, each.best.high, 2),
            _fits_one_best(study, band),
        ]
        for name, band, each in zip(study.names, study.bands, together.each, strict=True)
    ]
    rows.append(
        [
            say("in common"),
            "",
            _ends(together.low.middle, together.high.middle),
            fixed(together.best.middle, 2),
            _ends(together.best.low, together.best.high, 2),
            "",
        ]
    )
    another = together.another
    spread = say(
        "The next person's best would lie between {low} and {high} ({sure} % sure).",
        low=fixed(another.low, 1),
        high=fixed(another.high, 1),
        sure=fixed(INTERVAL_PERCENT, 0),
    )
    people = len(rows) - 1
    paragraphs: list[str] = [spread]
    if together.says_of_most and study.own:
        statement = say(
            "A scale factor near {best} would suit most people like these",
            best=fixed(together.best.middle, 1),
        )
    else:
        if people < LEAST_PEOPLE:
            statement = say_count(
                "This study says nothing about most people: only {count} took part",
                "This study says nothing about most people: only {count} took part",
                people,
            )
        elif study.own:
            statement = say("This study says nothing about most people: they differ too much")
        else:
            statement = say(
                "This study says nothing about most people: their scores show no pattern in common"
            )
        paragraphs.append(
            say_count(
                "This page is only about this {count} person.",
                "This page is only about these {count} people.",
                people,
            )
        )
    paragraphs.append(
        say(
            "Each person's band is drawn towards the others as far as the scores allow: much where "
            "there are few days, little where there are many."
        )
    )
    return Section(
        "people",
        statement,
        paragraphs,
        [
            say("person"),
            say("notes"),
            say("band"),
            say("best"),
            say("{sure} % sure", sure=fixed(INTERVAL_PERCENT, 0)),
            say("one best"),
        ],
        rows,
        "people",
    )


def _fits_one_best(study: Study, band: ComfortBand) -> str:
    """Whether a person's scores fit one best value; open where the study shows no pattern."""
    if not study.patterns.hill.found and not study.patterns.valley.found:
        return "-"
    return _yes_or_no(band.one_best)


def _range(choices: Sequence[SizeChoice]) -> str:
    if len(choices) == 1:
        return inches_words(choices[0].inches, 0)
    low, high = (number(each.inches, 0) for each in (choices[0], choices[-1]))
    return say("{low} to {high} in", low=low, high=high)


def _sizes(study: Study) -> Section:
    pairings: list[str] = []
    tablets = with_customary(study.grid.tablets)
    for tablet in study.grid.tablets:
        # What the eyes advise against is no headline, however well it suits the hand.
        low_in, high_in = eyes_limits_in(study.suiting, tablet)
        suits = [
            each
            for each in displays_for(tablet, study.suiting)
            if each.verdict == "suits" and low_in <= each.inches <= high_in
        ]
        name = Name(tablet.label)
        pairings.append(
            say("{tablet} suits {sizes}", tablet=name, sizes=_range(suits))
            if suits
            else say("{tablet} suits no display that is sold", tablet=name)
        )
    statement = say("Displays by size of tablet")
    if pairings:
        statement = say("For hand and eyes: {pairings}", pairings=row_of(pairings))
        if not study.own:
            statement = say(
                "By the usual band, for hand and eyes: {pairings}", pairings=row_of(pairings)
            )
        elif study.best_beyond:
            statement = say("So far, for hand and eyes: {pairings}", pairings=row_of(pairings))
    paragraphs = [say_again(SOLD), *trade_sentences(study.suiting, tablets)]
    rows = size_rows(study.suiting, tablets)
    return Section(
        "sizes", statement, paragraphs, size_head(), rows, "sizes" if study.grid.tablets else ""
    )


def _tablets(study: Study) -> Section:
    rows = []
    without: list[str] = []
    for display in study.grid.displays:
        choices = tablets_for(display, study.suiting, with_customary(study.grid.tablets))
        named = {
            verdict: [_choice_words(each) for each in choices if each.verdict == verdict]
            for verdict in ("suits", "perhaps")
        }
        if not named["suits"]:
            without.append(Name(display.label))
        rows.append(
            [
                display.label,
                inches_words(inches_of(display)),
                row_of(named["suits"]) or say("none", context="tablets"),
                row_of(named["perhaps"]) or "-",
            ]
        )
    statement = say("Every display here has a tablet that suits it")
    if without:
        statement = say("No tablet here suits {displays}", displays=listed(without))
    return Section(
        "tablets",
        statement,
        [say("Which tablets suit each display, with their scale factors.")],
        [say("display"), say("size"), say("suits"), say("may suit")],
        rows,
    )


def _choice_words(choice: SizeChoice) -> str:
    slots = {"tablet": Name(choice.tablet.label), "factor": fixed(choice.factor, 2)}
    if choice.tried:
        return say("{tablet} ({factor})", **slots)
    return say("{tablet} ({factor}, not tried)", **slots)


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
                    f"{number(tablet.width_mm)} × {number(tablet.height_mm)}",
                    f"{number(figures.area_width_mm, 1)} × {number(figures.area_height_mm, 1)}",
                    say("{percent} %", percent=fixed(max(0.0, figures.area_lost_percent), 1)),
                    say(
                        "{across} across, {down} down",
                        across=fixed(across, 2),
                        down=fixed(down, 2),
                    ),
                    fixed(figures.scale_factor or 0.0, 2),
                ]
            )
    if not losses:
        return Section(
            "locking",
            say(
                "How much of a tablet is not used with round circles is not known: no pair has "
                "sizes"
            ),
            [],
        )
    most, least = max(losses), min(losses)
    share, lowest = number(max(0.0, most[0]), 0), number(max(0.0, least[0]), 0)
    statement = say("With round circles, {percent} % of a tablet is not used", percent=share)
    if share != lowest:
        statement = say(
            "With round circles, {least} to {most} % of a tablet is not used",
            least=lowest,
            most=share,
        )
    return Section(
        "locking",
        statement,
        [
            say(
                "The most is not used on this tablet: {tablet}. Before, circles come out oval, "
                "since each direction has its own scale factor; after, circles stay round, with "
                "one scale factor for both directions.",
                tablet=Name(most[1]),
            )
        ],
        [
            say("tablet"),
            say("display"),
            say("before, mm"),
            say("after, mm"),
            say("not used"),
            say("scale factors before"),
            say("after"),
        ],
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
                    say("{distance} cm", distance=number(cell.distance_mm / 10, 0)),
                    say("{degrees} degrees", degrees=number(float(median(angles)), 0)),
                    felt_words(cell),
                ]
            )
    head: list[str] = [
        say("tablet"),
        say("display"),
        say("eyes"),
        say("display looks"),
        say("how it felt"),
    ]
    apart = study.apart
    if apart is None or not rows:
        return Section(
            "seats",
            say("The notes do not say how far away the eyes were"),
            [
                say(
                    "Give the distance with each note. Then the study can show whether the hand "
                    "or the eyes matter."
                )
            ],
            head,
            rows,
        )
    statement, explained = _seat_statement(study, apart.answer)
    paragraphs: list[str] = [explained]
    if apart.answer in {"together", "open"} and study.telling:
        days = [
            say(
                "{tablet} with {display} from {distance} cm",
                tablet=Name(cell.tablet),
                display=Name(cell.display),
                distance=number((cell.distance_mm or 0) / 10, 0),
            )
            for cell in study.telling
        ]
        paragraphs.append(
            say(
                "To see which of the two matters, a day with {pairings} would help most.",
                pairings=listed(days),
            )
        )
    return Section("seats", statement, paragraphs, head, rows)


def _seat_statement(study: Study, answer: str) -> tuple[str, str]:
    """What liking follows, the scale factor or the seat, and how closely the two go together."""
    apart = study.apart
    assert apart is not None  # the caller asked
    correlation = fixed(apart.correlation, 2)
    if answer == "together":
        explained = say(
            "Scale factor and viewing angle changed together (correlation {correlation}), so the "
            "notes cannot show which of them matters.",
            correlation=correlation,
        )
    else:
        explained = say(
            "The correlation of scale factor and viewing angle is {correlation}; if it were near "
            "1, the notes could not show which of them matters. If the scale factor matters, these "
            "scores are {times} as if the viewing angle matters.",
            correlation=correlation,
            times=_times(apart.ratio),
        )
    if not study.patterns.hill.found and not study.patterns.seen.found:
        if answer != "together":
            explained = say(
                "The correlation of scale factor and viewing angle is {correlation}; if it were "
                "near 1, the notes could not show which of them matters.",
                correlation=correlation,
            )
        return say("Neither the scale factor nor the seat explains how it felt"), explained
    statement = {
        "value": say("The scores follow the scale factor, not how wide the display looked"),
        "angle": say("The scores follow how wide the display looked, not the scale factor"),
    }.get(answer)
    if statement is None:
        statement = say("These notes cannot show whether the scale factor or the seat matters")
    return statement, explained


def _times(ratio: float) -> str:
    if ratio > 1000:
        return say("more than 1000 times as likely")
    if ratio < 0.1:
        return say("less than a tenth as likely")
    return say("{times} times as likely", times=number(ratio, 1 if ratio < 10 else 0))


def _changes(study: Study, before: Study) -> Section:
    new = len(study.book) - len(before.book)
    old, now = before.suiting, study.suiting
    rows = [
        [say("notes"), f"{len(before.book)}", f"{len(study.book)}"],
        [say("pairs tried"), f"{len(before.tried_cells)}", f"{len(study.tried_cells)}"],
        [
            say("pattern"),
            _yes_or_no(before.patterns.hill.found),
            _yes_or_no(study.patterns.hill.found),
        ],
        [say("band"), _ends(old.low, old.high), _ends(now.low, now.high)],
    ]
    moved = max(abs(now.low / old.low - 1), abs(now.high / old.high - 1))
    statement = say_count(
        "{count} new note left the band where it was",
        "{count} new notes left the band where it was",
        new,
    )
    if moved >= 0.005:
        statement = say_count(
            "{count} new note moved the band by {percent} %",
            "{count} new notes moved the band by {percent} %",
            new,
            percent=number(100 * moved, 0),
        )
    return Section(
        "changes",
        statement,
        [say("The same study as it stood on the earlier day, and now.")],
        ["", say("then"), say("now")],
        rows,
    )


def _yes_or_no(true: bool) -> str:
    return say("yes") if true else say("no")


def _ends(low: float, high: float, places: int = 1) -> str:
    return say("{low} to {high}", low=fixed(low, places), high=fixed(high, places))


def _method(study: Study) -> Section:
    paragraphs: list[str] = [
        say(
            "A scale factor is the diagonal of the display divided by the diagonal of the "
            "tablet's area with the display's proportions."
        ),
        say(
            "The band uses only the order of the scores (cumulative-logit model, McCullagh "
            "1980). It assumes one best scale factor, with scores that fall on each side in "
            "their own way, and allows for odd first days. The band is where liking stays within "
            "one step of its best; its edges and the best are given with the range that is "
            "{sure} % sure. Before the first day, the best scale factor is as likely to be in "
            "the usual band ({low} to {high}) as outside it.",
            sure=fixed(INTERVAL_PERCENT, 0),
            low=fixed(study.practice.low, 1),
            high=fixed(study.practice.high, 1),
        ),
        say(
            "Three results use the scores as numbers from 1 to 5: whether there is a pattern, "
            "how much it explains, and whether the scale factor or the viewing angle matters. "
            "Each pair has its mean score, minus each person's own mean and the effect of "
            "first days; a mean of more days weighs more."
        ),
        say(
            "Shuffling whole pairs, together with their days, decides whether there is a "
            "pattern at all. Three patterns are looked for: scores that peak, rise or fall with "
            "the scale factor; the same with the viewing angle; and scores that dip at middle "
            "scale factors. Chance alone shows one of the three in at most {most} of 100 "
            "studies. In {here} of 100 shuffled studies, one of the three is at least as clear as "
            "the first one is in this study.",
            most=number(FALSE_PERCENT, 0),
            here=_percent(study.patterns.hill.p_percent),
        ),
    ]
    if study.has_shared_days:
        paragraphs.append(
            say(
                "Where several pairs share a day, its mean is first subtracted from their "
                "scores, so that a good or bad day favours none of them."
            )
        )
    if study.together is not None:
        paragraphs.append(
            say(
                "Several people: each alone first, then together (two-stage hierarchical model, "
                "Lunn and others 2013), so that people with few days are drawn towards the others."
            )
        )
    return Section("method", say("How it was computed"), paragraphs)


def _limits(study: Study) -> Section:
    days = [cell.days for cell in study.tried_cells]
    limits: list[str] = [
        say("It is about one person, not about you: eyes, hands, habits and work differ.")
        if len(study.names) == 1
        else say_count(
            "It is about {count} person, not about you: eyes, hands, habits and work differ.",
            "It is about {count} people, not about you: eyes, hands, habits and work differ.",
            len(study.names),
        ),
        say(
            "A pair may be liked for reasons that are not noted: the tablet's surface, the pen, "
            "the colours of a display. Only the scale factor, the seat and first days are known "
            "here."
        ),
        say("The person knew what was tried, and may have scored what was expected."),
    ]
    if days and min(days) < 3:
        limits.append(say("Some pairs had fewer than three days; a first day always feels odd."))
    if len(days) < len(study.grid.cells):
        limits.append(
            say_count(
                "{count} pair was not tried; its cell shows what the band predicts.",
                "{count} pairs were not tried; their cells show what the band predicts.",
                len(study.grid.cells) - len(days),
            )
        )
    if study.suiting.tried:
        low, high = (fixed(value, 1) for value in study.suiting.tried)
        limits.append(
            say(
                "Scale factors below {low} and above {high} were not tried; nothing is known "
                "about them.",
                low=low,
                high=high,
            )
        )
    if study.angles_tried:
        narrow, wide = (number(degrees, 0) for degrees in study.angles_tried)
        limits.append(
            say(
                "The displays looked {degrees} degrees wide; nothing is known about narrower "
                "and wider ones.",
                degrees=wide,
            )
            if narrow == wide
            else say(
                "The displays looked {narrow} to {wide} degrees wide; nothing is known about "
                "narrower and wider ones.",
                narrow=narrow,
                wide=wide,
            )
        )
    return Section("limits", say("What it cannot say"), limits)


def _cautions() -> Section:
    return Section(
        "cautions",
        say("A good score says nothing about health"),
        [
            say_again(CAUTION),
            say("If a day hurts, stop. These are notes on comfort, not advice on health."),
        ],
    )
