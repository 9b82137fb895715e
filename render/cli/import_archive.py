"""``evenstroke import``: brings an archive into the library."""

from __future__ import annotations

import click

from mapper.problems import AnswerIsNo
from render.cli.options import examples, library_option
from render.cli.types import Command, FileType, open_library
from render.desk.moved import take_archive
from render.sentences.say import say


@click.command(
    "import",
    cls=Command,
    then="evenstroke stations",
    epilog=examples(
        "evenstroke import studio.zip",
        "evenstroke import studio.zip --library /mnt/studio/settings",
    ),
)
@click.argument("archive", type=FileType(".zip"))
@click.option(
    "--force", is_flag=True, help="Replace damaged files of the library with the archive's."
)
@library_option
def command(*, archive: str, force: bool) -> None:
    """Import an archive into the library. Nothing already there is replaced."""
    done = take_archive(open_library(), archive, force=force)
    new, here = str(done.new), str(done.here_already)
    click.echo(
        say("{file}: {new} new files, {here} were already here", file=archive, new=new, here=here)
    )
    if done.problems:
        raise AnswerIsNo(*done.problems)
