"""The profile: one workstation and one map as one YAML document, whose second half follows from its first.

What was described and asked (``workstation`` to ``map``) is enough to compute the rest (``area`` to ``matrix``).
Both are written, so that the numbers can be read aloud without this program; both are compared on load, so
that a profile never lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import msgspec

from mapper.affine import Affine
from mapper.desk import Desktop, Display, Tablet
from mapper.forms import rect_forms
from mapper.problems import EvenstrokeError, Problem, RequestError, quoted
from mapper.rect import Rect
from mapper.seat import Seat
from mapper.solve import DisplayFigures, MapRequest, TabletMap, solve
from mapper.units import readable
from profiles import schema
from profiles.files import read_bounded
from profiles.migrate import refuse_newer, to_current
from profiles.validate import Path, typed
from profiles.yaml_text import dump, parse

__all__ = ["LARGEST_BYTES", "TIME", "Revision", "Workstation", "document_of", "load", "loads", "to_json", "to_yaml"]

#: A profile with a dozen displays is some 10 KiB; anything much larger is another kind of file.
LARGEST_BYTES = 1024 * 1024

#: How far a derived number may lie from the one that is computed again, relative to the larger of the two.
AGREEMENT = 1e-9
# Beside lengths of hundreds of millimetres and thousands of pixels this is nothing; for an offset that should be
# 0 a relative bound alone would forbid any rounding at all.
NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Revision:
    """Which revision of the library a profile is: its number (from 1), when it was kept (UTC), and what was noted then.

    Raises RequestError for a number below 1, a time without a zone and a blank note.
    """

    number: int
    kept: datetime
    note: str | None = None

    def __post_init__(self) -> None:
        if self.number < 1:
            raise RequestError(Problem("revision number", "must be at least 1", quoted(self.number)))
        if self.kept.tzinfo is None:
            raise RequestError(Problem("revision kept", "must be a time with its zone", str(self.kept)))
        object.__setattr__(self, "kept", self.kept.astimezone(UTC).replace(microsecond=0))
        object.__setattr__(self, "note", readable(self.note, "note") if self.note else None)


@dataclass(frozen=True, slots=True)
class Workstation:
    """What a profile holds: a map, whose it is, where that person sits, and which revision it is, where that is known.

    Raises RequestError for an empty name.
    """

    name: str
    map: TabletMap
    note: str | None = None
    seat: Seat | None = None
    revision: Revision | None = None

    def __post_init__(self) -> None:
        readable(self.name, "workstation")
        object.__setattr__(self, "note", readable(self.note, "note") if self.note else None)


def document_of(workstation: Workstation) -> schema.Profile:
    """The document of a workstation, complete."""
    solved = workstation.map
    request = solved.request
    tablet = request.tablet
    return schema.Profile(
        evenstroke=schema.FORMAT,
        workstation=workstation.name,
        note=workstation.note,
        revision=_revision_part(workstation.revision),
        tablet=schema.TabletPart(
            label=tablet.label or None,
            width_mm=tablet.width_mm,
            height_mm=tablet.height_mm,
            counts_per_mm=tablet.counts_per_mm,
            turn_deg=tablet.turn_deg,  # type: ignore[arg-type]
        ),
        displays=[
            schema.DisplayPart(
                label=display.label,
                width_mm=display.width_mm,
                height_mm=display.height_mm,
                width_px=display.width_px,
                height_px=display.height_px,
                left_px=display.left_px,
                top_px=display.top_px,
            )
            for display in request.desktop.displays
        ],
        seat=None
        if workstation.seat is None
        else msgspec.convert(workstation.seat, schema.SeatPart, from_attributes=True),
        map=schema.MapPart(
            fit=request.fit,  # type: ignore[arg-type]
            hold=request.hold,  # type: ignore[arg-type]
            onto=list(request.onto),
            true_on=solved.reference.label,
        ),
        area=_area_part(solved),
        screen=schema.ScreenPart(px=_pixels(solved.screen_px)),
        figures=[_figures_part(figures) for figures in solved.figures],
        summary=schema.SummaryPart(
            scale_factor=solved.summary.scale_factor,
            area_used_percent=solved.summary.area_used_percent,
            screen_used_percent=solved.summary.screen_used_percent,
        ),
        matrix=schema.MatrixPart(
            built_mm_to_desktop_px=_matrix(solved.built_mm_to_desktop_px),
            built_unit_to_desktop_unit=_matrix(solved.built_unit_to_desktop_unit),
            desktop_px_to_built_mm=_matrix(solved.desktop_px_to_built_mm),
        ),
    )


#: How a time is written in every file of ours: UTC, to the second.
TIME = "%Y-%m-%dT%H:%M:%SZ"


def _revision_part(revision: Revision | None) -> schema.RevisionPart | None:
    if revision is None:
        return None
    return schema.RevisionPart(number=revision.number, kept=revision.kept.strftime(TIME), note=revision.note)


def _revision_of(part: schema.RevisionPart | None) -> Revision | None:
    if part is None:
        return None
    try:
        kept = datetime.fromisoformat(part.kept)
    except ValueError:
        raise RequestError(Problem("revision.kept", "must be a date and time", quoted(part.kept))) from None
    return Revision(part.number, kept, part.note)


def _area_part(solved: TabletMap) -> schema.AreaPart:
    tablet = solved.request.tablet
    built = rect_forms(solved.area_built_mm, tablet.active_built_mm, tablet.counts_per_mm)
    seen = None
    if tablet.turn_deg:
        forms = rect_forms(solved.area_seen_mm, tablet.active_seen_mm, tablet.counts_per_mm)
        seen = msgspec.convert(forms, schema.Forms, from_attributes=True)
    return msgspec.convert({**built, "seen": seen}, schema.AreaPart, from_attributes=True)


def _pixels(rect: Rect) -> schema.PixelRect:
    return msgspec.convert(rect, schema.PixelRect, from_attributes=True)


def _figures_part(figures: DisplayFigures) -> schema.FiguresPart:
    distortion, known = figures.distortion, figures.size_known
    return schema.FiguresPart(
        display=figures.display,
        scale_x=distortion.scale_x if known else None,
        scale_y=distortion.scale_y if known else None,
        stretch=distortion.stretch,
        oval_percent=distortion.oval_percent,
        angle_error_deg=distortion.angle_error_deg,
        areal_scale=distortion.areal_scale if known else None,
        longer_axis_deg=distortion.longer_axis_deg,
        counts_per_px_x=figures.counts_per_px_x,
        counts_per_px_y=figures.counts_per_px_y,
    )


def _matrix(affine: Affine) -> schema.Matrix:
    # + 0.0 turns a negative zero, which nobody can read aloud, into a zero.
    x_row, y_row, last = ((row[0] + 0.0, row[1] + 0.0, row[2] + 0.0) for row in affine.rows)
    return x_row, y_row, last


def _plain(profile: schema.Profile) -> dict[str, Any]:
    """The document as plain data; keys that cannot be known are absent."""
    plain: dict[str, Any] = _without_none(msgspec.to_builtins(profile))
    return plain


def _without_none(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _without_none(value) for key, value in data.items() if value is not None}
    if isinstance(data, (list, tuple)):
        return [_without_none(item) for item in data]
    return data


def to_yaml(workstation: Workstation) -> str:
    """The profile document as YAML text."""
    return dump(_plain(document_of(workstation)))


def to_json(workstation: Workstation) -> str:
    """The profile document as JSON text, the same keys in the same order."""
    text = msgspec.json.encode(_plain(document_of(workstation)))
    return msgspec.json.format(text, indent=2).decode() + "\n"


def load(path: str) -> Workstation:
    """The workstation of the profile at ``path``. Raises RequestError with every problem that was found."""
    return loads(read_bounded(path, LARGEST_BYTES, "profile"), str(path))


def loads(text: str | bytes, name: str) -> Workstation:
    """The workstation of a profile's text; ``name`` is put before each problem.

    Raises RequestError: what is not YAML, not of this format, not a possible workstation, or does not
    follow from what was asked.
    """
    refuse_newer(text, name, schema.FORMAT)
    parsed = parse(text, name)
    data = to_current(parsed.data, name, schema.FORMAT)

    def where(path: Path) -> str:
        return f"{name} line {parsed.line_of(path)}{', ' if path else ''}{key_path(path)}"

    profile = typed(data, schema.Profile, where)
    try:
        workstation = _workstation_of(profile)
    except EvenstrokeError as error:
        raise RequestError(*(problem.at(name) for problem in error.problems)) from None
    expected = document_of(workstation)
    for part in ("area", "screen", "figures", "summary", "matrix"):
        found, computed = getattr(profile, part), getattr(expected, part)
        if found == computed:  # as it nearly always is, to the last bit
            continue
        wrong = _first_difference(msgspec.to_builtins(found), msgspec.to_builtins(computed), (part,))
        if wrong:
            path, found, computed = wrong
            must = f"must be {computed!r}, as follows from what was asked" if computed is not None else "must be absent"
            came = "nothing" if found is None else repr(found)
            instead = "Map again with --save: a profile's second half is computed, never edited"
            raise RequestError(Problem(where(path), must, came, instead))
    return workstation


def key_path(path: Path) -> str:
    """A key path as a person writes it: ``displays[0].width_mm``."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def _workstation_of(profile: schema.Profile) -> Workstation:
    tablet, asked = profile.tablet, profile.map
    request = MapRequest(
        tablet=Tablet(tablet.width_mm, tablet.height_mm, tablet.counts_per_mm, tablet.turn_deg, tablet.label or ""),
        desktop=Desktop(
            tuple(
                Display(
                    display.width_px,
                    display.height_px,
                    display.width_mm,
                    display.height_mm,
                    display.left_px,
                    display.top_px,
                    display.label,
                )
                for display in profile.displays
            )
        ),
        fit=asked.fit,
        hold=asked.hold,
        onto=tuple(asked.onto),
        true_on=asked.true_on,
    )
    return Workstation(
        profile.workstation,
        solve(request),
        profile.note,
        None if profile.seat is None else msgspec.convert(profile.seat, Seat, from_attributes=True),
        _revision_of(profile.revision),
    )


def _first_difference(found: Any, computed: Any, path: Path) -> tuple[Path, Any, Any] | None:
    """The first place where two plain values differ by more than AGREEMENT, in the order of the document."""
    if isinstance(computed, dict) and isinstance(found, dict):
        steps: Any = computed
    elif isinstance(computed, (list, tuple)) and isinstance(found, (list, tuple)) and len(computed) == len(found):
        steps = range(len(computed))
    elif isinstance(computed, float) and isinstance(found, (int, float)):
        close = abs(found - computed) <= max(AGREEMENT * max(abs(found), abs(computed)), NOTHING)
        return None if close else (path, found, computed)
    else:
        return None if found == computed else (path, found, computed)
    for step in steps:
        wrong = _first_difference(found[step], computed[step], (*path, step))
        if wrong:
            return wrong
    return None
