"""``evenstroke displays``: what the connected displays, or files of EDIDs, say of themselves."""

from __future__ import annotations

from shlex import quote
from typing import Any

import click

from mapper.phrases import phrase
from mapper.problems import RequestError
from profiles.hardware.references import edid_file
from profiles.hardware.system import connected_displays, system_root
from profiles.plain import headed
from render.cli.options import as_option, echo_answer, examples
from render.cli.types import ANY_FILE, Command, all_read
from render.reports.hardware_text import display_text, silent_text


@click.command(
    "displays",
    cls=Command,
    then="evenstroke map --tablet @connected --display @connected --save desk.yaml",
    epilog=examples(
        "evenstroke displays",
        "evenstroke displays display.edid",
        "evenstroke displays --as json",
    ),
)
@click.argument("files", metavar="[FILE]...", nargs=-1, type=ANY_FILE)
@as_option("text", "yaml", "json")
def command(*, files: tuple[str, ...], form: str) -> None:
    """List the connected displays: pixels, size in mm, who reports it, and what is doubtful.

    Each display describes itself in a block of bytes, its EDID, which Linux keeps under
    /sys/class/drm. With FILE, EDIDs are read from files instead, as bytes or hexadecimal text.
    Other commands take what is listed: --display @connected.
    """
    read, problems = all_read(lambda file: (file, edid_file(file)), files)
    texts = [display_text(file, facts, quote(f"@edid:{file}")) for file, facts in read]
    data: list[dict[str, Any]] = [{"file": file, "facts": facts} for file, facts in read]
    for display in () if files else connected_displays(system_root()):
        place = display.connector
        if display.facts is None:
            assert display.problem is not None
            texts.append(
                silent_text(
                    place,
                    display.problem,
                    phrase("{option} with its own numbers", option='--display "27in 1920x1080"'),
                )
            )
        else:
            texts.append(
                display_text(place, display.facts, f"@connected:{place}", in_use=display.in_use)
            )
        trouble = str(display.problem) if display.problem else None
        data.append(
            {
                "connector": place,
                "in_use": display.in_use,
                "facts": display.facts,
                "problem": trouble,
            }
        )
    echo_answer(
        form, text=lambda: "\n".join(texts), data=lambda: headed("displays", {"displays": data})
    )
    if problems:
        raise RequestError(*problems)
