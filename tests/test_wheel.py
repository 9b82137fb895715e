"""What gets installed: the three packages with all their files, and nothing of the workshop."""

import subprocess
import sys
import zipfile

import pytest

PACKAGES = ("mapper", "profiles", "render")


@pytest.fixture(scope="module")
def wheel(checkout, tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(folder)]
    built = subprocess.run(command, cwd=checkout, check=False, capture_output=True, text=True)
    assert built.returncode == 0, built.stderr
    (path,) = folder.glob("*.whl")
    with zipfile.ZipFile(path) as opened:
        yield opened


def test_the_wheel_holds_every_file_of_the_three_packages_and_nothing_else(wheel, checkout):
    expected = {
        path.relative_to(checkout).as_posix()
        for package in PACKAGES
        for path in (checkout / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    installed = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert installed == expected


def test_the_wheel_is_typed_licensed_and_has_the_command(wheel):
    names = {name.partition(".dist-info/")[2] or name for name in wheel.namelist()}
    assert {f"{package}/py.typed" for package in PACKAGES} < names
    assert "licenses/LICENSE" in names
    (entry_points,) = (name for name in wheel.namelist() if name.endswith("entry_points.txt"))
    assert "evenstroke = render.cli:main" in wheel.read(entry_points).decode()
