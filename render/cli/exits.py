"""The one place that turns errors into words on standard error and an exit code.

0 done; 1 the answer is no (a check failed, not found); 2 the request or a file is wrong.
"""

from __future__ import annotations

import io
import os
import sys

import click

from mapper.problems import AnswerIsNo, EvenstrokeError
from profiles.doubts import hearing
from render.cli.spellings import other_word

ANSWER_IS_NO, WRONG_REQUEST, INTERRUPTED = 1, 2, 130


def complain(problem: object) -> None:
    """One problem, on standard error."""
    click.echo(f"evenstroke: {problem}", err=True)


def remark(doubt: object) -> None:
    """Something that a person should know although the work went on, on standard error."""
    click.echo(f"evenstroke: note: {doubt}", err=True)


def run(command: click.Command, arguments: list[str] | None) -> None:
    """Run ``command`` and leave the process with its exit code; never with a traceback for a user's mistake."""
    _write_what_can_be_written()
    try:
        with hearing(remark):
            code = command.main(arguments, prog_name="evenstroke", standalone_mode=False)
        sys.stdout.flush()
    except EvenstrokeError as error:
        for problem in error.problems:
            complain(problem)
        code = ANSWER_IS_NO if isinstance(error, AnswerIsNo) else WRONG_REQUEST
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.ctx.get_help())
        code = WRONG_REQUEST
    except click.UsageError as error:
        complain(other_word(error) if isinstance(error, click.NoSuchOption) else error.format_message())
        if error.ctx is not None:
            click.echo(f"Try '{error.ctx.command_path} --help' for examples.", err=True)
        code = WRONG_REQUEST
    except click.ClickException as error:
        complain(error.format_message())
        code = WRONG_REQUEST
    except (KeyboardInterrupt, click.Abort):
        complain("interrupted; nothing more was written")
        code = INTERRUPTED
    except BrokenPipeError:
        # The reader, head for instance, has what it wanted.
        _settle_standard_output()
        code = 0
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        complain(f"{where}{error.strerror or error}")
        _settle_standard_output()
        code = WRONG_REQUEST
    sys.exit(code if isinstance(code, int) else 0)


def _settle_standard_output() -> None:
    """What cannot be written is given up, so that Python does not try, and complain, again at exit."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _write_what_can_be_written() -> None:
    """A character that the terminal's encoding lacks comes out as its number: names may be any text."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
