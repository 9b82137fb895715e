"""How far each letter of the typeface moves the next one on, as a table that is committed.

Pillow measures the same widths and takes longer to load than a page to answer; a browser that runs
this program has no Pillow. ``python -m render.canvas.letter_widths`` writes the table anew from the
typeface's own tables (OpenType 1.9.1: cmap, hmtx, kern).
"""

from __future__ import annotations

import json
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

_TABLE = Path(__file__).with_name("letter_widths.json")
#: Pillow's basic layout adds a sixty-fourth of the pair's kerning (FreeType counts in 26.6 fixed
#: point, and it takes the fraction); pictures are laid out as they always were.
_KERNING = 1 / 64


@cache
def font_path(bold: bool = False) -> Path:
    """The file of the typeface, found without importing matplotlib, which takes half a second."""
    from importlib.util import find_spec

    spec = find_spec("matplotlib")
    if spec is None or spec.origin is None:  # pragma: no cover - matplotlib is a dependency
        raise ModuleNotFoundError("matplotlib")
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / name


class Widths:
    """The widths of one face, in units of the font."""

    def __init__(self, said: dict[str, Any]) -> None:
        self.advances: dict[int, int] = {}
        for first, run in said["runs"]:
            self.advances.update(zip(range(first, first + len(run)), run, strict=True))
        self._missing: int = said["missing"]
        self._said_pairs: dict[str, list[tuple[int, list[int]]]] = said["pairs"]
        #: After which letter, which letter, by how much: filled as letters come up.
        self._pairs: dict[int, dict[int, int]] = {}

    def length(self, text: str) -> float:
        """The width of one line of ``text``."""
        codes = [ord(letter) for letter in text]
        found = sum(self.advances.get(code, self._missing) for code in codes)
        kerned = sum(self._after(left).get(right, 0) for left, right in pairwise(codes))
        return found + kerned * _KERNING

    def _after(self, left: int) -> dict[int, int]:
        if left not in self._pairs:
            said = self._said_pairs.get(str(left), [])
            self._pairs[left] = {right: by for by, rights in said for right in rights}
        return self._pairs[left]


@cache
def widths(bold: bool) -> Widths:
    """The widths of one face of the typeface."""
    return Widths(json.loads(_TABLE.read_bytes())["bold" if bold else "regular"])


def measured(path: str | Path) -> dict[str, Any]:
    """One face's entry of the table, from its font file."""
    from fontTools.ttLib import TTFont

    font = TTFont(str(path))
    glyphs: dict[int, str] = font.getBestCmap()
    metrics = font["hmtx"]
    runs: list[tuple[int, list[int]]] = []
    for code in sorted(glyphs):
        if not runs or code != runs[-1][0] + len(runs[-1][1]):
            runs.append((code, []))
        runs[-1][1].append(metrics[glyphs[code]][0])
    codes_of: dict[str, list[int]] = {}
    for code in sorted(glyphs):
        codes_of.setdefault(glyphs[code], []).append(code)
    pairs: dict[int, dict[int, list[int]]] = {}
    for table in font["kern"].kernTables:
        for (left, right), by in table.kernTable.items():
            for code in codes_of.get(left, []):
                pairs.setdefault(code, {}).setdefault(by, []).extend(codes_of.get(right, []))
    return {
        "missing": metrics[".notdef"][0],
        "runs": runs,
        "pairs": {
            str(left): [
                [by, sorted(rights)] for by, rights in sorted(pairs[left].items()) if rights
            ]
            for left in sorted(pairs)
        },
    }


def table() -> str:
    """The whole table, as it is committed."""
    faces = {name: measured(font_path(bold)) for name, bold in (("regular", False), ("bold", True))}
    return json.dumps(faces, separators=(",", ":")).replace('],"', '],\n"') + "\n"


if __name__ == "__main__":
    _TABLE.write_text(table(), encoding="ascii", newline="\n")
