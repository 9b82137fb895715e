"""Many desks in one table: what to enter on each, and its figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.mapping.forms import UNITS
from profiles.times import shown
from render.sentences.forms import side_heads
from render.sentences.say import say, say_again
from render.sentences.words import fixed, fixed_to_type, number, usual_entry

if TYPE_CHECKING:
    from mapper.mapping.entry import Entry
    from mapper.mapping.forms import RectForm
    from profiles.format.document import Workstation

SIDES = ("left", "top", "width", "height")


def table_head(unit: str) -> list[str]:
    """The heads of the columns of ``row_cells``."""
    return [
        say("desk"),
        *side_heads(say_again(UNITS[unit].sign)),
        say("scale factor"),
        say("stretch"),
        say("setting"),
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


def row_cells(workstation: Workstation, unit: str) -> list[str]:
    """The cells of its row for people, with what is not known left empty.

    The rectangle has the decimal mark that the settings of the workstation want.
    """
    row, entry, places = desk_row(workstation, unit), workstation.entry, UNITS[unit].places
    area, scale, kept = row["area"], row["scale_factor"], row["kept"]
    return [
        # A name may hold line ends, which a line cannot.
        " ".join(row["workstation"].split()),
        *(_side(area, side, places, usual_entry(entry)) for side in SIDES),
        "" if scale is None else fixed(scale, 2),
        number(row["stretch"], 4),
        "" if kept is None else str(row["revision"]),
        "" if kept is None else shown(kept),
    ]


def _side(area: RectForm | None, side: str, places: int, entry: Entry) -> str:
    return fixed_to_type(getattr(area, side), places, entry) if area else ""
