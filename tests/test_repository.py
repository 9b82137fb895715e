"""The shape of the repository itself."""

import hashlib
import re
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


#: Sizes and resolutions that belong to tablets one can buy, as digests, so that they do not stand here either. What the
#: project shows is invented.
BOUGHT = {
    "03b93c256a40",
    "1d90d76fa108",
    "2621beddc74c",
    "36c7f4ba08fd",
    "1893cc13cb7a",
    "633aac9d328c",
    "6bc879b2c762",
    "1890287296e6",
    "e5926c09f75e",
    "77945e856134",
    "24f23b829d06",
}
_NUMBER = r"\d+(?:\.\d+)?"
_PAIR = re.compile(rf"(?<![\d.])({_NUMBER}) ?(?:mm|cm|in)?\"? ?(?:x|×|by|_by_|,|;|\|) ?({_NUMBER})(?![\d.])")
_DENSITY = re.compile(rf"(?<![\d.])({_NUMBER}) ?(?:/ ?|(?:counts |units )?per )(mm|in)\b")
_SHOWN = {".py", ".md", ".yaml", ".csv", ".html", ".js", ".toml"}


def digest(*words):
    return hashlib.sha256(" ".join(words).encode()).hexdigest()[:12]


def bought(text):
    """Each size or resolution in ``text`` that is a real tablet's."""
    for pair in _PAIR.findall(text):
        one, two = (number.removesuffix(".0") for number in pair)
        for words in ((one, two), (two, one)):
            if digest(*words) in BOUGHT:
                yield f"{one} x {two}"
    for number, unit in _DENSITY.findall(text):
        if digest(number, unit) in BOUGHT:
            yield f"{number} per {unit}"


def test_the_sizes_that_are_refused_are_recognised():
    assert not list(bought("240 x 152 mm at 150/mm, 9.4x6in@3810/in, 146x96, 168 x 104, 330x214 mm"))
    sizes = ((112 * 2, 74 * 2), (76 * 2, 95), (108 * 2, 45 * 3), (157, 49 * 2))
    for width, height in sizes:
        for written in (
            f"{width}x{height}mm",
            f"{width}, {height}",
            f"{height} × {width}",
            f"{width}.0 x {height}.0 mm",
        ):
            assert list(bought(f"Tablet({written})")), written
    assert list(bought(f"{4.4 * 2}x{2.9 * 2}in"))
    assert list(bought(f"@{2540 * 2}/in"))
    assert list(bought(f"{100 * 2} counts per mm"))


def test_no_real_tablet_is_shown():
    shown = [
        path for path in ROOT.rglob("*") if path.suffix in _SHOWN and "." not in path.relative_to(ROOT).parts[0][:1]
    ]
    assert len(shown) > 200
    found = [f"{path.relative_to(ROOT)}: {each}" for path in shown for each in bought(path.read_text("utf-8"))]
    assert not found
