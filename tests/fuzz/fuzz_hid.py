"""Fuzzes the reader of HID report descriptors with atheris: no input may raise anything but the project's own errors.

    python tests/fuzz/fuzz_hid.py -max_total_time=600 -max_len=1024 [CORPUS]

Needs the extra ``fuzz``. Half of the inputs are put inside a pen's collection, where most of the code is.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

with atheris.instrument_imports(include=["mapper", "profiles"]):
    from mapper.problems import EvenstrokeError
    from profiles.hardware.hid import read_descriptor
    from profiles.hardware.references import bytes_or_hex

PEN = bytes.fromhex("050d0902a1010920a100")


def one_input(data: bytes) -> None:
    whole = PEN + data[1:] if data[:1] and data[0] % 2 else data
    try:
        told = read_descriptor(bytes_or_hex(whole, "x"), "x")
        for pen in told.pens:
            assert pen.x.counts > 0 < pen.y.counts
            assert pen.size_mm is None or min(pen.size_mm) >= 20
        told.pen("x").tablet("x")
    except EvenstrokeError as error:
        assert str(error)


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
