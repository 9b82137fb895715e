"""The profile: one workstation and one map as one YAML document, whose second half follows from its
first.

What was described and asked (``workstation`` to ``map``) is enough to compute the rest (``area`` to
``matrix``). Both are written, so that the numbers can be read aloud without this program; both are
compared on load, so that a profile never lies.

A derived number may differ by one in its last written digit.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import msgspec

from mapper.affine import Affine
from mapper.desk import Tablet
from mapper.mapping.entry import Entry
from mapper.mapping.solve import TabletMap
from mapper.problems import Problem, RequestError, found_at, quoted
from mapper.rect import Rect
from mapper.seat import Seat
from mapper.solving import solve
from mapper.units import readable
from profiles.files import read_bounded, write_whole
from profiles.format import schema
from profiles.format.asked import alike, asked_parts, request_of
from profiles.format.derived import DERIVED, derived_parts
from profiles.format.migrate import PROFILE, read_document
from profiles.plain import json_text, plain
from profiles.times import TIME
from profiles.validate import Path
from profiles.written import as_written, last_digit, seat_as_written, written
from profiles.yaml_text import dump

#: A profile with a dozen displays is some 10 KiB; anything much larger is another kind of file.
LARGEST_BYTES = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Revision:
    """Which revision of the library a profile is: its number (from 1), when it was kept (UTC), and
    what was noted then.

    Raises RequestError for a number below 1, a time without a zone and a blank note.
    """

    number: int
    kept: datetime
    note: str | None = None

    def __post_init__(self) -> None:
        if self.number < 1:
            raise RequestError(
                Problem("revision number", "must be at least 1", quoted(self.number))
            )
        if self.kept.tzinfo is None:
            raise RequestError(
                Problem("revision kept", "must be a time with its zone", str(self.kept))
            )
        object.__setattr__(self, "kept", self.kept.astimezone(UTC).replace(microsecond=0))
        object.__setattr__(self, "note", readable(self.note, "note") if self.note else None)


@dataclass(frozen=True, slots=True)
class Workstation:
    """What a profile holds: a map, whose it is, where that person sits, and which revision it is,
    where that is known.

    ``map`` is the one that is entered, ``map.exact`` that before any rounding; both follow from the
    request as a profile holds it (``profiles.written``), so that the file and the map never differ.
    ``entry`` is the form of this person's driver. Raises RequestError for an empty name.
    """

    name: str
    map: TabletMap
    note: str | None = None
    seat: Seat | None = None
    revision: Revision | None = None
    entry: Entry | None = None

    def __post_init__(self) -> None:
        readable(self.name, "workstation")
        object.__setattr__(self, "note", readable(self.note, "note") if self.note else None)
        request = as_written(self.map.request)
        if request != self.map.request:
            object.__setattr__(self, "map", solve(request))
        if self.seat is not None:
            object.__setattr__(self, "seat", seat_as_written(self.seat))
        if self.entry is not None:
            self.entry.check(request.tablet)


def document_of(workstation: Workstation) -> schema.Profile:
    """The document of a workstation, complete; what follows from the map in full, as it is before
    it is written.
    """
    return schema.Profile(
        evenstroke=schema.FORMAT,
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
            Problem("revision.kept", "must be a date and time", quoted(part.kept))
        ) from None
    return Revision(part.number, kept, part.note)


def to_plain(workstation: Workstation) -> dict[str, Any]:
    """The document as plain data, as it is written; keys that cannot be known are absent."""
    document = plain(document_of(workstation))
    return {
        key: written(value, key) if key in DERIVED else value for key, value in document.items()
    }


def to_yaml(workstation: Workstation) -> str:
    """The profile document as YAML text."""
    return dump(to_plain(workstation))


def to_json(workstation: Workstation) -> str:
    """The profile document as JSON text, the same keys in the same order."""
    return json_text(to_plain(workstation))


def save(workstation: Workstation, path: str, *, force: bool = False) -> None:
    """Write the profile to ``path``, whole or not at all.

    Raises RequestError where it cannot be written, or is there already and ``force`` is not set.
    """
    write_whole(path, to_yaml(workstation).encode(), force=force)


def load(path: str) -> Workstation:
    """The workstation of the profile at ``path``.

    Raises RequestError with every problem that was found.
    """
    return loads(read_bounded(path, LARGEST_BYTES, "profile"), str(path))


def loads(text: str | bytes, name: str) -> Workstation:
    """The workstation of a profile's text; ``name`` is put before each problem.

    Raises RequestError: what is not YAML, not of this format, not a possible workstation, or does
    not follow from what was asked.
    """
    profile, where = read_document(text, name, PROFILE, schema.Profile)
    with found_at(name):
        # What a person or an older version wrote is compared with what follows from just that.
        solved = solve(request_of(profile))
        seat, revision, entry = (
            alike(profile.seat, Seat),
            _revision_of(profile.revision),
            _entry_of(profile.entry),
        )
        workstation = Workstation(profile.workstation, solved, profile.note, seat, revision, entry)
    _refuse_outside(profile.area, solved.request.tablet, where(("area",)))
    for part, value in derived_parts(solved).items():
        found = msgspec.to_builtins(getattr(profile, part))
        computed = written(msgspec.to_builtins(value), part)
        if found == computed:  # as it nearly always is
            continue
        wrong = _first_difference(found, computed, (part,))
        if wrong:
            path, found, computed = wrong
            must = (
                "must be absent"
                if computed is None
                else f"must be {_shown(computed)}, as follows from what was asked"
            )
            came = "nothing" if found is None else _shown(found)
            instead = "Map again with --save: a profile's second half is computed, never edited"
            raise RequestError(Problem(where(path), must, came, instead))
    return workstation


def _refuse_outside(area: schema.AreaPart, tablet: Tablet, where: str) -> None:
    """Raises RequestError naming ``where`` for an area with a corner off the tablet, turned as it
    lies.
    """
    form, active = area.mm, tablet.active_built_mm
    if not (form.width > 0 and form.height > 0):
        return  # which is told where it is compared
    rect = Rect(form.left, form.top, form.width, form.height)
    turn = Affine.rotation_about(area.angle_deg or 0.0, *rect.centre)
    for x, y in (turn.point(*corner) for corner in rect.corners):
        # The file's lengths are written to a millionth of a mm, and a turn adds up a few of them.
        if not (-1e-5 <= x <= active.width + 1e-5 and -1e-5 <= y <= active.height + 1e-5):
            must = f"must lie within the active area, {active.width:g} x {active.height:g} mm"
            raise RequestError(Problem(where, must, f"a corner at {x:.2f}, {y:.2f} mm"))


def _shown(value: Any) -> str:
    """A value as a problem shows it: a number in full, a whole part of the document only by being
    there.
    """
    return "there" if isinstance(value, (dict, list)) else repr(value)


def _first_difference(found: Any, computed: Any, path: Path) -> tuple[Path, Any, Any] | None:
    """The first place where two plain values differ by more than the last written digit, in the
    order of the document.
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
