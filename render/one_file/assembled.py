"""The one file and the folder, put together from the program, the wheels and Pyodide."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import shutil
import tempfile
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader

from render.desk.script_texts import one_file_texts
from render.one_file.fetched import run
from render.one_file.inside import Inside
from render.sentences.languages import direction, language, offered
from render.sentences.say import speaking

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from render.one_file.fetched import Fetched

CHECKOUT = Path(__file__).parents[2]
SCRIPTS = Path(__file__).with_name("scripts")
STATIC = CHECKOUT / "render/desk/static"

#: Of the program, what no page asks for: the command line, what only it prints, and this tool but
#: for the part that runs in the file.
_NOT_OURS = (
    "render/cli",
    "render/reports",
    "render/public",
    "render/one_file",
    "render/programs.py",
)
_INSIDE = ("render/one_file/__init__.py", "render/one_file/inside.py")
#: Of the standard library, what no page can ask for; all else goes in, since a module that is
#: imported at the hundredth answer was not seen by any list made from what was loaded.
_NOT_STANDARD = (
    *(
        "pydoc_data",
        "idlelib",
        "turtledemo",
        "ensurepip",
        "unittest",
        "_pyrepl",
        "sqlite3",
        "curses",
    ),
    *("dbm", "tomllib", "wsgiref", "xmlrpc", "venv", "lib2to3", "tkinter", "test", "turtle.py"),
    *("pydoc.py", "doctest.py", "pdb.py", "bdb.py", "mailbox.py", "imaplib.py", "smtplib.py"),
    *("ftplib.py", "poplib.py", "tarfile.py", "cProfile.py", "profile.py", "pstats.py", "trace.py"),
    *("_pydecimal.py", "pickletools.py", "_android_support.py", "_apple_support.py"),
    "_ios_support.py",
)
#: Of wheels: what is compiled for another machine, what only type checkers and compilers read.
_NOT_OF_WHEELS = {".pyi", ".pyx", ".pxd", ".c", ".h", ".exe"}


def assemble(out: Path, fetched: Fetched, more: Path | None = None) -> Iterator[tuple[Path, int]]:
    """Write the file and the folder into ``out``; each with its size in bytes.

    ``more`` is a folder of further wheels.
    """
    with tempfile.TemporaryDirectory(prefix="evenstroke-") as temporary:
        work = Path(temporary)
        parts = _parts(work, fetched, sorted(more.glob("*.whl")) if more else ())
        shell = (work / "start.js").read_text("utf-8")
        manifest = {"assets": _assets(work), "lock": _lock(fetched)}
    packed = {name: gzip.compress(content, 9, mtime=0) for name, content in parts.items()}
    folder = out / "folder"
    folder.mkdir(parents=True, exist_ok=True)
    page = _pages().get_template("page.html")
    filled = {
        "style": Path(__file__).with_name("page.css").read_text("ascii"),
        "words": _words(),
        "manifest": manifest,
        "shell": shell,
    }
    whole = out / "evenstroke.html"
    embedded = {name: base64.b64encode(content).decode() for name, content in packed.items()}
    made = page.render(
        filled, script_source=f"'{_csp_hash(shell)}'", connect_source="'none'", embedded=embedded
    )
    whole.write_text(made, "utf-8", newline="\n")
    yield whole, whole.stat().st_size
    made = page.render(filled, script_source="'self'", connect_source="'self'", embedded={})
    (folder / "index.html").write_text(made, "utf-8", newline="\n")
    (folder / "start.js").write_text(shell, "utf-8", newline="\n")
    for name, content in packed.items():
        (folder / f"{name}.bin").write_bytes(content)
    yield folder, sum(path.stat().st_size for path in folder.iterdir())


def _words() -> dict[str, dict[str, str]]:
    """What the scripts around the page say in each language, and where its lines run to."""
    words = {}
    for code in offered():
        with speaking(language(code)):
            words[code] = {**one_file_texts(), "direction": direction()}
    return words


def _pages() -> Environment:
    here = FileSystemLoader(Path(__file__).parent)
    made = Environment(loader=here, autoescape=True, trim_blocks=True, keep_trailing_newline=True)
    made.filters["csp_hash"] = _csp_hash
    return made


def _csp_hash(content: str) -> str:
    """The content of a script or style as a policy names it (W3C, CSP 3, 2.3.1)."""
    return f"sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}"


def _parts(work: Path, fetched: Fetched, more: Sequence[Path]) -> dict[str, bytes]:
    """What is unpacked when the file is opened, by name; ``work`` then holds the scripts too."""
    _program(work / "program", [*fetched.wheels, *more])
    with zipfile.ZipFile(fetched.modules / "pyodide/python_stdlib.zip") as archive:
        archive.extractall(work / "standard")
    for name in _NOT_STANDARD:
        _remove(work / "standard" / name)
    run(
        *("node", str(SCRIPTS / "compile.mjs"), str(fetched.modules)),
        "program",
        "standard",
        cwd=work,
    )
    shutil.copytree(STATIC, work / "static")
    for name in ("place.js", "life.js"):
        shutil.copy(SCRIPTS / name, work / "static" / name)
    run(
        *("node", str(SCRIPTS / "bundle.mjs"), str(fetched.modules), str(work)),
        *(str(work / "static"), str(SCRIPTS)),
        cwd=work,
    )
    return {
        "worker": (work / "worker.js").read_bytes(),
        "pyodide.asm.wasm": (fetched.modules / "pyodide/pyodide.asm.wasm").read_bytes(),
        "standard.zip": (work / "standard.zip").read_bytes(),
        "program.zip": (work / "program.zip").read_bytes(),
    }


def _program(folder: Path, wheels: Sequence[Path]) -> None:
    for wheel in wheels:
        with zipfile.ZipFile(wheel) as archive:
            archive.extractall(folder)
    for path in folder.rglob("*"):
        foreign = path.suffix == ".so" and "emscripten" not in path.name
        if foreign or path.suffix in _NOT_OF_WHEELS or path.name in {"RECORD", "cyaml.py"}:
            path.unlink()
    for name in ("mapper", "profiles", "render"):
        shutil.copytree(
            CHECKOUT / name,
            folder / name,
            ignore=shutil.ignore_patterns("__pycache__", "*.po", "*.pot", "*.md"),
        )
    for name in _NOT_OURS:
        _remove(folder / name)
    for name in _INSIDE:
        (folder / name).parent.mkdir(exist_ok=True)
        shutil.copy(CHECKOUT / name, folder / name)


def _remove(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def _assets(work: Path) -> dict[str, str]:
    """Styles, scripts and pictures of the pages by name, as texts."""
    with tempfile.TemporaryDirectory() as library:
        inside = Inside(Path(library) / "library", {})
        look = inside.call("GET", f"{inside.place.path}/look.css")[2].decode()
    scripts = {path.name: path.read_text("utf-8") for path in (work / "pages").glob("*.js")}
    styles = {
        path.relative_to(STATIC).as_posix(): path.read_text("utf-8")
        for path in sorted(STATIC.rglob("*"))
        if path.suffix in {".css", ".svg"}
    }
    return {"look.css": look, **styles, **scripts}


def _lock(fetched: Fetched) -> object:
    """What Pyodide wants to know of the distribution that it came with: itself, no packages."""
    lock = json.loads((fetched.modules / "pyodide/pyodide-lock.json").read_text("utf-8"))
    return {"info": lock["info"], "packages": {}}
