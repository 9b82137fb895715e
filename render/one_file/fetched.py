"""What the one file needs of the registries: Pyodide and the bundler from npm, wheels from PyPI.

All of it is pinned by hashes in ``pins``, fetched by the registries' own clients, and kept in a
cache folder under the name of what was pinned.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mapper.phrases import phrase

if TYPE_CHECKING:
    from collections.abc import Callable

PINS = Path(__file__).with_name("pins")
#: The Python in the pinned Pyodide, and the tags of the wheels that are pinned for it.
_PYTHON = "3.14"
_PLATFORMS = ("pyemscripten_2026_0_wasm32", "manylinux_2_28_x86_64", "manylinux2014_x86_64")


@dataclass(frozen=True, slots=True)
class Fetched:
    """The folder of npm's modules, and the wheels."""

    modules: Path
    wheels: tuple[Path, ...]


def fetch(cache: Path) -> Fetched:
    """What is pinned, fetched where it is not there yet. Raises ClickException."""
    modules = _cached(cache, "npm", ("package.json", "package-lock.json"), _npm) / "node_modules"
    wheels = _cached(cache, "wheels", ("wheels.txt",), _pip)
    return Fetched(modules, tuple(sorted(wheels.glob("*.whl"))))


def _cached(cache: Path, name: str, pins: tuple[str, ...], get: Callable[[Path], None]) -> Path:
    """The folder that ``get`` fills, named after what is pinned; it is whole or not there."""
    digest = sha256(b"".join((PINS / each).read_bytes() for each in pins)).hexdigest()[:16]
    folder = cache / f"{name}-{digest}"
    if folder.is_dir():
        return folder
    partly = folder.with_suffix(".part")
    shutil.rmtree(partly, ignore_errors=True)
    partly.mkdir(parents=True)
    get(partly)
    partly.rename(folder)
    return folder


def _npm(folder: Path) -> None:
    if shutil.which("npm") is None or shutil.which("node") is None:
        raise click.ClickException(
            phrase("node and npm are needed to build it, and one of them is missing")
        )
    for name in ("package.json", "package-lock.json"):
        shutil.copy(PINS / name, folder)
    run("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error", cwd=folder)


def _pip(folder: Path) -> None:
    platforms = [f"--platform={each}" for each in _PLATFORMS]
    run(
        *(sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check"),
        *("--no-deps", "--only-binary=:all:", "--require-hashes", f"--python-version={_PYTHON}"),
        *platforms,
        *("--dest", ".", "--requirement", str(PINS / "wheels.txt")),
        cwd=folder,
    )


def run(*command: str, cwd: Path) -> None:
    """Run a command of the build. Raises ClickException with what it said."""
    done = subprocess.run(  # noqa: S603 - our own words
        command, cwd=cwd, check=False, capture_output=True, text=True
    )
    if done.returncode:
        raise click.ClickException(
            f"{' '.join(command[:4])}: {(done.stderr or done.stdout)[-2000:]}"
        )
