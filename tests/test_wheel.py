"""What gets installed: the packages with all their files, and nothing of the workshop."""

import os
import re
import subprocess
import sys
import zipfile

import pytest

PACKAGES = ("mapper", "profiles", "render")


@pytest.fixture(scope="module")
def wheel(checkout, tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    command = [
        sys.executable,
        "-m",
        "hatchling",
        "build",
        "--target",
        "wheel",
        "--directory",
        str(folder),
    ]
    built = subprocess.run(command, cwd=checkout, check=False, capture_output=True, text=True)
    assert built.returncode == 0, built.stderr
    (path,) = folder.glob("*.whl")
    with zipfile.ZipFile(path) as opened:
        yield opened


def test_the_wheel_holds_every_file_of_the_packages_and_nothing_else(wheel, checkout):
    expected = {
        path.relative_to(checkout).as_posix().removeprefix("render/public/")
        for package in PACKAGES
        for path in (checkout / package).rglob("*")
        if path.is_file()
        and not {"__pycache__", "one_file"} & set(path.parts)
        # What translators work on.
        and path.suffix not in {".po", ".pot", ".md"}
    }
    installed = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert installed == expected
    assert "evenstroke/__init__.py" in installed


def test_the_wheel_is_typed_licensed_and_has_the_command(wheel):
    names = {name.partition(".dist-info/")[2] or name for name in wheel.namelist()}
    assert {f"{package}/py.typed" for package in ("evenstroke", *PACKAGES)} < names
    assert "licenses/LICENSE" in names
    (entry_points,) = (name for name in wheel.namelist() if name.endswith("entry_points.txt"))
    assert "evenstroke = evenstroke:main" in wheel.read(entry_points).decode()


def test_the_readme_of_the_wheel_links_to_nothing_that_an_index_lacks(wheel):
    (name,) = (name for name in wheel.namelist() if name.endswith("/METADATA"))
    metadata = wheel.read(name).decode()
    assert "# Evenstroke\n" in metadata
    assert "Classifier: Programming Language :: Python :: 3.11" in metadata
    assert re.findall(r"\]\((?!https?:|#)", metadata) == []
    assert "a desk (`gallery/guides/desk.md`)" in metadata


@pytest.fixture
def installed(wheel, tmp_path):
    """Run the command as installed from the wheel.

    A stranger's packages of our names stand first on the path.
    """
    wheel.extractall(tmp_path / "site")
    stranger = tmp_path / "stranger"
    for package in PACKAGES:
        (stranger / package).mkdir(parents=True)
        (stranger / package / "__init__.py").write_text("MINE = True\n")
    # What an installer writes for an entry point.
    script = tmp_path / "bin" / "evenstroke"
    script.parent.mkdir()
    script.write_text("import sys\nfrom evenstroke import main\nsys.exit(main())\n")

    def run(*arguments, before=""):
        path = os.pathsep.join([str(stranger), str(tmp_path / "site")])
        script.write_text((before or "") + script.read_text())
        command = [str(script)] if before is not None else ["-m", "evenstroke"]
        return subprocess.run(
            [sys.executable, *command, *arguments],
            cwd=stranger,
            env={**os.environ, "PYTHONPATH": path},
            check=False,
            capture_output=True,
            text=True,
        )

    return run


def test_a_strangers_packages_earlier_on_the_path_do_not_hurt_the_installed_command(installed):
    done = installed("map", "--tablet", "240x152mm", "--display", "27in 2560x1440")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("A circle stays round")
    as_module = installed("--version", before=None)
    assert (as_module.returncode, as_module.stderr) == (0, "")


def test_a_script_beside_a_strangers_package_is_told_which_one_is_in_its_way(installed):
    done = installed(before="from evenstroke import solve\n")
    assert done.returncode == 1
    assert "evenstroke needs its own package mapper, and another one was loaded: " in done.stderr
    assert "Rename that one, or take it off the path" in done.stderr


def test_a_strangers_package_that_is_loaded_already_is_named(installed):
    done = installed("--version", before="import render\n")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(
        "evenstroke needs its own package render, and another one was loaded: "
    )
    assert "stranger" in done.stderr
    assert "Traceback" not in done.stderr
