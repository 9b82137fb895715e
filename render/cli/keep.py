"""``evenstroke keep``: keeps profiles in the library, each as its workstation's next revision."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from mapper.phrases import phrase
from mapper.problems import AnswerIsNo, EvenstrokeError, Problem, RequestError
from profiles.format.compare import replaced_hardware
from render.cli.options import desk_argument, examples, same_desk_option
from render.cli.types import DESK_NAME, Command, NamedDesk, all_found, open_library, then, typed
from render.sentences.changes import changes_sentence, replaced_sentence, setting_sentence
from render.sentences.say import Name, say

if TYPE_CHECKING:
    from collections.abc import Iterable

    from profiles.format.document import Workstation


@click.command(
    "keep",
    cls=Command,
    epilog=examples(
        "evenstroke keep desk.yaml",
        'evenstroke keep desk.yaml --note "after the driver update"',
        'evenstroke keep desk.yaml --workstation "left studio"',
        "evenstroke keep desks/*.yaml --library /mnt/studio/settings",
    ),
)
@desk_argument(several=True)
@click.option("--note", metavar="TEXT", help="Why you keep it; the history shows this text.")
@click.option(
    "--workstation",
    metavar="NAME",
    type=DESK_NAME,
    help="Keep it under this name.  [default: the name in its profile]",
)
@same_desk_option
def command(
    desks: tuple[NamedDesk, ...], *, note: str | None, workstation: str | None, same_desk: bool
) -> None:
    """Keep settings in the library, each as the next setting of its desk.

    Keeping a desk that has not changed adds no setting. Nothing is kept if one of the files is
    wrong, or if one has another tablet or other displays than the last setting of that name, unless
    you type --same-desk.
    """
    kept = [desk.workstation for desk in all_found(desks)]
    if workstation is not None:
        if len(kept) > 1:
            came = phrase("{count} desks", count=len(kept))
            raise RequestError(Problem("--workstation", phrase("is the name of one desk"), came))
        kept = [replace(kept[0], name=workstation)]
    ask_if_another(*kept, same_desk=same_desk)
    keep_all(kept, note=note)
    then(prove_it(kept[-1].name))


def prove_it(name: str) -> str:
    """What comes after a setting was kept."""
    return phrase(
        "enter it, trace around a bank card once, and see: {command}",
        command=f"evenstroke trace shot.png --of card --against {typed(name)}",
    )


def ask_if_another(*workstations: Workstation, same_desk: bool) -> None:
    """Ask whether each is still the same desk where it seems to be another one.

    It seems so where its tablet or displays are wholly other than in its newest revision. Raises
    RequestError with what to type where there is no terminal to ask on, and AnswerIsNo where it is
    another desk.
    """
    library = open_library()
    problems = []
    for workstation in () if same_desk else workstations:
        folder = library.folder_if_there(workstation.name)
        newest = library.newest(folder) if folder else None
        try:
            before = library.load(newest) if newest else None
        except EvenstrokeError:
            continue  # damaged, which is no reason to keep nothing
        replaced = replaced_hardware(before, workstation) if before else ()
        if not before or not newest or not replaced:
            continue
        came = replaced_sentence(before, workstation, replaced, newest.number)
        if sys.stdin.isatty() and sys.stderr.isatty():
            question = phrase(
                "{desk}: {changes}. Is it still the same desk?", desk=workstation.name, changes=came
            )
            if click.confirm(question, err=True):
                continue
            instead = phrase("Another name: --workstation NAME")
            raise AnswerIsNo(Problem(workstation.name, phrase("was not kept"), instead=instead))
        must = phrase("must be the same desk as before")
        instead = phrase("Type --same-desk if it is, or --workstation NAME to keep it as another")
        problems.append(Problem(workstation.name, must, came, instead))
    if problems:
        raise RequestError(*problems)


def keep_all(
    workstations: Iterable[Workstation], *, note: str | None = None, err: bool = False
) -> None:
    """Keep each in the library and say what it changes, on standard error where ``err``."""

    def tell(sentence: str) -> None:
        click.echo(sentence, err=err)

    library = open_library()
    begun = library.root.exists()
    for workstation in workstations:
        kept, new = library.keep(workstation, note=note)
        if not begun:
            tell(say("A new library was created in {folder}", folder=str(library.root)))
            begun = True
        slots = {"desk": Name(workstation.name), "revision": str(kept.number)}
        if not new:
            tell(say("{desk}: nothing new; setting {revision} is the same", **slots))
            continue
        before = library.before(kept)
        says = changes_sentence(before, workstation) if before else setting_sentence(workstation)
        tell(say("{desk}: kept as setting {revision}: {says}", says=says, **slots))
        folder = library.folder_of(workstation.name)
        if library.marks(folder).station_retired:
            undo = "evenstroke retire --undo"
            tell(say("{desk}: is retired; to bring it back: {command}", command=undo, **slots))
        in_force = library.in_force(folder)
        if in_force != kept:
            tell(
                say(
                    "{desk}: setting {revision} is pinned and stays in use; to change that: "
                    "{command}",
                    desk=slots["desk"],
                    revision=str(in_force.number),
                    command="evenstroke pin",
                )
            )
