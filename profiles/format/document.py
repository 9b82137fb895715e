"""The profile: one workstation and one map as one YAML document.

What was described and asked (``workstation`` to ``entry``) is enough to compute the rest (``area``
to ``before_rounding``). Both are written, so that the numbers can be read aloud without this
program. The second half is compared with the first on load, so that a profile never lies: a derived
number may differ by one in its last written digit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import msgspec

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.solve import MapRequest, TabletMap
from mapper.phrases import phrase, template
from mapper.problems import Problem, RequestError, found_at, one_of, quoted, refuse_other
from mapper.seat import MIDDLE, Seat
from mapper.solving import solve
from mapper.units import readable
from profiles.files import read_bounded, write_whole
from profiles.format import schema
from profiles.format.asked import alike, asked_parts, request_of
from profiles.format.derived import DERIVED, derived_parts
from profiles.format.kinds import FORMAT, PROFILE, read_data
from profiles.plain import json_text, plain
from profiles.standard import name_of
from profiles.times import TIME
from profiles.validate import Path, typed
from profiles.written import as_written, last_digit, seat_as_written, written
from profiles.yaml_text import Parsed, dump

if TYPE_CHECKING:
    import os

#: A profile with a dozen displays is some 5 KiB; anything much larger is another kind of file.
LARGEST_BYTES = 1024 * 1024

#: Under these keys each innermost mapping and list takes one line.
_ON_A_LINE = ("map", *DERIVED)


class StaleError(RequestError):
    """A profile whose second half is absent or does not follow from its first."""


@dataclass(frozen=True, slots=True)
class Revision:
    """Which revision of the library a profile is.

    Its ``number`` (from 1), when it was ``kept`` (UTC), and what was noted then.

    Raises RequestError for a number below 1, a time without a zone and a blank note.

    >>> revision = Revision(3, datetime(2026, 3, 15, 14, 30, tzinfo=UTC), "after the update")
    >>> f"revision {revision.number} of {revision.kept:%d %B}: {revision.note}"
    'revision 3 of 15 March: after the update'
    """

    number: int
    kept: datetime
    note: str | None = None

    def __post_init__(self) -> None:
        example = template("Give for example {it}")
        number, kept = phrase("revision number"), phrase("revision kept")
        refuse_other(self.number, int, number, example, it="3")
        refuse_other(self.kept, datetime, kept, example, it="datetime.now(UTC)")
        if self.number < 1:
            raise RequestError(Problem(number, phrase("must be at least 1"), quoted(self.number)))
        if self.kept.tzinfo is None:
            raise RequestError(
                Problem(kept, phrase("must be a time with its zone"), str(self.kept))
            )
        object.__setattr__(self, "kept", self.kept.astimezone(UTC).replace(microsecond=0))
        object.__setattr__(self, "note", readable(self.note, "note") if self.note else None)


@dataclass(frozen=True, slots=True)
class Workstation:
    """What a profile holds: a map, whose it is, where that person sits, and which revision it is.

    ``map`` is the one that is entered, ``map.exact`` that before any rounding; both follow from the
    request as a profile holds it (``profiles.written``), so that the file and the map never differ.
    ``entry`` is the form of this person's driver. Raises RequestError for an empty name, and for
    what is no map.

    >>> Workstation("window desk", _example().map)
    <Workstation "window desk": 240x135 mm at 0,8.5 to 2560x1440 px, scale factor 2.491>
    """

    name: str
    map: TabletMap
    note: str | None = None
    seat: Seat | None = None
    revision: Revision | None = None
    entry: Entry | None = None

    def __repr__(self) -> str:
        return f"<Workstation {quoted(self.name)}: {repr(self.map)[len('<TabletMap ') : -1]}>"

    def _repr_svg_(self) -> str | None:
        """The picture of its map, which a notebook shows."""
        return self.map._repr_svg_()

    def __post_init__(self) -> None:
        readable(self.name, "workstation")
        refuse_other(self.map, TabletMap, "map", template("Give what solve makes of a request"))
        object.__setattr__(self, "note", readable(self.note, "note") if self.note else None)
        request = as_written(self.map.request)
        if request != self.map.request:
            object.__setattr__(self, "map", solve(request))
        self._refuse_other_types()
        if self.seat is not None:
            seat = seat_as_written(self.seat)
            if seat.ahead not in _places_ahead(request.desktop):
                # The display that was straight ahead is gone.
                seat = replace(seat, ahead=None)
            object.__setattr__(self, "seat", seat)
        if self.entry is not None:
            self.entry.check(request.tablet)

    def _refuse_other_types(self) -> None:
        for name, kind in (("seat", Seat), ("entry", Entry), ("revision", Revision)):
            value = getattr(self, name)
            if value is not None:
                refuse_other(value, kind, name, template("Give a {it} or None"), it=kind.__name__)


def _places_ahead(desktop: Desktop) -> tuple[str | None, ...]:
    """What a seat may have straight ahead before ``desktop``."""
    return (None, MIDDLE, *(display.label for display in desktop.displays))


def _example() -> Workstation:
    """The workstation of the examples in this module."""
    desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
    return Workstation("window", solve(MapRequest(Tablet(240, 152), desktop)))


def document_of(workstation: Workstation) -> schema.Profile:
    """The document of a workstation, complete.

    Its numbers are as they are before they are written.
    """
    return schema.Profile(
        evenstroke=FORMAT,
        workstation=workstation.name,
        note=workstation.note,
        revision=_revision_part(workstation.revision),
        **asked_parts(workstation.map.request),
        seat=alike(workstation.seat, schema.SeatPart),
        entry=_entry_part(workstation.entry),
        **derived_parts(workstation.map),
    )


def _entry_part(entry: Entry | None) -> schema.EntryPart | None:
    if entry is None:
        return None
    return schema.EntryPart(
        numbers=entry.numbers,
        unit=entry.unit,
        origin="bottom-left" if entry.from_bottom else "top-left",
        decimal="comma" if entry.comma else "point",
    )


def _entry_of(part: schema.EntryPart | None) -> Entry | None:
    if part is None:
        return None
    return Entry(part.numbers, part.unit, part.origin == "bottom-left", part.decimal == "comma")


def _revision_part(revision: Revision | None) -> schema.RevisionPart | None:
    if revision is None:
        return None
    return schema.RevisionPart(
        number=revision.number, kept=revision.kept.strftime(TIME), note=revision.note
    )


def _revision_of(part: schema.RevisionPart | None) -> Revision | None:
    if part is None:
        return None
    try:
        kept = datetime.fromisoformat(part.kept)
    except ValueError:
        raise RequestError(
            Problem("revision.kept", phrase("must be a date and time"), quoted(part.kept))
        ) from None
    return Revision(part.number, kept, part.note)


def to_plain(workstation: Workstation) -> dict[str, Any]:
    """The document as plain data, as it is written; keys that cannot be known are absent.

    Raises RequestError where the map was altered, so that it is not what follows from its request.
    """
    if solve(workstation.map.request) != workstation.map:
        must = phrase("must be as solve made it of its request, and it was altered since")
        instead = phrase("Alter the request and solve it again")
        raise RequestError(Problem("map", must, instead=instead))
    document = plain(document_of(workstation))
    return {
        key: written(value, key) if key in DERIVED else value for key, value in document.items()
    }


def to_yaml(workstation: Workstation) -> str:
    """The profile document as YAML text."""
    return dump(to_plain(workstation), _ON_A_LINE)


def to_json(workstation: Workstation) -> str:
    """The profile document as JSON text, the same keys in the same order."""
    return json_text(to_plain(workstation))


def save(workstation: Workstation, path: str | os.PathLike[str], *, force: bool = False) -> None:
    """Write the profile to ``path``, whole or not at all.

    Raises RequestError where it cannot be written, or is there already and ``force`` is not set,
    and for a map that was altered after it was solved.

    >>> from tempfile import TemporaryDirectory
    >>> desk = loads(to_yaml(_example()), "an example")
    >>> with TemporaryDirectory() as folder:
    ...     save(desk, f"{folder}/desk.yaml")
    ...     load(f"{folder}/desk.yaml") == desk
    True
    """
    refuse_no_workstation(workstation)
    write_whole(path, to_yaml(workstation).encode(), force=force)


def refuse_no_workstation(value: object, where: str = "workstation") -> None:
    """Raise RequestError naming ``where`` unless ``value`` is a Workstation."""
    give = template("Give a Workstation of a name and a map")
    refuse_other(value, Workstation, where, give)


def load(path: str | os.PathLike[str]) -> Workstation:
    """The workstation of the profile at ``path``.

    Raises RequestError with every problem that was found.

    >>> try:
    ...     load("no such desk.yaml")
    ... except RequestError as error:
    ...     print(error.problems[0].must)
    must be a readable profile
    """
    return loads(read_bounded(path, LARGEST_BYTES, "profile"), name_of(path))


def load_described(path: str | os.PathLike[str]) -> Workstation:
    """The workstation that the first half of the profile at ``path`` describes.

    Its second half may be absent or stale. Raises RequestError with every problem of the first.
    """
    name = name_of(path)
    parsed = _read(read_bounded(path, LARGEST_BYTES, "profile"), name)
    return _workstation_of(_described_in(parsed), name)


def loads(text: str | bytes, name: str = "profile") -> Workstation:
    """The workstation of a profile's text; ``name`` is put before each problem.

    Raises RequestError: what is not YAML, not of this format or not a possible workstation; and
    StaleError for what is missing or does not follow from what was asked.

    >>> loads(to_yaml(_example()), "an example").map.area_built_mm.height
    135.0
    """
    if not isinstance(text, bytes):
        refuse_other(text, str, "text", template("Give the text, or its path to load"))
    parsed = _read(text, name)
    try:
        profile = typed(parsed.data, schema.Profile, parsed.where)
    except RequestError as error:
        try:
            _described_in(parsed)
        except RequestError:
            raise error from None
        raise _stale(error.problems[0]) from None
    workstation = _workstation_of(profile, name)
    for part, value in derived_parts(workstation.map).items():
        found = msgspec.to_builtins(getattr(profile, part))
        computed = written(msgspec.to_builtins(value), part)
        if found == computed:  # as it nearly always is
            continue
        wrong = _first_difference(found, computed, (part,))
        if wrong:
            path, found, computed = wrong
            must = (
                phrase("must be absent")
                if computed is None
                else phrase(
                    "must be {shown}, as follows from what was asked", shown=_shown(computed)
                )
            )
            came = phrase("nothing") if found is None else _shown(found)
            raise _stale(Problem(parsed.where(path), must, came))
    return workstation


def _read(text: str | bytes, name: str) -> Parsed:
    """The plain data of a profile, its round display marked.

    Files that were kept before displays were marked name it in ``map.true_on``; the schema does
    not know that key, since it cannot refuse a name that no display has.
    """
    parsed = read_data(text, name, PROFILE)
    asked, displays = parsed.data.get("map"), parsed.data.get("displays")
    label = asked.get("true_on") if isinstance(asked, dict) else None
    if isinstance(label, str) and isinstance(displays, list):
        labelled = {str(each.get("label")): each for each in displays if isinstance(each, dict)}
        one_of(label, labelled, parsed.where(("map", "true_on")))
        labelled[label]["circles_round"] = True
        del asked["true_on"]
    return parsed


def _stale(problem: Problem) -> StaleError:
    instead = phrase(
        "Write its second half anew from what was described: evenstroke map FILE --save "
        "FILE --force"
    )
    return StaleError(replace(problem, instead=instead))


def _described_in(parsed: Parsed) -> schema.Described:
    data = {key: value for key, value in parsed.data.items() if key not in DERIVED}
    return typed(data, schema.Described, parsed.where)


def _workstation_of(described: schema.Described, name: str) -> Workstation:
    with found_at(name):
        request, seat = request_of(described), alike(described.seat, Seat)
        if seat is not None and seat.ahead not in _places_ahead(request.desktop):
            labels = ", ".join(quoted(display.label) for display in request.desktop.displays)
            must = phrase("must be {middle} or a display: {labels}", middle=MIDDLE, labels=labels)
            raise RequestError(Problem("seat.ahead", must, quoted(seat.ahead)))
        return Workstation(
            described.workstation,
            solve(request),
            described.note,
            seat,
            _revision_of(described.revision),
            _entry_of(described.entry),
        )


def _shown(value: Any) -> str:
    """A value as a problem shows it: a number in full, a whole part only by being there."""
    return "there" if isinstance(value, (dict, list)) else repr(value)


def _first_difference(found: Any, computed: Any, path: Path) -> tuple[Path, Any, Any] | None:
    """The first place where two plain values differ by more than the last written digit.

    The order is that of the document. The place is a path with what was found and computed there;
    None where nothing differs.
    """
    if isinstance(computed, dict) and isinstance(found, dict):
        steps: Any = computed
    elif (
        isinstance(computed, (list, tuple))
        and isinstance(found, (list, tuple))
        and len(computed) == len(found)
    ):
        steps = range(len(computed))
    elif isinstance(computed, float) and isinstance(found, (int, float)):
        # A hair more than the digit, for the subtraction's own rounding.
        close = abs(found - computed) <= 1.001 * last_digit(computed, path)
        return None if close else (path, found, computed)
    else:
        return None if found == computed else (path, found, computed)
    for step in steps:
        wrong = _first_difference(found[step], computed[step], (*path, step))
        if wrong:
            return wrong
    return None
