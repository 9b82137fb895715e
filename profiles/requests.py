"""A whole request from the texts that a person types, in options of ``map`` or in the desk page.

The texts are read together, in the order of ``profiles.fields``: what they mean depends on each
other (percent of which tablet, pixels of which display). All that is wrong in them is raised at
once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.desk import Tablet
from mapper.mapping.solve import MapRequest
from mapper.mapping.variations import varied
from mapper.phrases import phrase
from mapper.problems import Collected, Problem, RequestError, quoted
from profiles.fields import FIELDS, Field, Reading
from profiles.written import as_written

if TYPE_CHECKING:
    from mapper.mapping.feel import Feel
    from mapper.seat import Seat
    from profiles.format.document import Workstation

_DESK = ("tablet", "turn", "slant", "displays")
#: The fields of a seat, by name.
SEAT = ("distance", "drop", "tilt", "curve", "ahead")
_WISHES = tuple(
    field.name
    for field in FIELDS.values()
    if field.sets in MapRequest.__dataclass_fields__ and field.name not in _DESK
)


def map_request(base: MapRequest | None, **texts: Any) -> MapRequest:
    """A request from ``texts``: those of ``profiles.fields`` that say something, by name.

    With a ``base`` it is that one, changed by what was typed; the text ``none`` takes back what the
    base has. ``displays`` are several texts, and ``feel`` is a function that finds the wanted Feel.
    Raises RequestError with all problems of tablet and displays, else with all of the rest.
    """
    if base is None:
        _check_described(texts)
    reading = Reading(base)
    # Wishes speak of the tablet and of the displays, so these come first.
    for names in (_DESK, _WISHES):
        _read_all([FIELDS[name] for name in names], texts, reading)
    asked = reading.new
    if base is not None:
        return as_written(varied(base, asked))
    if asked.get("area_built_mm") and "fit" not in asked:
        asked["fit"] = "full"
    # What is computed from is what a profile of it would hold.
    return as_written(MapRequest(**asked))


def seat_from(texts: dict[str, Any]) -> Seat | None:
    """The seat that ``texts`` describe, by the names of SEAT; None where no distance is said.

    Raises RequestError with all problems.
    """
    if not texts.get("distance"):
        return None
    # A bare map has none.
    from mapper.seat import Seat

    reading = Reading(None)
    _read_all([FIELDS[name] for name in SEAT], texts, reading)
    return Seat(**reading.new)


def read_tablet(base: MapRequest | None, tablet: str | None, turn: str | None) -> Tablet:
    """The tablet that was typed, or that of ``base``, turned as was said or as it lay."""
    reading = Reading(base)
    _read_all([FIELDS["tablet"], FIELDS["turn"]], {"tablet": tablet, "turn": turn}, reading)
    found: Tablet = reading.now("tablet")
    return found


def feel_of(workstation: Workstation, typed: str) -> Feel:
    """How hand movements feel at a desk, to be wanted at another one.

    Raises RequestError, naming the desk as it was ``typed``, where its display's size is unknown.
    """
    figures = workstation.map.figures_on(workstation.map.reference)
    if not figures.size_known:
        must = phrase(
            "must be a profile whose display has a size in mm: without one the feel is unknown"
        )
        raise RequestError(Problem("--feel-of", must, quoted(typed)))
    # Few maps ask for one, and start-up is a feature.
    from mapper.mapping.feel import Feel

    return Feel(figures.distortion.scale_x, figures.distortion.scale_y, workstation.name)


def _check_described(texts: dict[str, Any]) -> None:
    """Raises RequestError where there is neither a desk to start from nor a description of one."""
    missing = [FIELDS[name] for name in ("tablet", "displays") if not texts.get(name)]
    must = phrase("is needed, or a desk to start from")
    instead = phrase(
        'Type for example --tablet 240x152mm --display "27in 2560x1440", or evenstroke '
        'map "window desk"'
    )
    if missing:
        raise RequestError(*(Problem(field.option, must, "", instead) for field in missing))


def _read_all(fields: list[Field], texts: dict[str, Any], reading: Reading) -> None:
    """Read those of ``fields`` that ``texts`` say. Raises RequestError with all problems."""
    problems: list[Problem] = []
    wrong: set[str] = set()
    for field in fields:
        text = texts.get(field.name)
        # What another text of the same attribute spoilt is not to be read on.
        if text is None or text in ("", ()) or field.sets in wrong:
            continue
        before = len(problems)
        with Collected(problems):
            reading.new[field.sets] = field.read(text, field.option, reading)
        if len(problems) > before:
            wrong.add(field.sets)
    if problems:
        raise RequestError(*problems)
