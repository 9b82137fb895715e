"""Long runs of a general sampler over fifty books, for ``tests/mapper/test_comfort.py``: ``python -m
tests.studies.band_reference > tests/mapper/band_reference.json`` (needs emcee from PyPI).

The model is written out once more from the docstring of ``mapper.trials.comfort``, with its
constants, and shares no code with it. Sampler: emcee 3.1.6 (D. Foreman-Mackey and others, emcee: the
MCMC hammer, PASP 125, 2013), differential evolution moves, 128 walkers; STEPS steps, of which the
first fifth are left out. Beside each number stands its own error, from the spread over eight parts
of the run.
"""

import json
import sys

import numpy as np
from scipy.special import log_expit

from tests.studies.comfort_coverage import KINDS, VALUES, WIDE, practitioner

STEPS, WALKERS = 2500, 128
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
    """Fifty: each kind of person with few notes and with many, and the rest as modelled."""
    kinds = [(kind, size) for size in (8, 20, 60) for kind in KINDS]
    kinds += [("modelled", size) for size in SIZES for _ in range(4)][: 50 - len(kinds)]
    for number, (kind, size) in enumerate(kinds):
        random = np.random.default_rng([number, 31])
        yield practitioner(random, size, kind, WIDE if number % 2 else VALUES)[1]


def log_posterior(trials):
    """Of many guesses at once: (walkers, 8) to (walkers,)."""
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
        away = (guess - MEANS) / SDS
        before = -2 * np.log1p(away[:, 0] ** 2 / 3) - (away[:, 1:] ** 2).sum(axis=1) / 2
        return before + of_scores @ weight

    return level


def numbers(draws):
    """What a band says of draws, as logs."""
    best = draws[:, 0]
    fall = np.sqrt(2 / np.exp(draws[:, 1] + draws[:, 2] / 2))
    rise = np.sqrt(2 / np.exp(draws[:, 1] - draws[:, 2] / 2))
    middle, ends = np.median(best), [10, 90]
    return [
        middle - np.median(fall),
        middle,
        middle + np.median(rise),
        *np.percentile(best, ends),
        *np.percentile(best - fall, ends),
        *np.percentile(best + rise, ends),
    ]


def main():
    import emcee

    told = []  # of the books from and to, where those are given
    for number, trials in list(enumerate(books()))[slice(*map(int, sys.argv[1:3] or ["50"]))]:
        random = np.random.RandomState(number)
        moves = [(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)]
        sampler = emcee.EnsembleSampler(
            WALKERS, 8, log_posterior(trials), vectorize=True, moves=moves
        )
        start = MEANS + SDS * random.normal(size=(WALKERS, 8))
        start = emcee.State(start, random_state=random.get_state())
        sampler.run_mcmc(start, STEPS)
        chain = sampler.get_chain(discard=STEPS // 5)
        whole = numbers(chain.reshape(-1, 8))
        parts = [numbers(part.reshape(-1, 8)) for part in np.array_split(chain, 8)]
        errors = np.std(parts, axis=0, ddof=1) / np.sqrt(8)
        told.append(
            {
                "trials": [[t.value, t.score, t.day, int(t.first_day)] for t in trials],
                "logs": dict(zip(NAMES, np.round(whole, 5).tolist(), strict=True)),
                "errors": dict(zip(NAMES, np.round(errors, 5).tolist(), strict=True)),
            }
        )
        print(number, errors.max().round(4), file=sys.stderr, flush=True)
    print("[\n" + ",\n".join(json.dumps(each) for each in told) + "\n]")


if __name__ == "__main__":
    main()
