"""Fuzzes the EDID reader with atheris: no input may raise anything but the project's own errors.

    python tests/fuzz/fuzz_edid.py -max_total_time=600 -max_len=1024 [CORPUS]

Needs the extra ``fuzz``. Random bytes hardly ever bear a right header and right checksums, so two inputs of three get
them and reach the code behind.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

with atheris.instrument_imports(include=["mapper", "profiles"]):
    from mapper.problems import EvenstrokeError
    from profiles.hardware.edid import read_edid
    from profiles.hardware.references import bytes_or_hex

HEADER = bytes.fromhex("00ffffffffffff00")


def repaired(data: bytes) -> bytes:
    """``data`` as whole blocks, with the header, a version and right checksums."""
    blocks = bytearray(data.ljust(128, b"\0"))
    del blocks[len(blocks) // 128 * 128 :]
    blocks[:8] = HEADER
    blocks[18:20] = bytes([1, blocks[19] % 5])
    for end in range(127, len(blocks), 128):
        blocks[end] = -sum(blocks[end - 127 : end]) % 256
    return bytes(blocks)


def one_input(data: bytes) -> None:
    whole = repaired(data) if data[:1] and data[0] % 3 else data
    try:
        facts = read_edid(bytes_or_hex(whole, "x"), "x")
        assert (facts.width_mm is None) == (facts.height_mm is None) == (not facts.size_source)
        facts.display("x")
    except EvenstrokeError as error:
        assert str(error)


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
