"""``evenstroke changes``: what changed between two revisions of a workstation."""

from __future__ import annotations

import click

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, Problem
from profiles.plain import headed
from profiles.times import shown
from render.cli.options import as_option, echo_data, examples, library_option, station_argument
from render.cli.types import Command, open_library
from render.reports.library_text import revision_data
from render.sentences.changes import changes_data, changes_sentence
from render.sentences.say import Name, say


@click.command(
    "changes",
    cls=Command,
    then="evenstroke recall {workstation} --revision 1, with the number of the setting you want "
    "back",
    epilog=examples(
        'evenstroke changes "window desk"',
        'evenstroke changes "window desk" 3',
        'evenstroke changes "window desk" 3 7 --as json',
    ),
)
@station_argument
@click.argument("from_revision", metavar="[A]", required=False)
@click.argument("to_revision", metavar="[B]", required=False)
@as_option("text", "yaml", "json")
@library_option
def command(
    *, workstation: str, from_revision: str | None, to_revision: str | None, form: str
) -> None:
    """Show what changed from kept setting A to kept setting B.

    B is the newest and A the one before B, unless you give their numbers.
    """
    library = open_library()
    folder = library.folder_of(workstation)
    second = library.named(folder, to_revision) if to_revision else library.newest(folder)
    first = (
        library.named(folder, from_revision)
        if from_revision
        else second and library.file_before(second)
    )
    if first is None or second is None:
        must = phrase("There is only one kept setting, so there is nothing to compare")
        if second is None:
            must = phrase("There is no kept setting yet, so there is nothing to compare")
        raise AnswerIsNo(Problem(workstation, must))
    before = library.load(first)
    after = library.load(second)
    sentence = changes_sentence(before, after)
    if form == "text":
        click.echo(
            say(
                "{desk}: setting {first} ({then}) to {second} ({now})",
                desk=Name(after.name),
                first=str(first.number),
                then=shown(first.kept),
                second=str(second.number),
                now=shown(second.kept),
            )
        )
        click.echo(sentence)
        return
    data = {
        "workstation": after.name,
        "from": revision_data(first),
        "to": revision_data(second),
        "says": sentence,
        "changes": changes_data(before, after),
    }
    echo_data(headed("changes", data, "seen", "desktop"), form)
