"""What people type on the command line, as click types with their completion.

The texts are read by plain functions of ``profiles``.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from mapper.desk import TURNS_DEG
from mapper.phrases import phrase
from mapper.problems import Collected, EvenstrokeError, Problem, RequestError, quoted
from mapper.units import positive
from profiles.numbers import (
    bounded,
    minutes,
    parse_aspect,
    parse_band,
    plain_number,
    whole_number,
)
from profiles.standard import STANDARD
from render.cli.exits import QUIET

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import date, datetime

    from click.shell_completion import CompletionItem

    from mapper.desk import Display, Tablet
    from mapper.phrases import Phrase
    from profiles.known_things import KnownThing
    from profiles.library.desks import FoundDesk
    from profiles.library.revisions import Library

T = TypeVar("T")
Read = TypeVar("Read")

_LIBRARY, _NEXT, _WRONG = "render.cli.library", "render.cli.next", "render.cli.wrong"
_TAKEN = "render.cli.taken"


def remember_library(ctx: click.Context, _: click.Parameter, folder: str | None) -> None:
    """Where ``--library`` says that the library is, for all that is read after it."""
    if folder is not None and not folder.strip():
        must = phrase("must name a folder; leave it out for your own library")
        raise click.BadParameter(must)
    ctx.meta[_LIBRARY] = folder


def open_library(folder: str | None = None) -> Library:
    """The library in ``folder``, else the one that ``--library`` names.

    Else it is that of the environment or of the user's data.
    """
    from profiles.library.revisions import Library, default_folder

    ctx = click.get_current_context(silent=True)
    said = folder or (ctx.meta.get(_LIBRARY) if ctx else None)
    return Library(said or os.environ.get("EVENSTROKE_LIBRARY") or default_folder())


def one_too_many(extra: Sequence[str]) -> Phrase:
    """What to do about words that belong to nothing: most often their quotes are missing."""
    return phrase(
        "{typed} does not belong here. Put words that belong together in quotes, for example "
        '"window desk" or "27in 2560x1440"',
        typed=quoted(extra[0]),
    )


class Command(click.Command):
    """A command that ends, at a terminal, with a line on its files and what comes next.

    ``then`` is what comes next: ``{desk}`` stands in it for the desk that was named or meant,
    ``{workstation}`` and other parameters for what was typed. A command that knows better calls
    ``then`` itself. ``first`` stands before the options in its help, for what most people need.
    Nothing begins where something was typed wrong; all such problems are raised at once.
    """

    def __init__(self, *args: Any, then: str = "", first: str = "", **more: Any) -> None:
        super().__init__(*args, **more)
        self.params.append(
            click.Option(
                ["--quiet"],
                is_flag=True,
                is_eager=True,
                expose_value=False,
                callback=_hush,
                help="Print no hints or warnings.",
            )
        )
        self.then = then
        self.first = first

    def format_help_text(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        super().format_help_text(ctx, formatter)
        if self.first:
            formatter.write_paragraph()
            formatter.write_text(self.first)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        ctx.allow_extra_args = True
        extra = super().parse_args(ctx, args)
        if extra and not ctx.resilient_parsing:
            raise click.UsageError(one_too_many(extra), ctx)
        return extra

    def invoke(self, ctx: click.Context) -> Any:
        if ctx.meta.get(_WRONG):
            raise RequestError(*ctx.meta[_WRONG])
        for param in self.params:
            if isinstance(param.type, FileType) and param.type.is_written:
                values = ctx.params.get(param.name or "")
                for value in values if isinstance(values, tuple) else (values,):
                    make_way(value)
        try:
            result = super().invoke(ctx)
        except click.exceptions.Exit:
            self._say_next(ctx)
            raise
        self._say_next(ctx)
        return result

    def _say_next(self, ctx: click.Context) -> None:
        if not sys.stderr.isatty() or ctx.meta.get(QUIET):
            return
        sentence, wrote = ctx.meta.get(_NEXT, (self.then, ()))
        wrote = [
            *wrote,
            *(str(ctx.params[name]) for name in ("out", "save", "picture") if ctx.params.get(name)),
        ]
        wrote = [name for name in wrote if name != STANDARD]
        from render.sentences.say import listed, say

        step = sentence.format_map(_Named(ctx))
        line = say("Next: {step}", step=step)
        if wrote:
            line = say(
                "Wrote {files}. Next: {step}", files=listed(list(dict.fromkeys(wrote))), step=step
            )
        click.echo(line, err=True)


def make_way(out: str | None) -> None:
    """Leave standard output to the file ``out`` where that is ``-``.

    What is said goes to standard error then. Raises RequestError for a second such file.
    """
    if out != STANDARD:
        return
    ctx = click.get_current_context()
    if ctx.meta.get(_TAKEN):
        must = phrase("standard output takes one file")
        raise RequestError(Problem(STANDARD, must, phrase("- twice")))
    ctx.meta[_TAKEN] = True
    ctx.with_resource(contextlib.redirect_stdout(sys.stderr))


def _hush(ctx: click.Context, _: click.Parameter, quiet: bool) -> None:
    if quiet:
        ctx.meta[QUIET] = True


class _Named(dict[str, str]):
    """Parameters as a person would type them."""

    def __init__(self, ctx: click.Context) -> None:
        super().__init__()
        self.ctx = ctx

    def __missing__(self, name: str) -> str:
        value = self.ctx.params.get(name)
        if name == "desk" and value is None:
            # The first of several, or the one that is meant where none is named.
            value = next(iter(self.ctx.params.get("desks") or ()), None) or usual_desk_if_any()
        if name == "desk":
            return typed(value.typed) if value else "desk.yaml"
        return typed(str(value))


def then(sentence: str, *, wrote: Iterable[str] = ()) -> None:
    """Set what comes next after the command that runs, in place of its ``then``.

    ``wrote`` are files that it wrote under no option.
    """
    click.get_current_context().meta[_NEXT] = (
        sentence.replace("{", "{{").replace("}", "}}"),
        tuple(wrote),
    )


def typed(name: str) -> str:
    """``name`` as a person would type it in a shell."""
    if re.fullmatch(r"[\w.,/@:+=%-]+", name):
        return name
    if '"' not in name and "$" not in name:
        return f'"{name}"'
    import shlex

    return shlex.quote(name)


class NamedDesk(NamedTuple):
    """A desk as it was typed, and the library that was said to hold it.

    Nothing is read before ``find``.
    """

    typed: str
    library: str | None = None

    def find(self, *, stale: bool = False) -> FoundDesk:
        """The desk; with ``stale``, a file's second half is not looked at.

        Raises EvenstrokeError as ``profiles.library.desks.find_desk`` does.
        """
        from profiles.library.desks import find_desk
        from profiles.unlikely import doubt_scale

        desk = find_desk(self.typed, open_library(self.library), stale=stale)
        doubt_scale(desk.workstation.map.summary.scale_factor, self.typed)
        return desk


def all_read(read: Callable[[T], Read], things: Iterable[T]) -> tuple[list[Read], list[Problem]]:
    """What ``read`` makes of ``things``, and the problems of those that cannot be read."""
    done: list[Read] = []
    problems: list[Problem] = []
    for thing in things:
        with Collected(problems):
            done.append(read(thing))
    return done, problems


def found(desks: Iterable[NamedDesk]) -> tuple[list[FoundDesk], list[Problem]]:
    """Those of ``desks`` that can be read, and what is wrong with the others."""
    return all_read(NamedDesk.find, desks)


def all_found(desks: Iterable[NamedDesk]) -> list[FoundDesk]:
    """All of ``desks``. Raises RequestError with the problems of all."""
    read, problems = found(desks)
    if problems:
        raise RequestError(*problems)
    return read


def usual_desk() -> NamedDesk:
    """The desk where none was typed: this computer's, or the only one of the library.

    Raises RequestError.
    """
    from profiles.library.desks import require_usual_desk

    library = open_library()
    return NamedDesk(require_usual_desk(library), str(library.root))


def usual_desk_if_any() -> NamedDesk | None:
    """The same, or None where nobody could tell which is meant."""
    from profiles.library.desks import usual_desk

    library = open_library()
    usual = usual_desk(library)
    return None if usual is None else NamedDesk(usual, str(library.root))


class Typed(click.ParamType):  # type: ignore[type-arg]
    """The type of a text that the plain function ``read(text, where)`` reads.

    ``words`` complete it.
    """

    def __init__(
        self, name: str, read: Callable[[str, str], Any], words: Iterable[str] = ()
    ) -> None:
        self.name = name
        self.read = read
        self.words = tuple(words)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if not isinstance(value, str):
            return value
        where = (
            param.opts[0]
            if isinstance(param, click.Option)
            else param.human_readable_name
            if param
            else self.name
        )
        try:
            return self.read(value, where)
        except EvenstrokeError as error:
            if ctx is None:
                raise
            # Told with all others before the command begins.
            ctx.meta.setdefault(_WRONG, []).extend(error.problems)
            return value

    def shell_complete(
        self,
        ctx: click.Context,  # noqa: ARG002
        param: click.Parameter,  # noqa: ARG002
        incomplete: str,
    ) -> list[CompletionItem]:
        return _items(incomplete, self.words)


def _length(text: str, where: str) -> float:
    # Most runs type none.
    from profiles.unlikely import likely_length_mm

    return likely_length_mm(text, where)


def _labelled_length(text: str, where: str) -> tuple[str | None, float]:
    from profiles.unlikely import likely_labelled_length_mm

    return likely_labelled_length_mm(text, where)


def _desk_name(text: str, where: str) -> str:
    from profiles.library.station_names import new_name

    return new_name(text, where)


def _percent(text: str, where: str) -> float:
    from profiles.rectangles import parse_percent

    return parse_percent(text, where)


def _day(text: str, where: str) -> date:
    from profiles.library.trial_book import parse_day
    from profiles.times import iso_day

    return parse_day(iso_day(text), where)


def _past_day(text: str, where: str) -> date:
    from profiles.unlikely import doubt_day

    day = _day(text, where)
    doubt_day(day.isoformat(), where)
    return day


def _past_moment(text: str, where: str) -> datetime:
    from profiles.times import parse_moment
    from profiles.unlikely import doubt_day

    moment = parse_moment(text, where)
    doubt_day(moment.astimezone().date().isoformat(), where)
    return moment


def _start(text: str, where: str) -> datetime:
    from datetime import time

    from profiles.times import parse_moment

    return parse_moment(text, where, at=time.min)


def _tablet(text: str, where: str) -> Tablet:
    from profiles.lists import one_tablet

    return one_tablet(text, where)


def _display(text: str, where: str) -> Display:
    from profiles.lists import one_display

    return one_display(text, where)


def _thing(text: str, where: str) -> KnownThing:
    from profiles.known_things import parse_thing

    return parse_thing(text, where)


def number_type(least: float, most: float) -> Typed:
    """A number from ``least`` to ``most``."""
    return Typed("number", bounded(plain_number, least, most))


def whole_type(least: int, most: int) -> Typed:
    """A whole number from ``least`` to ``most``."""
    return Typed("number", bounded(whole_number, least, most))


def percent_type(least: float, most: float) -> Typed:
    """A percentage from ``least`` to ``most``."""
    return Typed("percent", bounded(_percent, least, most, " %"))


class FileType(click.Path):
    """A file's name, or ``-`` for standard input or output.

    Names with one of ``endings`` complete it. ``written``: the command writes it.
    """

    def __init__(self, *endings: str, written: bool = False) -> None:
        super().__init__()
        self.endings = endings
        self.is_written = written

    def shell_complete(
        self,
        ctx: click.Context,  # noqa: ARG002
        param: click.Parameter,  # noqa: ARG002
        incomplete: str,
    ) -> list[CompletionItem]:
        return _items(incomplete, _files(incomplete, self.endings)) or _any_file(incomplete)


class ProfileType(FileType):
    """The file of a profile to be written; ``.yaml`` is put after a name without that ending.

    A file that is called as a desk is would stand in front of it ever after.
    """

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        name = super().convert(value, param, ctx)
        if not isinstance(name, str) or name == STANDARD or os.path.isdir(name):  # noqa: PTH112
            return name
        return name if name.lower().endswith(self.endings) else f"{name}.yaml"


def _as_it_is(text: str, _: str) -> str:
    return text


_SIZES = ("@connected", "@hid:", "small", "medium", "large", "extra-large")
_SCREENS = ("@connected", "@edid:", "24in-fhd", "27in-qhd", "27in-uhd", "32in-uhd", "34in-uwqhd")

LENGTH = Typed("length", _length)
LABELLED_LENGTH = Typed("length", _labelled_length)
LENGTH_ABOVE_0 = Typed("length", lambda text, where: positive(_length(text, where), where))
DESK_NAME = Typed("name", _desk_name)
MINUTES = Typed("minutes", minutes)
NUMBER_TYPE = Typed("number", plain_number)
NUMBER_ABOVE_0 = Typed("number", lambda text, where: positive(plain_number(text, where), where))
BAND = Typed("band", parse_band)
ASPECT = Typed("aspect", parse_aspect, ("16:9", "16:10", "21:9", "3:2", "4:3"))
#: A day as it is; days and moments that can only lie behind us; the start of such a day.
DAY, PAST_DAY, PAST_MOMENT, START = (
    Typed("day", _day),
    Typed("day", _past_day),
    Typed("moment", _past_moment),
    Typed("moment", _start),
)
THING = Typed("thing", _thing, ("card", "disc", "a4", "a5", "a6", "letter"))
TABLET, DISPLAY = Typed("tablet", _tablet, _SIZES), Typed("display", _display, _SCREENS)
#: The same, read with what else is said of the desk: how the tablet lies, where the displays stand.
TABLET_TEXT, DISPLAY_TEXT = (
    Typed("tablet", _as_it_is, _SIZES),
    Typed("display", _as_it_is, _SCREENS),
)
PICTURE = FileType(".png", ".svg", ".pdf", ".webp", written=True)
PROFILE = ProfileType(".yaml", ".yml", written=True)
#: A file of any kind that is read.
ANY_FILE = FileType()


class TurnType(click.Choice):  # type: ignore[type-arg]
    """A quarter turn; what lies between them is told of ``--slant``."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, str) and value not in self.choices:
            try:
                turned = whole_number(value, "")
            except RequestError:
                return super().convert(value, param, ctx)
            quarter = round(turned / 90) * 90
            from render.sentences.say import say

            slots = {
                "value": value,
                "choices": ", ".join(self.choices),
                "turn": str(quarter % 360),
                "slant": str(turned - quarter),
            }
            if turned == quarter:
                self.fail(
                    say("{value} is none of {choices}. Type --turn {turn}", **slots), param, ctx
                )
            self.fail(
                say("{value} is none of {choices}. Type --turn {turn} --slant {slant}", **slots),
                param,
                ctx,
            )
        return super().convert(value, param, ctx)


TURN = TurnType([str(turn) for turn in TURNS_DEG])


class DeskType(click.ParamType):  # type: ignore[type-arg]
    """A profile's file, or a workstation of the library, ``@`` a revision or a day."""

    name = "desk"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:  # noqa: ARG002
        if not isinstance(value, str):
            return value
        return NamedDesk(value, ctx.meta.get(_LIBRARY) if ctx else None)

    def shell_complete(
        self,
        ctx: click.Context,
        param: click.Parameter,  # noqa: ARG002
        incomplete: str,
    ) -> list[CompletionItem]:
        return _items(
            incomplete, [*_files(incomplete, (".yaml", ".yml")), *_stations(ctx)]
        ) or _any_file(incomplete)


class StationType(click.ParamType):  # type: ignore[type-arg]
    """The name of a workstation of the library."""

    name = "workstation"

    def shell_complete(
        self,
        ctx: click.Context,
        param: click.Parameter,  # noqa: ARG002
        incomplete: str,
    ) -> list[CompletionItem]:
        return _items(incomplete, _stations(ctx))


DESK, STATION = DeskType(), StationType()


def _files(incomplete: str, endings: Sequence[str]) -> list[str]:
    """The files with one of ``endings`` in the folder that was typed so far."""
    from pathlib import Path

    folder = os.path.dirname(incomplete)  # noqa: PTH120 - as typed
    try:
        names = sorted(
            path.name for path in Path(folder or ".").iterdir() if path.suffix.lower() in endings
        )
    except OSError:
        return []
    return [os.path.join(folder, name) for name in names]  # noqa: PTH118 - as typed


def _stations(ctx: click.Context) -> list[str]:
    from profiles.library.desks import station_names

    try:
        return station_names(open_library(ctx.meta.get(_LIBRARY)))
    except (EvenstrokeError, OSError):
        return []  # a library that cannot be read is told by the command, not while one types


def _items(incomplete: str, words: Iterable[str]) -> list[CompletionItem]:
    from click.shell_completion import CompletionItem

    return [CompletionItem(_for_shell(word)) for word in words if word.startswith(incomplete)]


def _any_file(incomplete: str) -> list[CompletionItem]:
    from click.shell_completion import CompletionItem

    return [CompletionItem(incomplete, type="file")]


def _for_shell(word: str) -> str:
    """``word`` as the shell takes it.

    Bash puts it in as it is, so a name of two words needs its backslash. There are two of
    them, since click's bash function reads the word with ``read``, which takes one away.
    """
    if not os.environ.get("_EVENSTROKE_COMPLETE", "").startswith("bash"):
        return word
    typed, at = os.environ.get("COMP_WORDS", "").split("\n"), int(os.environ.get("COMP_CWORD", "0"))
    if at < len(typed) and typed[at].startswith(('"', "'")):
        return word
    return re.sub(r"([^\w.,/@:+=%-])", r"\\\\\1", word)
