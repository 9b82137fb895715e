"""Two invented studies whose truth is known.

``python -m tests.invented_study FOLDER`` writes them as CSV.

One person with three tablets and six displays, 18 pairings of five days each; and six people with
the same things, pairings and days. A person has a best scale factor; liking falls from it as the
model of the trial book says, first days cost something, and each day brings its own chance. The
numbers are numpy's, of a fixed seed.
"""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

import numpy as np

from mapper.choosing.pairing import pair
from mapper.choosing.viewing import visual_angle_deg
from mapper.desk import Display, Tablet
from mapper.trials.order import balanced_blocks
from profiles.library.trial_book import Felt, FeltFigures, to_csv

TABLETS = (
    Tablet(146, 96, label="small"),
    Tablet(240, 152, label="medium"),
    Tablet(330, 214, label="large"),
)
DISPLAYS = tuple(
    Display(width, height, label=f"{inches} in").with_diagonal(inches * 25.4)
    for inches, width, height in (
        (20, 1600, 900),
        (24, 1920, 1200),
        (27, 2560, 1440),
        (32, 3840, 2160),
        (40, 3840, 2160),
        (48, 3840, 2160),
    )
)
#: How far each display stands from the eyes.
SEATS_MM = (600.0, 650.0, 700.0, 750.0, 900.0, 1000.0)
BEST, CURVE, CUTS, FIRST_DAY = 2.5, 12.0, (-4.2, -2.9, -1.4, 0.9), -0.5
PEOPLE = {"Ada": 2.2, "Ben": 2.9, "Cleo": 2.5, "Dara": 2.4, "Emil": 2.7, "Fay": 2.6}


def invented(
    seed,
    best,
    *,
    curve=CURVE,
    uneven=0.0,
    cuts=CUTS,
    first_day=FIRST_DAY,
    days=5,
    who=None,
    noise_of_pairing=0.0,
):
    """The entries of one person who likes ``best`` most.

    With a ``curve`` of 0 the scale factor is all the same to that person.

    Liking falls ``exp(uneven / 2)`` as fast below the best, and as much slower above it.
    """
    random = np.random.default_rng(seed)
    pairs = [(tablet, at) for tablet in TABLETS for at in range(len(DISPLAYS))]
    order = balanced_blocks(len(pairs))[int(random.integers(len(pairs)))]
    book, day = [], dt.date(2026, 3, 2)
    for place in order:
        tablet, at = pairs[place]
        figures = pair(tablet, DISPLAYS[at])
        away, own = np.log(figures.scale_factor / best), noise_of_pairing * random.normal()
        for number in range(days):
            while day.weekday() >= 5:
                day += dt.timedelta(days=1)
            fall = curve * np.exp(-np.sign(away) * uneven / 2)
            felt = (
                -fall / 2 * away**2 + (first_day if number == 0 else 0.0) + own + random.logistic()
            )
            score = 1 + sum(felt > cut for cut in cuts)
            book.append(
                _felt(
                    figures, SEATS_MM[at], score=int(score), day=day, who=who, first_day=number == 0
                )
            )
            day += dt.timedelta(days=1)
    return book


def _felt(figures, seat_mm, *, score, day, who, first_day):
    tablet, display = figures.tablet, figures.display
    return Felt(
        evenstroke_trial=1,
        workstation=f"{tablet.label} with {display.label}",
        date=day.isoformat(),
        doing="drawing",
        score=score,
        who=who,
        tablet=tablet.label,
        display=display.label,
        first_day=first_day,
        figures=FeltFigures(
            scale_factor=round(figures.scale_factor, 6),
            distance_mm=seat_mm,
            viewing_angle_deg=round(visual_angle_deg(display.width_mm, seat_mm), 3),
            area_lost_percent=round(max(0.0, figures.area_lost_percent), 3),
            tablet_width_mm=tablet.width_mm,
            tablet_height_mm=tablet.height_mm,
            display_width_mm=round(display.width_mm, 3),
            display_height_mm=round(display.height_mm, 3),
        ),
    )


def one_person():
    """Ninety days of one person."""
    return invented(7, BEST, who="Mia")


def six_people():
    """Ninety days of each of six people."""
    return [
        felt
        for at, (who, best) in enumerate(PEOPLE.items())
        for felt in invented(100 + at, best, who=who)
    ]


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    (folder / "study-one.csv").write_text(to_csv(one_person()))
    (folder / "study-six.csv").write_text(to_csv(six_people()))
