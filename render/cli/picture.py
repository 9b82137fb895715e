"""``evenstroke picture``: draws saved profiles, alone, side by side, or a whole folder of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from mapper.problems import AnswerIsNo, EvenstrokeError, Problem, RequestError
from render.cli.options import examples, force_option
from render.cli.sheets import picture_options, sheet_of

if TYPE_CHECKING:
    from profiles.format.document import Workstation
    from profiles.strokes.drawing import Drawing
    from render.canvas.scene import Scene
    from render.cli.sheets import Sheet

VIEWS = ("map", "fits", "desk", "glance", "drawing")


@dataclass(frozen=True, slots=True)
class Wish:
    """How pictures are to be made: everything but which profiles and where to."""

    view: str
    probes: tuple[str, ...]
    drawing: str | None
    sheet: Sheet
    force: bool


@click.command(
    "picture",
    short_help="Draw saved profiles, side by side or moving.",
    epilog=examples(
        "evenstroke picture desk.yaml desk.png",
        "evenstroke picture today.yaml tomorrow.yaml change.png",
        "evenstroke picture desk.yaml fits.svg --view fits",
        "evenstroke picture desk.yaml talk.png --view desk --theme dark --size 1920x1080",
        "evenstroke picture desk.yaml face.png --drawing portrait.png",
        "evenstroke picture desk.yaml desk.gif",
        "evenstroke picture desk.yaml --describe",
        "evenstroke picture a.yaml b.yaml c.yaml --into pictures",
    ),
)
@click.argument("files", metavar="FILE.yaml... [OUT]", nargs=-1, required=True, type=click.Path())
@click.option(
    "--view",
    type=click.Choice(VIEWS),
    default="map",
    show_default=True,
    help="map: tablet and screen, to one scale; several files stand side by side. fits: the three fits side by side. "
    "desk: all displays in their places and the tablet below. glance: scale, oval and lost area as three figures. "
    "drawing: the drawing alone, as it comes out.",
)
@click.option(
    "--probe",
    "probes",
    metavar="SHAPE",
    multiple=True,
    help="What is drawn under the hand: grid, circle, square, diagonals, hatching, signature or span; several are "
    "allowed.  [default: grid and circle]",
)
@click.option(
    "--drawing",
    metavar="FILE",
    type=click.Path(),
    help="Your own drawing instead: .png, .jpg, .webp, .svg, or strokes as .csv or .json.",
)
@picture_options
@click.option("--describe", is_flag=True, help="Print the picture in words; OUT may then be left out.")
@click.option("--into", metavar="FOLDER", type=click.Path(), help="Draw each FILE.yaml by itself into this folder.")
@click.option(
    "--kind",
    type=click.Choice(["png", "svg", "pdf", "webp", "gif", "apng"]),
    default="png",
    show_default=True,
    help="The kind of picture that --into makes.",
)
@force_option
def command(
    *,
    files: tuple[str, ...],
    view: str,
    probes: tuple[str, ...],
    drawing: str | None,
    describe: bool,
    into: str | None,
    kind: str,
    force: bool,
    **sheet: Any,
) -> None:
    """Draw saved profiles: tablet and screen to one scale, and what becomes of what the hand draws.

    The ending of OUT says which kind of picture: .png, .svg, .pdf, .webp, or .gif and .apng for one that moves.
    """
    wish = Wish(view, probes, drawing, sheet_of(**sheet), force)
    _refuse_contradictions(wish, describe=describe, into=into, size=sheet["size"])
    if into is not None:
        _draw_into(files, into, kind, wish)
        return
    profiles, out = _split(files, describe)
    shown = [_load(file) for file in profiles]
    if describe:
        click.echo(_description(shown, wish))
    if out is not None:
        _draw(shown, out, wish)


def _refuse_contradictions(wish: Wish, *, describe: bool, into: str | None, size: str | None) -> None:
    """What was asked for and would have no effect is said, not ignored."""
    problems = []
    if wish.view == "drawing" and wish.drawing is None:
        problems.append(Problem("--view", "drawing needs a drawing", instead="Type --drawing FILE"))
    if wish.view == "drawing" and wish.probes:
        problems.append(Problem("--probe", "shapes are not drawn in the view drawing, which is the drawing alone"))
    if wish.view == "drawing" and size is not None:
        problems.append(Problem("--size", "a drawing alone has its own size, as the map makes it"))
    if wish.view == "glance" and (wish.probes or wish.drawing):
        problems.append(Problem("--view", "glance shows three figures, and neither shapes nor a drawing"))
    if describe and into is not None:
        problems.append(Problem("--describe", "goes without --into", instead="Describe one picture at a time"))
    if problems:
        raise RequestError(*problems)


def _split(files: tuple[str, ...], describe: bool) -> tuple[tuple[str, ...], str | None]:
    """The profiles and the picture: the last name, unless it is a profile and only words are wanted."""
    if describe and Path(files[-1]).suffix.lower() in {".yaml", ".yml"}:
        return files, None
    if len(files) == 1:
        must = "the name of the picture is missing after the profile"
        raise RequestError(Problem(files[0], must, instead="Type for example desk.png, or --describe for words"))
    return files[:-1], files[-1]


def _load(file: str) -> tuple[str, Workstation]:
    from profiles.format.document import load

    return file, load(file)


def _names(shown: list[tuple[str, Workstation]]) -> list[str]:
    """What to call each of several maps: by its workstation, and by its file or revision where that is not enough."""
    names = [workstation.name for _, workstation in shown]
    if len(set(names)) == len(names):
        return names
    revisions = [workstation.revision for _, workstation in shown]
    if all(revisions):
        names = [
            f"{name}, revision {revision.number}" for name, revision in zip(names, revisions, strict=True) if revision
        ]
        if len(set(names)) == len(names):
            return names
    return [Path(file).stem for file, _ in shown]


def _scene(shown: list[tuple[str, Workstation]], wish: Wish) -> Scene:
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
    if wish.view == "fits":
        from render.pictures.compare import compare_scene, three_fits

        return compare_scene(three_fits(_only(shown, wish).map), **more)
    if len(shown) > 1:
        from render.pictures.compare import compare_scene

        maps = [workstation.map for _, workstation in shown]
        return compare_scene(list(zip(_names(shown), maps, strict=True)), **more)
    from render.pictures.preview import preview_scene

    return preview_scene(shown[0][1].map, **more)


def _only(shown: list[tuple[str, Workstation]], wish: Wish) -> Workstation:
    if len(shown) > 1:
        raise RequestError(Problem("--view", f"{wish.view} shows one profile", f"{len(shown)} files"))
    return shown[0][1]


def _drawing(wish: Wish) -> Drawing | None:
    if wish.drawing is None:
        return None
    from profiles.strokes.drawing import read_drawing

    return read_drawing(wish.drawing)


def _description(shown: list[tuple[str, Workstation]], wish: Wish) -> str:
    if wish.view == "drawing":
        from render.pictures.preview import describe

        return describe(_only(shown, wish).map, units=wish.sheet.units)
    return _scene(shown, wish).description


def _draw(shown: list[tuple[str, Workstation]], out: str, wish: Wish) -> None:
    from render.canvas.draw import save
    from render.pictures.motion import MOTION_KINDS

    sheet = wish.sheet
    if wish.view == "drawing":
        from render.pictures.redrawn import save_redrawn

        drawing = _drawing(wish)
        assert drawing is not None
        save_redrawn(_only(shown, wish).map, drawing, out, force=wish.force)
    elif Path(out).suffix.lower() in MOTION_KINDS:
        from render.pictures.motion import motion_frames, save_motion

        drawing = _drawing(wish)
        more: dict[str, Any] = sheet.arguments
        if wish.probes or drawing is not None:
            more |= {"probes": wish.probes, "drawing": drawing}
        if wish.view != "map":
            raise RequestError(Problem("--view", "a moving picture shows the view map", wish.view))
        frames = motion_frames(_only(shown, wish).map, **more)
        save_motion(frames, out, theme=sheet.theme, force=wish.force, **sheet.width)
    else:
        save(_scene(shown, wish), out, theme=sheet.theme, force=wish.force, **sheet.width)


def _draw_into(files: tuple[str, ...], into: str, kind: str, wish: Wish) -> None:
    from render.pictures.batch import for_all

    folder = Path(into)
    outs = [folder / f"{Path(file).stem}.{kind}" for file in files]
    twice = {out for out in outs if outs.count(out) > 1}
    if twice:
        must = "two profiles would make the same picture"
        raise RequestError(Problem("--into", must, ", ".join(sorted(out.name for out in twice))))
    folder.mkdir(parents=True, exist_ok=True)
    jobs = [(file, str(out), wish) for file, out in zip(files, outs, strict=True)]
    preload = [
        "render.cli.picture",
        "profiles.format.document",
        "render.canvas.draw",
        "render.pictures.preview",
        "matplotlib.backends.backend_agg",
    ]
    problems = for_all(draw_one, jobs, preload=preload, label="Drawing")
    if problems:
        raise AnswerIsNo(*problems)


def draw_one(job: tuple[str, str, Wish]) -> list[Problem]:
    """One picture of a batch: profile, where to, and how. Returns what was wrong."""
    file, out, wish = job
    try:
        _draw([_load(file)], out, wish)
    except EvenstrokeError as error:
        return list(error.problems)
    except OSError as error:
        return [Problem(out, "could not be written", error.strerror or str(error))]
    return []
