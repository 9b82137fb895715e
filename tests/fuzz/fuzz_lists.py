"""Fuzzes the reader of pasted lists with atheris: no input may raise anything but the project's own errors.

    python tests/fuzz/fuzz_lists.py -max_total_time=600 -max_len=1024 [CORPUS]

Needs the extra ``fuzz``. Half of the inputs get a header that is known, so that the rows are reached.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

with atheris.instrument_imports(include=["mapper", "profiles"]):
    from mapper.problems import EvenstrokeError
    from profiles.lists import display_list, tablet_list

HEADERS = (
    b"label,size,counts_per_mm,turn_deg\n",
    b"name;width_mm;height_mm;resolution\n",
    b"label,diagonal_in,pixels\n",
    b"display\twidth (in)\theight (in)\twidth_px\theight_px\n",
)


def one_input(data: bytes) -> None:
    content = HEADERS[data[0] % 4] + data[1:] if data[:1] and data[0] % 2 else data
    for read in (tablet_list, display_list):
        try:
            assert read(content, "x").items
        except EvenstrokeError as error:
            assert str(error).startswith("x")


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
