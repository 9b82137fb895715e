"""Start-up of `evenstroke map` against importing click and yaml, processor time."""

from tests.bench.timing import Result, best_of_turns, processes, python

MAP = ("map", "--tablet", "240x152mm", "--display", "27in 2560x1440")


def evenstroke(*arguments):
    """A call that runs the command line as the installed command does, in a fresh interpreter."""
    return python("-c", f"from render.cli import main; main({list(arguments)!r})")


def results():
    ours_s, floor_s = best_of_turns(
        20, evenstroke(*MAP), python("-c", "import click, yaml"), clock=processes
    )
    yield Result("start-up: evenstroke map", "importing click and yaml", ours_s, floor_s, 1.5)
