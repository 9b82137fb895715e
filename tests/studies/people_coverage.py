"""How often what is said of several people holds.

Run by ``python -m tests.studies.people_coverage [STUDIES]``.

Each study has six people, drawn from what the model believes before any entry (their bests around a
middle, by a spread of their own), who try the 18 pairings of ``tests.invented_study`` for a day
each. Counted is how often the intervals of 80 % hold the middle of people and the edges of the
common band (by the mean of these people's widths), the best of a further person, and each one's
best and edges.

Measured over 380 studies, 200 of these seeds and 180 of others (one standard error 2 points; of
each one's, some 1.5): the lower edge in common 82.4, the middle 82.1, the upper edge 83.2, a
further person 77.9 %; each one's lower edge 79.0, best 78.9, upper edge 79.4 %. Over the 200 the
spread of people was held in 78.0 %, and each one alone in 78.1, 78.9, 82.5 %; what was missed there
belongs to people who like nothing that they tried.
"""

import math
import sys

import numpy as np

from mapper.choosing.recommended import BAND_USES
from mapper.trials import comfort
from mapper.trials.comfort import comfort_band
from mapper.trials.people import people
from profiles.library.trial_book import trials_of
from tests.invented_study import invented

PRACTICE = BAND_USES["illustration"]


def person(random, best=None):
    """The truth about a person as the model believes people to be.

    The low edge, the best and the high edge (logs), and what ``invented`` takes.
    """
    means, spreads = comfort.prior_parameters(PRACTICE)
    drawn = np.array(means) + np.array(spreads) * np.array(
        [random.standard_t(3), *random.normal(size=7)]
    )
    best, (_, log_curve, uneven, cut, *log_steps, first_day) = (
        drawn[0] if best is None else best,
        drawn,
    )
    low, high = (
        best + side * math.sqrt(2 / math.exp(log_curve - side * uneven / 2)) for side in (-1, 1)
    )
    cuts = cut + np.concatenate([[0], np.cumsum(np.exp(log_steps))])
    given = {
        "best": math.exp(best),
        "curve": math.exp(log_curve),
        "uneven": uneven,
        "cuts": cuts,
        "first_day": first_day,
    }
    return (low, best, high), given


def holds(interval, log_value):
    return interval.low <= math.exp(log_value) <= interval.high


def main(studies):
    random, common, own = np.random.default_rng(21), [], []
    means, spreads = comfort.prior_parameters(PRACTICE)
    for seed in range(studies):
        middle, spread = means[0] + spreads[0] * random.standard_t(3), 0.3 * abs(random.normal())
        truths, givens = zip(
            *(person(random, middle + spread * random.normal()) for _ in range(6)), strict=True
        )
        books = [
            invented(10_000 + 6 * seed + at, given.pop("best"), days=1, **given)
            for at, given in enumerate(givens)
        ]
        said = people([comfort_band(trials_of(book), PRACTICE) for book in books], PRACTICE)
        low, high = (
            middle + float(np.mean([truth[end] - truth[1] for truth in truths])) for end in (0, 2)
        )
        further = middle + spread * random.normal()
        common.append(
            [
                holds(said.low, low),
                holds(said.best, middle),
                holds(said.high, high),
                holds(said.another, further),
                holds(said.spread, spread),
            ]
        )
        own += [
            [holds(each.low, truth[0]), holds(each.best, truth[1]), holds(each.high, truth[2])]
            for each, truth in zip(said.each, truths, strict=True)
        ]
        if (seed + 1) % 10 == 0:
            print(
                seed + 1,
                "common held % (low, best, high, a further person, spread):",
                (100 * np.mean(common, axis=0)).round(1),
                "each one's (low, best, high):",
                (100 * np.mean(own, axis=0)).round(1),
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
