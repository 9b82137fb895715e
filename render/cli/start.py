"""What the installed command starts: a module of its own called ``evenstroke``.

It puts our packages before a stranger's. ``mapper``, ``profiles`` and ``render`` are names that
anybody may have given a package or a folder of their own. Where such a one stands earlier on the
path (``PYTHONPATH``), the folder that holds ours is put before it.
"""

# Not signal, which imports some ten modules more before it can be told anything.
import _signal  # type: ignore[import-not-found]

# Until the program can answer Control-C in words, it ends the process and nothing more: no
# traceback of an import.
_signal.signal(_signal.SIGINT, _signal.SIG_DFL)

import sys  # noqa: E402
from pathlib import Path  # noqa: E402

NAMES = ("mapper", "profiles", "render")


def main() -> None:
    """The program.

    Leaves with 2, naming the other package, where one is there that cannot be passed by.
    """
    _ours_first()
    import render

    stranger = Path(render.__file__ or "").parent
    if not _is_ours(stranger.parent):
        must = f"evenstroke: needs its own package render, and another one was loaded: {stranger}"
        sys.stderr.write(f"{must}. Rename that one, or take it out of PYTHONPATH\n")
        sys.exit(2)
    from render.cli import main as program

    program()


def _ours_first() -> None:
    folders = [Path(entry or ".") for entry in sys.path]
    ours = next((folder for folder in folders if _is_ours(folder)), None)
    first = next(
        (folder for folder in folders if any(_there(folder, name) for name in NAMES)), None
    )
    if ours is not None and first != ours:
        sys.path.insert(0, str(ours))


def _is_ours(folder: Path) -> bool:
    return (folder / "render" / "cli" / "exits.py").is_file() and (
        folder / "profiles" / "profile.schema.json"
    ).is_file()


def _there(folder: Path, name: str) -> bool:
    return (folder / name).is_dir() or (folder / f"{name}.py").is_file()
