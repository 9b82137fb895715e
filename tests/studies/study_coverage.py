"""How often a study finds the truth, and how often a pattern where there is none.

Run by ``python -m tests.studies.study_coverage [STUDIES]``.

A study is that of ``tests.invented_study``: 18 pairings of 5 days, one person. With a pattern: best
values around 2.5 (a factor of 1.25 either way, one standard deviation), curves around 12 (a factor
of 1.5), so bands of their own. Without: a curve of 0, plain and where each pairing is liked or not
for reasons of its own (1 logit).

Measured over 300 studies of people as the model believes them to be: the intervals of 80 % held the
lower edge in 84.7, the best in 85.7, the upper edge in 79.3 % (one standard error 2.3 points). Over
300 studies of people more alike, all with a pattern: the intervals of 80 % held the lower edge in
86.3, the best in 88.3, the upper edge in 85.3 %; a pattern was found in 98.0 %, and "not one best"
said in 1.7 %. That was with random draws and a test of the factor alone.

All claims together, over 1,000 studies without a pattern each: where scores are chance alone, a
hill over the factor is claimed in 1.5, one over the angle in 1.4, a valley in 2.1, any of them in
4.8 %; where each pairing is liked for itself in 2.0, 0.9, 1.1 and 3.8 % (one standard error 0.7
points). The bound is 5 %. Where three pairings share each day and a day's mood (1.5 logits), any of
them is claimed in 5.0 % of 3,000 studies if they share nothing more (one standard error 0.4),
in 4.4 % of 2,000 if they share the display and in 4.4 % of 2,000 if they share the tablet (0.5); in
10.3 % of 300 before the mean of such days was taken off. With pairings that are liked for
themselves as well, in 4.4 % of 2,000, 4.0 % of 881 and 5.1 % of 2,000.
"""

import datetime as dt
import itertools
import math
import sys

import numpy as np

from mapper.choosing.pairing import pair
from mapper.choosing.recommended import BAND_USES
from mapper.trials.comfort import comfort_band
from mapper.trials.pattern import patterns
from profiles.library.trial_book import trials_of
from profiles.library.tried import tried_pairings
from tests.invented_study import CUTS, DISPLAYS, SEATS_MM, TABLETS, _felt, invented
from tests.studies.people_coverage import person


def found_pattern(book):
    return patterns(tried_pairings(book)).hill.found


def claims(book):
    """What a study claims of a book: a hill over the factor, one over the angle, a valley."""
    found = patterns(tried_pairings(book))
    return found.hill.found, found.seen.found, found.valley.found


def shared_days(seed, shared, mood_sd=1.5, noise_of_pairing=0.0):
    """Five rounds of the 18 pairings without a pattern, three a day, each day with its mood.

    The three of a day ``shared`` their display or their tablet, or nothing.
    """
    random = np.random.default_rng(seed)
    own = dict(
        zip(
            itertools.product(TABLETS, range(len(DISPLAYS))),
            noise_of_pairing * random.normal(size=len(TABLETS) * len(DISPLAYS)),
            strict=True,
        )
    )
    days = []
    for _ in range(5):
        if shared == "display":
            days += [[(tablet, at) for tablet in TABLETS] for at in range(len(DISPLAYS))]
        elif shared == "tablet":
            for tablet in TABLETS:
                order = [(tablet, int(at)) for at in random.permutation(len(DISPLAYS))]
                days += [order[:3], order[3:]]
        else:
            every = [(tablet, at) for tablet in TABLETS for at in range(len(DISPLAYS))]
            order = [every[at] for at in random.permutation(len(every))]
            days += [order[at : at + 3] for at in range(0, len(order), 3)]
    random.shuffle(days)
    book, day = [], dt.date(2026, 3, 2)
    for number, pairs in enumerate(days):
        mood = mood_sd * random.normal()
        for tablet, at in pairs:
            felt = mood + own[tablet, at] + random.logistic()
            score = 1 + sum(felt > cut for cut in CUTS)
            book.append(
                _felt(
                    pair(tablet, DISPLAYS[at]),
                    SEATS_MM[at],
                    score=int(score),
                    day=day + dt.timedelta(days=number),
                    who=None,
                    first_day=False,
                )
            )
    return book


def main(studies):
    random, held = np.random.default_rng(22), np.zeros(3)
    for seed in range(studies):
        (low, best, high), given = person(random)
        band = comfort_band(
            trials_of(invented(20_000 + seed, given.pop("best"), **given)),
            BAND_USES["illustration"],
        )
        intervals = (band.low_sure, (band.best_low, band.best_high), band.high_sure)
        held += [
            each[0] <= math.exp(true) <= each[1]
            for each, true in zip(intervals, (low, best, high), strict=True)
        ]
        if (seed + 1) % 50 == 0:
            print(
                seed + 1,
                "as believed, held % (low, best, high):",
                (100 * held / (seed + 1)).round(1),
                flush=True,
            )
    random = np.random.default_rng(20)
    held = np.zeros(3)
    patterns = 0
    several_tops = 0
    for seed in range(studies):
        best = 2.5 * math.exp(0.22 * random.normal())
        curve = 12 * math.exp(0.4 * random.normal())
        book = invented(seed, best, curve=curve)
        band = comfort_band(trials_of(book), BAND_USES["illustration"])
        half = math.sqrt(2 / curve)
        low = best * math.exp(-half)
        high = best * math.exp(half)
        held += [
            band.low_sure[0] <= low <= band.low_sure[1],
            band.best_low <= best <= band.best_high,
            band.high_sure[0] <= high <= band.high_sure[1],
        ]
        patterns += found_pattern(book)
        several_tops += not band.one_best
        if (seed + 1) % 50 == 0:
            print(
                seed + 1,
                "held % (low, best, high):",
                (100 * held / (seed + 1)).round(1),
                "pattern %:",
                round(100 * patterns / (seed + 1), 1),
                "not one best %:",
                round(100 * several_tops / (seed + 1), 1),
                flush=True,
            )
    for own in (0.0, 1.0):
        claimed = np.array(
            [
                claims(invented(1000 + seed, 2.5, curve=0.0, noise_of_pairing=own))
                for seed in range(studies)
            ]
        )
        print(
            f"no pattern, pairings of their own {own}, claimed % (factor, angle, valley, any):",
            (100 * np.array([*claimed.mean(axis=0), claimed.any(axis=1).mean()])).round(1),
            flush=True,
        )
    for shared, own in itertools.product(("tablet", "display", "nothing"), (0.0, 1.0)):
        books = [shared_days(100 + seed, shared, noise_of_pairing=own) for seed in range(studies)]
        claimed = np.array([claims(book) for book in books])
        print(
            f"three pairings a day with moods, the {shared} shared, {own} of their own, claimed %:",
            (100 * np.array([*claimed.mean(axis=0), claimed.any(axis=1).mean()])).round(1),
            flush=True,
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
