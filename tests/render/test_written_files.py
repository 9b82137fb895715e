"""What a file that is handed on says of its maker: no paths, no users, no dates, no computers."""

import datetime as dt
import io
import platform

import pdfplumber
import pytest
from pdfminer.pdftypes import PDFStream
from PIL import Image

from tests.profiles.libraries import ROOT

DESK = ("--tablet", "240x152mm", "--display", "27in 2560x1440", "--workstation", "window")
FILES = {
    "picture desk.yaml out.png": ("out.png",),
    "picture desk.yaml out.webp": ("out.webp",),
    "picture desk.yaml out.gif": ("out.gif",),
    "picture desk.yaml out.svg": ("out.svg",),
    "picture desk.yaml out.pdf": ("out.pdf",),
    "sheet desk.yaml out.pdf": ("out.pdf",),
    "stencil desk.yaml out.pdf": ("out.pdf",),
    "pad desk.yaml out.html": ("out.html",),
    "study out.pdf out.html out.md": ("out.pdf", "out.html", "out.md", "out.csv"),
    "study slides": (),
}
#: Sheets for the wall bear the day on which they are made, since they grow old there.
DATED = {"sheet desk.yaml out.pdf"}


def contents(path):
    """All bytes of a file, its packed parts unpacked too."""
    content = path.read_bytes()
    found = [content]
    if path.suffix == ".pdf":
        with pdfplumber.open(io.BytesIO(content)) as pdf:
            found += [page.extract_text().encode() for page in pdf.pages]
            found.append(repr(pdf.metadata).encode())
            document = pdf.doc
            for table in document.xrefs:
                for number in table.get_objids():
                    each = document.getobj(number)
                    found.append(repr(each).encode())
                    # Pixels say nothing, and take long to unpack.
                    if isinstance(each, PDFStream) and "Image" not in repr(each.get("Subtype")):
                        found.append(each.get_data())
    elif path.suffix in {".png", ".webp", ".gif"}:
        with Image.open(path) as picture:
            found.append(repr(picture.info).encode())
            found.append(picture.getexif().tobytes())
    return found


@pytest.mark.parametrize("asked", FILES)
def test_a_file_says_nothing_of_its_maker(asked, run, tmp_path, monkeypatch):
    home = tmp_path / "zz-home-of-mine"
    (home / "desks").mkdir(parents=True)
    monkeypatch.setenv("HOME", str(home))
    for name in ("USER", "LOGNAME", "USERNAME", "LNAME"):
        monkeypatch.setenv(name, "zz-user-of-mine")
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(home / "library"))
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    monkeypatch.chdir(home / "desks")
    assert run("map", *DESK, "--save", "desk.yaml", "--keep")[0] == 0
    for day in range(1, 10):
        assert run("felt", "window", "--score", "4", "--date", f"2026-02-{day:02d}")[0] == 0
    code, _, err = run(*asked.split())
    assert code == 0, err
    written = [home / "desks" / name for name in FILES[asked]]
    written = written or sorted((home / "desks" / "slides").iterdir())
    today = dt.datetime.now().astimezone()
    secrets = ["zz-", str(tmp_path), str(ROOT), "site-packages"]
    if len(platform.node()) > 4:
        # A shorter name may stand anywhere.
        secrets.append(platform.node())
    if asked not in DATED:
        secrets += [f"{today:%Y-%m-%d}", f"{today:%Y%m%d}", f"{today.day} {today:%B}"]
    for path in written:
        for content in contents(path):
            for secret in [*secrets, "CreationDate", "ModDate", "Producer"]:
                if path.suffix != ".pdf" and secret in {"CreationDate", "ModDate", "Producer"}:
                    continue
                found = content.find(secret.encode())
                assert found < 0, (path.name, secret, content[max(0, found - 40) : found + 60])


def test_what_is_searched_for_would_be_found(tmp_path):
    from matplotlib.backends.backend_pdf import PdfPages
    from matplotlib.figure import Figure

    path = tmp_path / "x.pdf"
    figure = Figure()
    figure.text(0.5, 0.5, "zz-user-of-mine")
    with PdfPages(path, metadata={"Author": "zz-user"}) as pages:
        pages.savefig(figure)
    found = contents(path)
    assert any(b"zz-user-of-mine" in each for each in found), "among what is drawn"
    assert any(b"CreationDate" in each for each in found)
