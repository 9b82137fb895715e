"""The icon or file by which this system starts the desk without a terminal."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from profiles.files import could_not_write, write_whole
from render.sentences.say import say

_ICON = Path(__file__).parent / "static" / "icon.svg"


def write_shortcut(system: str = sys.platform) -> Path:
    """Write it where programs of this user are looked for, and say where.

    Raises RequestError where that cannot be done.
    """
    program = _program()
    try:
        if system == "win32":
            return _windows(program)
        if system == "darwin":
            return _command_file(program, Path.home() / "Desktop" / "Evenstroke desk.command")
        return _desktop_entry(program)
    except OSError as error:
        raise could_not_write(error.filename or phrase("the shortcut"), error) from None


def _program() -> str:
    """The installed command beside this Python, or the one on the path."""
    beside = Path(sys.executable).with_name("evenstroke-desk")
    found = str(beside) if beside.exists() else shutil.which("evenstroke-desk")
    if not found:
        raise RequestError(
            Problem(
                "shortcut",
                phrase("needs the installed command evenstroke-desk"),
                phrase("none found"),
                phrase("Install evenstroke first"),
            )
        )
    return found


def _desktop_entry(program: str) -> Path:
    """A desktop entry of the freedesktop.org specification, version 1.5, and its icon."""
    data = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    icon = data / "icons" / "hicolor" / "scalable" / "apps" / "evenstroke.svg"
    entry = data / "applications" / "evenstroke-desk.desktop"
    for folder in (icon.parent, entry.parent):
        folder.mkdir(parents=True, exist_ok=True)
    write_whole(icon, _ICON.read_bytes(), force=True)
    name = say("Evenstroke desk")
    comment = say("Keep circles round between your tablet and your display")
    lines = (
        "[Desktop Entry]",
        "Type=Application",
        "Version=1.5",
        f"Name={name}",
        f"Comment={comment}",
        f"Exec={_quoted(program)}",
        "Icon=evenstroke",
        "Terminal=false",
        "Categories=Graphics;",
    )
    write_whole(entry, ("\n".join(lines) + "\n").encode(), force=True)
    return entry


def _quoted(program: str) -> str:
    """A program's path as the Exec key has it: in quotes, with special signs escaped.

    As the section "The Exec key" of the specification says.
    """
    escaped = "".join(f"\\\\{c}" if c in '"`$\\' else c for c in program).replace("%", "%%")
    return f'"{escaped}"'


def _command_file(program: str, path: Path) -> Path:
    """A file that a double click runs."""
    import shlex

    write_whole(path, f"#!/bin/sh\nexec {shlex.quote(program)}\n".encode(), force=True)
    path.chmod(0o755)
    return path


def _windows(program: str) -> Path:
    """A script in the start menu that opens no console."""
    menu = Path(os.environ["APPDATA"]) / "Microsoft" / "Windows" / "Start Menu" / "Programs"
    path = menu / "Evenstroke desk.vbs"
    quoted = program.replace('"', '""')
    write_whole(
        path,
        f'CreateObject("WScript.Shell").Run """{quoted}""", 0\r\n'.encode("utf-16"),
        force=True,
    )
    return path
