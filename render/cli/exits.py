"""The one place that turns errors into words on standard error and an exit code.

0 done; 1 the answer is no (a check failed, not found); 2 the request or a file is wrong; 70 a fault
of ours (EX_SOFTWARE of BSD's sysexits.h); 130 interrupted.
"""

from __future__ import annotations

import codecs
import io
import os
import re
import signal
import sys
import time
from dataclasses import replace
from typing import TYPE_CHECKING, BinaryIO

import click

from mapper.phrases import phrase, phrase_count
from mapper.problems import GIVE_FORCE, AnswerIsNo, EvenstrokeError, Problem
from profiles.doubts import hearing
from profiles.files import reason_of
from profiles.standard import with_standard_streams
from render.cli.spellings import other_word

if TYPE_CHECKING:
    from types import FrameType

ANSWER_IS_NO, WRONG_REQUEST, OUR_FAULT, INTERRUPTED = 1, 2, 70, 130
#: What a shell adds to the number of the signal that ended a program.
_SIGNALLED = 128
#: Where this is set in the environment, a fault of ours shows its traceback.
DEBUG = "EVENSTROKE_DEBUG"
#: Under this key the context of a command knows that no notes are wanted.
QUIET = "render.cli.quiet"
#: Of many problems so many are printed, then how many more there are.
MOST_PRINTED = 20
#: Signs that we print, as one types them.
_TYPED = {
    "×": "x",
    "\N{DIVISION SIGN}": "/",
    "\N{RIGHTWARDS ARROW}": "->",
    "\N{HORIZONTAL ELLIPSIS}": "...",
    "\N{REPLACEMENT CHARACTER}": "?",
    # Around names written from right to left (mapper.phrases.in_line), which come out as numbers.
    "\N{FIRST STRONG ISOLATE}": "",
    "\N{POP DIRECTIONAL ISOLATE}": "",
}


def complain(problem: object) -> None:
    """One problem, on standard error."""
    if isinstance(problem, Problem) and problem.instead == GIVE_FORCE:
        problem = replace(problem, instead=phrase("Type --force to replace it"))
    # Most runs complain of nothing.
    from render.sentences.say import say, say_again

    text = problem.sentence if isinstance(problem, Problem) else str(problem)
    click.echo(say("evenstroke: {problem}", problem=say_again(text)), err=True)


def remark(doubt: object) -> None:
    """Something that a person should know although the work went on, on standard error.

    ``--quiet`` leaves it out.
    """
    ctx = click.get_current_context(silent=True)
    if ctx is not None and ctx.meta.get(QUIET):
        return
    from render.sentences.say import say, say_again

    text = doubt.sentence if isinstance(doubt, Problem) else doubt
    said = say_again(text) if isinstance(text, str) else str(text)
    click.echo(say("evenstroke: note: {doubt}", doubt=said), err=True)


def run(command: click.Command, arguments: list[str] | None) -> None:
    """Run ``command`` and leave the process with its exit code.

    A mistake of the user never ends in a traceback.
    """
    # Our matrices are small: further threads of theirs would wait, and use the processors up.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _open_what_is_closed()
    _write_what_can_be_written()
    stdout = sys.stdout
    pressed: list[int] = []

    def interrupt(number: int, frame: FrameType | None) -> None:
        pressed.append(number)
        signal.default_int_handler(number, frame)

    signal.signal(signal.SIGINT, interrupt)
    _end_in_order()
    try:
        with hearing(remark), with_standard_streams(_standard_input, lambda: stdout.buffer):
            code = command.main(arguments, prog_name="evenstroke", standalone_mode=False)
        sys.stdout.flush()
    except (EvenstrokeError, click.ClickException) as error:
        code = _interrupted() if pressed else _refused(error, command, arguments)
    except (KeyboardInterrupt, click.Abort):
        code = _interrupted()
    except BrokenPipeError:
        # The reader, head for instance, has what it wanted.
        _settle_standard_output()
        code = 0
    except SystemExit as left:
        # click leaves with 1 where the reader of its output is gone, having put something else in
        # its place.
        code = 0 if sys.stdout is not stdout else left.code
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        complain(f"{where}{reason_of(error)}")
        _settle_standard_output()
        code = WRONG_REQUEST
    except Exception as error:
        if os.environ.get(DEBUG):
            raise
        # A library that is interrupted while it is loaded says that it cannot be.
        code = _interrupted() if pressed else _fault(error, arguments)
    sys.exit(code if isinstance(code, int) else 0)


def _standard_input() -> BinaryIO:
    # It may have been closed when the program was started.
    return io.BytesIO() if sys.stdin is None else sys.stdin.buffer


def _end_in_order() -> None:
    """Let SIGTERM and SIGHUP end the program as an exit does, so that no part of a file stays."""

    def end(number: int, frame: FrameType | None) -> None:
        del frame
        raise SystemExit(_SIGNALLED + number)

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        # Where somebody ignores it for us (nohup), it stays ignored.
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, end)


def _open_what_is_closed() -> None:
    """Open the outputs that were closed when the program was started.

    Files are then written all the same, and nobody reads the rest.
    """
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115 - as long as the process


def _interrupted() -> int:
    complain(phrase("interrupted; nothing more was written"))
    return INTERRUPTED


def _options(command: click.Command, arguments: list[str] | None) -> set[str]:
    """The long options of the command that was called, without their dashes."""
    words = sys.argv[1:] if arguments is None else arguments
    called = next((word for word in words if not word.startswith("-")), "")
    found: click.Command | None = command
    if isinstance(command, click.Group):
        context = click.Context(command)
        known = called in command.list_commands(context)
        found = command.get_command(context, called) if known else None
    if found is None:
        return set()
    return {name.lstrip("-") for each in found.params for name in each.opts if name[:2] == "--"}


def _refused(
    error: EvenstrokeError | click.ClickException,
    command: click.Command,
    arguments: list[str] | None,
) -> int:
    """Say what is wrong with the request or a file, and the exit code for it.

    What a lower floor calls by its name is called as it is typed, if it is an option.
    """
    if isinstance(error, EvenstrokeError):
        options = _options(command, arguments)
        for problem in error.problems[:MOST_PRINTED]:
            typed = f"--{problem.where}" if problem.where in options else problem.where
            complain(replace(problem, where=typed))
        if len(error.problems) > MOST_PRINTED:
            more = len(error.problems) - MOST_PRINTED
            complain(
                phrase_count(
                    "and {count} more problem like these",
                    "and {count} more problems like these",
                    more,
                )
            )
        # Of what is not there no answer is known.
        answered = not any(problem.is_missing for problem in error.problems)
        return ANSWER_IS_NO if isinstance(error, AnswerIsNo) and answered else WRONG_REQUEST
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        click.echo(error.ctx.get_help())
        return WRONG_REQUEST
    complain(other_word(error) if isinstance(error, click.NoSuchOption) else error.format_message())
    if isinstance(error, click.UsageError) and error.ctx is not None:
        from render.sentences.say import say

        asked = f"{error.ctx.command_path} --help"
        click.echo(say("Try '{command}' for examples.", command=asked), err=True)
    return WRONG_REQUEST


def _fault(error: Exception, arguments: list[str] | None) -> int:
    """Print one sentence about a fault of ours; its exit code.

    The sentence says what went wrong, during which command, and what to report.
    """
    import shlex
    import traceback

    if isinstance(error, OverflowError) and not _clock_is_possible():
        complain(phrase("the clock of this computer is beyond the year 2262: set it right"))
        return WRONG_REQUEST
    last = traceback.extract_tb(error.__traceback__)[-1]
    asked = shlex.join(sys.argv[1:] if arguments is None else arguments)
    complain(
        phrase(
            "this should not have happened, and it is our fault: {error}, {what} ({file} line "
            "{line}). Nothing more was written. Please report this line and the files that it "
            "names: {command}",
            error=type(error).__name__,
            what=" ".join(str(error).split())[:200] or phrase("no more is known"),
            file=os.path.basename(last.filename),  # noqa: PTH119
            line=last.lineno,
            command=f"evenstroke {asked}",
        )
    )
    return OUR_FAULT


def _clock_is_possible() -> bool:
    """Whether Python can tell the time at all: it counts nanoseconds in 64 bits."""
    try:
        time.time()
    except OverflowError:
        return False
    return True


def _settle_standard_output() -> None:
    """Give up what cannot be written to standard output.

    Otherwise Python tries again at exit, and complains again.
    """
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _write_what_can_be_written() -> None:
    """Files and other programs get UTF-8 on every system, a terminal what its own encoding has.

    A character that it lacks comes out as its number, since names may be any text; our own signs as
    one types them.
    """
    codecs.register_error("evenstroke", _spelled)
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if isinstance(stream, io.TextIOWrapper):
            if stream.isatty():
                stream = _Terminal(stream.detach(), stream.encoding, line_buffering=True)
                setattr(sys, name, stream)
            utf8 = not stream.isatty() and "PYTHONIOENCODING" not in os.environ
            stream.reconfigure(encoding="utf-8" if utf8 else None, errors="evenstroke")


class _Terminal(io.TextIOWrapper):
    """A terminal, which obeys control characters: of those in data only line ends reach it."""

    _OBEYED = re.compile("[\0-\x08\x0b-\x1f\x7f-\x9f]")

    def write(self, text: str) -> int:
        """Print ``text``, with the replacement character for what a terminal would obey."""
        return super().write(self._OBEYED.sub("\N{REPLACEMENT CHARACTER}", text))


def _spelled(error: UnicodeError) -> tuple[str | bytes, int]:
    if isinstance(error, UnicodeEncodeError) and error.object[error.start] in _TYPED:
        return _TYPED[error.object[error.start]], error.start + 1
    return codecs.backslashreplace_errors(error)
