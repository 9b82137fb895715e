"""``evenstroke picture``: draws saved profiles, alone, side by side, or a whole folder of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from mapper.phrases import any_of, phrase
from mapper.problems import AnswerIsNo, EvenstrokeError, Problem, RequestError
from profiles.files import reason_of
from profiles.format.document import Workstation
from profiles.library.desks import FoundDesk, refuse_swapped, stem_of
from profiles.standard import STANDARD
from render.canvas.draw import KINDS, save
from render.canvas.scene import Scene
from render.cli.options import desk_argument, examples, force_option
from render.cli.sheets import PictureSheet, picture_options, sheet_of
from render.cli.types import (
    ANY_FILE,
    Command,
    NamedDesk,
    all_found,
    make_way,
    then,
    typed,
    usual_desk,
)
from render.pictures.motion import MOTION_KINDS, motion_frames, save_motion
from render.pictures.preview import describe, preview_scene
from render.pictures.probes import PROBES
from render.pictures.redrawn import RASTER_KINDS, save_redrawn
from render.sentences.languages import language
from render.sentences.say import Name, say, speaking

if TYPE_CHECKING:
    from profiles.strokes.drawing import Drawing

VIEWS = ("map", "fits", "desk", "glance", "drawing")


@dataclass(frozen=True, slots=True)
class Wish:
    """How pictures are to be made: everything but which profiles and where to."""

    view: str
    probes: tuple[str, ...]
    drawing: str | None
    sheet: PictureSheet
    force: bool


@click.command(
    "picture",
    cls=Command,
    then="draw with your own hand: evenstroke pad {desk} pad.html",
    epilog=examples(
        "evenstroke picture desk.yaml desk.png",
        'evenstroke picture "window desk@2" "window desk" change.png',
        "evenstroke picture desk.yaml fits.svg --view fits",
        "evenstroke picture desk.yaml talk.png --view desk --theme dark --size 1920x1080",
        "evenstroke picture desk.yaml face.png --drawing portrait.png",
        "evenstroke picture desk.yaml desk.gif",
        "evenstroke picture desk.yaml --describe",
        "evenstroke picture a.yaml b.yaml c.yaml --into pictures",
    ),
)
@desk_argument(several=True, metavar="DESK... [OUT]")
@click.option(
    "--view",
    type=click.Choice(VIEWS),
    default="map",
    show_default=True,
    help="map: tablet and display, to one scale; several desks stand side by side. fits: the three "
    "ways of --fit, side by side. desk: all displays in their places and the tablet below. glance: "
    "three large numbers: the scale factor, how oval a circle becomes, and what is not used. "
    "drawing: the drawing alone, as it comes out.",
)
@click.option(
    "--probe",
    "probes",
    metavar="SHAPE",
    multiple=True,
    help=f"What is drawn under the hand: {any_of(PROBES)}; several are allowed.  [default: grid "
    "and circle]",
)
@click.option(
    "--drawing",
    metavar="FILE",
    type=ANY_FILE,
    help="Your own drawing instead: .png, .jpg, .webp, .svg, or strokes as .csv or .json.",
)
@picture_options
@click.option(
    "--describe", is_flag=True, help="Print the picture in words; OUT may then be left out."
)
@click.option(
    "--into",
    metavar="FOLDER",
    type=click.Path(),
    help="Draw each DESK as its own picture in this folder.",
)
@click.option(
    "--kind",
    type=click.Choice(["png", "svg", "pdf", "webp", "gif", "apng"]),
    default="png",
    show_default=True,
    help="The picture format for --into.",
)
@force_option
def command(
    *,
    desks: tuple[NamedDesk, ...],
    view: str,
    probes: tuple[str, ...],
    drawing: str | None,
    describe: bool,
    into: str | None,
    kind: str,
    force: bool,
    **sheet: Any,
) -> None:
    """Draw desks, from files or the library.

    A picture shows tablet and display to one scale, and how your strokes come out.

    OUT's extension sets the format: .png, .svg, .pdf, .webp, or .gif and .apng for an animation.
    """
    wish = Wish(view, probes, drawing, sheet_of(**sheet), force)
    _refuse_contradictions(wish, describe=describe, into=into, size=sheet["size"])
    if into is not None:
        _draw_into(desks, into, kind, wish)
        return
    named, out = _split(desks, describe)
    make_way(out)
    shown = all_found(named)
    if describe:
        with speaking(language(wish.sheet.language)):
            described = _description(shown, wish)
        click.echo(described)
    if out is not None:
        _draw(shown, out, wish)
        command = f"evenstroke pad {typed(named[0].typed)} pad.html"
        then(phrase("draw with your own hand: {command}", command=command), wrote=[out])


def _refuse_contradictions(
    wish: Wish, *, describe: bool, into: str | None, size: str | None
) -> None:
    """What was asked for and would have no effect is said, not ignored."""
    problems = []
    if wish.view == "drawing" and wish.drawing is None:
        must, instead = phrase("drawing needs a drawing"), phrase("Type --drawing FILE")
        problems.append(Problem("--view", must, instead=instead))
    if wish.view == "drawing" and wish.probes:
        must = phrase("the view drawing shows the drawing alone, without shapes")
        problems.append(Problem("--probe", must))
    if wish.view == "drawing" and size is not None:
        must = phrase("a drawing alone has its own size, as the map makes it")
        problems.append(Problem("--size", must))
    if wish.view == "glance" and (wish.probes or wish.drawing):
        must = phrase("glance shows three figures, and neither shapes nor a drawing")
        problems.append(Problem("--view", must))
    if describe and into is not None:
        must, instead = phrase("goes without --into"), phrase("Describe one picture at a time")
        problems.append(Problem("--describe", must, instead=instead))
    if problems:
        raise RequestError(*problems)


def _split(
    desks: tuple[NamedDesk, ...], describe: bool
) -> tuple[tuple[NamedDesk, ...], str | None]:
    """The desks and the picture: the last name, unless it is a desk and only words are wanted."""
    last = desks[-1].typed
    draws = Path(last).suffix.lower() in {*KINDS, *RASTER_KINDS, *MOTION_KINDS}
    draws = draws or (last == STANDARD and not describe)
    if describe and not draws:
        return desks, None
    refuse_swapped([desk.typed for desk in desks[:-1]], last)
    if len(desks) == 1:
        if draws:
            return (usual_desk(),), last
        must = phrase("the name of the picture is missing after the desk")
        instead = phrase("Type for example desk.png, or --describe for words")
        raise RequestError(Problem(last, must, instead=instead))
    return desks[:-1], last


def _names(shown: list[FoundDesk]) -> list[str]:
    """What to call each of several maps: its workstation, and more where two share that name.

    More is its file or its revision.
    """
    names = [desk.workstation.name for desk in shown]
    if len(set(names)) == len(names):
        return names
    revisions = [desk.workstation.revision for desk in shown]
    if all(revisions):
        names = [
            say("{desk}, setting {revision}", desk=Name(name), revision=str(revision.number))
            for name, revision in zip(names, revisions, strict=True)
            if revision
        ]
        if len(set(names)) == len(names):
            return names
    return [desk.stem if desk.file else desk.typed for desk in shown]


def _scene(shown: list[FoundDesk], wish: Wish) -> Scene:
    drawing = _drawing(wish)
    more: dict[str, Any] = wish.sheet.arguments
    if wish.view == "glance":
        from render.pictures.glance import glance_scene

        return glance_scene(_only(shown, wish).map, **more)
    if wish.probes or drawing is not None:
        more |= {"probes": wish.probes, "drawing": drawing}
    if wish.view == "desk":
        from render.pictures.desk_view import desk_scene

        return desk_scene(_only(shown, wish).map, **more)
    if wish.view == "map" and len(shown) == 1:
        return preview_scene(shown[0].workstation.map, **more)
    from render.pictures.compare import compare_scene, fits_scene

    if wish.view == "fits":
        return fits_scene(_only(shown, wish).map, **more)
    maps = [desk.workstation.map for desk in shown]
    return compare_scene(list(zip(_names(shown), maps, strict=True)), **more)


def _only(shown: list[FoundDesk], wish: Wish) -> Workstation:
    if len(shown) > 1:
        must = phrase("{view} shows one desk", view=wish.view)
        raise RequestError(Problem("--view", must, phrase("{count} of them", count=len(shown))))
    return shown[0].workstation


def _drawing(wish: Wish) -> Drawing | None:
    if wish.drawing is None:
        return None
    from profiles.strokes.drawing import read_drawing

    return read_drawing(wish.drawing)


def _description(shown: list[FoundDesk], wish: Wish) -> str:
    if wish.view == "drawing":
        return describe(_only(shown, wish).map, units=wish.sheet.units)
    return _scene(shown, wish).description


def _draw(shown: list[FoundDesk], out: str, wish: Wish) -> None:
    with speaking(language(wish.sheet.language)):
        _draw_in_language(shown, out, wish)


def _draw_in_language(shown: list[FoundDesk], out: str, wish: Wish) -> None:
    sheet = wish.sheet
    if wish.view == "drawing":
        drawing = _drawing(wish)
        assert drawing is not None
        save_redrawn(_only(shown, wish).map, drawing, out, force=wish.force)
    elif Path(out).suffix.lower() in MOTION_KINDS:
        drawing = _drawing(wish)
        more: dict[str, Any] = sheet.arguments
        if wish.probes or drawing is not None:
            more |= {"probes": wish.probes, "drawing": drawing}
        if wish.view != "map":
            raise RequestError(
                Problem("--view", phrase("a moving picture shows the view map"), wish.view)
            )
        frames = motion_frames(_only(shown, wish).map, **more)
        save_motion(frames, out, theme=sheet.theme, force=wish.force, **sheet.width)
    else:
        save(_scene(shown, wish), out, theme=sheet.theme, force=wish.force, **sheet.width)


def _draw_into(desks: tuple[NamedDesk, ...], into: str, kind: str, wish: Wish) -> None:
    folder = Path(into)
    outs = [folder / f"{stem_of(desk.typed)}.{kind}" for desk in desks]
    twice = {out for out in outs if outs.count(out) > 1}
    if twice:
        must = phrase("two desks would make the same picture")
        raise RequestError(Problem("--into", must, ", ".join(sorted(out.name for out in twice))))
    folder.mkdir(parents=True, exist_ok=True)
    jobs = [(desk, str(out), wish) for desk, out in zip(desks, outs, strict=True)]
    from render.pictures.batch import for_all

    # The rest is loaded with this module.
    views = [f"render.pictures.{view}" for view in ("compare", "desk_view", "glance")]
    preload = ["render.cli.picture", *views, "matplotlib.backends.backend_agg"]
    # Other processes have another standard input.
    problems = [wrong for job in jobs if job[0].typed == STANDARD for wrong in draw_one(job)]
    jobs = [job for job in jobs if job[0].typed != STANDARD]
    problems += for_all(draw_one, jobs, preload=preload, label="Drawing")
    if problems:
        raise AnswerIsNo(*problems)


def draw_one(job: tuple[NamedDesk, str, Wish]) -> list[Problem]:
    """One picture of a batch: which desk, where to, and how. Returns what was wrong."""
    desk, out, wish = job
    try:
        _draw([desk.find()], out, wish)
    except EvenstrokeError as error:
        return list(error.problems)
    except OSError as error:
        return [Problem(out, phrase("could not be written"), reason_of(error))]
    return []
