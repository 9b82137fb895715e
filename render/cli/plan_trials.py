"""``evenstroke plan-trials``: which pairings to try, and in which balanced order."""

from __future__ import annotations

import click

from mapper.trials.order import MOST_PAIRINGS
from render.cli.options import examples
from render.cli.own_band import comfortable_band, use_option
from render.cli.things import things, things_options
from render.cli.types import Command
from render.reports.plan_text import PLAN_FORMS


@click.command(
    "plan-trials",
    cls=Command,
    then="after each day: evenstroke felt desk.yaml --score 4",
    short_help="Which pairings to try, in which order.",
    epilog=examples(
        'evenstroke plan-trials --tablet "small: 146x96mm" --tablet "medium: 240x152mm" --display "24in 1920x1080" --display "32in 3840x2160"',
        "evenstroke plan-trials --tablets shop.csv --displays screens.csv --most 4 --days-each 2 --start 2026-03-16",
        'evenstroke plan-trials --tablet 240x152mm --display "27in 2560x1440" --display "43in 3840x2160" --as csv',
    ),
)
@things_options
@use_option("What for: pairings far outside its comfortable band are left out.")
@click.option(
    "--most",
    type=click.IntRange(1, MOST_PAIRINGS),
    default=4,
    show_default=True,
    help="At most so many pairings, those whose scales lie farthest apart.",
)
@click.option(
    "--days-each", type=click.IntRange(1, 60), default=3, show_default=True, help="Days in a row for a pairing."
)
@click.option(
    "--blocks", type=click.IntRange(1, 2 * MOST_PAIRINGS), default=1, show_default=True, help="How many rounds."
)
@click.option("--start", metavar="DAY", help="The first day, for example 2026-03-16.")
@click.option("--as", "form", type=click.Choice(PLAN_FORMS), default="text", show_default=True, help="What is printed.")
def command(
    *,
    tablets: tuple[str, ...],
    displays: tuple[str, ...],
    tablet_file: str | None,
    display_file: str | None,
    use: str,
    most: int,
    days_each: int,
    blocks: int,
    start: str | None,
    form: str,
) -> None:
    """Plan trials of tablets with displays: what the geometry rules out is skipped, the rest is put in a balanced order.

    The order is a Williams design: over all its blocks each pairing stands once at each place and follows each other
    one equally often, so that neither the time nor the pairing before it favours one.
    """
    from mapper.choosing.pairing import CUSTOMARY_TABLETS, USUAL_DISPLAYS
    from mapper.trials.plan import plan_trials
    from profiles.library.trial_book import parse_day
    from render.reports.plan_text import plan_text

    first = None if start is None else parse_day(start, "--start")
    some_tablets, some_displays = things(tablets, displays, tablet_file, display_file)
    plan = plan_trials(
        some_tablets or CUSTOMARY_TABLETS, some_displays or USUAL_DISPLAYS, comfortable_band(use), most=most
    )
    click.echo(plan_text(plan, form, start=first, days_each=days_each, blocks=blocks), nl=False)
