"""What changed in a library since a day: changed_this_month.py LIBRARY 2026-11-01."""

from __future__ import annotations

import sys
from datetime import UTC, datetime

from evenstroke import Library, changes


def changed(library: Library, since: datetime) -> list[str]:
    """A line for each thing that changed on any workstation."""
    lines = []
    stations, problems = library.stations()
    for station in stations:
        for revision in library.revisions(station.folder):
            if revision.kept < since:
                continue
            day, after = revision.kept.date(), library.load(revision)
            before = library.before(revision)
            if before is None:
                lines.append(f"{day} {after.name}: new")
                continue
            lines += [
                f"{day} {after.name}: {change.what} from {change.before} to {change.after}"
                for change in changes(before, after)
            ]
    return lines + [f"damaged: {problem}" for problem in problems]


def main(folder: str, day: str) -> None:
    """Print the lines."""
    since = datetime.fromisoformat(day).replace(tzinfo=UTC)
    print("\n".join(changed(Library(folder), since)))


if __name__ == "__main__":
    main(*sys.argv[1:])
