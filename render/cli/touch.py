"""``evenstroke touch``: touched crosses of known places tell what the driver really does."""

from __future__ import annotations

import functools
from pathlib import Path

import click

from mapper.desk import Desktop
from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from mapper.touching.area import touched_area
from mapper.touching.verdict import CANNOT_TELL, RIGHT, judge
from profiles.library.desks import refuse_profiles
from profiles.library.proofs import note_touch
from profiles.pixels import parse_pixel
from profiles.shorthand import parse_displays
from profiles.touches import read_touches
from render.cli.noting import note_test, then_draw
from render.cli.options import as_option, echo_answer, examples, force_option, library_option
from render.cli.sheets import draw_chart, picture_option
from render.cli.types import Command, FileType, NamedDesk, Typed, then
from render.cli.whole_tablet import against_option, whole_or_against, whole_tablet_options
from render.reports.touch_text import touch_data, touch_text, touched_area_data, touched_area_text
from render.sentences.say import say
from render.sentences.touch import cures


@click.command(
    "touch",
    cls=Command,
    then="the same with nine touches more, where the touches scatter",
    epilog=examples(
        "evenstroke touch points.csv --against desk.yaml",
        'evenstroke touch points.json --against "window desk" --as json',
        "evenstroke touch points.csv --against desk.yaml --picture touched.png",
        "evenstroke touch points.csv --against desk.yaml --sheet-anywhere",
        "evenstroke touch points.csv --against desk.yaml --corner 2559,1439",
        'evenstroke touch points.csv --whole-tablet --display "27in 2560x1440"',
    ),
)
@click.argument("file", metavar="POINTS", type=FileType(".csv", ".json"))
@against_option
@click.option(
    "--sheet-anywhere",
    "anywhere",
    is_flag=True,
    help="The touch sheet lay in an unknown place: x_mm and y_mm are from any corner of it.",
)
@click.option(
    "--corner",
    "corner_px",
    metavar="X,Y",
    type=Typed("place", parse_pixel),
    help="Desktop pixel where the cursor went when the pen touched the tablet's own top left "
    "corner.",
)
@picture_option(
    help_text="Draw the area in use, the one that was meant, and where the touches went."
)
@whole_tablet_options
@as_option("text", "yaml", "json")
@library_option
@force_option
def command(
    *,
    file: str,
    against: NamedDesk | None,
    anywhere: bool,
    corner_px: tuple[float, float] | None,
    whole_tablet: bool,
    displays: tuple[str, ...],
    picture: str | None,
    language: str,
    form: str,
    force: bool,
) -> None:
    """Touch crosses of known places to see what your tablet's settings really do.

    Lay the touch sheet (evenstroke stencil prints it) on the tablet, with its frame on the edges of
    the active area, and touch each cross with the pen. Nine crosses in three rows, spread over the
    area, work well.

    POINTS has one touch per row, with the columns x_mm,y_mm (the cross, from the top left corner of
    the active area when the tablet is not turned) and x_px,y_px (where the cursor went, from the
    top left corner of the main display); as .json a list of objects with these keys. With
    --whole-tablet, and the tablet's settings at their defaults, the touches show how large the
    active area is.

    Exit code 0: the
    tablet uses this setting; 1: it does not, or the touches cannot tell, and the output says why;
    2: the request or the file is wrong. The result is kept with the setting of a desk in the
    library; for a file it is not kept.
    """
    refuse_profiles([file])
    whole_or_against(whole_tablet, displays, against)
    touches = read_touches(file)
    if whole_tablet:
        desktop = Desktop(parse_displays(displays, "--display"))
        area = touched_area(touches, desktop)
        text = functools.partial(touched_area_text, displays=list(displays))
        echo_answer(form, area, text=text, data=touched_area_data)
        then(say("describe the tablet with this size"))
        return
    if against is None:
        instead = phrase("Or measure the tablet itself: --whole-tablet --display SIZE")
        raise RequestError(Problem("--against", phrase("must name the desk"), instead=instead))
    found = against.find()
    meant = found.workstation.map
    verdict = judge(touches, meant, anywhere=anywhere, corner_px=corner_px)
    desk = Path(against.typed).name
    if picture:
        from render.pictures.touch_view import touch_scene

        draw_chart(lambda: touch_scene(verdict, meant), picture, language=language, force=force)
    echo_answer(form, verdict, desk, text=touch_text, data=touch_data)
    if verdict.answer != CANNOT_TELL:
        note_test(
            against,
            found,
            lambda library, revision: note_touch(library, revision, meant, verdict),
            aloud=form == "text",
        )
    if verdict.answer == RIGHT:
        then_draw(against)
        return
    for cure in cures(verdict.cause, verdict)[:1]:
        then(say("{step} Then touch again.", step=cure))
    click.get_current_context().exit(1)
