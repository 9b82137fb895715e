"""What was typed into a tablet's settings and what was tested, as dated marks beside a revision.

Each is an entry of the library (``workstations/desk/proofs/``, profiles/library/entries.py), so
that it joins, is carried by an archive and is looked at by an audit. ``typed`` says that somebody
typed the numbers in, ``touch`` and ``trace`` that they were tested, ``untyped`` takes all of it
back. A mark names its revision and holds the setting that it is about, so that what holds now
follows from the marks alone (``standing``): a revision that changes nothing of what has to be typed
keeps the marks of the one before, and numbers that were typed over it take them away.

A test that cannot tell is no proof and leaves no mark.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated, Any, Literal, NamedTuple

import msgspec
from msgspec import Meta, Struct

from mapper.choosing.travel import HandScatter
from mapper.phrases import phrase_count
from mapper.problems import Collected
from mapper.touching.setting import DriverSetting
from mapper.touching.verdict import CANNOT_TELL, RIGHT
from profiles.format.kinds import FORMAT, Kind
from profiles.library.entries import DIGEST, append, entries, read_entry

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from mapper.mapping.solve import TabletMap
    from mapper.problems import Problem
    from mapper.touching.verdict import TouchVerdict
    from profiles.library.entries import EntryFile
    from profiles.library.revisions import Library, RevisionFile
    from profiles.strokes.traces import TraceReport

#: The folder of these entries in a workstation's.
PROOFS = "proofs"
_KIND = Kind("evenstroke_proof", "proof")

ProofMark = Literal["typed", "untyped", "touch", "trace"]
_Number = Annotated[float, Meta(ge=-1e6, le=1e6)]
_Length = Annotated[float, Meta(ge=0, le=1e6)]

#: Settings within this are the same: what is written of a profile is exact to a millionth.
_SAME = 1e-3
#: With fewer touches the scatter of a hand is known too badly to be worked with.
LEAST_TOUCHES = 18


class SettingPart(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What has to be set: the area as built, mm, the part of the desktop, px, and the turns."""

    left_mm: _Number
    top_mm: _Number
    width_mm: _Number
    height_mm: _Number
    left_px: _Number
    top_px: _Number
    width_px: _Number
    height_px: _Number
    turn_deg: Literal[0, 90, 180, 270] = 0
    area_angle_deg: _Number = 0.0

    @classmethod
    def of(cls, meant: TabletMap) -> SettingPart:
        """What has to be set for the map ``meant``."""
        setting = DriverSetting.of(meant)
        sides = ("left", "top", "width", "height")
        area = {f"{side}_mm": round(getattr(setting.area_built_mm, side), 6) for side in sides}
        target = {f"{side}_px": round(getattr(setting.target_px, side), 6) for side in sides}
        angle_deg = round(setting.area_angle_deg, 6)
        return msgspec.convert(
            {**area, **target, "turn_deg": setting.turn_deg, "area_angle_deg": angle_deg}, cls
        )

    def same(self, other: SettingPart) -> bool:
        """Whether the same numbers have to be typed for both."""
        return self.turn_deg == other.turn_deg and all(
            abs(getattr(self, name) - getattr(other, name)) < _SAME
            for name in self.__struct_fields__
        )


class Found(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """What a test found, and how sure: at 95 of 100, mm; what is not known is absent.

    ``within_mm`` is the stated limit of the area's sizes, ``place_within_mm`` that of its place;
    ``scatter_mm`` that of the hand, one standard deviation.
    """

    width_mm: _Number | None = None
    height_mm: _Number | None = None
    left_mm: _Number | None = None
    top_mm: _Number | None = None
    within_mm: _Length | None = None
    place_within_mm: _Length | None = None
    scatter_mm: _Length | None = None
    touches: Annotated[int, Meta(ge=1, le=100_000)] | None = None

    @property
    def hand(self) -> tuple[int, float]:
        """How many touches there were and how far they scatter, 0 where that is not known."""
        return self.touches or 0, self.scatter_mm or 0.0


class _ProofPart(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """The document of a mark."""

    evenstroke_proof: Literal[1]
    mark: ProofMark
    revision: Annotated[str, Meta(pattern=rf"^[1-9][0-9]*-{DIGEST}$")]
    setting: SettingPart
    right: bool | None = None
    cause: Annotated[str, Meta(max_length=200)] | None = None
    found: Found | None = None


@dataclass(frozen=True, slots=True)
class Proof:
    """One mark: when, which, about which revision and setting.

    ``right`` says of a test whether the tablet uses the setting, ``cause`` what it does instead;
    ``found`` are its figures. They are None for what was only typed.
    """

    at: datetime
    mark: ProofMark
    revision: str
    setting: SettingPart
    right: bool | None = None
    cause: str | None = None
    found: Found | None = None

    @property
    def is_test(self) -> bool:
        return self.mark in {"touch", "trace"}

    @property
    def within_mm(self) -> float | None:
        """How sure a test is: the largest of its stated limits, mm."""
        found = self.found or Found()
        known = [each for each in (found.within_mm, found.place_within_mm) if each is not None]
        return max(known, default=None)


class Standing(NamedTuple):
    """What the marks say of a setting now.

    ``typed`` is the mark by which it was typed in, ``tested`` its last test since, right or wrong.
    ``tested_before`` is its last test from before another setting was typed in.
    """

    typed: Proof | None = None
    tested: Proof | None = None
    tested_before: Proof | None = None

    @property
    def is_proven(self) -> bool:
        """Whether the last test showed that the tablet uses it."""
        return self.tested is not None and bool(self.tested.right)


#: Of a setting that no mark speaks of.
NOTHING_NOTED = Standing()


def standing(proofs: Iterable[Proof], meant: TabletMap) -> Standing:
    """What the ``proofs`` of a workstation, the oldest first, say of the map ``meant``."""
    setting = SettingPart.of(meant)
    now = NOTHING_NOTED
    for proof in proofs:
        same = proof.setting.same(setting)
        if proof.mark == "untyped" and same:
            now = Standing(tested_before=now.tested_before)
        elif proof.mark == "typed" and same:
            # Typed in anew, a test that failed says nothing any more.
            now = now._replace(typed=proof, tested=now.tested if now.is_proven else None)
        elif proof.is_test and same:
            typed = now.typed or (proof if proof.right else None)
            now = now._replace(typed=typed, tested=proof)
        elif proof.mark == "typed" or proof.right:
            now = Standing(tested_before=now.tested or now.tested_before)
    return now


def typed_now(proofs: Iterable[Proof]) -> Proof | None:
    """The mark of the setting that is in the tablet by the ``proofs``, the oldest first.

    None where no mark says so, where it was taken back, and where a test found something else.
    """
    now: Proof | None = None
    for proof in proofs:
        if proof.mark == "typed" or proof.right:
            now = proof
        elif now is not None and proof.setting.same(now.setting):
            now = None
    return now


def read_proof(entry: EntryFile) -> Proof:
    """The mark of an entry's file. Raises RequestError."""
    part = read_entry(entry, _KIND, _ProofPart)
    return Proof(
        entry.at, part.mark, part.revision, part.setting, part.right, part.cause, part.found
    )


def proofs_of(library: Library, folder: Path) -> tuple[list[Proof], list[Problem]]:
    """All marks of the workstation in ``folder``, the oldest first, and what cannot be read."""
    found: list[Proof] = []
    problems: list[Problem] = []
    with Collected(problems):
        for entry in entries(library.place(folder, PROOFS)):
            with Collected(problems):
                found.append(library.read_once(entry, read_proof))
    return found, problems


def standing_of(library: Library, folder: Path | None, meant: TabletMap) -> Standing:
    """What the marks of the workstation in ``folder`` that can be read say of ``meant``.

    Nothing where there is no such folder.
    """
    return NOTHING_NOTED if folder is None else standing(proofs_of(library, folder)[0], meant)


def note_typed(
    library: Library,
    revision: RevisionFile,
    meant: TabletMap,
    *,
    undo: bool = False,
    now: datetime | None = None,
) -> Proof | None:
    """Note that the setting of ``revision`` was typed in, or with ``undo`` take that back.

    ``meant`` is its map. None where it stands so already and nothing was written. Raises
    RequestError where it cannot be written.
    """
    known = standing_of(library, revision.path.parent, meant)
    if (known.typed is None) == undo and (known.tested is None or known.is_proven or undo):
        return None
    return _note(library, revision, meant, "untyped" if undo else "typed", now)


def note_touch(
    library: Library,
    revision: RevisionFile,
    meant: TabletMap,
    verdict: TouchVerdict,
    *,
    now: datetime | None = None,
) -> Proof | None:
    """Note what touched crosses said of the setting of ``revision``, whose map is ``meant``.

    None where they cannot tell. Raises RequestError where it cannot be written.
    """
    if verdict.answer == CANNOT_TELL:
        return None
    found = Found(touches=verdict.touches)
    if verdict.found is not None and verdict.fit is not None:
        area, limits = verdict.found.setting.area_built_mm, verdict.limits_mm
        places = [limits[side] for side in ("left", "top") if side in limits]
        found = Found(
            width_mm=_short(area.width),
            height_mm=_short(area.height),
            left_mm=_short(area.left) if places else None,
            top_mm=_short(area.top) if places else None,
            within_mm=_short(max(limits["width"], limits["height"])),
            place_within_mm=_short(max(places)) if places else None,
            scatter_mm=_short(verdict.fit.scatter_mm),
            touches=verdict.touches,
        )
    right = verdict.answer == RIGHT
    cause = None if right else verdict.cause.name
    return _note(library, revision, meant, "touch", now, right=right, cause=cause, found=found)


def note_trace(
    library: Library,
    revision: RevisionFile,
    report: TraceReport,
    *,
    now: datetime | None = None,
) -> Proof | None:
    """Note what a trace said of the setting of ``revision``.

    None where nothing was compared, and where the way in which the trace was made may explain it as
    well. Raises RequestError where it cannot be written.
    """
    # It brings numpy, which only traces need.
    from mapper.tracing.diagnosis import BY_THE_TRACE

    finding, meant = report.finding, report.meant
    if finding is None or meant is None:
        return None
    causes = (finding.cause, *finding.also)
    if not finding.agrees and any(set(each.correct) & BY_THE_TRACE for each in causes):
        return None
    area, scales = meant.area_seen_mm, report.measured
    halves = [
        length * scale.half_width / scale.value
        for length, scale in (
            (area.width, scales.x_px_per_mm),
            (area.height, scales.y_px_per_mm),
        )
    ]
    places = [each.half_width for each in (finding.left_mm, finding.top_mm) if each is not None]
    found = Found(
        within_mm=_short(max(halves)), place_within_mm=_short(max(places)) if places else None
    )
    cause = None if finding.agrees else finding.cause.name
    return _note(
        library, revision, meant, "trace", now, right=finding.agrees, cause=cause, found=found
    )


def _short(value: float) -> float:
    return round(value, 3)


def _note(
    library: Library,
    revision: RevisionFile,
    meant: TabletMap,
    mark: ProofMark,
    now: datetime | None,
    **more: Any,
) -> Proof:
    part = _ProofPart(
        evenstroke_proof=FORMAT,
        mark=mark,
        revision=revision.name,
        setting=SettingPart.of(meant),
        **more,
    )
    folder = library.place(revision.path.parent, PROOFS)
    entry = append(folder, mark, msgspec.to_builtins(part), now or datetime.now(UTC))
    return read_proof(entry)


def measured_hand(library: Library) -> HandScatter | None:
    """The scatter of the hand in the newest touch test of ``library`` with enough touches, or None.

    Whether the driver was right does not matter for it.
    """
    newest: tuple[datetime, float, int] | None = None
    for folder in library.folders() if library.root.exists() else ():
        for proof in proofs_of(library, folder)[0] if folder.is_dir() else ():
            touches, scatter_mm = (proof.found or Found()).hand
            if touches >= LEAST_TOUCHES and scatter_mm and (not newest or proof.at > newest[0]):
                newest = proof.at, scatter_mm, touches
    if newest is None:
        return None
    at, scatter_mm, touches = newest
    day = at.astimezone().date().isoformat()
    source = phrase_count(
        "measured with {count} touch on {day}",
        "measured with {count} touches on {day}",
        touches,
        day=day,
    )
    return HandScatter(scatter_mm, source, measured=True)
