"""Maps a screenless pen tablet to a display so circles stay round.

What a program needs, by what it is for:

    Tablet, Display, Desktop, MapRequest, Rect, Step, Feel     what stands on the desk, and the wish
    solve                                                      makes the map, a TabletMap
    to_plain, draw, to_svg                                     a map as data, and as a picture
    Workstation, Seat, Entry, Revision                         what a profile holds
    load, loads, save                                          profiles, as files and as text
    Library, changes                                           kept settings, and what changed
    EvenstrokeError, RequestError, AnswerIsNo                  what goes wrong

>>> from evenstroke import Desktop, Display, MapRequest, Tablet, solve
>>> desktop = Desktop((Display(2560, 1440, diagonal_mm=685.8),))
>>> solved = solve(MapRequest(Tablet(240, 152), desktop, hold="top"))
>>> solved.area_built_mm
Rect(left=0.0, top=0.0, width=240.0, height=135.0)
>>> round(solved.forms["inch"].height, 4), round(solved.summary.scale_factor, 3)
(5.315, 2.491)

Names carry unit and frame; ``help("mapper")`` says what the frames are. Everything else in the
folders ``mapper``, ``profiles`` and ``render`` is private and may change. Each name is loaded when
it is first used: ``import evenstroke`` imports nothing and changes nothing in your program.
"""

# Not from typing, which is a module more.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from pathlib import Path

    from mapper.desk import Desktop, Display, Tablet
    from mapper.mapping.entry import Entry
    from mapper.mapping.feel import Feel
    from mapper.mapping.solve import MapRequest, TabletMap
    from mapper.mapping.steps import Step
    from mapper.problems import AnswerIsNo, EvenstrokeError, Problem, RequestError
    from mapper.rect import Rect
    from mapper.seat import Seat
    from mapper.solving import solve
    from profiles.format.compare import Change, changes
    from profiles.format.document import Revision, Workstation, load, loads, save
    from profiles.library.revisions import Library
    from render.programs import draw, to_plain, to_svg

    __version__: str

__all__ = [
    "AnswerIsNo",
    "Change",
    "Desktop",
    "Display",
    "Entry",
    "EvenstrokeError",
    "Feel",
    "Library",
    "MapRequest",
    "Problem",
    "Rect",
    "RequestError",
    "Revision",
    "Seat",
    "Step",
    "Tablet",
    "TabletMap",
    "Workstation",
    "__version__",
    "changes",
    "draw",
    "load",
    "loads",
    "save",
    "solve",
    "to_plain",
    "to_svg",
]

# Where each module's names are.
_HOMES = {
    "mapper.desk": ("Desktop", "Display", "Tablet"),
    "mapper.mapping.entry": ("Entry",),
    "mapper.mapping.feel": ("Feel",),
    "mapper.mapping.solve": ("MapRequest", "TabletMap"),
    "mapper.mapping.steps": ("Step",),
    "mapper.problems": ("AnswerIsNo", "EvenstrokeError", "Problem", "RequestError"),
    "mapper.rect": ("Rect",),
    "mapper.seat": ("Seat",),
    "mapper.solving": ("solve",),
    "profiles.format.compare": ("Change", "changes"),
    "profiles.format.document": ("Revision", "Workstation", "load", "loads", "save"),
    "profiles.library.revisions": ("Library",),
    "render.programs": ("draw", "to_plain", "to_svg"),
}
_FOLDERS = ("mapper", "profiles", "render")


def _public(name: str) -> object:
    """The public ``name``, loaded when it is first used."""
    from importlib import import_module

    if name == "__version__":
        found = import_module("importlib.metadata").version("evenstroke")
    else:
        home = next((home for home, names in _HOMES.items() if name in names), None)
        if home is None:
            raise AttributeError(f"module 'evenstroke' has no attribute {name!r}")
        _refuse_stranger(home.partition(".")[0])
        found = getattr(import_module(home), name)
        # Who asks for a map may be a notebook, which shows its picture.
        import_module("render.programs").show_in_notebooks()
    globals()[name] = found
    return found


# Not by a def: type checkers would take any name for a public one.
globals()["__getattr__"] = _public


def __dir__() -> list[str]:
    return [*__all__, "main"]


def main() -> None:
    """The command ``evenstroke``; it leaves the process with its exit code.

    Packages of other people that are called as ours may stand on the path before ours: then the
    folder that holds ours is put before them. Leaves with 2, naming the other package, where one is
    loaded already.
    """
    # Not signal, which imports some ten modules more before it can be told anything. Until the
    # program can answer Control-C in words, it ends the process and nothing more: no traceback of
    # an import.
    import _signal  # type: ignore[import-not-found]

    _signal.signal(_signal.SIGINT, _signal.SIG_DFL)
    import sys

    _ours_first()
    if not sys.warnoptions:
        # What Python remarks on our code is for us, and no user can do anything about it.
        import warnings

        warnings.simplefilter("ignore")
    try:
        _refuse_stranger("render")
    except ImportError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(2)
    from render.cli import main as program

    program()


def _ours_first() -> None:
    import sys
    from pathlib import Path

    folders = [Path(entry or ".") for entry in sys.path]
    ours = next((folder for folder in folders if _is_ours(folder)), None)
    first = next(
        (folder for folder in folders if any(_there(folder, name) for name in _FOLDERS)), None
    )
    if ours is not None and first != ours:
        sys.path.insert(0, str(ours))


def _refuse_stranger(name: str) -> None:
    """Raise ImportError where the package ``name`` that is loaded is another one than ours."""
    from importlib import import_module
    from pathlib import Path

    file = Path(import_module(name).__file__ or "")
    stranger = file.parent if file.name == "__init__.py" else file
    if not _is_ours(stranger.parent):
        # People read it too, in English alone: what says things in their language may be not ours.
        raise ImportError(
            f"evenstroke needs its own package {name}, and another one was loaded: {stranger}. "
            "Rename that one, or take it off the path"
        )


def _is_ours(folder: "Path") -> bool:
    return (folder / "render" / "cli" / "exits.py").is_file() and (
        folder / "profiles" / "profile.schema.json"
    ).is_file()


def _there(folder: "Path", name: str) -> bool:
    return (folder / name).is_dir() or (folder / f"{name}.py").is_file()
