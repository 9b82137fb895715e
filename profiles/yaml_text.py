"""YAML, read strictly and written in one fixed style.

The only module that knows the YAML library.

Read is a small, unsurprising part of YAML 1.2: mappings with plain text keys, lists, text, numbers,
true, false and null. What YAML 1.1 and 1.2 read differently (``16:9``, ``no``, ``0123``) is refused
with what to write instead, as are duplicate keys, anchors, aliases and tags, so that a document
says the same to every reader.

The emitter is PyYAML's own in Python, whose bytes do not depend on how PyYAML was built; reading
uses libyaml where it is there.
"""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import yaml

from mapper.phrases import phrase, template
from mapper.problems import Problem, RequestError, quoted
from profiles.files import at_line

if TYPE_CHECKING:
    from collections.abc import Collection

# libyaml's parser where PyYAML was built with it: the same events, ten times as fast.
_Parser: Any = yaml.cyaml.CParser if yaml.__with_libyaml__ else yaml.SafeLoader  # type: ignore[attr-defined]

DEEPEST = 20
_TOO_DEEP = phrase("must not be nested more than {deepest} deep", deepest=DEEPEST)

_NUMBER = re.compile(r"[-+]?(?:(?:0|[1-9][0-9]*)(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")
_MOST_DIGITS = 400
_LARGEST = sys.float_info.max
_WORDS: dict[str, bool | None] = {"": None, "~": None, "null": None, "Null": None, "NULL": None}
_WORDS |= {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
# Plain text that some reader of YAML takes for something else than text.
_TRAPS = (
    (
        re.compile(r"[-+]?\.(?:nan|inf)", re.IGNORECASE | re.ASCII),
        phrase("must be a finite number"),
        template("Write a number"),
    ),
    (
        re.compile(r"(?:y|n|yes|no|on|off)", re.IGNORECASE | re.ASCII),
        phrase("must be true, false or quoted text"),
        template('Write "{text}"'),
    ),
    (
        re.compile(r"[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9]*)?"),
        phrase("must be quoted, as some readers take it for a number in base 60"),
        template('Write "{text}"'),
    ),
    (
        re.compile(r"[-+]?0[0-9_]+|[-+]?0[xob][0-9a-fA-F_]+|[-+]?[0-9][0-9_]*_[0-9_.]*"),
        phrase("must be a decimal number without leading zeros or underscores, or quoted text"),
        template('Write "{text}" for text'),
    ),
)
# Characters that some style of YAML takes for a line's end or drops; escaped, they stay what they
# are.
_BREAKS = re.compile(r"[\r\t\x85\u2028\u2029\ufeff]")
_FIRST_OF_A_TRAP_OR_NUMBER = frozenset("-+.0123456789~yYnNoOtTfF")


@dataclass(frozen=True, slots=True)
class Parsed:
    """A document: its file's ``name``, its plain data, and the line of each key and list item."""

    name: str
    data: Any
    lines: dict[int, dict[Any, int]]

    def where(self, path: tuple[str | int, ...]) -> str:
        """Where ``path`` is, as a problem says it: file, line and keys.

        For example ``desk.yaml line 7, displays[0].width_mm``.
        """
        text = ""
        for step in path:
            # A key that is not known may hold anything, a new line too.
            name = step if isinstance(step, int) or step.isprintable() else quoted(step)
            text += f"[{name}]" if isinstance(name, int) else f".{name}" if text else name
        return phrase(
            "{self} line {line_of}{value}{text}",
            self=self.name,
            line_of=self.line_of(path),
            value=", " if path else "",
            text=text,
        )

    def line_of(self, path: tuple[str | int, ...]) -> int:
        """The line (from 1) of the key or item at ``path``.

        That of the nearest one around it where there is none.
        """
        line, here = 1, self.data
        for step in path:
            known = self.lines.get(id(here), {})
            if step not in known:
                break
            line, here = known[step], here[step]
        return line


def parse(text: str | bytes, name: str) -> Parsed:
    """The one document of ``text``; ``name`` (of the file) is put before every problem.

    Raises RequestError with all problems at once, each with its line; a break of YAML's own grammar
    is reported alone, since nothing after it can be told.
    """
    try:
        if isinstance(text, bytes):
            text = text.decode("utf-8")
        return _Events(text, name).read()
    except UnicodeDecodeError as error:
        must = phrase("must be text in UTF-8; byte {start} is not", start=error.start)
        raise RequestError(
            Problem(name, must, instead=phrase("Is this the profile, or a picture?"))
        ) from None
    except UnicodeEncodeError as error:  # half of a surrogate pair in a str
        must = phrase(
            "must be text that UTF-8 can hold; character {start} is not", start=error.start
        )
        raise RequestError(Problem(name, must)) from None
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = at_line(name, mark.line + 1) if mark else name
        what = " ".join(filter(None, (error.context, error.problem)))
        if (
            "maximum nesting depth" in what
        ):  # libyaml's own bound, met while it looks ahead for a colon
            raise RequestError(Problem(where, _TOO_DEEP)) from None
        raise RequestError(Problem(where, phrase("must be YAML"), what)) from None
    except yaml.YAMLError as error:
        raise RequestError(
            Problem(name, phrase("must be YAML text"), " ".join(str(error).split()))
        ) from None


class _Open:
    """A mapping or list that is being filled.

    ``key`` is the one that waits for its value, or None.
    """

    __slots__ = ("holder", "is_mapping", "key", "lines")

    def __init__(self, holder: Any, lines: dict[Any, int]) -> None:
        self.holder, self.lines = holder, lines
        self.is_mapping = type(holder) is dict
        self.key: str | None = None

    def put(self, value: Any, line: int) -> None:
        """Take ``value``, which stands in this ``line``; that of a key is known from the key."""
        if self.is_mapping:
            self.holder[self.key] = value
            self.key = None
        else:
            self.lines[len(self.holder)] = line
            self.holder.append(value)


class _Events:
    """Turns the parser's events into plain data.

    Without recursion, so that no input is too deep to refuse.
    """

    def __init__(self, text: str, name: str) -> None:
        self.name = name
        self.parser = _Parser(text)
        self.problems: list[Problem] = []
        self.lines: dict[int, dict[Any, int]] = {}
        self.stack: list[_Open] = []
        self.root: Any = None

    def read(self) -> Parsed:
        next_event = self.parser.get_event
        next_event()  # the stream's start
        if type(next_event()) is yaml.StreamEndEvent:
            raise RequestError(
                Problem(self.name, phrase("must hold a document"), phrase("an empty file"))
            )
        stack = self.stack
        while True:
            event = next_event()
            kind = type(event)
            if kind is yaml.ScalarEvent and stack and event.tag is None and event.anchor is None:
                # Nearly every event, so it takes the short way.
                here, text, line = stack[-1], event.value, event.start_mark.line + 1
                if here.is_mapping and here.key is None:
                    self.take_key(here, text, line)
                else:
                    here.put(self.scalar(text, line) if event.implicit[0] else text, line)
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                stack.pop()
            elif kind is yaml.DocumentEndEvent:
                break
            elif stack and stack[-1].is_mapping and stack[-1].key is None:
                self.take_odd_key(event)
            else:
                self.put(self.value(event, kind), event.start_mark.line + 1)
        if type(next_event()) is not yaml.StreamEndEvent:
            self.problem(None, phrase("must hold one document"), phrase("several, divided by ---"))
        if self.problems:
            raise RequestError(*self.problems)
        return Parsed(self.name, self.root, self.lines)

    def take_key(self, here: _Open, key: str, line: int) -> None:
        if key in here.holder:
            self.problem(
                line,
                phrase("each key must appear only once"),
                phrase("{key} again", key=quoted(key)),
            )
        here.key = key
        here.lines[key] = line

    def take_odd_key(self, event: Any) -> None:
        """A key that is decorated, or none at all."""
        line = event.start_mark.line + 1
        if type(event) is not yaml.ScalarEvent:
            # What follows could no longer be told apart into keys and values.
            self.problem(
                line, phrase("a key must be plain text"), phrase("a mapping, a list or an alias")
            )
            raise RequestError(*self.problems)
        self.refuse_decoration(event, line)
        self.take_key(self.stack[-1], event.value, line)

    def value(self, event: Any, kind: type) -> Any:
        line = event.start_mark.line + 1
        if kind is yaml.AliasEvent:
            self.problem(
                line, phrase("must not use aliases: write the value itself"), f"*{event.anchor}"
            )
            return None
        self.refuse_decoration(event, line)
        if kind is yaml.ScalarEvent:
            return self.scalar(event.value, line) if event.implicit[0] else event.value
        if len(self.stack) == DEEPEST:
            self.problem(line, _TOO_DEEP)
            raise RequestError(*self.problems)
        return {} if kind is yaml.MappingStartEvent else []

    def put(self, value: Any, line: int) -> None:
        if self.stack:
            self.stack[-1].put(value, line)
        else:
            self.root = value
        if type(value) is dict or type(value) is list:
            lines = self.lines[id(value)] = {}
            self.stack.append(_Open(value, lines))

    def scalar(self, text: str, line: int) -> Any:
        if text and text[0] not in _FIRST_OF_A_TRAP_OR_NUMBER:
            return text
        if text in _WORDS:
            return _WORDS[text]
        if _NUMBER.fullmatch(text) and len(text) <= _MOST_DIGITS:
            number = int(text) if text.lstrip("+-").isdigit() else float(text)
            if abs(number) > _LARGEST:
                self.problem(line, phrase("must be a finite number"), quoted(text))
            return number
        trap = _trap(text)
        if trap:
            must, instead = trap
            self.problem(line, must, text, phrase(instead, text=text))
        return text

    def refuse_decoration(self, event: Any, line: int) -> None:
        if event.anchor is None and event.tag is None:
            return
        came = f"&{event.anchor}" if event.anchor else str(event.tag)
        self.problem(line, phrase("must not use anchors or tags: write the plain value"), came)

    def problem(self, line: int | None, must: str, came: str = "", instead: str = "") -> None:
        where = self.name if line is None else at_line(self.name, line)
        self.problems.append(Problem(where, must, came, instead))


def _trap(text: str) -> tuple[str, str] | None:
    return next(((must, instead) for trap, must, instead in _TRAPS if trap.fullmatch(text)), None)


class _Dumper(yaml.SafeDumper):
    """PyYAML's own emitter in Python and not libyaml's.

    Its bytes are the same on every installation.
    """

    def ignore_aliases(self, data: object) -> bool:  # noqa: ARG002
        return True


def _represent_text(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    style = None
    if _BREAKS.search(text) or text in _WORDS or _NUMBER.fullmatch(text) or _trap(text):
        style = '"'
    elif "\n" in text:
        style = "|"
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


class _LineMap(dict[Any, Any]):
    """A mapping that is written on one line."""


class _LineList(list[Any]):
    """A list that is written on one line."""


_Dumper.add_representer(str, _represent_text)
# A phrase and a name are texts too.
_Dumper.add_multi_representer(str, _represent_text)
_Dumper.add_representer(
    _LineMap,
    lambda dumper, data: dumper.represent_mapping("tag:yaml.org,2002:map", data.items(), True),
)
_Dumper.add_representer(
    _LineList, lambda dumper, data: dumper.represent_sequence("tag:yaml.org,2002:seq", data, True)
)


def _on_lines(data: Any) -> Any:
    """``data`` with each innermost mapping and list on one line."""
    if isinstance(data, dict):
        if any(isinstance(value, (dict, list, tuple)) for value in data.values()):
            return {key: _on_lines(value) for key, value in data.items()}
        return _LineMap(data)
    if isinstance(data, (list, tuple)):
        if any(isinstance(value, (dict, list, tuple)) for value in data):
            return [_on_lines(value) for value in data]
        return _LineList(data)
    return data


def dump(data: Any, short: Collection[str] = ()) -> str:
    """``data`` as YAML: keys in their own order, LF, floats that load as the same float.

    In block style, but for the innermost mappings and lists under the keys in ``short``, which
    take a line each.
    """
    if short:
        data = {key: _on_lines(value) if key in short else value for key, value in data.items()}
    text: str = yaml.dump(
        data,
        Dumper=_Dumper,
        sort_keys=False,
        allow_unicode=True,
        default_flow_style=False,
        width=1_000_000,
    )
    return text
