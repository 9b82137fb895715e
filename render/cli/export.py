"""``evenstroke export``: a whole library as one file."""

from __future__ import annotations

import click

from mapper.problems import AnswerIsNo
from profiles.library.archive import export_archive
from render.cli.options import examples, force_option, library_option
from render.cli.types import STATION, Command, FileType, open_library
from render.desk.moved import drafts_out
from render.sentences.say import say_count


@click.command(
    "export",
    cls=Command,
    then="evenstroke import {archive}, on the other computer",
    epilog=examples(
        "evenstroke export studio.zip", 'evenstroke export one.zip "window desk" --force'
    ),
)
@click.argument("archive", type=FileType(".zip"))
@click.argument("workstations", metavar="[WORKSTATION]...", nargs=-1, type=STATION)
@force_option
@library_option
def command(*, archive: str, workstations: tuple[str, ...], force: bool) -> None:
    """Write the library, or some of its workstations, to one zip archive.

    The archive holds a list of contents with checksums.
    """
    library = open_library()
    folders = [library.folder_of(name) for name in workstations] or None
    drafts = None if folders else drafts_out(library)
    count, problems = export_archive(library, archive, folders, force=force, drafts=drafts)
    click.echo(f"{archive}: {say_count('{count} file', '{count} files', count)}")
    if problems:
        raise AnswerIsNo(*problems)
