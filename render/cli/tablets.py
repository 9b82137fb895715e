"""``evenstroke tablets``: what the digitizers that are plugged in, or the files of descriptors, say of themselves."""

from __future__ import annotations

from shlex import quote

import click

from mapper.problems import EvenstrokeError, Problem, RequestError
from profiles.hardware.references import descriptor_file
from profiles.hardware.system import plugged_tablets, system_root
from render.cli.options import as_option, examples, print_described
from render.cli.types import Command
from render.reports.hardware_text import tablet_text


@click.command(
    "tablets",
    cls=Command,
    then="evenstroke map --tablet @connected --display @connected --save desk.yaml",
    epilog=examples(
        "evenstroke tablets",
        "evenstroke tablets tablet.hid",
        "evenstroke tablets --as json",
    ),
)
@click.argument("files", metavar="[FILE]...", nargs=-1, type=click.Path())
@as_option("text", "json")
def command(*, files: tuple[str, ...], form: str) -> None:
    """List the tablets that are plugged in: active area in mm, counts per mm, pressure and tilt, and what is doubtful.

    Each tablet describes itself in a block of bytes, its HID report descriptor, which Linux keeps under /sys/class/hidraw;
    where you may read /dev/input, Linux's input layer is asked too (EVENSTROKE_SYSTEM_ROOT names another folder than / to
    look in). FILES hold descriptors to read instead, as bytes or hexadecimal text. Other commands take what is listed with
    --tablet @connected or --tablet @hid:FILE.
    """
    texts, data, problems = [], [], list[Problem]()
    for file in files:
        try:
            told = descriptor_file(file)
            pen = told.pen(file)
        except EvenstrokeError as error:
            problems += error.problems
        else:
            texts.append(tablet_text(file, "", pen, (*told.doubts, *pen.doubts), quote(f"@hid:{file}")))
            data.append({"file": file, "pens": told.pens, "doubts": told.doubts})
    for tablet in () if files else plugged_tablets(system_root()):
        texts.append(tablet_text(tablet.node, tablet.name, tablet.pen, tablet.doubts, f"@connected:{tablet.node}"))
        data.append({"node": tablet.node, "name": tablet.name, "pens": (tablet.pen,), "doubts": tablet.doubts})
    print_described(texts, data, form)
    if problems:
        raise RequestError(*problems)
