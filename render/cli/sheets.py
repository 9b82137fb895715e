"""The options of every command that draws: how large, in which colours, in which units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from profiles.pixels import USUAL_MM, parse_sheet
from render.cli.options import together
from render.cli.types import PICTURE
from render.sentences import languages
from render.sentences.languages import ENGLISH, offered
from render.sentences.say import speaking

if TYPE_CHECKING:
    from collections.abc import Callable

    from render.canvas.scene import Scene
    from render.cli.options import F

theme_option = click.option(
    "--theme",
    type=click.Choice(["light", "dark", "print"]),
    default="light",
    show_default=True,
    help="Colours: dark for a dark room, print for paper.",
)

#: Whatever a command prints stays English.
language_option = click.option(
    "--language",
    type=click.Choice(offered()),
    default=ENGLISH,
    show_default=True,
    help="The language of the words in the picture, page or paper.",
)


def picture_option(help_text: str) -> Callable[[F], F]:
    """``--picture``, the file that a chart is drawn into, and the language of its words."""
    picture = click.option("--picture", metavar="FILE", type=PICTURE, help=help_text)
    return together(picture, language_option)


def draw_chart(
    make: Callable[[], Scene], path: str, *, language: str, theme: str = "light", force: bool
) -> None:
    """Draw the scene that ``make`` returns into ``path``, in the language of that code."""
    from render.canvas.draw import save

    with speaking(languages.language(language)):
        save(make(), path, theme=theme, force=force)


#: What every picture takes; ``sheet_of`` reads it.
picture_options = together(
    click.option(
        "--size",
        metavar="SIZE",
        help=(
            "The picture's size: 1920x1080 (px), or 297x210mm or 11x8.5in of paper.  [default: "
            "1600x900]"
        ),
    ),
    theme_option,
    click.option(
        "--units",
        type=click.Choice(["mm", "in"]),
        default="mm",
        show_default=True,
        help="Unit of the lengths in the picture.",
    ),
    language_option,
    click.option("--no-text", is_flag=True, help="Leave out all words, for slides."),
)


@dataclass(frozen=True, slots=True)
class PictureSheet:
    """The sheet that ``picture_options`` collected: its size in mm, perhaps its width in px."""

    size_mm: tuple[float, float]
    width_px: int | None
    theme: str
    units: str
    text: bool
    language: str

    @property
    def arguments(self) -> dict[str, Any]:
        """The keyword arguments that every function takes that makes a scene."""
        return {"units": self.units, "text": self.text, "size_mm": self.size_mm}

    @property
    def width(self) -> dict[str, int]:
        """The keyword argument that every function takes that saves one."""
        return {} if self.width_px is None else {"width_px": self.width_px}


def sheet_of(
    *, size: str | None, theme: str, units: str, no_text: bool, language: str
) -> PictureSheet:
    """What ``picture_options`` collected.

    Raises RequestError for a size that is none, or out of bounds.
    """
    if size is None:
        return PictureSheet(USUAL_MM, None, theme, units, not no_text, language)
    size_mm, width_px = parse_sheet(size, "--size")
    return PictureSheet(size_mm, width_px, theme, units, not no_text, language)
