import contextlib
import os
import subprocess
import sys

import pytest

from render.tables import markdown_lines, text_lines


def test_columns_meet_whatever_the_script():
    """Wide characters take two columns and combining ones none: Unicode Standard Annex 11."""
    assert text_lines(["name", "mm"], [["机器", "1"], ["cafe\u0301", "10"], ["desk 2", "100"]]) == [
        "name     mm",
        "机器      1",
        "cafe\u0301     10",
        "desk 2  100",
    ]


def test_a_name_is_cut_at_sixty_columns_and_nothing_else_is():
    lines = text_lines(
        ["name", "note"], [["x" * 300, "y" * 100], ["\N{CJK UNIFIED IDEOGRAPH-4E00}" * 100, ""]]
    )
    assert lines[1].split()[0] == "x" * 59 + "\N{HORIZONTAL ELLIPSIS}"
    assert lines[1].split()[1] == "y" * 100
    assert lines[2].split()[0] == "\N{CJK UNIFIED IDEOGRAPH-4E00}" * 29 + "\N{HORIZONTAL ELLIPSIS}"


def on_a_terminal(monkeypatch, columns):
    monkeypatch.setattr("render.terminal.terminal_columns", lambda: columns)


def test_a_table_folds_where_the_terminal_is_too_narrow(monkeypatch):
    head, rows = ["name", "left mm", "top mm", "width mm"], [["desk", "1", "22", "333"]]
    wide = ["name  left mm  top mm  width mm", "desk        1      22       333"]
    assert text_lines(head, rows) == wide
    on_a_terminal(monkeypatch, 33)
    assert text_lines(head, rows) == wide
    on_a_terminal(monkeypatch, 32)
    assert text_lines(head, rows) == [
        "name  left mm  top mm",
        "desk        1      22",
        "",
        "name  width mm",
        "desk       333",
    ]
    # A column that finds no room anywhere stands alone beside the first.
    on_a_terminal(monkeypatch, 8)
    assert [line for line in text_lines(head, rows) if line.startswith("name")] == [
        f"name  {each}" for each in head[1:]
    ]


@pytest.mark.parametrize("columns", [52, 80])
def test_every_table_fits_the_terminal(run_alone, monkeypatch, columns):
    """Each line of a table: those of sentences the terminal wraps itself."""
    desk = ["--tablet", "240x152mm@150/mm", "--display", "27in 2560x1440", "--distance", "70cm"]
    assert (
        run_alone("map", *desk, "--workstation", "the desk by the window", "--save", "desk.yaml")[0]
        == 0
    )
    assert run_alone("felt", "desk.yaml", "--score", 4, "--library", "lib")[0] == 0
    commands = (
        ["table", "desk.yaml"],
        ["book", "--library", "lib"],
        ["pair"],
        ["pair", "--want", "2.5"],
        ["map", "desk.yaml"],
        ["map", "desk.yaml", "--step", "4mm", "--step-choices"],
    )
    plain = [run_alone(*command)[1].splitlines() for command in commands]
    on_a_terminal(monkeypatch, columns)
    folds = False
    for command, lines in zip(commands, plain, strict=True):
        code, out, _ = run_alone(*command)
        assert code == 0
        # What is in no table is as it was; a table's lines are those that folding made new.
        new = [line for line in out.splitlines() if line not in lines]
        assert all(len(line) <= columns for line in new), (command, new)
        folds |= bool(new)
    assert folds


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are a thing of POSIX")
def test_the_width_is_that_of_the_terminal_and_what_is_piped_is_never_folded(tmp_path):
    import fcntl
    import pty
    import struct
    import termios

    command = [sys.executable, "-m", "evenstroke", "pair", "--quiet"]
    near, far = pty.openpty()
    # struct winsize: rows, columns and two that nobody uses.
    fcntl.ioctl(far, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 50, 0, 0))
    environment = {key: value for key, value in os.environ.items() if key != "COLUMNS"}
    with subprocess.Popen(command, stdout=far, stderr=far, cwd=tmp_path, env=environment) as child:
        os.close(far)
        shown = b""
        with contextlib.suppress(OSError):  # its end, on Linux
            while part := os.read(near, 65536):
                shown += part
        assert child.wait() == 0
    os.close(near)
    table = [line for line in shown.decode().splitlines() if line.startswith("  ")]
    assert max(map(len, table)) <= 50
    piped = subprocess.run(command, capture_output=True, text=True, check=True, cwd=tmp_path)
    assert max(map(len, piped.stdout.splitlines())) > 90


def test_a_name_in_markdown_is_text_and_no_mark_tag_link_or_line():
    """Oracle: markdown-it-py (PyPI), an independent reader of CommonMark and its tables."""
    from markdown_it import MarkdownIt

    names = [
        "<img src=x onerror=alert(1)>",
        "[a](javascript:alert(1))",
        "a | b \\| c",
        "**bold** _it_ `code` ~~no~~ ![x](y)",
        "&lt;b&gt; https://x.example www.x.example",
        "two\nlines",
    ]
    page = MarkdownIt("commonmark").enable("table")
    for name in names:
        tokens = page.parse("\n".join(markdown_lines(["tablet", "size"], [[name, "1"]])))
        cells = [each for each in tokens if each.type == "inline"]
        assert [token.type for token in cells[2].children] == ["text"] * len(cells[2].children)
        assert "".join(token.content for token in cells[2].children) == name.replace("\n", " ")
