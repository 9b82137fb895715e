"""Times: written in UTC, typed and shown in the reader's own time zone."""

from __future__ import annotations

import re
from datetime import MAXYEAR, MINYEAR, UTC, datetime, time

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted

#: How a time stands in a document: UTC, to the second.
TIME = "%Y-%m-%dT%H:%M:%SZ"

#: Years that a person can mean: such tablets are no older, and nobody plans further.
YEARS = 1980, 2100

#: How a time stands in a file's name: UTC, without the colons that some file systems refuse.
_STAMP = "%Y%m%d-%H%M%S"

_MOMENT_HINT = phrase("Type a date such as 2026-03-15, or a date and time such as 2026-03-15T14:30")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


_DAYS = (
    re.compile(r"(?P<day>\d{1,2})\. ?(?P<month>\d{1,2})\. ?(?P<year>\d{4})"),
    re.compile(r"(?P<year>\d{4})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})"),
)


def iso_day(text: str) -> str:
    """A day as year-month-day, where ``text`` says which number is the month.

    ``1.4.2026`` and ``2026/4/1`` do. 1/4/2026 does not and is handed back as it is.
    """
    for form in _DAYS:
        if found := form.fullmatch(text.strip()):
            return f"{found['year']}-{found['month']:0>2}-{found['day']:0>2}"
    return text


def stamp(moment: datetime) -> str:
    """``moment`` as it stands in a file's name, in UTC."""
    return moment.astimezone(UTC).strftime(_STAMP)


def from_stamp(text: str) -> datetime | None:
    """The moment that ``stamp`` wrote, in UTC; None for a text that it never writes.

    No clock shows the first and the last year that can be written, and the one has no moment before
    it, the other none after it.
    """
    try:
        moment = datetime.fromisoformat(f"{text}Z")
    except ValueError:
        return None
    return moment if MINYEAR < moment.year < MAXYEAR else None


def parse_moment(text: str, where: str, *, at: time = time.max) -> datetime:
    """The moment that a person typed, in UTC; a bare date stands for the end of that day.

    ``at`` is the time of day that it stands for instead. It is read in the local time zone unless
    one is typed. Raises RequestError naming ``where``.
    """
    try:
        typed = iso_day(text).strip()
        moment = datetime.fromisoformat(typed)
        if _DATE.fullmatch(typed):
            moment = datetime.combine(moment.date(), at)
    except ValueError:
        raise RequestError(
            Problem(where, phrase("must be a date"), quoted(text), _MOMENT_HINT)
        ) from None
    # Before the time zone: no other year can be carried into one everywhere.
    refuse_other_years(moment.year, where, text)
    return moment.astimezone(UTC)


def refuse_other_years(year: int, where: str, text: str) -> None:
    """Raise RequestError for a ``year`` outside YEARS."""
    if not YEARS[0] <= year <= YEARS[1]:
        raise RequestError(
            Problem(
                where,
                phrase("must lie in the years {first} to {last}", first=YEARS[0], last=YEARS[1]),
                quoted(text),
            )
        )


def shown(moment: datetime) -> str:
    """``moment`` for a person: date, hour and minute in the local time zone."""
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")
