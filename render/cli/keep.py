"""``evenstroke keep``: keeps profiles in the library, each as its workstation's next revision."""

from __future__ import annotations

import click

from render.cli.options import desk_argument, examples
from render.cli.types import NamedDesk, all_found, open_library


@click.command(
    "keep",
    short_help="Keep profiles in the library.",
    epilog=examples(
        "evenstroke keep desk.yaml",
        'evenstroke keep desk.yaml --note "after the driver update"',
        "evenstroke keep desks/*.yaml --library /mnt/studio/settings",
    ),
)
@desk_argument(several=True)
@click.option("--note", metavar="TEXT", help="Why, to be read in the history.")
def command(desks: tuple[NamedDesk, ...], note: str | None) -> None:
    """Keep profiles in the library, each as the next revision of its workstation.

    Keeping the same again makes no new revision. Nothing is kept where one of the files is wrong.
    """
    from render.reports.changes_text import changes_sentence, setting_sentence

    library = open_library()
    workstations = [desk.workstation for desk in all_found(desks)]
    begun = library.root.exists()
    for workstation in workstations:
        kept, new = library.keep(workstation, note=note)
        if not begun:
            click.echo(f"A new library begins in {library.root}")
            begun = True
        if not new:
            click.echo(f"{workstation.name}: nothing new, revision {kept.number} says the same")
            continue
        before = library.before(kept)
        says = changes_sentence(before, workstation) if before else setting_sentence(workstation)
        click.echo(f"{workstation.name}: kept as revision {kept.number}: {says}")
        folder = library.folder_of(workstation.name)
        if library.marks(folder).station_retired:
            click.echo(f"{workstation.name}: is retired; to bring it back: evenstroke retire --undo")
        in_force = library.in_force(folder)
        if in_force != kept:
            name = f"revision {in_force.number} is pinned and stays in force"
            click.echo(f"{workstation.name}: {name}; to change that: evenstroke pin")
