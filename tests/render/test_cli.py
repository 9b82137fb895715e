"""The command line as a shell sees it: standard output, standard error, exit code, files."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from render.cli import COMMANDS, group

ROOT = Path(__file__).resolve().parents[2]
TABLET, DISPLAY = ["--tablet", "240x152mm@150/mm"], ["--display", "27in 2560x1440"]


def program(*arguments, **more):
    """The real program in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "render.cli", *arguments],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        **more,
    )


def test_the_main_job(run):
    code, out, err = run("map", *TABLET, *DISPLAY, "--save", "desk.yaml")
    assert (code, err) == (0, "")
    assert out.startswith("A circle stays round, 2.49 times as large.\n")
    # 240 mm wide at 16:9 is 135 mm high; 8.5 mm stay free above and below; 150 counts are a
    # millimetre.
    assert "\n  left 0 mm, top 8.5 mm, width 240 mm, height 135 mm\n" in out
    assert "In every form: --all" in out
    _, out, _ = run("map", *TABLET, *DISPLAY, "--all")
    rows = {
        line[2:16].strip(): line[16:].split() for line in out.splitlines() if line.startswith("  ")
    }
    assert rows["top"] == ["8.500", "0.3346", "5.592", "1275.0"]
    assert rows["width"] == ["240.000", "9.4488", "100.000", "36000.0"]
    assert rows["height"] == ["135.000", "5.3150", "88.816", "20250.0"]
    assert rows["from bottom"] == ["8.500", "0.3346", "5.592", "1275.0"]
    assert run("check", "desk.yaml")[0] == 0


def test_yaml_and_json_are_the_profile(run):
    _, as_yaml, _ = run("map", *TABLET, *DISPLAY, "--as", "yaml", "--save", "desk.yaml")
    _, as_json, _ = run("map", *TABLET, *DISPLAY, "--workstation", "desk", "--as", "json")
    assert Path("desk.yaml").read_text("utf-8") == as_yaml
    assert json.loads(as_json) == yaml.safe_load(as_yaml)


def test_the_same_request_gives_the_same_bytes(run):
    arguments = ("map", *TABLET, *DISPLAY, "--turn", "270", "--note", "a\nb", "--as", "yaml")
    assert run(*arguments) == run(*arguments)


def test_an_unknown_size_is_said_and_nothing_is_guessed(run):
    _, out, _ = run("map", *TABLET, "--display", "2560x1440", "--fit", "full")
    assert "square pixels are assumed" in out
    assert "A circle comes out oval, 12.6 % wider than tall." in out
    assert "scale factor" not in out
    assert "scale factor across" not in out


def test_a_target_over_two_displays_gives_each_its_figures(run):
    _, out, _ = run(
        "map", *TABLET, *DISPLAY, "--display", "left: 24in 1920x1080 at -1920,0", "--onto", "all"
    )
    assert "4480 × 1440 px at -1920, 0 (main + left)" in out
    assert [line.split()[0] for line in out.splitlines() if line.strip()].count("stretch") == 2


@pytest.mark.parametrize(
    ("option", "plain", "typed"),
    [("--scale", "3.5", "3,5x"), ("--scale", "3.5", "\u00d73.5"), ("--slant", "10", "10\u00b0")],
)
def test_a_number_is_read_as_people_write_it(run, option, plain, typed):
    assert run("map", *TABLET, *DISPLAY, option, typed) == run(
        "map", *TABLET, *DISPLAY, option, plain
    )


BAD_REQUESTS = [
    (["--tablet", "240x152", *DISPLAY], "a length needs its unit", "Type 240x152mm"),
    (["--tablet", "240,500x152mm", *DISPLAY], "a comma before three digits", "Type 240.500x152mm"),
    (["--tablet", "0x152mm", *DISPLAY], "must be greater than 0", ""),
    (["--tablet", "-1x152mm", *DISPLAY], "must be greater than 0", ""),
    (["--tablet", "nanx152mm", *DISPLAY], "must be a tablet's active area", "Type width x height"),
    (["--tablet", "240x152yd", *DISPLAY], "the unit must be mm, cm or in", ""),
    (
        [*TABLET, "--display", "27 2560x1440"],
        "a length needs its unit",
        "Type 27in 2560x1440 or 27cm 2560x1440",
    ),
    (
        [*TABLET, "--display", "16:9"],
        "must be the size and the pixels",
        'Type for example "27in 2560x1440"',
    ),
    (
        [*TABLET, *DISPLAY, "--onto", "mian"],
        'must name a display; got "mian"',
        "Did you mean main?",
    ),
    ([*TABLET, *DISPLAY, "--true-on", "x"], "must name a display", "The displays are: main"),
    ([*TABLET, *DISPLAY, "--distance", "70"], "a length needs its unit", "Type 70cm or 70in"),
    ([*TABLET, *DISPLAY, "--display", "1920x1080 at 10,10"], "displays must not overlap", ""),
    (
        [*TABLET, "--display", "1920x1080 at 10,10"],
        "the primary, must be at 0,0",
        "Leave out its place",
    ),
    ([*TABLET, *DISPLAY, "--fit", "lokced"], "'lokced' is not one of", ""),
    ([*TABLET, *DISPLAY, "--turn", "45"], "45 is none of", ""),
    (
        [*TABLET, *DISPLAY, "--rotation", "90"],
        "No such option: --rotation. Here that is --turn",
        "",
    ),
    ([*TABLET, *DISPLAY, "--lock-aspect"], "Here that is --fit", ""),
    ([*TABLET, *DISPLAY, "--left-handed"], "Here that is --turn", ""),
    ([*TABLET], "--display: is needed, or a desk to start from", "--tablet 240x152mm"),
    ([*TABLET, *DISPLAY, "--save", "no-such-folder/desk.yaml"], "could not be written", ""),
    ([*TABLET, *DISPLAY, "--save", "."], "already exists", ""),
    ([*TABLET, *DISPLAY, "--save", "taken.yaml"], "already exists", "Type --force to replace it"),
    ([*TABLET, *DISPLAY, "--workstation", " ", "--save", "x.yaml"], "must not be empty", ""),
    (
        [*TABLET, *DISPLAY, "--workstation", "a\udcff", "--save", "x.yaml"],
        "must be text in UTF-8",
        "",
    ),
    ([*TABLET, *DISPLAY, "--note", "a\udcff", "--save", "x.yaml"], "must be text in UTF-8", ""),
    ([*TABLET, "--display", "a\udcff: 27in 2560x1440"], "must be text in UTF-8", ""),
]


@pytest.mark.parametrize(("arguments", "must", "instead"), BAD_REQUESTS)
def test_a_wrong_request_is_refused_in_a_line_and_leaves_nothing(run, arguments, must, instead):
    Path("taken.yaml").write_text("mine")
    code, out, err = run("map", *arguments)
    assert (code, out) == (2, "")
    first = err.splitlines()[0]
    assert first.startswith("evenstroke: ")
    assert must in first
    assert instead in first
    assert [path.name for path in Path.cwd().iterdir()] == ["taken.yaml"]
    assert Path("taken.yaml").read_text() == "mine"


def test_problems_of_tablet_and_displays_come_together(run):
    _, _, err = run("map", "--tablet", "240x152", "--display", "27 2560x1440", "--display", "x")
    assert [line.split(":")[1].strip() for line in err.splitlines()] == [
        "--tablet",
        "--display",
        "--display",
    ]


def test_force_replaces(run):
    Path("desk.yaml").write_text("old")
    assert run("map", *TABLET, *DISPLAY, "--save", "desk.yaml", "--force")[0] == 0
    assert Path("desk.yaml").read_text().startswith("evenstroke: 1\n")


def test_check_says_no_with_every_problem_of_every_file(run):
    run("map", *TABLET, *DISPLAY, "--save", "good.yaml")
    good = Path("good.yaml").read_text()
    Path("bad.yaml").write_text(good.replace("fit: locked", "fit: 16:9"))
    Path("worse.yaml").write_text(good.replace("top: 8.5", "top: 9.5", 1))
    Path("picture.yaml").write_bytes(b"\x89PNG\r\n\x1a\n\x00")
    with Path("huge.yaml").open("wb") as file:
        file.truncate(100 * 1024 * 1024)
    code, out, err = run(
        "check", "good.yaml", "bad.yaml", "worse.yaml", "picture.yaml", "huge.yaml", "missing.yaml"
    )
    assert code == 2
    assert out == "good.yaml: OK. good: A circle stays round, 2.49 times as large.\n"
    assert [line.split(" ")[1].rstrip(":") for line in err.splitlines()] == [
        "bad.yaml",
        "worse.yaml",
        "picture.yaml",
        "huge.yaml",
        "missing.yaml",
    ]
    assert 'Write "16:9"' in err
    assert "must be 8.5, as follows from what was asked; got 9.5" in err
    # Of a missing file no answer is known; of one that is there the answer is no.
    assert run("check", "good.yaml", "bad.yaml")[0] == 1


def test_check_as_data_says_of_each_file_what_is_wrong(run):
    run("map", *TABLET, *DISPLAY, "--save", "good.yaml")
    Path("worse.yaml").write_text(Path("good.yaml").read_text().replace("top: 8.5", "top: 9.5", 1))
    code, out, _ = run("check", "good.yaml", "worse.yaml", "missing.yaml", "--as", "json")
    assert code == 2
    data = json.loads(out)
    assert data["format"] == "evenstroke check 1"
    good, worse, missing = data["profiles"]
    assert (good["valid"], good["workstation"], good["problems"]) == (True, "good", [])
    assert good["scale_factor"] == pytest.approx(2.4905271, abs=1e-7)
    (problem,) = worse["problems"]
    assert (worse["valid"], problem["missing"], problem["came"]) == (False, False, "9.5")
    assert [problem["missing"] for problem in missing["problems"]] == [True]
    assert yaml.safe_load(run("check", "good.yaml", "--as", "yaml")[1])["profiles"] == [good]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_help_has_examples_that_parse(run, name):
    code, out, _ = run(name, "--help")
    assert code == 0
    blocks = re.findall(r"^ *(?:More e|E)xamples:\n((?: +.+\n)+)", f"{out}\n", re.MULTILINE)
    examples = [line for block in blocks for line in block.splitlines()]
    assert examples
    assert all(example.strip().startswith(f"evenstroke {name}") for example in examples)


def test_the_group_lists_every_command(run):
    code, out, _ = run("--help")
    assert code == 0
    listed = out.partition("Commands:\n")[2].splitlines()
    assert [line.split()[0] for line in listed if line.startswith("  ") and line[2] != " "] == list(
        COMMANDS
    )
    assert all(group.get_command(None, name).name == name for name in COMMANDS)


def test_an_unknown_command_is_answered_with_the_nearest(run):
    code, _, err = run("mapp")
    assert code == 2
    assert "No such command 'mapp'" in err
    assert "Did you mean 'map'?" in err


def test_the_real_program_and_its_version():
    assert program("map", *TABLET, *DISPLAY).stdout.startswith("A circle stays round")
    refused = program("map")
    assert (refused.returncode, refused.stdout) == (2, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_full_disk_under_standard_output_is_said(unbuffered):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "render.cli", "map", *TABLET, *DISPLAY],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": unbuffered},
        )
    assert done.returncode == 2
    assert done.stderr == "evenstroke: No space left on device\n"


def said_and_loaded(*arguments, **environment):
    """What a command prints, and the modules that are loaded when it leaves."""
    code = (
        f"import sys; from render.cli import main\ntry: main({arguments!r})\nexcept SystemExit: "
        f"print(*sys.modules)"
    )
    program = [sys.executable, "-c", code]
    done = subprocess.run(
        program, capture_output=True, text=True, check=True, cwd=ROOT, env=os.environ | environment
    )
    *said, loaded = done.stdout.splitlines()
    return said, set(loaded.split())


def test_a_single_map_pays_for_nothing_heavy():
    _, loaded = said_and_loaded("map", "--tablet", "240x152mm", "--display", "2560x1440")
    assert not {"numpy", "matplotlib", "PIL", "yaml", "msgspec"} & loaded


@pytest.mark.parametrize("completion", [{}, {"COMP_WORDS": "evenstroke pi", "COMP_CWORD": "1"}])
def test_the_list_of_commands_and_the_completion_of_their_names_load_none_of_them(completion):
    more = completion and {"_EVENSTROKE_COMPLETE": "bash_complete"} | completion
    said, loaded = said_and_loaded("--help", **more)
    assert (
        said == ["plain,picture", "plain,pin"]
        if completion
        else "  pin          Choose which kept setting is in use." in said
    )
    ours = {name for name in loaded if name.startswith("render.")}
    assert ours == {"render.cli", "render.cli.exits", "render.cli.spellings"}


@pytest.mark.parametrize("ending", ["png", "svg", "pdf", "webp"])
def test_map_draws_and_picture_draws_the_same_from_the_profile(run, ending):
    assert (
        run("map", *TABLET, *DISPLAY, "--picture", f"one.{ending}", "--save", "desk.yaml")[0] == 0
    )
    assert run("picture", "desk.yaml", f"two.{ending}") == (0, "", "")
    assert Path(f"one.{ending}").read_bytes() == Path(f"two.{ending}").read_bytes()


def test_no_picture_without_the_profile(run):
    Path("desk.yaml").write_text("mine")
    code, _, err = run("map", *TABLET, *DISPLAY, "--picture", "one.png", "--save", "desk.yaml")
    assert code == 2
    assert "already exists" in err
    assert [path.name for path in Path().iterdir()] == ["desk.yaml"]


def test_all_that_is_typed_wrong_is_told_at_once_before_anything_is_begun(run):
    wrong = ("--nib", "1.5", "--tolerance", "90%", "--of", "crad", "--pixel-ratio", "x")
    code, out, err = run("trace", "there-is-no-such.png", *wrong)
    assert (code, out) == (2, "")
    assert sorted(line.split(": ")[1] for line in err.splitlines()) == [
        "--nib",
        "--of",
        "--pixel-ratio",
        "--tolerance",
    ]
