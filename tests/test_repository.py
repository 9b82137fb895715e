"""The shape of the repository itself."""

import hashlib
import re
import subprocess
from pathlib import Path

ROOT = Path(__file__).parent.parent
TOP_LEVEL = set(
    "README.md DEVELOPERS.md LICENSE pyproject.toml mapper render profiles tests gallery".split()
)


def test_the_top_level_is_the_list_of_the_parts():
    listed = subprocess.run(
        ["git", "ls-files"],  # noqa: S607
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
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
        if any(
            line.strip().startswith(("import yaml", "from yaml"))
            for line in path.read_text("utf-8").splitlines()
        )
    }
    assert knowing == {"profiles/yaml_text.py"}


def test_pyplot_is_never_imported():
    for package in ("mapper", "profiles", "render"):
        for path in (ROOT / package).rglob("*.py"):
            assert "matplotlib.pyplot" not in path.read_text("utf-8"), path


#: Sizes and resolutions that belong to tablets one can buy, as digests, so that they do not stand
#: here either. What the project shows is invented.
BOUGHT = set(
    """
    03b93c256a40 1d90d76fa108 2621beddc74c 36c7f4ba08fd 1893cc13cb7a 633aac9d328c 6bc879b2c762
    1890287296e6 e5926c09f75e 77945e856134 24f23b829d06
""".split()
)
_NUMBER = r"\d+(?:\.\d+)?"
_PAIR = re.compile(
    rf"(?<![\d.])({_NUMBER}) ?(?:mm|cm|in)?\"? ?(?:x|×|by|_by_|,|;|\|) ?({_NUMBER})(?![\d.])"
)
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


#: Counts across and down of those tablets, as digests: what their report descriptors say, in
#: hexadecimal too.
BOUGHT_COUNTS = set(
    (
        "054c9fd7a416 4bf9828055cc 5891fb0bb73b 763661b6ac50 7c093fe478cf 847a599d5135 "
        "93661967c535 "
        "ccdeeae36aec"
    ).split()
)


def described(text):
    """Each pair of counts in ``text`` that is a real tablet's.

    It may be written out, or stand there as the items of a report descriptor.
    """
    numbers = [int(each) for each in re.findall(r"(?<![\d.])\d{5,6}(?![\d.])", text)]
    for run in re.findall(r"(?:(?:0[xX]|\\x)?[0-9a-fA-F]{2}[\s,\"']*){6,}", text):
        raw = bytes(
            int(each, 16)
            for each in re.findall(r"[0-9a-fA-F]{2}(?![xX])", re.sub(r"0[xX]|\\x", " ", run))
        )
        # Items of two and four bytes that end a logical range (USB HID 1.11, 6.2.2.7: tags 0x26 and
        # 0x27).
        numbers += [
            int.from_bytes(raw[at + 1 : at + 3], "little")
            for at in range(len(raw) - 2)
            if raw[at] == 0x26
        ]
        numbers += [
            int.from_bytes(raw[at + 1 : at + 5], "little")
            for at in range(len(raw) - 4)
            if raw[at] == 0x27
        ]
    one = {digest(str(number)): number for number in set(numbers)}
    found = [one[each] for each in one if each in BOUGHT_COUNTS]
    if len(found) > 1:
        yield f"counts {' and '.join(map(str, sorted(found)))}"


def test_the_sizes_that_are_refused_are_recognised():
    assert not list(
        bought("240 x 152 mm at 150/mm, 9.4x6in@3810/in, 146x96, 168 x 104, 330x214 mm")
    )
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
    for across, down in ((112 * 400, 74 * 400), (76 * 400, 95 * 200)):
        items = bytes(
            [0x27, *across.to_bytes(4, "little"), 0x46, 1, 2, 0x27, *down.to_bytes(4, "little")]
        )
        for written in (
            items.hex(),
            items.hex(" "),
            ", ".join(f"0x{each:02X}" for each in items),
            f"{across} x {down}",
        ):
            assert list(described(written)), written
        short = bytes(
            [
                0x26,
                *(across % 65536).to_bytes(2, "little"),
                0x75,
                16,
                0x26,
                *down.to_bytes(2, "little"),
            ]
        )
        assert list(described("".join(f"\\x{each:02x}" for each in short)))
    assert not list(described("36000 x 22800 and 27 a0 8c 00 00 46 01 02 27 10 59 00 00"))


def test_no_real_tablet_is_shown():
    shown = [
        path
        for path in ROOT.rglob("*")
        if path.suffix in _SHOWN and "." not in path.relative_to(ROOT).parts[0][:1]
    ]
    assert len(shown) > 200
    found = [
        f"{path.relative_to(ROOT)}: {each}"
        for path in shown
        for each in (*bought(path.read_text("utf-8")), *described(path.read_text("utf-8")))
    ]
    assert not found
