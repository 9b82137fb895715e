"""``evenstroke book``: the trial book, listed, filtered, as a calendar, and as CSV in and out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mapper.problems import AnswerIsNo, Problem
from render.cli.options import book_options, echo_data, examples, library_option
from render.cli.types import STATION, Command, open_library

if TYPE_CHECKING:
    from profiles.library.revisions import Library


@click.command(
    "book",
    cls=Command,
    then="evenstroke band, to see what suits you",
    short_help="What was tried and how it felt.",
    epilog=examples(
        "evenstroke book",
        'evenstroke book --workstation "corner studio" --doing drawing --since 2026-01-01',
        "evenstroke book --calendar",
        "evenstroke book --as csv > trials.csv",
        "evenstroke book --add trials.csv",
        "evenstroke book --correct",
    ),
)
@book_options
@click.option("--workstation", metavar="NAME", type=STATION, help="Only this workstation.")
@click.option("--since", metavar="DAY", help="Only this day and later, for example 2026-01-01.")
@click.option("--until", metavar="DAY", help="Only this day and earlier.")
@click.option(
    "--calendar", "as_calendar", is_flag=True, help="A page for each month: workstation and score of each day."
)
@click.option(
    "--add", "added", metavar="FILE", type=click.Path(), help="Add the entries of a CSV file that are not there yet."
)
@click.option(
    "--correct",
    is_flag=True,
    help="Add the right figures to entries that have those before rounding, as audit names them; the entries stay.",
)
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="Output format.",
)
@library_option
def command(
    *,
    who: str | None,
    doing: str | None,
    workstation: str | None,
    since: str | None,
    until: str | None,
    as_calendar: bool,
    added: str | None,
    correct: bool,
    form: str,
) -> None:
    """List what was tried and how it felt."""
    from profiles.library import trial_book

    library = open_library()
    if added is not None:
        from profiles.files import read_bounded

        content = read_bounded(added, trial_book.LARGEST_BOOK_BYTES, "book").decode("utf-8", "replace")
        new = sum([trial_book.add(library, felt) for felt in trial_book.from_csv(content, added)])
        click.echo(f"{new} new {'entry' if new == 1 else 'entries'} in the book")
        return
    if correct:
        _correct(library)
        return
    wanted = trial_book.Wanted(who=who, doing=doing, workstation=workstation, since=since, until=until)
    book, problems = trial_book.in_library(library)
    shown = wanted.of(book)
    if not shown and form == "text":
        problems.append(
            Problem(
                str(library.root),
                "must hold an entry that fits",
                "none",
                "Note one: evenstroke felt desk.yaml --score 4",
            )
        )
    elif form == "csv":
        click.echo(trial_book.to_csv(shown), nl=False)
    elif form == "json":
        echo_data(shown, form)
    else:
        from render.reports.book_text import book_lines, calendar_lines

        click.echo("\n".join(calendar_lines(shown) if as_calendar else book_lines(shown)))
    if problems:
        raise AnswerIsNo(*problems)


def _correct(library: Library) -> None:
    from datetime import UTC, datetime

    from profiles.library import trial_book
    from profiles.library.miscounted import miscounted
    from render.words import number

    found = [(folder, each) for folder in library.folders() if folder.is_dir() for each in miscounted(library, folder)]
    for folder, each in found:
        trial_book.correct(library, folder, each.entry, each.right, datetime.now(UTC))
        was, now = each.felt.figures.scale_factor, each.right.scale_factor
        said = "" if was is None or now is None else f": scale factor {number(was)}, corrected to {number(now)}"
        click.echo(f"{each.felt.workstation}, {each.felt.date}{said}")
    click.echo(f"{len(found)} {'entry' if len(found) == 1 else 'entries'} corrected")
