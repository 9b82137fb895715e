"""What the tests of libraries start from."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from profiles.format.document import load

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = Path(__file__).parent / "samples" / "format-1.yaml"
NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)


def sample(note, name="desk"):
    return replace(load(str(SAMPLE)), name=name, note=note, revision=None)


def state(root):
    """Every file below ``root`` with its content."""
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}
