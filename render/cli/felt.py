"""``evenstroke felt``: notes how a pairing felt."""

from __future__ import annotations

import click

from render.cli.options import desk_argument, examples, plain_number
from render.cli.types import Command, NamedDesk, open_library, usual_desk


@click.command(
    "felt",
    cls=Command,
    then="evenstroke band, to see what suits you",
    short_help="Note how a pairing felt.",
    epilog=examples(
        "evenstroke felt desk.yaml --score 4",
        'evenstroke felt desk.yaml --score 2 --doing lettering --minutes 90 --note "wrist tired after an hour"',
        'evenstroke felt "window desk" --score 5 --date 2026-03-15 --who Kim',
    ),
)
@desk_argument(required=False)
@click.option(
    "--score",
    type=click.IntRange(1, 5),
    required=True,
    help="How it felt: 1 painful, 2 poor, 3 fair, 4 good, 5 a joy.",
)
@click.option("--doing", metavar="WORK", default="drawing", show_default=True, help="What you did.")
@click.option("--minutes", metavar="N", help="For how long.")
@click.option("--date", "day", metavar="DAY", help="On which day, for example 2026-03-15.  [default: today]")
@click.option("--who", metavar="NAME", help="Whose hand it was, where several people share a library.")
@click.option("--note", metavar="TEXT", help="What you noticed.")
def command(
    *,
    desk: NamedDesk | None,
    score: int,
    doing: str,
    minutes: str | None,
    day: str | None,
    who: str | None,
    note: str | None,
) -> None:
    """Note in the trial book how drawing at a desk felt, and store the figures as they were that day.

    The book is part of the library and is only ever added to. If anything hurts, stop and see a professional: a
    score is not medical advice.
    """
    import datetime as dt

    from profiles.doubts import doubt
    from profiles.library.trial_book import Felt, add, figures_of
    from profiles.unlikely import unlikely_day

    workstation = (desk or usual_desk()).find().workstation
    felt = Felt(
        evenstroke_trial=1,
        workstation=workstation.name,
        date=day or dt.datetime.now().astimezone().date().isoformat(),
        doing=doing,
        score=score,
        minutes=None if minutes is None else plain_number(minutes, "--minutes"),
        who=who or None,
        note=note or None,
        figures=figures_of(workstation),
    )
    for sentence in unlikely_day(felt.date):
        doubt(sentence)
    new = add(open_library(), felt)
    scale = felt.figures.scale_factor
    at = "a scale factor that is not known" if scale is None else f"a scale factor of {scale:.2f}"
    verb = "noted" if new else "nothing new, this entry is in the book already"
    click.echo(f"{workstation.name}: {verb}: {felt.score} for {felt.doing} at {at} on {felt.date}")
