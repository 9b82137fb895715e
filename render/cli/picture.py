"""``evenstroke picture``: draws saved profiles."""

from __future__ import annotations

import click

from render.cli.options import examples, force_option

__all__ = ["command"]


@click.command(
    "picture", epilog=examples("evenstroke picture desk.yaml desk.png", "evenstroke picture desk.yaml desk.svg")
)
@click.argument("profile", metavar="FILE.yaml", type=click.Path())
@click.argument("out", metavar="OUT", type=click.Path())
@force_option
def command(profile: str, out: str, *, force: bool) -> None:
    """Draw a saved profile: tablet and screen to one scale, and what becomes of a circle.

    The ending of OUT says which kind of picture: .png, .svg, .pdf or .webp.
    """
    from profiles.document import load
    from render.draw import save
    from render.preview import preview_scene

    save(preview_scene(load(profile).map), out, force=force)
