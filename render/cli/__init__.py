"""The command line: one thin module a command, and here the list of them.

A command module parses, calls one plain function and prints. It is imported when its command is
asked for, so it imports at its top what that command always needs. The list of commands and the
completion of their names need none of them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

import click

from mapper.phrases import phrase
from mapper.problems import nearest
from render.cli.exits import run

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

#: Every command with its line in the list, in the order of a working day.
COMMANDS = {
    "desk": "Do everything on one page in your browser.",
    "pair": "See which tablet goes with which display.",
    "seat": "See how large a display looks, and how far away to sit.",
    "travel": "See how far the hand moves, and how precise it is.",
    "advise": "See what is good, what to change first, and what it costs.",
    "map": "Compute the rectangle to enter in your tablet's settings.",
    "explain": "Convert a rectangle to every other form.",
    "report": "Show everything about a desk.",
    "picture": "Draw desks, side by side or as an animation.",
    "pad": "Draw with your own hand and see it with every setting.",
    "stencil": "Print shapes to trace and crosses to touch, at true size.",
    "sheet": "Make one page for the wall beside the desk.",
    "typed": "Note that you typed the numbers in.",
    "touch": "Touch crosses to see what your tablet's settings really do.",
    "trace": "Trace an object to see what your tablet's settings really do.",
    "check": "Check that profiles are valid and consistent.",
    "displays": "List the connected displays.",
    "tablets": "List the tablets that are plugged in.",
    "doctor": "Show what was found on this computer.",
    "keep": "Keep settings in the library.",
    "stations": "List the desks in the library.",
    "history": "List the kept settings of a desk.",
    "changes": "Show what changed between two kept settings.",
    "recall": "Get a setting back from the library.",
    "pin": "Choose which kept setting is in use.",
    "here": "Choose the desk of this computer.",
    "retire": "Retire a desk or one of its kept settings.",
    "table": "Print many desks in one table.",
    "export": "Save the library as one archive.",
    "import": "Import an archive into the library.",
    "audit": "Check every file of the library for damage.",
    "felt": "Note how a pair felt.",
    "book": "List what was tried and how it felt.",
    "band": "Find the scale factors that suit you.",
    "plan-trials": "Plan which pairs to try, in which order.",
    "study": "Write a report of what your trial days show.",
}


# A module is called as its command, where that can be the name of one.
_MODULES = {"import": "import_archive", "plan-trials": "plan_trials"}


class LazyGroup(click.Group):
    """A group that imports a command when it is asked for.

    So one command does not pay for all, and the list of commands for none.
    """

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            near = nearest(cmd_name, COMMANDS)
            unknown = phrase("No such command '{command}'.", command=cmd_name)
            if near:
                unknown = phrase(
                    "No such command '{command}'. Did you mean '{near}'?",
                    command=cmd_name,
                    near=near,
                )
            ctx.fail(unknown)
        command: click.Command = import_module(
            f"render.cli.{_MODULES.get(cmd_name, cmd_name)}"
        ).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        from click.shell_completion import CompletionItem

        named = [
            CompletionItem(name, help=line)
            for name, line in COMMANDS.items()
            if name.startswith(incomplete)
        ]
        return named + click.Command.shell_complete(self, ctx, incomplete)


@click.group(
    cls=LazyGroup, name="evenstroke", context_settings={"help_option_names": ["-h", "--help"]}
)
@click.version_option(package_name="evenstroke", message="evenstroke %(version)s")
def group() -> None:
    """Map a screenless pen tablet to your display so circles stay round.

    Start with: evenstroke map --tablet 240x152mm --display "27in 2560x1440"
    """


def main(arguments: list[str] | None = None) -> None:
    """Run the command line and leave the process with its exit code.

    The codes are those of ``render.cli.exits``: 0 done, 1 the answer is no, 2 a wrong request.
    """
    run(group, arguments)
