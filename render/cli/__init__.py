"""The command line: one thin module a command, and here the list of them.

A command module parses, calls one plain function and prints. It is imported when its command is asked
for, and its heavy imports (numpy, matplotlib, Pillow) stand inside its function.
"""

from __future__ import annotations

import click

from mapper.problems import nearest
from render.cli.exits import run

#: Command name to the module in this folder whose ``command`` it is, in the order of a working day.
COMMANDS = {
    "desk": "desk",
    "pair": "pair",
    "seat": "seat",
    "travel": "travel",
    "advise": "advise",
    "map": "map",
    "explain": "explain",
    "report": "report",
    "picture": "picture",
    "pad": "pad",
    "stencil": "stencil",
    "sheet": "sheet",
    "trace": "trace",
    "check": "check",
    "displays": "displays",
    "tablets": "tablets",
    "doctor": "doctor",
    "keep": "keep",
    "stations": "stations",
    "history": "history",
    "changes": "changes",
    "recall": "recall",
    "pin": "pin",
    "here": "here",
    "retire": "retire",
    "table": "table",
    "export": "export_archive",
    "import": "import_archive",
    "audit": "audit",
    "felt": "felt",
    "book": "book",
    "band": "band",
    "plan-trials": "plan_trials",
    "study": "study",
}


class LazyGroup(click.Group):
    """A group whose commands are imported when they are asked for, so that one does not pay for all."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            near = nearest(cmd_name, COMMANDS)
            ctx.fail(f"No such command '{cmd_name}'." + (f" Did you mean '{near}'?" if near else ""))
        from importlib import import_module

        command: click.Command = import_module(f"render.cli.{COMMANDS[cmd_name]}").command
        return command


@click.group(cls=LazyGroup, name="evenstroke", context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="evenstroke", message="evenstroke %(version)s")
def group() -> None:
    """Map a screenless pen tablet to your display so circles stay round.

    Start with: evenstroke map --tablet 240x152mm --display "27in 2560x1440"
    """


def main(arguments: list[str] | None = None) -> None:
    """The program: runs the command line and leaves with 0 (done), 1 (the answer is no) or 2 (wrong request)."""
    run(group, arguments)
