"""The shape of the repository itself."""

import subprocess
from pathlib import Path

ROOT = Path(__file__).parent.parent
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "mapper",
    "render",
    "profiles",
    "tests",
    "gallery",
}


def test_the_top_level_is_the_list_of_the_parts():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)  # noqa: S607
    if listed.returncode:
        # An unpacked source archive has no history; what lies about there is not ours to judge.
        return
    top = {line.partition("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL


def test_only_one_module_knows_yaml():
    knowing = {
        path.relative_to(ROOT).as_posix()
        for package in ("mapper", "profiles", "render")
        for path in (ROOT / package).rglob("*.py")
        if any(line.strip().startswith(("import yaml", "from yaml")) for line in path.read_text("utf-8").splitlines())
    }
    assert knowing == {"profiles/yaml_text.py"}


def test_pyplot_is_never_imported():
    for package in ("mapper", "profiles", "render"):
        for path in (ROOT / package).rglob("*.py"):
            assert "matplotlib.pyplot" not in path.read_text("utf-8"), path
