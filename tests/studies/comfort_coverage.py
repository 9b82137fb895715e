"""How often the stated interval holds the truth: ``python -m tests.studies.comfort_coverage [PRACTITIONERS]``.

Each practitioner is drawn from what the model believes before any entry, scores days at six values, and is then
estimated. The interval is right when it holds the true best value 75 to 85 % of the time, however many entries.
"""

import math
import sys

import numpy as np
from scipy.special import expit

from mapper.choosing.recommended import BAND_USES
from mapper.trials import comfort
from mapper.trials.comfort import Trial, comfort_band

PRACTICE = BAND_USES["illustration"]
VALUES = (1.6, 2.0, 2.4, 2.9, 3.5, 4.2)


def practitioner(random, entries):
    """The best value of a person drawn from the belief, and that person's trials; the model written out once more."""
    means, spreads = comfort._belief(PRACTICE)
    best, log_curve, cut, *log_steps, first_day_cost = random.normal(means, spreads)
    cuts = cut + np.concatenate([[0], np.cumsum(np.exp(log_steps))])
    trials, before = [], None
    for day, value in enumerate(random.choice(VALUES, entries)):
        first_day = value != before
        liking = -math.exp(log_curve) / 2 * (math.log(value) - best) ** 2 + first_day_cost * first_day
        score = 1 + int(np.searchsorted(expit(cuts - liking), random.random()))
        trials.append(Trial(float(value), score, str(day), bool(first_day)))
        before = value
    return math.exp(best), trials


def main(practitioners):
    print("entries  held %   learned (10th, 50th, 90th percentile)")
    for entries in (0, 3, 10, 60):
        random, held, learned = np.random.default_rng(entries), 0, []
        for _ in range(practitioners):
            truth, trials = practitioner(random, entries)
            band = comfort_band(trials, PRACTICE)
            held += band.best_low <= truth <= band.best_high
            learned.append(band.learned)
        shares = ", ".join(f"{share:.2f}" for share in np.percentile(learned, [10, 50, 90]))
        print(f"{entries:7}  {100 * held / practitioners:6.1f}   {shares}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
