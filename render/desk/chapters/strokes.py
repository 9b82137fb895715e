"""What the setting does to strokes: a pad to draw on, and a drawing of one's own.

Both are shown before and after: as the tablet makes them without the letter's numbers, and with
them. Once they are typed in, what is drawn on the page is drawn with them.
"""

from __future__ import annotations

import base64
import io
import tempfile
from dataclasses import replace
from functools import partial
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, TypeVar

from flask import render_template

from mapper.phrases import phrase
from mapper.problems import EvenstrokeError, Problem, RequestError
from mapper.solving import solve
from render.desk.bodies import sent_name
from render.desk.chapters import Heading
from render.desk.chapters.known import drawn
from render.desk.pad_maps import PadMap, same_movement
from render.sentences.proofs import day_words
from render.sentences.say import say
from render.sentences.strokes import strokes_sentence

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Request

    from mapper.mapping.entry import Entry
    from mapper.mapping.solve import TabletMap
    from profiles.strokes.drawing import Drawing
    from render.desk.desks import Desk

T = TypeVar("T")

#: A drawing is held with at most so many pixels: several times as many as are shown of it.
MOST_SHOWN_PIXELS = 3_000_000
_SHOWN_PX = 900
_last_read: dict[bytes, Drawing] = {}
#: A large picture takes much memory while it is read, so two are never read at once.
_one_at_a_time = Lock()

#: The endings under which the readers know a file, by the media type that the browser sends.
ENDINGS = {
    "image/png": ".png",
    "image/jpeg": ".jpg",
    "image/webp": ".webp",
    "image/svg+xml": ".svg",
    "application/json": ".json",
    "text/csv": ".csv",
}


def heading(desk: Desk) -> Heading:
    """What becomes of circles, with this setting and with the driver at its default."""
    solved = desk.solved
    if solved is None:
        return Heading(say("What it does to your strokes."), "")
    known, earlier = desk.standing, desk.typed_before
    # What is typed in makes another pad of the same letter.
    depends = f"{known.typed and known.typed.at} {earlier and earlier.at} {known.is_proven}"
    sentence = strokes_sentence(solved, untouched(solved))
    return Heading(sentence, say("draw it yourself"), depends)


def untouched(solved: TabletMap) -> TabletMap:
    """The map of a driver at its default: the whole tablet on the whole of the displays in reach.

    ``solved`` itself where that is not possible.
    """
    default = replace(
        solved.request,
        fit="full",
        feel=None,
        within_built_mm=None,
        area_built_mm=None,
        window_px=None,
    )
    try:
        return solve(default)
    except EvenstrokeError:
        return solved


def fragment(desk: Desk) -> str:
    """The chapter's HTML: the pad, and the drawing under both maps where there is one."""
    from render.desk.pad_page import pad_part
    from render.desk.saved_names import saved_stem

    last, solved = desk.last, desk.solved
    if last is None or solved is None:
        return ""
    before, here, is_typed = before_and_after(desk, solved, last.entry)
    today = here if is_typed else before
    pair = [today] if same_movement(here.map, before.map) else [before, here]
    others = [each for each in pair if each is not today]
    stem = f"desk {desk.draft.id}"
    drawing = _dropped(desk)
    return render_template(
        "chapters/strokes.html",
        pad=pad_part(
            today,
            others,
            file_stem=stem,
            file_name=saved_stem(desk.said.name),
            called=today.name,
            is_new=is_typed,
        ),
        drawing=None if drawing is None else drawing.name,
        pictures=[]
        if drawing is None
        else [(each.name, _redrawn(each.map, drawing)) for each in pair],
    )


def before_and_after(desk: Desk, solved: TabletMap, entry: Entry) -> tuple[PadMap, PadMap, bool]:
    """The two maps that a drawing is shown under, and whether the second is typed in.

    Before is what the tablet does without these numbers: the setting of this desk that is typed in
    by the marks of the library, else the default settings.
    """
    known, earlier = desk.standing, desk.typed_before
    default = PadMap(say("Before: default settings"), untouched(solved), entry)
    if known.typed is not None and (known.tested is None or known.is_proven):
        day = day_words(known.typed.at)
        here = PadMap(say("After: these numbers, typed in on {day}", day=day), solved, entry)
        return default, here, True
    here = PadMap(say("After: with the numbers above"), solved, entry)
    typed = None if earlier is None else desk.map_of(earlier)
    if earlier is None or typed is None:
        return default, here, False
    name = say("Before: the setting typed in on {day}", day=day_words(earlier.at))
    return PadMap(name, typed, entry), here, False


def _redrawn(solved: TabletMap, drawing: Drawing) -> dict[str, str]:
    from render.pictures.redrawn import redrawn_raster, redrawn_scene

    if drawing.raster is None:
        return {"svg": drawn(redrawn_scene(solved, drawing))}
    picture = redrawn_raster(solved, drawing)
    picture.thumbnail((_SHOWN_PX, _SHOWN_PX))
    out = io.BytesIO()
    picture.save(out, "PNG")
    return {"src": f"data:image/png;base64,{base64.b64encode(out.getvalue()).decode()}"}


def do(desk: Desk, verb: str, request: Request) -> dict[str, Any]:
    """Takes a drawing (``drop``), or takes it away again (``drop-away``)."""
    if verb == "drop":
        ending, content, name = sent(request)
        _drawing(ending, content, name)
        _take_away(desk)
        desk.draft.put(f"drawing{ending}", content)
        return {"html": fragment(desk), "say": say("The drawing is shown below the pad.")}
    if verb == "drop-away":
        _take_away(desk)
        return {"html": fragment(desk)}
    raise RequestError(Problem("strokes", phrase("cannot do this"), verb))


def _dropped(desk: Desk) -> Drawing | None:
    """The drawing that was dropped on a desk; None where there is none that can be read."""
    for ending in set(ENDINGS.values()):
        content = desk.draft.get(f"drawing{ending}")
        if content is not None:
            try:
                return _drawing(ending, content)
            except EvenstrokeError:
                return None
    return None


def _take_away(desk: Desk) -> None:
    for ending in set(ENDINGS.values()):
        desk.draft.drop(f"drawing{ending}")


def _drawing(ending: str, content: bytes, name: str = "") -> Drawing:
    """The drawing in a file's ``content``, as large as it is shown; the last one is remembered.

    Problems call the file ``name``.
    """
    from profiles.strokes.drawing import read_drawing

    key = sha256(content + ending.encode()).digest()
    found = _last_read.get(key)
    if found is None:
        read = partial(read_drawing, most_pixels=MOST_SHOWN_PIXELS)
        found = replace(opened(ending, content, read, name), name=f"drawing{ending}")
        _last_read.clear()
        _last_read[key] = found
    return found


def sent(request: Request) -> tuple[str, bytes, str]:
    """The ending, the content and the name of the file that was sent.

    Raises RequestError for a kind of file that no reader knows.
    """
    kind, name = (request.mimetype or "").lower(), sent_name(request)
    if kind not in ENDINGS:
        must = phrase("must be a .png, .jpg, .webp or .svg picture, or strokes as .csv or .json")
        came = kind or phrase("of a kind that is not known")
        raise RequestError(Problem(name or say("the file"), must, came))
    return ENDINGS[kind], request.get_data(), name


def opened(ending: str, content: bytes, read: Callable[[str], T], name: str = "") -> T:
    """The result of ``read`` for a temporary file with this content and ending.

    Its problems call the file ``name``, as nobody but this computer knows this one.
    """
    with _one_at_a_time, tempfile.TemporaryDirectory(prefix="evenstroke-") as folder:
        path = Path(folder) / f"{Path(folder).name}{ending}"
        path.write_bytes(content)
        try:
            return read(str(path))
        except RequestError as error:
            names = dict.fromkeys([str(path), path.name], name or say("the file"))
            raise RequestError(*(each.renamed(names) for each in error.problems)) from error
