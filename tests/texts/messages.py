"""The messages of the program: each template that a call of the seam holds, and where it stands.

Only what the page, its pictures, its papers and the study can say is a message of the catalogues.
What only commands say stays English; so do all modules that the page never imports, and what
hardware describes of itself, byte by byte.
"""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from jinja2 import Environment, nodes

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

ROOT = Path(__file__).parents[2]
PACKAGES = ("render", "profiles", "mapper")
#: Where the page, its pictures, its papers and the study begin.
_BEGINNINGS = ("render.desk", "render.pictures", "render.pages", "render.canvas", "render.fields")
#: Modules that read hardware byte by byte, for those who look into it.
_BYTES = "edid edid_blocks hid hid_items pen_facts references evdev".split()
_STAY_ENGLISH = {f"profiles.hardware.{name}" for name in _BYTES}
#: The functions of the seam whose first argument is a template, and those whose first two are.
_ONE = {"say", "phrase", "template", "template_said", "Phrase"}
_TWO = {"say_count", "phrase_count"}
#: In this order translators meet them: what everybody sees first, what few see last.
_ORDER = """
render/desk render/desk/templates render/fields render/sentences render/pictures render/pages
render/canvas mapper profiles render/pictures/study render/pages/study render/sentences/study
""".split()


class Message(NamedTuple):
    """A template, that for several where one counts, and what tells two uses of it apart."""

    text: str
    many: str = ""
    context: str = ""


class Place(NamedTuple):
    """Where a message stands: the file, its line, and the function or class."""

    file: str
    line: int
    function: str


@cache
def messages() -> dict[Message, list[Place]]:
    """All messages with their places, in the order in which translators meet them."""
    found: dict[Message, list[Place]] = {}
    for path in sorted(_files(), key=_rank):
        name = path.relative_to(ROOT).as_posix()
        read = of_python if path.suffix == ".py" else of_template
        for message, line, function in read(path.read_text("utf-8")):
            found.setdefault(message, []).append(Place(name, line, function))
    return found


def _rank(path: Path) -> tuple[int, str]:
    name = path.relative_to(ROOT).as_posix()
    ranks = [rank for rank, start in enumerate(_ORDER) if name.startswith(start)]
    return max(ranks, default=len(_ORDER)), name


def _files() -> Iterator[Path]:
    for folder in ("desk", "pages"):
        yield from (ROOT / "render" / folder).rglob("*.html")
    modules = {_module(path): path for package in PACKAGES for path in _python(package)}
    reached = {name for name in modules if name.startswith(_BEGINNINGS)}
    coming = list(reached)
    while coming:
        new = set(_imports(modules[coming.pop()])) & modules.keys() - reached
        reached |= new
        coming += new
    yield from (modules[name] for name in reached - _STAY_ENGLISH)


def _python(package: str) -> Iterable[Path]:
    return (ROOT / package).rglob("*.py")


def _module(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def _imports(path: Path) -> Iterator[str]:
    """The modules that a module imports, now or later, but for types alone."""
    tree = ast.parse(path.read_text("utf-8"))
    for_types = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node not in for_types:
            yield node.module
            yield from (f"{node.module}.{each.name}" for each in node.names)


def of_python(source: str) -> Iterator[tuple[Message, int, str]]:
    """The messages of a module, each with its line and the function or class around it."""
    tree = ast.parse(source)
    around: dict[ast.AST, str] = {}
    named: dict[str, ast.expr] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            around |= dict.fromkeys(ast.walk(node), node.name)
        elif isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            named[node.targets[0].id] = node.value
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        called = getattr(node.func, "id", "")
        contexts = [
            text
            for keyword in node.keywords
            if keyword.arg == "context" and called in {"say", "template_said"}
            for text in _literals(keyword.value, named)
        ]
        for message in _messages(called, [list(_literals(each, named)) for each in node.args]):
            yield message._replace(context="".join(contexts)), node.lineno, around.get(node, "")


def _messages(called: str, literals: list[list[str]]) -> Iterator[Message]:
    """The messages of a call, whose arguments may each be one of several literals."""
    if called in _ONE and literals:
        yield from map(Message, literals[0])
    elif called in _TWO:
        yield from (Message(one, many) for one, many in zip(*literals[:2], strict=True))


def _literals(node: ast.AST, named: dict[str, ast.expr]) -> Iterator[str]:
    """The texts that an argument may be; one that is read elsewhere gives none."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _literals(node.body, named)
        yield from _literals(node.orelse, named)
    elif isinstance(node, ast.Name) and node.id in named:
        yield from _literals(named[node.id], {})


def of_template(source: str) -> Iterator[tuple[Message, int, str]]:
    """The messages of a template of a page."""
    for node in Environment(autoescape=True).parse(source).find_all(nodes.Call):
        called = getattr(node.node, "name", "")
        constants: list[list[Any]] = [
            [each.value] if isinstance(each, nodes.Const) else [] for each in node.args
        ]
        context = "".join(each.value.as_const() for each in node.kwargs if each.key == "context")
        for message in _messages(called, constants):
            yield message._replace(context=context), node.lineno, ""
