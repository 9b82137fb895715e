"""``python -m render.one_file OUT``."""

from __future__ import annotations

from pathlib import Path

import click
from platformdirs import user_cache_path

from render.one_file.assembled import assemble
from render.one_file.fetched import fetch


@click.command("render.one_file")
@click.argument("out", type=click.Path(file_okay=False, path_type=Path))
@click.option(
    "--cache",
    type=click.Path(file_okay=False, path_type=Path),
    default=user_cache_path("evenstroke") / "one-file",
    show_default=True,
    help="Where what comes from the registries is kept.",
)
@click.option(
    "--wheels",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="A folder of further wheels for the same Python, as numpy and Pillow for traces.",
)
def command(out: Path, cache: Path, wheels: Path | None) -> None:
    """Build the page as one file, OUT/evenstroke.html, and as a folder for a host, OUT/folder.

    Needs node and npm; what comes from the registries is pinned by hashes.
    """
    fetched = fetch(cache)
    for path, size in assemble(out, fetched, wheels):
        click.echo(f"{size / 1e6:6.2f} MB  {path}")


if __name__ == "__main__":
    command()
