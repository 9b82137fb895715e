"""The trial book: dated notes of how a pairing felt, in a library, added to and never changed.

A note that was wrong is taken back by a further entry (``taken-back``), which names it; what is
corrected is taken back and noted again. So a copy of the library that still holds it learns of it.

An entry is one small document in the ``trials`` folder of its workstation
(``profiles.library.entries``), with the figures of the map frozen into it, so that it says what was
tried even when the workstation has long been set otherwise. The book is the entries of all
workstations of a library; ``who`` tells people apart who share one.

The days of an entry are days on the wall, without a time zone.
"""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated, Any, Literal

import msgspec
from msgspec import Meta, Struct

from mapper.choosing.viewing import Glass, Stand, View
from mapper.phrases import phrase, phrase_count
from mapper.problems import Collected, EvenstrokeError, Problem, RequestError, quoted
from mapper.units import MM_PER_INCH, finite, with_decimal_point
from profiles.csv_cells import guarded
from profiles.doubts import doubt
from profiles.files import at_line
from profiles.format.document import Workstation
from profiles.format.kinds import Kind
from profiles.library.entries import DIGEST, EntryFile, append, digest, entries, read_entry
from profiles.library.station_names import folder_name
from profiles.lists import csv_rows, joined_cells, refuse_all, require_column
from profiles.times import iso_day, refuse_other_years
from profiles.unlikely import unlikely_day, unlikely_minutes
from profiles.validate import typed
from profiles.yaml_text import dump

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Iterator

    from mapper.trials.comfort import Trial
    from profiles.library.revisions import Library

TRIAL = Kind("evenstroke_trial", phrase("note of the trial book"))
KIND, FOLDER = "felt", "trials"
TAKEN_BACK = Kind("evenstroke_untrial", phrase("note that was taken back"))
_BACK = "unfelt"
#: Ten entries a day for a working life.
LARGEST_BOOK_BYTES = 16 * 1024 * 1024

Positive = Annotated[float, Meta(gt=0)]
#: A day has so many, and nobody draws through all of them.
Minutes = Annotated[float, Meta(gt=0, le=24 * 60)]
Text = Annotated[str, Meta(min_length=1)]


class FeltFigures(
    Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True
):
    """What was tried, as it was then; what needs a size or a distance that was not known is absent.

    ``viewing_angle_deg`` is the width of the display that shapes are true on, as the eyes see it
    from ``distance_mm``; ``area_lost_percent`` what the map leaves of the active area, locked
    proportions or not; the sizes are those of the active area as built and of the picture on the
    glass.
    """

    scale_factor: Positive | None = None
    stretch: Positive | None = None
    oval_percent: float | None = None
    angle_error_deg: float | None = None
    area_width_mm: Positive | None = None
    area_height_mm: Positive | None = None
    distance_mm: Positive | None = None
    viewing_angle_deg: Positive | None = None
    area_lost_percent: Annotated[float, Meta(ge=0, lt=100)] | None = None
    tablet_width_mm: Positive | None = None
    tablet_height_mm: Positive | None = None
    display_width_mm: Positive | None = None
    display_height_mm: Positive | None = None


class Felt(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """One entry of the book: a day at a workstation, the work, and how it felt from 1 to 5.

    ``tablet`` and ``display`` are what they were called; ``shares`` says how much of the time went
    to each kind of work, in percent, ``doing`` being the largest; ``first_day`` whether it was the
    first day after a change, None where nobody said, and then it follows from the days before.
    """

    evenstroke_trial: Literal[1]
    workstation: Text
    date: Text
    doing: Text
    score: Annotated[int, Meta(ge=1, le=5)]
    minutes: Minutes | None = None
    who: Text | None = None
    note: Text | None = None
    tablet: Text | None = None
    display: Text | None = None
    shares: dict[Text, Annotated[float, Meta(gt=0, le=100)]] | None = None
    first_day: bool | None = None
    figures: FeltFigures


class _BackPart(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The document that takes a note back: the digest in its file's name."""

    evenstroke_untrial: Literal[1]
    note: Annotated[str, Meta(pattern=rf"^{DIGEST}$")]


def day_of(felt: Felt) -> dt.date:
    """The day of an entry."""
    return parse_day(felt.date, "date")


def parse_day(text: str, where: str) -> dt.date:
    """The day that ``text`` names, year-month-day. Raises RequestError naming ``where``."""
    try:
        day = datetime.strptime(text, "%Y-%m-%d").date()  # noqa: DTZ007 - a day on the wall has no time zone
    except ValueError:
        day = None
    # 2026-3-5 is read too, but would sort among the others where it does not belong.
    if day is None or day.isoformat() != text:
        must = phrase("must be a day of the calendar, year-month-day")
        raise RequestError(
            Problem(where, must, quoted(text), phrase("Type for example 2026-03-15"))
        )
    refuse_other_years(day.year, where, text)
    return day


def figures_of(workstation: Workstation, *, distance_mm: float | None = None) -> FeltFigures:
    """The figures of a workstation's map, to be frozen into an entry.

    Without ``distance_mm`` the eyes are where the workstation's seat has them.
    """
    solved, seat = workstation.map, workstation.seat
    distortion = solved.figures_on(solved.reference).distortion
    eyes_mm = distance_mm if distance_mm is not None or seat is None else seat.distance_mm
    angle = None
    if eyes_mm is not None and solved.reference.width_mm is not None:
        glass = Glass.of_display(solved.reference, None if seat is None else seat.curve_radius_mm)
        angle = View.of(glass, Stand(eyes_mm)).horizontal_deg
    return FeltFigures(
        scale_factor=solved.summary.scale_factor,
        stretch=distortion.stretch,
        oval_percent=distortion.oval_percent,
        angle_error_deg=distortion.angle_error_deg,
        area_width_mm=solved.area_seen_mm.width,
        area_height_mm=solved.area_seen_mm.height,
        area_lost_percent=max(0.0, 100 - solved.summary.area_used_percent),
        tablet_width_mm=solved.request.tablet.width_mm,
        tablet_height_mm=solved.request.tablet.height_mm,
        display_width_mm=solved.reference.width_mm,
        display_height_mm=solved.reference.height_mm,
        distance_mm=eyes_mm,
        viewing_angle_deg=angle,
    )


def felt_at(
    workstation: Workstation,
    *,
    date: str,
    doing: str,
    score: int,
    distance_mm: float | None = None,
    **more: Any,
) -> Felt:
    """An entry of a day at ``workstation``, with its names, figures and seat.

    ``doing`` may be kinds of work in shares of the time (``parse_doing``).

    ``more`` are further fields of ``Felt``. Raises RequestError where shares do not make 100.
    """
    main_work, shares = parse_doing(doing)
    tablet, display = pairing_names(workstation)
    return Felt(
        evenstroke_trial=1,
        workstation=workstation.name,
        date=date,
        doing=main_work,
        shares=shares,
        score=score,
        tablet=tablet,
        display=display,
        figures=figures_of(workstation, distance_mm=distance_mm),
        **more,
    )


def pairing_names(workstation: Workstation) -> tuple[str, str]:
    """What tablet and display of a workstation are called in the book.

    Their labels; their sizes where they have none.
    """
    solved = workstation.map
    tablet, display = solved.request.tablet, solved.reference
    size = f"{tablet.width_mm:g} × {tablet.height_mm:g} mm"
    inches = ""
    if display.width_mm is not None and display.height_mm is not None:
        inches = f"{round(math.hypot(display.width_mm, display.height_mm) / MM_PER_INCH, 1):g} in"
    own = display.label if display.label not in {"main", ""} else ""
    return tablet.label or size, own or inches or f"{display.width_px} × {display.height_px} px"


def parse_doing(text: str) -> tuple[str, dict[str, float] | None]:
    """``drawing``, or kinds of work in shares of the time: ``drawing 90, writing 10`` (percent).

    The largest comes first.

    Raises RequestError where shares are not above 0 or do not make 100.
    """
    parts = [
        re.fullmatch(r"\s*(.*?\S)\s+(\d+(?:\.\d+)?)\s*%?\s*", part) for part in text.split(",")
    ]
    if not text.strip() or not all(parts):
        return text.strip(), None
    shares = {part[1]: float(part[2]) for part in parts if part}
    if (
        abs(sum(shares.values()) - 100) > 0.5
        or min(shares.values()) <= 0
        or len(shares) < len(parts)
    ):
        must, instead = (
            phrase("shares must be above 0 and make 100 percent"),
            phrase('Type for example "drawing 90, writing 10"'),
        )
        raise RequestError(Problem("--doing", must, quoted(text), instead))
    return max(shares, key=lambda kind: shares[kind]), shares


def shares_text(shares: dict[str, float] | None) -> str:
    """The shares as ``parse_doing`` reads them."""
    return ", ".join(f"{kind} {share:g}" for kind, share in (shares or {}).items())


def filled_from_desks(library: Library, book: Iterable[Felt]) -> list[Felt]:
    """``book`` completed by what the desks of ``library`` know.

    That is, where an entry was typed without them: names, figures, the angle of the picture.

    A desk is taken as it was in force on that day, or as it was first kept. What an entry says
    itself stays; where it says a scale factor or a size that is not the desk's, another map was
    tried, and nothing is added.
    """
    known: dict[tuple[str, str], Workstation | None] = {}
    filled = []
    for felt in book:
        if (felt.workstation, felt.date) not in known:
            known[felt.workstation, felt.date] = _desk_of(library, felt)
        desk = known[felt.workstation, felt.date]
        filled.append(felt if desk is None else _filled(felt, desk))
    return filled


def _desk_of(library: Library, felt: Felt) -> Workstation | None:
    folder = library.folder_named(folder_name(felt.workstation))
    evening = datetime.combine(day_of(felt), datetime.max.time(), UTC)
    try:
        return library.load(library.in_force(folder, evening))
    except EvenstrokeError:
        revisions = library.revisions(folder) if folder.is_dir() else []
    try:
        return library.load(revisions[0]) if revisions else None
    except EvenstrokeError:
        return None


def _filled(felt: Felt, desk: Workstation) -> Felt:
    given = {
        name: value
        for name, value in msgspec.structs.asdict(felt.figures).items()
        if value is not None
    }
    ours = figures_of(desk, distance_mm=felt.figures.distance_mm)
    own = ("scale_factor", *(name for name in given if name.endswith(("width_mm", "height_mm"))))
    if not all(_near(getattr(ours, name), given.get(name), SAME_SCALE) for name in own):
        return felt
    tablet, display = pairing_names(desk)
    return msgspec.structs.replace(
        felt,
        tablet=felt.tablet or tablet,
        display=felt.display or display,
        figures=msgspec.structs.replace(ours, **given),
    )


def add(library: Library, felt: Felt, *, now: datetime | None = None) -> bool:
    """Append ``felt`` to the book of ``library``; False where the same entry is there already.

    Raises RequestError where the entry is wrong or cannot be written; then nothing was.
    """
    return add_all(library, [felt], now=now) == 1


def add_all(
    library: Library, book: Iterable[Felt], *, now: datetime | None = None, fill: bool = False
) -> int:
    """Append those entries of ``book`` that are not in ``library`` yet; how many those are.

    With ``fill`` they are completed by the desks (``filled_from_desks``). A day that has not come
    yet is doubted. Raises RequestError where an entry is wrong, before any is written, or where one
    cannot be written.
    """
    typed_in = list(book)
    filled = filled_from_desks(library, typed_in) if fill else typed_in
    wanted = [
        (felt.workstation, _plain(felt), _plain(row))
        for felt, row in zip(filled, typed_in, strict=True)
    ]
    for _, data, _ in wanted:
        _checked(data, phrase("the note"))
    there: dict[str, list[EntryFile]] = {}
    digests: dict[str, set[str]] = {}
    count = 0
    for name, data, as_typed in wanted:
        folder = library.folder_named(folder_name(name))
        place = library.place(folder, FOLDER)
        if name not in there:
            there[name] = entries(place)
            standing = _standing(library, there[name], [])
            digests[name] = {entry.digest for entry in standing}
        # An entry that was added before the desk was kept is the same entry.
        if not digests[name].isdisjoint(digest(dump(each).encode()) for each in (data, as_typed)):
            continue
        library.begin(folder)
        for sentence in (*unlikely_day(data["date"]), *unlikely_minutes(data.get("minutes"))):
            doubt(sentence)
        there[name].append(append(place, KIND, data, now or datetime.now(UTC), earlier=there[name]))
        digests[name].add(there[name][-1].digest)
        count += 1
    return count


def in_library(library: Library) -> tuple[list[Felt], list[Problem]]:
    """All entries of ``library``, the oldest day first, and what is wrong with unreadable ones."""
    found: list[tuple[str, datetime, Felt]] = []
    problems: list[Problem] = []
    for folder in library.folders():
        every = entries(library.place(folder, FOLDER)) if folder.is_dir() else []
        for entry in _standing(library, every, problems):
            with Collected(problems):
                felt = read(entry)
                found.append((felt.date, entry.at, felt))
    return [felt for _, _, felt in sorted(found, key=lambda each: each[:2])], problems


def _standing(library: Library, every: list[EntryFile], problems: list[Problem]) -> list[EntryFile]:
    """The notes among ``every`` entries, the oldest first, that were not taken back since."""
    found: list[EntryFile] = []
    for entry in every:
        if entry.kind != _BACK:
            found.append(entry)
            continue
        with Collected(problems):
            gone = library.read_once(entry, _read_back).note
            found = [each for each in found if each.digest != gone]
    return found


def _read_back(entry: EntryFile) -> _BackPart:
    return read_entry(entry, TAKEN_BACK, _BackPart)


def name_of(felt: Felt) -> str:
    """What the file of a note is called by: the digest of its content."""
    return digest(dump(_plain(felt)).encode())


def note_called(library: Library, workstation: str, name: str) -> Felt | None:
    """The note of a ``workstation`` under this name, taken back or not; None where there is none.

    Raises RequestError where it cannot be read.
    """
    place = library.place(library.folder_named(folder_name(workstation)), FOLDER)
    return next(
        (read(each) for each in entries(place) if each.kind != _BACK and each.digest == name), None
    )


def take_back(library: Library, felt: Felt, *, now: datetime | None = None) -> bool:
    """Take a note of ``library`` back; False where it is not there.

    Raises RequestError where that cannot be written.
    """
    place = library.place(library.folder_named(folder_name(felt.workstation)), FOLDER)
    every = entries(place)
    wanted = name_of(felt)
    if wanted not in {entry.digest for entry in _standing(library, every, [])}:
        return False
    data = {TAKEN_BACK.key: 1, "note": wanted}
    append(place, _BACK, data, now or datetime.now(UTC), earlier=every)
    return True


@dataclass(frozen=True, slots=True)
class EntryFilter:
    """Which entries are wanted: those that fit all that is given.

    The days ``since`` and ``until`` are both included.
    """

    who: str | None = None
    doing: str | None = None
    workstation: str | None = None
    since: dt.date | None = None
    until: dt.date | None = None
    tablet: str | None = None
    display: str | None = None
    scale_factor: float | None = None
    distance_mm: float | None = None

    def of(self, book: Iterable[Felt]) -> list[Felt]:
        """The entries of ``book`` that fit, in its order."""
        return [felt for felt in book if self._fits(felt)]

    def _fits(self, felt: Felt) -> bool:
        names = ("who", "doing", "workstation", "tablet", "display")
        same = ((name, getattr(self, name)) for name in names)
        return (
            all(value is None or getattr(felt, name) == value for name, value in same)
            and (self.since is None or felt.date >= str(self.since))
            and (self.until is None or felt.date <= str(self.until))
            and _near(felt.figures.scale_factor, self.scale_factor, SAME_SCALE)
            and _near(felt.figures.distance_mm, self.distance_mm, SAME_SEAT)
        )


#: Scales and seats that differ by less than these shares are the same: common practice, no source.
SAME_SCALE, SAME_SEAT = 0.02, 0.05


def _near(value: float | None, wanted: float | None, share: float) -> bool:
    return wanted is None or (value is not None and abs(value / wanted - 1) <= share)


def read(entry: EntryFile) -> Felt:
    """The entry of the book in a file, as it was written.

    Raises RequestError where it cannot be read.
    """
    felt = read_entry(entry, TRIAL, Felt)
    parse_day(felt.date, phrase("{place}, date", place=str(entry.path)))
    return felt


def _checked(data: dict[str, Any], name: str) -> Felt:
    felt = typed(data, Felt, lambda path: f"{name}{', ' if path else ''}{'.'.join(map(str, path))}")
    parse_day(felt.date, phrase("{place}, date", place=name))
    return felt


def _plain(felt: Felt) -> dict[str, Any]:
    plain: dict[str, Any] = msgspec.to_builtins(felt)
    return plain


# -- what the band is found from

#: What each score means.
SCORE_WORDS = {
    1: phrase("painful"),
    2: phrase("poor"),
    3: phrase("fair"),
    4: phrase("good"),
    5: phrase("a joy"),
}

Measure = Literal["scale_factor", "viewing_angle_deg"]


def trials_of(book: Iterable[Felt], measure: Measure = "scale_factor") -> list[Trial]:
    """The entries that know their ``measure``, as trials; ``book`` is of one person, in any order.

    A first day is one on which the pairing (workstation and scale) is another than at that person's
    last entry of an earlier day, or on which there is no earlier entry.
    """
    # Noting an entry has no use for it.
    from mapper.trials.comfort import Trial

    trials: list[Trial] = []
    before: tuple[str, float] | None = None
    last_of_today: tuple[str, float] | None = None
    today = ""
    for felt in sorted(book, key=lambda each: each.date):
        value = getattr(felt.figures, measure)
        if value is None:
            continue
        if felt.date != today:
            before, today = last_of_today, felt.date
        # A scale to three digits: a changed tenth of a millimetre is no other pairing.
        last_of_today = (felt.workstation, float(f"{value:.3g}"))
        first = last_of_today != before if felt.first_day is None else felt.first_day
        trials.append(Trial(value, felt.score, felt.date, first))
    return trials


# -- CSV

_OWN = (
    "date",
    "workstation",
    "doing",
    "score",
    "minutes",
    "who",
    "note",
    "tablet",
    "display",
    "shares",
    "first_day",
)
_FIGURES = tuple(field.name for field in msgspec.structs.fields(FeltFigures))
#: The columns of the book as CSV: those of an entry, then those of its figures.
CSV_COLUMNS = (*_OWN, *_FIGURES)
_REQUIRED = ("date", "workstation", "score")
_NUMBERS = {"score", "minutes", *_FIGURES}


def to_csv(book: Iterable[Felt]) -> str:
    """The book as CSV, one line an entry.

    Numbers are written so that they read as the same number.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, CSV_COLUMNS, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    for felt in book:
        row = {**msgspec.structs.asdict(felt), **msgspec.structs.asdict(felt.figures)}
        row["shares"] = shares_text(felt.shares)
        row["first_day"] = None if felt.first_day is None else "yes" if felt.first_day else "no"
        writer.writerow({column: guarded(cell) for column, cell in row.items()})
    return out.getvalue()


_YES_NO = {"yes": True, "true": True, "1": True, "x": True, "no": False, "false": False, "0": False}


def from_csv(text: str, name: str) -> list[Felt]:
    """The entries of a CSV text whose first line names its columns.

    Their order and further columns do not matter.

    Raises RequestError with all problems at once, each with its line.
    """
    problems: list[Problem] = []
    found: list[Felt] = []
    for line, cells in list(_rows(text, name)):
        with Collected(problems):
            found.append(_felt_of(cells, at_line(name, line)))
    refuse_all(problems, name)
    return found


def _rows(text: str, name: str) -> Iterator[tuple[int, dict[str, str]]]:
    rows = csv_rows(text.removeprefix("\ufeff"), name, strict=True)
    head = [column.strip().lower() for column in next(rows, (1, [""]))[1]]
    require_column(head, _REQUIRED, CSV_COLUMNS, at_line(name, 1))
    for line, cells in rows:
        # Where the comma is the decimal sign, a spreadsheet's cells may have been parted at it.
        joined = (
            joined_cells(cells, len(head))
            if any(cell.strip() for cell in cells[len(head) :])
            else cells
        )
        if joined is None:
            must = phrase_count(
                "must have {count} cell, as the first line",
                "must have {count} cells, as the first line",
                len(head),
            )
            came, instead = f"{len(cells)}", phrase("Put cells with a comma in quotes")
            raise RequestError(Problem(at_line(name, line), must, came, instead))
        yield line, dict(zip(head, (cell.strip() for cell in joined), strict=False))


def _felt_of(cells: dict[str, str], where: str) -> Felt:
    data: dict[str, Any] = {
        column: cell_number(cell, f"{where}, {column}") if column in _NUMBERS else cell
        for column, cell in cells.items()
        if cell and column in CSV_COLUMNS
    }
    figures = {column: data.pop(column) for column in _FIGURES if column in data}
    if "date" in data:
        data["date"] = iso_day(data["date"])
    if "shares" in data:
        doing, data["shares"] = parse_doing(data["shares"])
        data.setdefault("doing", doing)
    if "first_day" in data:
        data["first_day"] = yes_or_no(
            data["first_day"], phrase("{place}, {column}", place=where, column="first_day")
        )
    if float(data.get("score", 0.5)).is_integer():
        data["score"] = int(data["score"])
    return _checked({"evenstroke_trial": 1, "doing": "drawing", **data, "figures": figures}, where)


def yes_or_no(cell: str, where: str) -> bool:
    """What a cell says, in the customary words. Raises RequestError naming ``where``."""
    if cell.strip().lower() not in _YES_NO:
        raise RequestError(Problem(where, phrase("must be yes or no"), quoted(cell)))
    return _YES_NO[cell.strip().lower()]


def cell_number(cell: str, where: str) -> float:
    """A number as spreadsheets write it. Raises RequestError naming ``where``."""
    try:
        return finite(float(with_decimal_point(cell, where)), where)
    except RequestError:
        raise
    except ValueError:
        raise RequestError(Problem(where, phrase("must be a number"), quoted(cell))) from None
