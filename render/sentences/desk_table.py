"""Many desks in one table: what to enter on each, and its figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.mapping.forms import UNITS
from profiles.times import shown
from render.sentences.forms import side_heads
from render.sentences.say import say, say_again
from render.sentences.words import fixed, number

if TYPE_CHECKING:
    from profiles.format.document import Workstation

SIDES = ("left", "top", "width", "height")


def table_head(unit: str) -> list[str]:
    """The heads of the columns of ``row_cells``."""
    return [
        say("desk"),
        *side_heads(say_again(UNITS[unit].sign)),
        say("scale factor"),
        say("stretch"),
        say("revision"),
        say("kept"),
    ]


def desk_row(workstation: Workstation, unit: str) -> dict[str, Any]:
    """The rectangle to enter in ``unit`` (built frame) and its figures; None where not known."""
    solved, revision = workstation.map, workstation.revision
    return {
        "workstation": workstation.name,
        "area": solved.forms.get(unit),
        "scale_factor": solved.summary.scale_factor,
        "stretch": solved.figures_on(solved.reference).distortion.stretch,
        "revision": revision and revision.number,
        "kept": revision and revision.kept,
    }


def row_cells(row: dict[str, Any], unit: str) -> list[str]:
    """The cells of a row for people, with what is not known left empty."""
    places = UNITS[unit].places
    area, scale, kept = row["area"], row["scale_factor"], row["kept"]
    return [
        # A name may hold line ends, which a line cannot.
        " ".join(row["workstation"].split()),
        *(fixed(getattr(area, side), places) if area else "" for side in SIDES),
        "" if scale is None else fixed(scale, 2),
        number(row["stretch"], 4),
        "" if kept is None else str(row["revision"]),
        "" if kept is None else shown(kept),
    ]
