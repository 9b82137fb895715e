"""Entries of the trial book with the figures of a map that nobody drew with.

Versions before the format 2 of profiles noted the map before rounding where a driver's step was
asked for. Such an entry is told by its figures: they are those of a kept revision before rounding,
and not those that were entered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.problems import EvenstrokeError
from profiles.library.entries import EntryFile, entries
from profiles.library.trial_book import FOLDER, FeltFigures, corrections, figures_of, read

if TYPE_CHECKING:
    from pathlib import Path

    from profiles.library.revisions import Library
    from profiles.library.trial_book import Felt

#: Figures this near are those of one map: what is written of it is exact to nine digits.
_SAME = 1e-7
_COMPARED = ("scale_factor", "stretch", "area_width_mm", "area_height_mm")


@dataclass(frozen=True, slots=True)
class Miscounted:
    """One such entry: its file, what it says, and the figures that it should have."""

    entry: EntryFile
    felt: Felt
    right: FeltFigures


def miscounted(library: Library, folder: Path) -> list[Miscounted]:
    """The entries of the workstation in ``folder`` that are miscounted and not corrected; what
    cannot be read is left out.
    """
    done, _ = corrections(library, folder)
    book = [entry for entry in entries(library.place(folder, FOLDER)) if entry.digest not in done]
    if not book:
        return []
    rounded = []
    for file in library.revisions(folder):
        try:
            workstation = library.load(file)
        except EvenstrokeError:
            continue
        if workstation.map.request.step is not None:
            rounded.append((figures_of(workstation, exact=True), figures_of(workstation)))
    found = []
    for entry in book if rounded else ():
        try:
            felt = read(entry)
        except EvenstrokeError:
            continue
        if any(_same(felt.figures, entered) for _, entered in rounded):
            continue
        # The newest where several had the same map before rounding.
        right = [entered for exact, entered in rounded if _same(felt.figures, exact)]
        if right:
            found.append(Miscounted(entry, felt, right[-1]))
    return found


def _same(one: FeltFigures, other: FeltFigures) -> bool:
    for name in _COMPARED:
        first, second = getattr(one, name), getattr(other, name)
        if (first is None) != (second is None) or (
            first is not None and not math.isclose(first, second, rel_tol=_SAME)
        ):
            return False
    return True
