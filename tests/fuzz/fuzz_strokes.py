"""Any bytes as strokes in CSV, JSON and SVG and as an archive: `python tests/fuzz/fuzz_strokes.py -max_total_time=600 CORPUS`.

With atheris where it is installed (Linux); what is not refused in words is a finding. Seeds: see SEEDS.
"""

import contextlib
import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["profiles"]):
    from mapper.problems import EvenstrokeError
    from profiles.library.archive import import_archive
    from profiles.library.revisions import Library
    from profiles.strokes.drawing import read_drawing

SEEDS = (
    b"0stroke,x,y\n1,2,3\n1,4,5\n",
    b"1[[[1,2],[3,4]]]",
    b'1{"unit":"mm","strokes":[[{"x":1,"y":2},[3,4]]]}',
    b'2<svg xmlns="http://www.w3.org/2000/svg"><g id="a"><path d="M0 0L5 5"/></g><use href="#a"/></svg>',
    b"3PK\x03\x04",
)
ENDINGS = ("csv", "json", "svg", "zip")
FOLDER = Path(tempfile.mkdtemp())


def one(data):
    """The first byte says as what the rest is read."""
    if not data:
        return
    path = FOLDER / f"x.{ENDINGS[data[0] % 4]}"
    path.write_bytes(data[1:])
    with contextlib.suppress(EvenstrokeError):
        if path.suffix == ".zip":
            import_archive(Library(FOLDER / "library"), path)
        else:
            read_drawing(str(path))


if __name__ == "__main__":
    corpus = FOLDER / "corpus"
    corpus.mkdir()
    for at, seed in enumerate(SEEDS):
        (corpus / str(at)).write_bytes(seed)
    atheris.Setup([*sys.argv, str(corpus)], one)
    atheris.Fuzz()
