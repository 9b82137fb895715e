"""The commands of the README and of the guides are run; what they print is compared.

Those of a page run in their order and in one folder. A guide goes on from the README's set-up
command and from the desk that is kept.
"""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

import profiles
from render.cli import group

ROOT = Path(__file__).parent.parent
README_PAGE = ROOT / "README.md"
GUIDES = sorted((ROOT / "gallery" / "guides").glob("*.md"))
README = README_PAGE.read_text(encoding="utf-8")
ANYTHING = "[...]"
SET_UP = re.search(r"^python3 -m venv .*evenstroke map(.*)$", README, re.MULTILINE)[1]


def console_steps(text):
    """Each command of the console blocks with the lines that the README shows for it."""
    for block in re.findall(r"^```console\n(.*?)^```", text, re.MULTILINE | re.DOTALL):
        for step in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, *shown = step.rstrip("\n").split("\n")
            yield command, shown


def matches(printed, shown):
    """Whether the printed lines are those shown, where ANYTHING stands for any number of lines."""
    pattern = "".join(
        r"(?:.*\n)*" if line == ANYTHING else re.escape(line) + r"\n" for line in shown
    )
    return re.fullmatch(pattern, "".join(f"{line}\n" for line in printed)) is not None


@pytest.mark.parametrize("page", [README_PAGE, *GUIDES], ids=lambda page: page.stem)
def test_every_console_example_does_what_its_page_shows(page, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("EVENSTROKE_LIBRARY", str(tmp_path / "library"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    steps = list(console_steps(page.read_text(encoding="utf-8")))
    assert steps
    begin = [("evenstroke map" + SET_UP, [])]
    if page != README_PAGE:
        begin.append(("evenstroke keep desk.yaml", []))
    for command, shown in begin + steps:
        program, *arguments = shlex.split(command)
        assert program == "evenstroke", command
        result = CliRunner().invoke(group, arguments)
        assert result.exit_code == 0, f"{command}\n{result.output}{result.exception!r}"
        if shown:
            assert matches(result.stdout.rstrip("\n").split("\n"), shown), (
                f"{command}\n{result.stdout}"
            )


def test_the_library_example_prints_what_the_guide_shows(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "gallery" / "guides" / "programs.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"^```python\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    exec(compile(block, "programs.md", "exec"), {})  # noqa: S102 - our own page
    (shown,) = re.findall(r"^print.*  # (.*)$", block, re.MULTILINE)
    assert capsys.readouterr().out == f"{shown}\n"
    assert profiles.load("window.yaml").map.area_built_mm.height == 135


def test_the_public_names_cost_nothing_before_they_are_used():
    program = (
        "import sys, mapper, profiles; assert not any(name.startswith(('mapper.', 'profiles.')) "
        "for name in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program], check=True, cwd=ROOT)


def test_the_job_stands_first():
    title, job, *_ = README.split("\n\n")
    assert title == "# Evenstroke"
    assert "circles stay round" in " ".join(job.split())


def test_the_readme_is_read_in_one_sitting_and_leads_to_every_guide():
    assert README.count("\n") <= 120
    for guide in GUIDES:
        assert f"]({guide.relative_to(ROOT).as_posix()})" in README


@pytest.mark.parametrize(
    "page", [README_PAGE, ROOT / "DEVELOPERS.md", *GUIDES], ids=lambda page: page.stem
)
def test_links_lead_somewhere(page):
    for link in re.findall(r"\]\(([^)#:]+)\)", page.read_text(encoding="utf-8")):
        assert (page.parent / link).exists(), link
