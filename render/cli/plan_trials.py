"""``evenstroke plan-trials``: which pairings to try, and in which balanced order."""

from __future__ import annotations

import datetime as dt

import click

from mapper.choosing.recommended import CAUTION
from mapper.desk import Display, Tablet
from mapper.phrases import all_of, phrase
from mapper.problems import AnswerIsNo, Problem
from mapper.trials.order import MOST_PAIRINGS
from mapper.trials.schedule import Rules
from profiles.library.planned import PlanWish, planned_trials
from render.cli.hardware_lists import hardware_options
from render.cli.options import as_option, examples, library_option
from render.cli.own_band import comfortable_band, use_option
from render.cli.types import DAY, Command, open_library, whole_type
from render.reports.plan_text import PLAN_FORMS, plan_text
from render.sentences.plan import unplaced_words
from render.sentences.say import say_again


@click.command(
    "plan-trials",
    cls=Command,
    then="after each day: evenstroke felt desk.yaml --score 4",
    epilog=examples(
        'evenstroke plan-trials --tablet "small: 146x96mm" --tablet "medium: 240x152mm" '
        '--display "24in 1920x1080" --display "32in 3840x2160"',
        "evenstroke plan-trials --tablets shop.csv --displays screens.csv --most 4 --days-each 2 "
        "--start 2026-03-16",
        "evenstroke plan-trials --most 18 --days-each 5 --weekends-off --start 2026-03-16 --as "
        "calendar > plan.ics",
        'evenstroke plan-trials --most 18 --only "large: 2026-03-01..2026-03-31" --stay "32 in: '
        '14" --resume',
    ),
)
@hardware_options
@use_option(help_text="Kind of work; pairs far outside its usual band are left out.")
@click.option(
    "--most",
    type=whole_type(1, MOST_PAIRINGS),
    default=4,
    show_default=True,
    help="The most pairs to plan; those whose scale factors differ most are chosen.",
)
@click.option(
    "--days-each",
    type=whole_type(1, 60),
    default=3,
    show_default=True,
    help="Days in a row for a pair.",
)
@click.option("--weekends-off", is_flag=True, help="Plan nothing on Saturdays and Sundays.")
@click.option(
    "--off",
    "off",
    metavar="DAYS",
    multiple=True,
    help="Days off: 2026-04-03, or 2026-04-03..2026-04-06; several are allowed.",
)
@click.option(
    "--only",
    metavar="THING",
    multiple=True,
    help=(
        'When a tablet or display is available: "large: 2026-03-01..2026-03-31"; several are '
        "allowed."
    ),
)
@click.option(
    "--stay",
    metavar="DISPLAY",
    multiple=True,
    help=(
        'How many working days a display stays once it is set up: "32 in: 14"; several are allowed.'
    ),
)
@click.option(
    "--resume",
    is_flag=True,
    help="Leave out what your trial book already holds; the pair that you learn most from comes "
    "next.",
)
@click.option("--who", metavar="NAME", help="Whose notes --resume looks at.")
@library_option
@click.option(
    "--blocks",
    type=whole_type(1, 2 * MOST_PAIRINGS),
    default=1,
    show_default=True,
    help="How many rounds.",
)
@click.option("--start", metavar="DAY", type=DAY, help="The first day, for example 2026-03-16.")
@as_option(*PLAN_FORMS, help_text="Output format.")
def command(
    *,
    tablets: tuple[Tablet, ...],
    displays: tuple[Display, ...],
    use: str,
    most: int,
    days_each: int,
    blocks: int,
    start: dt.date | None,
    weekends_off: bool,
    off: tuple[str, ...],
    only: tuple[str, ...],
    stay: tuple[str, ...],
    resume: bool,
    who: str | None,
    form: str,
) -> None:
    """Plan trials of tablets with displays.

    Pairs that cannot work are left out; the rest come in a balanced order.

    Over all rounds, each pair comes first, second and so on once, and follows each of the others
    equally often within the rounds. So no pair is better off because of its day, or because of the
    pair that was tried before it.
    With fewer rounds this is only partly possible, with one round not at all; each plan says how
    balanced it is. With three pairs or more, no pair comes twice in a row.
    """
    wish = PlanWish(
        tablets=tablets,
        displays=displays,
        most=most,
        days_each=days_each,
        blocks=blocks,
        start=start or dt.datetime.now().astimezone().date(),
        weekends_off=weekends_off,
        off=off,
        only=only,
        stay=stay,
        resume=resume,
        who=who,
        use=use,
    )
    library = open_library() if resume else None
    planned = planned_trials(wish, comfortable_band(use), library)
    dated = start is not None or planned.rules != Rules() or form == "calendar"
    if form == "csv":
        # Rows alone go out; the caution stands beside them.
        click.echo(say_again(CAUTION), err=True)
    click.echo(plan_text(planned, form, dated=dated), nl=False)
    if planned.missed:
        must = phrase("no days are left for every pair")
        instead = phrase("Give {option} more days, or start earlier", option="--only")
        raise AnswerIsNo(Problem("plan", must, all_of(unplaced_words(planned)), instead))
