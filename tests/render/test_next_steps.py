"""What comes next, for who sits at a terminal: one line on standard error after each command."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from render.cli import COMMANDS, group

pty = pytest.importorskip("pty", reason="terminals of POSIX")

DESK = ("--tablet", "240x152mm", "--display", "27in 2560x1440")


@pytest.fixture
def at_a_terminal(tmp_path):
    """Run a command at a terminal; its exit code, output and error."""
    env = os.environ | {
        "EVENSTROKE_LIBRARY": str(tmp_path / "library"),
        "XDG_CONFIG_HOME": str(tmp_path / "settings"),
    }

    def run(*arguments, answer=""):
        ours, theirs = pty.openpty()
        program = [sys.executable, "-c", "from render.cli import main; main()", *arguments]
        running = subprocess.Popen(
            program,
            cwd=tmp_path,
            env=env,
            stdin=theirs,
            stdout=subprocess.PIPE,
            stderr=theirs,
            text=True,
        )
        os.close(theirs)
        os.write(ours, answer.encode())
        out, _ = running.communicate()
        err = b""
        try:
            while part := os.read(ours, 4096):
                err += part
        except OSError:  # Linux's way to say that the other end is closed
            pass
        os.close(ours)
        return running.returncode, out, err.decode().replace("\r\n", "\n").removeprefix(answer)

    return run


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_has_a_next_one(name):
    assert group.get_command(None, name).then or name == "keep", "keep says it itself"


def test_the_way_from_a_first_map_to_the_proof(at_a_terminal):
    code, out, err = at_a_terminal("map", *DESK, "--save", "left studio.yaml", "--picture", "p.svg")
    assert code == 0
    assert err == 'Wrote left studio.yaml and p.svg. Next: evenstroke keep "left studio.yaml"\n'
    assert "Next:" not in out
    _, out, err = at_a_terminal("keep", "left studio.yaml")
    assert "left studio: kept as setting 1" in out, "a new desk is called as its file is"
    assert err == (
        "Next: enter it, trace around a bank card once, and see: "
        'evenstroke trace shot.png --of card --against "left studio"\n'
    )
    assert at_a_terminal("picture", "turned.svg")[2] == (
        'Wrote turned.svg. Next: draw with your own hand: evenstroke pad "left studio" pad.html\n'
    )
    assert at_a_terminal("report")[2].endswith('--against "left studio"\n')
    # The form of another program's data on standard output does not change it.
    assert at_a_terminal("map", "--turn", "180", "--as", "json")[2].startswith("Next: ")


def test_a_trace_that_disagrees_ends_with_the_number_and_the_command(at_a_terminal, tmp_path):
    at_a_terminal("map", *DESK, "--workstation", "desk", "--keep")
    # 60 mm of hand at 2560 px for 240 mm across, and as the whole 152 mm of tablet would make it
    # down.
    px = [(x * 2560 / 240, y * 1440 / 152) for x, y in ring(30)]
    (tmp_path / "oval.csv").write_text("stroke,x,y\n" + "".join(f"0,{x},{y}\n" for x, y in px))
    code, _, err = at_a_terminal("trace", "oval.csv", "--of", "circle 60mm", "--against", "desk")
    assert code == 1
    assert err == (
        "Next: Change the height from about 152 mm to 135 mm. Then trace again. All numbers: "
        "evenstroke report desk\n"
    )


def ring(radius):
    from math import cos, radians, sin

    return [
        (100 + radius * cos(radians(at)), 70 + radius * sin(radians(at))) for at in range(0, 360, 3)
    ]


def test_a_quite_different_desk_is_asked_about(at_a_terminal):
    at_a_terminal("map", *DESK, "--workstation", "desk", "--keep")
    other = (
        "map",
        "--tablet",
        "330x214mm",
        "--display",
        "34in 3440x1440",
        "--workstation",
        "desk",
        "--keep",
    )
    code, _, err = at_a_terminal(*other, answer="n\n")
    assert code == 1
    assert "a tablet of 330 × 214 mm where setting 1 has a tablet of 240 × 152 mm" in err
    assert "Is it still the same desk?" in err
    code, out, _ = at_a_terminal(*other, answer="y\n")
    assert (code, "kept as setting 2" in out) == (0, True)


def test_without_a_terminal_nothing_is_added(run):
    assert run("map", *DESK, "--save", "desk.yaml")[2] == ""
    assert Path("desk.yaml").exists()
