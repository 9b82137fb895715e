"""What Windows and macOS lack or forbid, faked on this system: nobody had such a computer at hand.

The words of Microsoft, "Naming Files, Paths, and Namespaces", and what Python's own documentation
marks as "Availability: Unix".
"""

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from mapper.problems import RequestError
from profiles import files
from profiles.files import refuse_forbidden, write_whole
from profiles.format.document import load
from profiles.library.desks import stem_of
from profiles.library.revisions import default_folder
from profiles.lists import display_list, tablet_list
from profiles.strokes.drawing import read_drawing

ROOT = Path(__file__).parent.parent
SAMPLE = ROOT / "tests" / "profiles" / "samples" / "format-1.yaml"

# Run before the program: nothing that Windows lacks is there any more, folders cannot be opened,
# and links are not made.
LIKE_WINDOWS = """
import sys
for name in ("fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "syslog"):
    sys.modules[name] = None
# Other people's libraries see the system that is here: what is tried is ours.
import mimetypes, multiprocessing, os, signal, subprocess, tempfile, types
import concurrent.futures.process, platform, webbrowser
import click.testing, dateutil.tz, matplotlib.backends.backend_agg, matplotlib.font_manager
import msgspec, numpy, platformdirs, yaml, PIL.Image
OF_OS = (
    "fork forkpty geteuid getuid getegid getgid getpgid setsid killpg mkfifo mknod chown lchown "
    "sched_getaffinity getloadavg O_NONBLOCK O_CLOEXEC O_DIRECTORY O_NOFOLLOW sync"
)
for name in OF_OS.split():
    if hasattr(os, name):
        delattr(os, name)
for name in "SIGKILL SIGHUP SIGPIPE SIGALRM SIGUSR1 alarm setitimer pthread_kill".split():
    if hasattr(signal, name):
        delattr(signal, name)
multiprocessing.get_all_start_methods = lambda: ["spawn"]
opened = os.open
def no_folders(path, *more, **also):
    if os.path.isdir(path):
        raise PermissionError(13, "Permission denied", str(path))
    return opened(path, *more, **also)
os.open = no_folders
def no_links(*_a, **_b):
    raise OSError(1, "Incorrect function")
os.link = os.symlink = no_links
class OurSys:
    platform = "win32"
    def __getattr__(self, name):
        return getattr(sys, name)
def no_key(*_a):
    raise FileNotFoundError(2, "The system cannot find the file specified")
# The registry of a Windows that keeps no display.
sys.modules["winreg"] = types.SimpleNamespace(HKEY_LOCAL_MACHINE=None, OpenKey=no_key)
import profiles.files, profiles.hardware.system
profiles.files.sys = profiles.hardware.system.sys = OurSys()
from render.cli import main
if __name__ == "__main__":
    for line in sys.argv[1].split("\\n"):
        try:
            main([word for word in line.split("|")])
        except SystemExit as left:
            print(f"<{left.code}>", flush=True)
"""


def test_a_working_day_without_what_windows_lacks(tmp_path):
    (tmp_path / "program.py").write_text(LIKE_WINDOWS)
    day = [
        (
            "map|--tablet|240x152mm@150/mm|--display|27in 2560x1440|--workstation|Büro × "
            "Fenster|--save|desk.yaml|--picture|d.png"
        ),
        "keep|desk.yaml",
        "stations",
        "felt|desk.yaml|--score|4|--doing|ink",
        "export|all.zip",
        "import|all.zip",
        "audit",
        *(f"recall|Büro × Fenster|--out|{at}.yaml" for at in range(3)),
        f"picture|{'|'.join(f'{at}.yaml' for at in range(3))}|--into|out",
        # The registry has no displays, and no folder of Linux's is asked.
        "displays",
        "tablets",
        "doctor",
    ]
    done = subprocess.run(
        [sys.executable, tmp_path / "program.py", "\n".join(day)],
        cwd=tmp_path,
        env=os.environ
        | {
            "PYTHONPATH": str(ROOT),
            "EVENSTROKE_LIBRARY": str(tmp_path / "kept"),
            "PYTHONIOENCODING": "cp437",
        },
        capture_output=True,
        check=True,
        timeout=120,
    )
    out, said = done.stdout.decode("cp437"), done.stderr.decode("cp437")
    assert "Traceback" not in said
    assert "our fault" not in said
    codes = [line for line in out.splitlines() if line.startswith("<")]
    assert codes == ["<0>"] * 11 + ["<1>", "<1>", "<0>"], said
    # The console of an old Windows has the ü and lacks the sign, which comes as one types it.
    assert "Büro x Fenster" in out
    assert "all.zip: 0 new" in out
    assert len(list((tmp_path / "out").glob("*.png"))) == 3
    assert "keeps no description of a display" in said
    assert "measured with a bank card" in said


def test_what_goes_to_a_file_or_another_program_is_utf_8(tmp_path):
    """Whatever the letters of the system are: here those of a Windows in western Europe."""
    (tmp_path / "desk.yaml").write_text(
        SAMPLE.read_text("utf-8").replace("workstation: ", "workstation: Büro → ", 1), "utf-8"
    )
    done = subprocess.run(
        [sys.executable, "-m", "render.cli", "report", "desk.yaml", "--as", "yaml"],
        env={key: value for key, value in os.environ.items() if key != "PYTHONIOENCODING"}
        | {"PYTHONPATH": str(ROOT), "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "LC_ALL": "C"},
        cwd=tmp_path,
        capture_output=True,
        check=True,
    )
    assert "workstation: Büro →" in done.stdout.decode("utf-8")


@pytest.mark.parametrize(
    "name",
    [
        "con.png",
        "NUL",
        "a/Com1.yaml",
        "desk.",
        "desk ",
        "desk:b.yaml",
        "why?.png",
        "x|y",
        'say "a"',
        "lpt9 .txt",
    ],
)
def test_names_that_windows_forbids_are_refused_there(name, monkeypatch):
    refuse_forbidden(name)
    monkeypatch.setattr(files.sys, "platform", "win32")
    with pytest.raises(RequestError, match="name that Windows allows"):
        write_whole(name, b"")


def test_names_that_windows_allows_pass_there(monkeypatch):
    monkeypatch.setattr(files.sys, "platform", "win32")
    for name in (
        "C:\\Users\\Büro am Fenster\\desk.yaml",
        "..\\desk.yaml",
        ".\\a.b.c",
        "\\\\server\\share\\desk.yaml",
        "console.png",
        "com.png",
    ):
        refuse_forbidden(name)
    assert stem_of("con") == "con-desk"


def test_a_file_that_somebody_has_open_is_waited_for_and_then_told(tmp_path, monkeypatch):
    """Windows refuses to replace a file that a reader has open.

    ERROR_ACCESS_DENIED or ERROR_SHARING_VIOLATION.
    """
    target, replace, refusals = tmp_path / "desk.yaml", os.replace, [3]
    target.write_bytes(b"old")

    def busy(*names):
        refusals[0] -= 1
        if refusals[0] >= 0:
            raise PermissionError(errno.EACCES, "The process cannot access the file")
        replace(*names)

    monkeypatch.setattr(files.sys, "platform", "win32")
    monkeypatch.setattr(files.os, "replace", busy)
    write_whole(target, b"new", force=True)
    assert target.read_bytes() == b"new"
    refusals[0] = 10**9
    monkeypatch.setattr(files, "_PATIENCE_S", 0.1)
    with pytest.raises(
        RequestError,
        match=r"could not be replaced; got The process.*Close the program that has it open",
    ):
        write_whole(target, b"newer", force=True)
    assert [path.name for path in tmp_path.iterdir()] == ["desk.yaml"]
    assert target.read_bytes() == b"new"


def test_a_readers_open_file_stays_whole_while_it_is_replaced(tmp_path):
    target = tmp_path / "desk.yaml"
    target.write_bytes(b"old")
    with target.open("rb") as reader:
        write_whole(target, b"new", force=True)
        assert reader.read() == b"old"


def test_line_ends_of_windows_change_nothing(tmp_path):
    def crlf(content):
        return content.replace(b"\n", b"\r\n")

    profile = tmp_path / "desk.yaml"
    profile.write_bytes(crlf(SAMPLE.read_bytes()))
    assert load(profile) == load(SAMPLE)
    tablets, displays = (
        b"label,width_mm,height_mm\nsmall,146,96\n",
        b"label,diagonal_in,pixels\nside,24,1920x1080\n",
    )
    assert tablet_list(crlf(tablets), "x").items == tablet_list(tablets, "x").items
    assert display_list(crlf(displays), "x").items == display_list(displays, "x").items
    for name in ("csv/plain.csv", "csv/mm.csv", "json/plain.json", "svg/plain.svg"):
        here = ROOT / "tests" / "fuzz" / "corpus" / name
        (tmp_path / here.name).write_bytes(crlf(here.read_bytes()))
        assert read_drawing(str(tmp_path / here.name)).strokes == read_drawing(str(here)).strokes


@pytest.mark.parametrize(
    ("system", "place"),
    [
        ("windows", "C:\\Users\\me\\AppData\\Local\\evenstroke"),
        ("macos", "/Users/me/Library/Application Support/evenstroke"),
    ],
)
def test_the_library_lies_where_the_system_keeps_a_users_data(system, place, monkeypatch):
    """Microsoft's known folder LocalAppData, and Apple's Library directory.

    File System Programming Guide, "The Library Directory".
    """
    import platformdirs
    from platformdirs import macos, windows

    monkeypatch.setenv("HOME", "/Users/me")
    monkeypatch.setattr(windows, "get_win_folder", lambda _name: "C:\\Users\\me\\AppData\\Local")
    of_system = {"windows": windows.Windows, "macos": macos.MacOS}[system]
    monkeypatch.setattr(platformdirs, "PlatformDirs", of_system)
    assert (
        str(default_folder().parent).replace(
            "/evenstroke", "\\evenstroke" if system == "windows" else "/evenstroke"
        )
        == place
    )
