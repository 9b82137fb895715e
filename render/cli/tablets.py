"""``evenstroke tablets``: what the tablets that are plugged in say of themselves.

Files of report descriptors can be read instead.
"""

from __future__ import annotations

from shlex import quote
from typing import Any

import click

from mapper.problems import RequestError
from profiles.hardware.hid import HidFacts
from profiles.hardware.pen_facts import PenFacts
from profiles.hardware.references import descriptor_file
from profiles.hardware.system import plugged_tablets, system_root
from profiles.plain import headed
from render.cli.options import as_option, echo_answer, examples
from render.cli.types import ANY_FILE, Command, all_read
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
@click.argument("files", metavar="[FILE]...", nargs=-1, type=ANY_FILE)
@as_option("text", "yaml", "json")
def command(*, files: tuple[str, ...], form: str) -> None:
    """List the tablets that are plugged in.

    Each is listed with its active area in mm, counts per mm, pressure and tilt, and what is
    doubtful.

    Each tablet describes itself in a block of bytes, its HID report descriptor, which Linux keeps
    under /sys/class/hidraw. Where you may read /dev/input, Linux's input layer is asked too. With
    FILE, descriptors are read
    from files instead, as bytes or hexadecimal text. Other commands take what is listed with
    --tablet @connected or --tablet @hid:FILE.
    """
    read, problems = all_read(_described, files)
    texts = [
        tablet_text(file, "", pen, (*descriptor.doubts, *pen.doubts), quote(f"@hid:{file}"))
        for file, descriptor, pen in read
    ]
    data: list[dict[str, Any]] = [
        {"file": file, "pens": descriptor.pens, "doubts": descriptor.doubts}
        for file, descriptor, _ in read
    ]
    for tablet in () if files else plugged_tablets(system_root()):
        texts.append(
            tablet_text(
                tablet.node, tablet.name, tablet.pen, tablet.doubts, f"@connected:{tablet.node}"
            )
        )
        data.append(
            {
                "node": tablet.node,
                "name": tablet.name,
                "pens": (tablet.pen,),
                "doubts": tablet.doubts,
            }
        )
    echo_answer(
        form, text=lambda: "\n".join(texts), data=lambda: headed("tablets", {"tablets": data})
    )
    if problems:
        raise RequestError(*problems)


def _described(file: str) -> tuple[str, HidFacts, PenFacts]:
    descriptor = descriptor_file(file)
    return file, descriptor, descriptor.pen(file)
