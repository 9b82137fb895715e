"""What the commands that test a setting say of the mark that is kept of it, and what comes next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from mapper.problems import EvenstrokeError
from render.cli.exits import complain
from render.cli.types import open_library, then, typed
from render.sentences.proofs import not_noted_sentence, noted_sentence
from render.sentences.say import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from profiles.library.desks import FoundDesk
    from profiles.library.proofs import Proof
    from profiles.library.revisions import Library, RevisionFile
    from render.cli.types import NamedDesk


def note_test(
    named: NamedDesk,
    found: FoundDesk,
    note: Callable[[Library, RevisionFile], Proof | None],
    *,
    aloud: bool,
) -> None:
    """Keep a test beside the revision that it was of, and with ``aloud`` say so.

    A library that cannot be written to spoils no answer: what is wrong is said.
    """
    if found.revision is None:
        if aloud:
            click.echo(not_noted_sentence(named.typed))
        return
    try:
        proof = note(open_library(named.library), found.revision)
    except EvenstrokeError as error:
        for problem in error.problems:
            complain(problem)
        return
    if proof is not None and aloud:
        click.echo(noted_sentence(proof, found.workstation.name))


def then_draw(named: NamedDesk) -> None:
    """Set what comes next after a setting that was found right: to draw with it."""
    command = f"evenstroke felt {typed(named.typed)} --score 4"
    then(say("{command}, after a day of drawing", command=command))
