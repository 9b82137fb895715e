"""``evenstroke study``: from the trial book to a recommendation that others can use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem
from profiles.library.trial_book import EntryFilter, in_library
from profiles.library.tried import study_of
from profiles.standard import is_standard
from render.cli.options import book_options, examples, force_option, library_option, nothing_fits
from render.cli.sheets import language_option, theme_option
from render.cli.types import DAY, PAST_DAY, Command, FileType, open_library
from render.pages.study_pages import write_study
from render.sentences import languages
from render.sentences.say import say, speaking

if TYPE_CHECKING:
    from datetime import date


@click.command(
    "study",
    cls=Command,
    then="look at it, then plan what is missing: evenstroke plan-trials --resume",
    epilog=examples(
        "evenstroke study study.html study.pdf",
        "evenstroke study study.pdf --doing drawing",
        "evenstroke study slides --letters",
        "evenstroke study sizes.png --slide sizes",
        "evenstroke study study.md --compare-with 2026-10-01 --force",
    ),
)
@click.argument(
    "outs",
    metavar="OUT...",
    nargs=-1,
    required=True,
    type=FileType(".html", ".pdf", ".md", written=True),
)
@book_options
@click.option(
    "--since", metavar="DAY", type=PAST_DAY, help="Only this day and later, for example 2026-01-01."
)
@click.option("--until", metavar="DAY", type=DAY, help="Only this day and earlier.")
@click.option("--letters", is_flag=True, help="Call people A, B, C, and leave out what they wrote.")
@click.option(
    "--compare-with", "then", metavar="DAY", type=PAST_DAY, help="Show what changed since this day."
)
@click.option(
    "--slide",
    metavar="KEY",
    default="",
    help="One slide alone, as a picture: grid, pattern, people, sizes, locking (how much "
    "is not used if circles stay round), seats.",
)
@theme_option
@language_option
@force_option
@library_option
def command(
    *,
    outs: tuple[str, ...],
    doing: str | None,
    letters: bool,
    then: date | None,
    slide: str,
    theme: str,
    language: str,
    force: bool,
    **wanted: Any,
) -> None:
    """Write the study of your trial book to OUT.

    OUT is a page (.html), a document (.pdf), Markdown (.md) or a folder of slides; several of these
    are allowed.

    It says what was tried, how it felt, whether the scale factor explains it, which sizes suit,
    how much of each tablet is not used if circles stay round, and what it cannot say. Finding no
    pattern is a result too. The notes are saved beside it as CSV. If OUT is -, they are not; then
    use evenstroke book --as csv.
    """
    library = open_library()
    book, problems = in_library(library) if library.root.exists() else ([], [])
    chosen = EntryFilter(doing=doing, **wanted).of(book)
    if not chosen:
        raise AnswerIsNo(*problems, nothing_fits(library))
    earlier = EntryFilter(until=then).of(chosen) if then else []
    if then and not earlier:
        raise AnswerIsNo(
            Problem("--compare-with", phrase("must be a day with notes before it"), str(then))
        )
    study = study_of(chosen, doing=doing, letters=letters)
    before = study_of(earlier, doing=doing, letters=letters) if earlier else None
    with speaking(languages.language(language)):
        written = write_study(study, *outs, before=before, slide=slide, theme=theme, force=force)
    for path in written:
        if is_standard(path):
            continue
        click.echo(say("{file}: written", file=str(path)))
    if problems:
        raise AnswerIsNo(*problems)
