"""Texts in code that pass the seam by: English that no template of ``say`` or ``phrase`` holds.

Only those can be said in another language. ``outside_seam.txt`` says how many each module still
has, and why; the number may fall and never rise. Help of commands, which stays English, counts for
nothing, and neither do docstrings, patterns, markup, what is typed (a command, an option), the keys
of causes, which ``render.sentences`` has words for, and what only a developer reads: errors of
Python's own that no command catches, a ``__repr__``, and what a schema says of a key.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import TYPE_CHECKING

from mapper.touching import verdict as touched
from mapper.touching.setting import MIRRORS
from mapper.touching.slips import SLIPS
from mapper.tracing import diagnosis as traced

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[2]
FILE = Path(__file__).with_name("outside_seam.txt")
HEAD = """\
How many texts of each module stand outside say() and phrase(), and why: it may fall and never rise.
python -m tests.texts lowers the numbers. To see the texts: python -m tests.texts.seam MODULE
"""
#: The functions whose texts are templates, and those whose texts nobody reads.
_SEAM = {"say", "say_count", "phrase", "phrase_count", "template"}
_NO_TEXT = {"compile", "fullmatch", "search", "match", "sub", "split", "getattr", "warn"}
_NO_TEXT |= {"ValueError", "TypeError", "AttributeError", "KeyError", "AssertionError"}
_NO_TEXT |= {"RuntimeError", "NotImplementedError"}
#: The tables whose texts stand in schemas, as docstrings do.
_DOCUMENTING = {"DESCRIPTIONS", "FRAMES"}
#: Keywords of click that hold its help, and what only translators read.
_HELP = {
    "help",
    "help_text",
    "epilog",
    "short_help",
    "then",
    "first",
    "heading",
    "metavar",
    "context",
}
#: Two words beside each other, of which one has three letters, or a slot beside a word.
_WORDS = re.compile(
    r"(?:[a-z]{3,}[,;:.]? |[a-z]+[,;:]? [a-z]{2,}|\0[,;:]? [a-z]{3,})", re.IGNORECASE
)
#: What is typed, as it is typed: a command with its options, or an option with its value.
_TYPED = re.compile(r"(?:evenstroke [a-z-]+|--[a-z-]+)(?: [^,;]*)?")
#: Markup and patterns: nothing in them is said.
_MARKUP = re.compile(r"\s*<|(?s:.*)\\[sdwA]|[a-z]+=\"|[a-z-]+-src \S|(?s:.*)\{@media")
#: Names of causes: render.sentences has the words for each.
_KEYS = {*traced.CAUSES, *touched.CAUSES, *SLIPS, *MIRRORS, touched.CANNOT_TELL}


def texts(source: str) -> Iterator[tuple[int, str]]:
    """Line and text of each literal that people would read outside the seam."""
    tree = ast.parse(source)
    passed = {
        inner for node in ast.walk(tree) for part in _passed(node) for inner in ast.walk(part)
    }
    for node in ast.walk(tree):
        text = "" if node in passed else _text(node)
        if _WORDS.search(text) and not _nobody_reads(text):
            yield getattr(node, "lineno", 0), text


def _nobody_reads(text: str) -> bool:
    """Whether a text is a key, what is typed, or markup."""
    return text in _KEYS or bool(_TYPED.fullmatch(text)) or bool(_MARKUP.match(text))


def _passed(node: ast.AST) -> Iterator[ast.AST]:
    """The parts of a node in which no text counts."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        yield node.value
    elif isinstance(node, ast.FunctionDef):
        yield from _of_function(node)
    elif isinstance(node, ast.AnnAssign | ast.Assign):
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        if any(isinstance(each, ast.Name) and each.id in _DOCUMENTING for each in targets):
            yield node
    elif isinstance(node, ast.JoinedStr):
        # Its slots and its pieces: the whole of it counts once.
        yield from node.values
    elif isinstance(node, ast.Call):
        called = node.func
        name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
        if name in _NO_TEXT:
            yield from (*node.args, *node.keywords)
        elif name in _SEAM:
            yield from node.args
        elif name in {"Problem", "cast"}:
            yield from node.args[:1]
        yield from (keyword for keyword in node.keywords if keyword.arg in _HELP)


def _of_function(node: ast.FunctionDef) -> Iterator[ast.AST]:
    """The body of a ``__repr__``, and defaults of parameters that take help."""
    if node.name == "__repr__":
        yield from node.body
    named = [*node.args.posonlyargs, *node.args.args][-len(node.args.defaults) or None :]
    defaults = [*zip(named, node.args.defaults, strict=False)]
    defaults += [*zip(node.args.kwonlyargs, node.args.kw_defaults, strict=True)]
    yield from (value for argument, value in defaults if value and argument.arg in _HELP)


def _text(node: ast.AST) -> str:
    """The text of a literal, with a null for each slot of an f-string."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(map(_text, node.values)) if node.values else ""
    return "\0" if isinstance(node, ast.FormattedValue) else ""


def counts() -> dict[str, int]:
    """How many texts of each module stand outside the seam; modules without one are left out."""
    found = {}
    for package in ("mapper", "profiles", "render"):
        for path in sorted((ROOT / package).rglob("*.py")):
            count = sum(1 for _ in texts(path.read_text("utf-8")))
            if count:
                found[path.relative_to(ROOT).as_posix()] = count
    return found


def allowed() -> dict[str, tuple[int, str]]:
    """The numbers of the list, each with its reason."""
    lines = FILE.read_text("utf-8").removeprefix(HEAD).splitlines()
    parts = (line.split(maxsplit=2) for line in lines if line.strip())
    return {path: (int(count), "".join(reason)) for count, path, *reason in parts}


def lower() -> None:
    """Write the list anew: each number as it is now, unless it has risen."""
    now = counts()
    lines = "".join(
        f"{min(count, now[path]):4} {path}  {reason}".rstrip() + "\n"
        for path, (count, reason) in sorted(allowed().items())
        if path in now
    )
    FILE.write_text(f"{HEAD}\n{lines}", "utf-8")


if __name__ == "__main__":
    import sys

    for name in sys.argv[1:]:
        for line, text in texts(Path(name).read_text("utf-8")):
            print(f"{name}:{line}: {text!r}")
