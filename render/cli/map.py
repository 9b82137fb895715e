"""``evenstroke map``: from tablet and displays to the rectangle to enter.

Also its figures, a picture and a profile.
"""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from os.path import realpath
from typing import TYPE_CHECKING, Any

import click

from mapper.mapping.entry import Entry
from mapper.mapping.solve import TabletMap
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError, quoted
from mapper.solving import solve
from profiles.fields import NONE, is_none
from profiles.requests import feel_of, map_request
from profiles.standard import STANDARD
from profiles.unlikely import doubt_scale
from render.cli.options import (
    as_option,
    desk_argument,
    echo_answer,
    examples,
    field_option,
    force_option,
    request_options,
    same_desk_option,
)
from render.cli.sheets import draw_chart, picture_option
from render.cli.types import (
    PROFILE,
    Command,
    NamedDesk,
    then,
    typed,
    usual_desk_if_any,
)
from render.reports.text import map_text
from render.sentences.measures import display_words, size

if TYPE_CHECKING:
    from profiles.format.document import Workstation


@click.command(
    "map",
    cls=Command,
    then="the same with --save desk.yaml to write it down, or --keep to have it in the library",
    first=examples(
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440"',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --picture preview.png '
        "--save desk.yaml",
        'evenstroke map "window desk" --turn 180 --keep',
    ),
    epilog=examples(
        'evenstroke map --tablet 9.4x6in@3810/in --display "27in 2560x1440" --fit cropped --hold '
        "top",
        "evenstroke map desk.yaml --fit full --picture full.png",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --entry "corners mm"',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --display "left: 24in '
        '1920x1080 at -1920,0" --onto all',
        "evenstroke map --tablet @connected --display @connected --save desk.yaml",
        'evenstroke map --tablet 240x152mm@150/mm --display "27in 2560x1440" --step 0.5mm',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --step 1mm --step-choices',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --within 20,0,220x152mm '
        "--scale 3",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --fit cropped --window '
        "10,10,80x80%",
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --area 10,5,200x120mm',
        'evenstroke map --tablet 240x152mm --display "27in 2560x1440" --feel-of studio.yaml '
        "--slant 10",
        heading="More examples:",
    ),
)
@desk_argument(required=False)
@request_options
@click.option(
    "--step-choices",
    is_flag=True,
    help=(
        "List the best rectangles for this step, and do nothing else: all others are smaller "
        "or stretch circles more."
    ),
)
@field_option("name", "workstation")
@field_option("note")
@field_option("entry")
@click.option(
    "--all",
    "every_form",
    is_flag=True,
    help="Print the rectangle in every form: edges, size and centre, in mm, inches, % and counts.",
)
@field_option("distance")
@picture_option(help_text="Draw it, in a file that ends in .png, .svg, .pdf or .webp.")
@click.option("--save", metavar="FILE", type=PROFILE, help="Write the desk's profile, a YAML file.")
@click.option("--keep", "keeps", is_flag=True, help="Keep it in the library at once.")
@same_desk_option
@force_option
@as_option("text", "yaml", "json", help_text="Output format; yaml and json are the profile itself.")
def command(
    *,
    desk: NamedDesk | None,
    workstation: str | None,
    note: str | None,
    distance: float | None,
    entry: str | None,
    every_form: bool,
    picture: str | None,
    language: str,
    save: str | None,
    keeps: bool,
    same_desk: bool,
    force: bool,
    form: str,
    step_choices: bool,
    **asked: Any,
) -> None:
    """Compute the rectangle to enter in your tablet's settings, and what it does to your strokes.

    Describe a tablet and a display, or start from a DESK (a file or a desk of the library) and say
    what to change: evenstroke map "window desk" --turn 180. Type "none" for an option to
    remove it from the desk. If you name no desk, the one chosen for this computer is used, or the
    only one in the library.
    """
    if desk is None and not (asked["tablet"] and asked["displays"]):
        desk = usual_desk_if_any()
    # A profile that is written over is written anew from what was described.
    anew = bool(force and save and desk and realpath(desk.typed) == realpath(save))
    base = desk.find(stale=anew).workstation if desk else None
    solved = _solved(base, asked)
    doubt_scale(solved.summary.scale_factor)
    if step_choices:
        if picture or save or keeps:
            must = phrase("only lists, so it goes without --picture, --save and --keep")
            raise RequestError(Problem("--step-choices", must))
        _list_choices(solved, form)
        return
    wanted = _entry(entry, solved, base)
    described = None
    if base or save or keeps or form != "text":
        name = workstation or (base.name if base else _name(solved, save, keeps=keeps))
        described = _described(name, solved, base, note=note, distance_mm=distance, entry=wanted)
    if keeps and described:
        from render.cli.keep import ask_if_another, keep_all, prove_it

        ask_if_another(described, same_desk=same_desk)
    _write(solved, described, picture, save, language=language, force=force)
    # What is kept is shown once, beside the newest revision.
    _tell(
        solved,
        described,
        None if keeps else base,
        form,
        entry=wanted,
        every_form=every_form,
        own_band=asked["scale"] is not None,
    )
    if keeps and described:
        # Standard output is the profile's alone where it is for another program.
        keep_all([described], err=form != "text")
        then(prove_it(described.name))
    elif save:
        then(f"evenstroke keep {typed(save)}")


def _tell(
    solved: TabletMap,
    described: Workstation | None,
    base: Workstation | None,
    form: str,
    *,
    entry: Entry | None,
    every_form: bool,
    own_band: bool,
) -> None:
    """Print the map, beside the desk that it starts from.

    Where a person's own band is asked for, it stands beside the map too.
    """
    if form != "text" and described:
        from profiles.format.document import to_json, to_yaml

        click.echo(to_yaml(described) if form == "yaml" else to_json(described), nl=False)
        return
    click.echo(map_text(solved, entry, every_form=every_form), nl=False)
    if base and described:
        from render.sentences.changes import beside_sentence

        click.echo(f"\n{beside_sentence(base, described)}")
    scale = solved.summary.scale_factor
    if own_band and scale is not None:
        from render.cli.own_band import own_band_sentence

        own = own_band_sentence(scale)
        if own:
            click.echo(f"\n{own}")


def _solved(base: Workstation | None, asked: dict[str, Any]) -> TabletMap:
    """The map that was asked for.

    Raises RequestError; where something that the desk brought along cannot be had, it says how to
    leave that out.
    """
    desk: NamedDesk | None = asked["feel"]
    if desk is not None:
        asked["feel"] = lambda: feel_of(desk.find().workstation, desk.typed)
    request = map_request(base.map.request if base else None, **asked)
    try:
        return solve(request)
    except RequestError as error:
        if base is None:
            raise
        brought = [
            name for name in ("within", "area", "window", "scale", "step") if asked[name] is None
        ]
        problems = [
            replace(
                problem,
                instead=phrase(
                    "That is from {desk}; to leave it out: {option}",
                    desk=quoted(base.name),
                    option=f"--{problem.where} {NONE}",
                ),
            )
            if problem.where in brought
            else problem
            for problem in error.problems
        ]
        raise RequestError(*problems) from None


def _described(
    name: str,
    solved: TabletMap,
    base: Workstation | None,
    *,
    note: str | None,
    distance_mm: float | None,
    entry: Entry | None,
) -> Workstation:
    """The desk as it now is: a new one, or ``base`` with what was said."""
    from mapper.seat import Seat
    from profiles.format.document import Workstation

    seat = base.seat if base else None
    if distance_mm is not None:
        seat = replace(seat, distance_mm=distance_mm) if seat else Seat(distance_mm)
    if base is None:
        return Workstation(name, solved, note, seat, entry=entry)
    return replace(
        base,
        name=name,
        map=solved,
        note=base.note if note is None else note,
        seat=seat,
        entry=entry,
        revision=None,
    )


def _entry(text: str | None, solved: TabletMap, base: Workstation | None) -> Entry | None:
    """The form in which the driver asks for the rectangle: as typed, else as at the first desk."""
    if text is None:
        return base.entry if base else None
    if is_none(text):
        return None
    from profiles.rectangles import parse_entry

    entry = parse_entry(text, "--entry")
    entry.check(solved.request.tablet)
    return entry


def _name(solved: TabletMap, save: str | None, *, keeps: bool) -> str:
    """What a new desk is called that nobody named: as its file is."""
    if save:
        from pathlib import Path

        return "desk" if save == STANDARD else Path(save).stem or "desk"
    if keeps:
        instead = phrase("Type for example {option}", option='--workstation "window desk"')
        must = phrase("needs a name for the new desk")
        raise RequestError(Problem("--keep", must, instead=instead))
    tablet = solved.request.tablet
    return (
        f"{size(tablet.width_mm, tablet.height_mm)}, "
        f"{display_words(solved.request.desktop.primary)}"
    )


def _write(
    solved: TabletMap,
    described: Workstation | None,
    picture: str | None,
    save: str | None,
    *,
    language: str,
    force: bool,
) -> None:
    """Write profile and picture, both or none."""
    with ExitStack() as both:
        if save and described:
            from profiles.files import fill_new, mode_at, writing_whole
            from profiles.format.document import to_yaml

            # It has its name once the picture, too, could be written.
            part = both.enter_context(writing_whole(save, force=force))
            fill_new(part, to_yaml(described).encode(), mode_at(save, force=force))
        if picture:
            from render.pictures.preview import preview_scene

            draw_chart(lambda: preview_scene(solved), picture, language=language, force=force)


def _list_choices(solved: TabletMap, form: str) -> None:
    step = solved.request.step
    if step is None:
        raise RequestError(
            Problem(
                "--step-choices",
                phrase("needs {option}", option="--step"),
                instead=phrase("Add for example {option}", option="--step 1mm"),
            )
        )
    from mapper.rounding.rounded import step_choices
    from render.reports.choices import choices_data, choices_text

    echo_answer(form, step_choices(solved), step, text=choices_text, data=choices_data)
