"""What the page of all desks does with the library as a whole.

Every file of it can be checked, all desks shown in one table, and one of them made the desk of this
computer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import abort, render_template, request

from mapper.problems import EvenstrokeError
from profiles.library.audit import audit
from profiles.library.desks import (
    note_this_computers_desk,
    station_names,
    this_computers_desk,
)
from profiles.library.history import station_rows
from render.desk.answer import problem_words
from render.desk.bodies import ThisComputers, body
from render.sentences.audit import KINDS, checked_sentence
from render.sentences.desk_table import row_cells, table_head
from render.sentences.say import Name, say, say_again

if TYPE_CHECKING:
    from flask import Flask

    from profiles.library.revisions import Library
    from render.desk.desks import Session

_UNIT = "mm"


def add_routes(app: Flask, session: Session) -> None:
    """The routes of the page of all desks that speak of the library as a whole."""

    @app.post("/check")
    def check() -> Any:
        return checked(session.library)

    @app.get("/table")
    def table() -> str:
        rows, problems = station_rows(session.library)
        cells = [row_cells(row.holds, _UNIT) for row in rows if row.holds]
        notices = [problem_words(problem) for problem in problems]
        return render_template("table.html", head=table_head(_UNIT), rows=cells, notices=notices)

    if session.place.served:

        @app.post("/this-computer")
        def this_computer() -> Any:
            name = body(request, ThisComputers).desk
            if name and name not in station_names(session.library):
                abort(404)
            note_this_computers_desk(name or None)
            if not name:
                return {"says": say("No desk is chosen for this computer.")}
            return {"says": say("{desk} is this computer's desk.", desk=Name(name))}


def this_computers(session: Session) -> dict[str, Any]:
    """The names of the kept desks, and which of them is this computer's.

    Empty where the page has no computer of its own, or there is nothing to choose.
    """
    if not session.place.served:
        return {"names": [], "here": ""}
    try:
        names, here = station_names(session.library), this_computers_desk()
    except EvenstrokeError:
        return {"names": [], "here": ""}
    return {"names": names if len(names) > 1 else [], "here": here or ""}


def checked(library: Library) -> dict[str, Any]:
    """What a check of every file of ``library`` found: a sentence, and a line for each finding."""
    if not library.is_there():
        return {"says": say("Nothing was kept yet, so there is nothing to check."), "lines": []}
    found = audit(library)
    lines = [
        say(
            "{file}: {kind}; {says}",
            file=Name(finding.path.name),
            kind=say_again(KINDS[finding.kind]),
            says=say_again(finding.says),
        )
        for finding in (
            *found.damaged,
            *(each for each in found.findings if each.kind != "damaged"),
        )
    ]
    return {"says": checked_sentence(found), "lines": lines}
