"""How far the band lies from plain importance sampling, over fifty books.

Run by ``python -m tests.studies.band_reference [BOOKS]``; ``tests/mapper/test_comfort.py`` looks at
some of the books. The reference draws guesses at random from what is believed before any entry, and
each counts for how likely it makes the entries: the textbook's way, without any proposal that could
miss a tail. The model is written out once more from the docstring of ``mapper.trials.comfort``,
with its constants, and shares no code with it.

Long runs of emcee 3.1.6 (differential evolution moves, 128 walkers, 2,500 steps) were tried first,
over sixteen of the books. They were 5 to 10 percent too narrow in the tails where there are few
notes; there this reference, exact in the limit, agrees with the band.
"""

import math
import sys

import numpy as np
from scipy.special import log_expit

from mapper.trials.comfort import comfort_band
from tests.studies.comfort_coverage import KINDS, PRACTICE, VALUES, WIDE, practitioner

DRAWS, PARTS = 400_000, 8
SIZES = (1, 3, 8, 20, 60)
NAMES = (
    "low",
    "best",
    "high",
    "best_low",
    "best_high",
    "low_from",
    "low_to",
    "high_from",
    "high_to",
)
HALF = np.log(3.5 / 2) / 2
MEANS = np.array([np.log(7) / 2, np.log(2 / HALF**2), 0, -3.5, *np.log([1.06, 1.34, 1.95]), -0.5])
SDS = np.array([HALF / 0.7649, 1, 1.7, 1, 0.5, 0.5, 0.5, 0.5])


def books():
    """Fifty: most kinds of person with few notes and with many, and the rest as modelled."""
    known = [kind for kind in KINDS if kind not in {"2.5", "cliff"}]
    kinds = [(kind, size) for size in (8, 20, 60) for kind in known]
    kinds += [("modelled", size) for size in SIZES for _ in range(4)][: 50 - len(kinds)]
    for number, (kind, size) in enumerate(kinds):
        random = np.random.default_rng([number, 31])
        yield practitioner(random, size, kind, WIDE if number % 2 else VALUES)[1]


def log_likelihood(trials):
    """Of many guesses at once: (n, 8) to (n,)."""
    days = [trial.day for trial in trials]
    together = [
        sum((other.day, other.value) == (trial.day, trial.value) for other in trials)
        for trial in trials
    ]
    weight = np.array([1 / (1 + (count - 1) / 2) for count in together])
    assert all(days)
    x = np.log([trial.value for trial in trials])
    first = np.array([float(trial.first_day) for trial in trials])
    score = np.array([trial.score for trial in trials])
    same, at = np.unique(np.column_stack([x, first, score]), axis=0, return_inverse=True)
    x, first, score = same.T
    weight, score = np.bincount(at.ravel(), weight), score.astype(int)

    def level(guess):
        best, log_curve, uneven, cut, *log_steps, cost = guess.T[:, :, None]
        away = x - best
        curve = np.exp(log_curve - np.sign(away) * uneven / 2)
        liking = cost * first - curve / 2 * away**2
        steps = np.exp(np.concatenate(log_steps, axis=1))
        cuts = cut + np.concatenate([np.zeros_like(cut), np.cumsum(steps, axis=1)], axis=1)
        end = np.full_like(cut, np.inf)
        upto = np.concatenate([-end, cuts, end], axis=1)
        high, low = log_expit(upto[:, score] - liking), log_expit(upto[:, score - 1] - liking)
        of_scores = high + np.log(-np.expm1(np.minimum(low - high, -1e-15)))
        return of_scores @ weight

    return level


def numbers(guesses, weights):
    """What a band says of weighted guesses, as logs."""
    best = guesses[:, 0]
    fall = np.sqrt(2 / np.exp(guesses[:, 1] + guesses[:, 2] / 2))
    rise = np.sqrt(2 / np.exp(guesses[:, 1] - guesses[:, 2] / 2))

    def quantiles(values, shares):
        order = np.argsort(values)
        upto = np.cumsum(weights[order])
        return values[order][np.searchsorted(upto, np.array(shares) * upto[-1])].tolist()

    (middle,) = quantiles(best, [0.5])
    ends = [0.1, 0.9]
    return np.array(
        [
            middle - quantiles(fall, [0.5])[0],
            middle,
            middle + quantiles(rise, [0.5])[0],
            *quantiles(best, ends),
            *quantiles(best - fall, ends),
            *quantiles(best + rise, ends),
        ]
    )


def reference(trials, draws=DRAWS):
    """What a band should say, as logs, and the standard error of each by parts of the draws."""
    random = np.random.default_rng(1)
    parts, whole = [], []
    likelihood = log_likelihood(trials)
    for _ in range(PARTS):
        own = np.column_stack(
            [random.standard_t(3, draws // PARTS), random.normal(size=(draws // PARTS, 7))]
        )
        guesses = MEANS + SDS * own
        whole.append((guesses, likelihood(guesses)))
    top = max(logs.max() for _, logs in whole)
    parts = [numbers(guesses, np.exp(logs - top)) for guesses, logs in whole]
    guesses, logs = (np.concatenate(each) for each in zip(*whole, strict=True))
    errors = np.std(parts, axis=0, ddof=1) / math.sqrt(PARTS)
    return numbers(guesses, np.exp(logs - top)), errors


def stated(band):
    """What a band says, in the order of NAMES, as logs."""
    ends = (band.best_low, band.best_high, *band.low_sure, *band.high_sure)
    return np.log([band.low, band.best, band.high, *ends])


def main(count):
    off = []
    for number, trials in list(enumerate(books()))[:count]:
        found, errors = reference(trials)
        away = 100 * np.abs(stated(comfort_band(trials, PRACTICE)) - found)
        off.append(away)
        print(number, len(trials), *away.round(2), "errors", *(100 * errors).round(2), flush=True)
    print("median off, %:", dict(zip(NAMES, np.median(off, axis=0).round(2).tolist(), strict=True)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 50)
