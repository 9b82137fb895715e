"""``evenstroke recall``: a setting of earlier, to enter again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.files import write_whole
from profiles.format.document import to_json
from profiles.library.desks import find_revision
from profiles.library.proofs import standing_of
from profiles.times import shown
from render.cli.options import as_option, examples, force_option, library_option, station_argument
from render.cli.types import PAST_MOMENT, PROFILE, Command, open_library
from render.reports.text import map_text
from render.sentences.proofs import standing_words
from render.sentences.say import Name, say

if TYPE_CHECKING:
    from datetime import datetime


@click.command(
    "recall",
    cls=Command,
    then=(
        "enter it, trace around a bank card once, and see: evenstroke trace shot.png --of card "
        "--against {workstation}"
    ),
    epilog=examples(
        'evenstroke recall "window desk"',
        'evenstroke recall "window desk@3" --out desk.yaml',
        'evenstroke recall "window desk" --revision 3 --out desk.yaml',
        'evenstroke recall "window desk" --date 2026-03-15',
    ),
)
@station_argument
@click.option(
    "--revision",
    metavar="N",
    help="The number of the setting; 3a or 3b if two copies of the library both kept a setting 3.",
)
@click.option(
    "--date",
    metavar="DATE",
    type=PAST_MOMENT,
    help="The setting in use at the end of that day, or at 2026-03-15T14:30.",
)
@click.option("--out", metavar="FILE", type=PROFILE, help="Write the desk's profile, a YAML file.")
@force_option
@as_option("text", "yaml", "json", help_text="Output format; yaml and json are the profile itself.")
@library_option
def command(
    *,
    workstation: str,
    revision: str | None,
    date: datetime | None,
    out: str | None,
    force: bool,
    form: str,
) -> None:
    """Get back the setting in use, or an earlier one, with the rectangle to enter."""
    if revision is not None and date is not None:
        must, instead = phrase("does not go with --revision"), phrase("Leave one of them out")
        raise RequestError(Problem("--date", must, "", instead))
    library = open_library()
    found = find_revision(workstation, library) if revision is None and date is None else None
    if found is None:
        folder = library.folder_of(workstation)
        found = (
            library.in_force(folder, date) if revision is None else library.named(folder, revision)
        )
    text, kept = library.text(found)
    if out is not None:
        write_whole(out, text.encode(), force=force)
    if form == "text":
        first = say(
            "{desk}, setting {revision}, kept on {day}",
            desk=Name(kept.name),
            revision=str(found.number),
            day=shown(found.kept),
        )
        if kept.revision and kept.revision.note:
            note = Name(" ".join(kept.revision.note.split()))
            first = say("{revision}: {note}", revision=first, note=note)
        marked = standing_words(standing_of(library, found.path.parent, kept.map))
        line = f"{marked}\n" if marked else ""
        click.echo(f"{first}\n{line}\n{map_text(kept.map, kept.entry)}", nl=False)
    else:
        click.echo(text if form == "yaml" else to_json(kept), nl=False)
