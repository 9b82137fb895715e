"""``evenstroke audit``: reads every file of the library."""

from __future__ import annotations

import click

from mapper.problems import AnswerIsNo, Problem
from profiles.library.audit import audit
from profiles.library.audit import rescue as rescue_into
from render.cli.options import as_option, echo_answer, examples, library_option
from render.cli.types import Command, open_library
from render.reports.library_text import audit_data, audit_text


@click.command(
    "audit",
    cls=Command,
    then="evenstroke export copy.zip, to have it elsewhere too",
    epilog=examples("evenstroke audit", "evenstroke audit --rescue saved-library"),
)
@click.option(
    "--rescue", metavar="DIR", type=click.Path(), help="Copy every intact file into this library."
)
@as_option("text", "yaml", "json")
@library_option
def command(*, rescue: str | None, form: str) -> None:
    """Read every file of the library and name what is damaged. Nothing in it is changed.

    Exit code 0: nothing is damaged; 1: something is.
    """
    found = audit(open_library())
    rescued = None if rescue is None else rescue_into(found, rescue)
    echo_answer(form, found, rescued, text=audit_text, data=audit_data)
    if found.damaged:
        raise AnswerIsNo(*(Problem(str(finding.path), finding.says) for finding in found.damaged))
