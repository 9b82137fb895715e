"""The desk's pages: Flask's routes, and what each page is filled with.

Thin on purpose: what a desk comes to is render.desk.answer's, what a pull does render.desk.pulls',
what is remembered render.desk.drafts', and who may come in render.desk.address'. Pages are rendered
here whole; after that the page swaps fragments, which come as JSON from the same templates.
"""

from __future__ import annotations

import contextlib
import re
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from flask import Flask, Response, abort, redirect, render_template, request

from mapper.problems import AnswerIsNo, EvenstrokeError
from profiles.files import read_bounded
from profiles.format.document import LARGEST_BYTES, loads, to_yaml
from profiles.library.proofs import NOTHING_NOTED, standing_of
from profiles.library.station_names import folder_name
from render.canvas.svg import fragment, style_sheet, theme_rules
from render.desk import all_desks, chapters
from render.desk.address import HEADERS, Door
from render.desk.answer import problem_words
from render.desk.bodies import Asked, NewDesk, Paper, Taking, Wish, body, sent_name
from render.desk.chapters.known import drawn
from render.desk.described import Description, described, from_plain
from render.desk.desks import Desk, Session
from render.desk.drafts import Draft, Kept, State
from render.desk.letter import letter
from render.desk.markup import teach
from render.desk.notes import changed, note, wrong_words
from render.desk.other_desks import other_feels
from render.desk.place import reads_traces, who_reads_traces
from render.desk.pulls import pull_of, pulled
from render.desk.script_texts import page_texts
from render.fields import BLANKS
from render.sentences.entry import answer_sentences, beside_the_numbers, form_words
from render.sentences.letter import displays_words
from render.sentences.measures import size
from render.sentences.outcome import outcome
from render.sentences.proofs import day_words, standing_words
from render.sentences.say import paragraph, row_of, say, say_again, say_count
from render.sentences.words import number

if TYPE_CHECKING:
    from profiles.library.archive import Imported
    from render.desk.answer import Answer
    from render.desk.place import Place

#: A body of an answer's request is a desk in a few texts; strokes and pictures of traces have a
#: limit of their own.
LARGEST_BODY = 256 * 1024
LARGEST_UPLOAD = 32 * 1024 * 1024

#: The scripts that pages name; all others beside them are what these import.
_PAGES = {"desk", "start", "pad_page"}

#: A desk to play with: nobody's, of round sizes.
EXAMPLE = Description(
    name="example desk", tablet="240x152mm@150/mm", displays=("27in 2560x1440",), distance="70cm"
)


def context(desk: Desk) -> dict[str, Any]:
    """All that the templates of this desk's page need."""
    last = desk.last
    solved = desk.solved
    entry = last.entry if last else desk.now.entry
    sentences, more = letter(desk.now, solved, asks=bool(desk.asks))
    undo = desk.draft.before(desk.step)
    redo = desk.draft.next(desk.step)
    return {
        "desk": desk,
        "said": desk.said,
        "now": desk.now,
        "solved": solved,
        "sentences": sentences,
        "more": more,
        "BLANKS": BLANKS,
        "answer": [] if solved is None else answer_sentences(solved, entry),
        "form": form_words(desk.now.entry),
        "besides": [] if solved is None else beside_the_numbers(solved),
        "outcome": outcome(solved),
        "kept": desk.draft.is_kept(desk.step),
        "last_kept": desk.draft.last_kept,
        "standing": standing_words(desk.standing),
        "title": page_title(desk),
        "undo": None if undo is None else (undo, _about(desk.draft.steps[desk.step].about)),
        "redo": None if redo is None else (redo, _about(desk.draft.steps[redo].about)),
        "notices": desk.notices(),
        "chapters": [] if solved is None else chapters.listed(desk),
    }


def fragments(desk: Desk, width_px: float, height_px: float, rem_px: float) -> dict[str, str]:
    """What a page swaps after a change, by the ids of its parts."""
    filled = context(desk)
    parts = {
        name: render_template(f"{name}.html", **filled)
        for name in ("top", "notices", "letter", "answer", "chapters")
    }
    parts["picture"] = desk.picture(width_px, height_px, rem_px)
    return parts


def page_title(desk: Desk) -> str:
    """The title of a desk's page."""
    return str(say("{desk} - Evenstroke", desk=desk.said.name or say("A desk")))


def _about(blank: str) -> str:
    if blank in BLANKS:
        return say_again(BLANKS[blank].about)
    said = {"kept": say("what was kept"), "elsewhere": say("what was changed elsewhere")}
    return said.get(blank, "")


def make_app(session: Session) -> Flask:  # noqa: C901, PLR0915 - one line a route
    """The application. Every answer carries the policy, and every request is looked at first."""
    here = Path(__file__).parent
    app = Flask(
        "evenstroke", template_folder=str(here / "templates"), static_folder=str(here / "static")
    )
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.filters["day"] = _day
    teach(app.jinja_env)
    place = session.place
    app.jinja_env.globals["texts"] = lambda: page_texts(place)
    app.wsgi_app = _Below(app.wsgi_app, place)  # type: ignore[method-assign]
    app.jinja_env.globals.update(
        root=place.path,
        place=place,
        reads_traces=reads_traces,
        who_reads_traces=who_reads_traces,
    )
    # All that desk.js is made of, at once and not one after the other.
    app.jinja_env.globals["modules"] = sorted(
        path.relative_to(here / "static").as_posix()
        for path in (here / "static").glob("*.js")
        if place.served and path.stem not in _PAGES
    )

    @app.before_request
    def look() -> Response | None:
        refused = place.refusal(request.method, request.headers)
        if refused:
            return _plain(403, refused)
        if request.path == "/again" or request.path.startswith("/in/"):
            return None
        if not place.knows(request.cookies):
            return _plain(
                403,
                say(
                    "This address has already been used, or is not complete. Start again with: "
                    "evenstroke desk"
                ),
            )
        # Whoever asks is there, whether or not the page has spoken yet.
        session.expected()
        if "/chapter/" in request.path:
            request.max_content_length = LARGEST_UPLOAD
        found = request.view_args or {}
        if "step" in found:
            # A route of one desk at one step of its draft is given that desk.
            found["desk"] = _desk(session, found.pop("id_"), found.pop("step"))
        return None

    @app.after_request
    def seal(reply: Response) -> Response:
        for name, value in HEADERS.items():
            reply.headers.setdefault(name, value)
        if request.path.startswith("/static/") or request.path == "/look.css":
            # Ours alone, and gone with the server: a moment spares asking again on the next page.
            reply.headers["Cache-Control"] = "private, max-age=600"
        return reply

    @app.errorhandler(EvenstrokeError)
    def wrong(error: EvenstrokeError) -> tuple[dict[str, Any], int]:
        return {"wrong": [problem_words(problem) for problem in error.problems]}, 404 if isinstance(
            error, AnswerIsNo
        ) else 422

    @app.errorhandler(ModuleNotFoundError)
    def not_here(error: ModuleNotFoundError) -> tuple[dict[str, Any], int]:
        if reads_traces():
            raise error
        return {"wrong": [who_reads_traces()]}, 422

    @app.errorhandler(500)
    def broken(_: Exception) -> tuple[dict[str, Any], int]:
        says = say(
            "Something went wrong inside the program. You did nothing wrong. Your letter is "
            "saved: reload the page."
        )
        return {"wrong": [says]}, 500

    @app.errorhandler(404)
    def missing(_: Exception) -> tuple[str, int]:
        return render_template("missing.html"), 404

    if isinstance(place, Door):
        _served(app, session, place)

    @app.get("/desks.zip")
    def desks() -> Response:
        from render.desk.moved import save_all

        return _file(save_all(session.library), "evenstroke-desks.zip", "application/zip")

    @app.post("/bring")
    def brought() -> Any:
        from render.desk.moved import bring_in

        request.max_content_length = LARGEST_UPLOAD
        done = bring_in(session.library, request.get_data(), sent_name(request))
        return {"says": brought_words(done)}

    all_desks.add_routes(app, session)

    @app.get("/look.css")
    def look_css() -> Response:
        return Response(f"{theme_rules()}{style_sheet('svg')}\n", mimetype="text/css")

    @app.get("/")
    def start() -> str:
        return render_template("start.html", **start_context(session))

    @app.post("/new")
    def new() -> Any:
        from render.desk.hardware import begun

        screen = body(request, NewDesk).display
        if not re.fullmatch(r"\d{2,6}x\d{2,6}", screen):
            screen = ""
        said, asks = begun(screen, session.system())
        draft = session.open_new(from_plain(said), screen if asks else "")
        return {"address": session.address_of(draft)}

    @app.get("/example")
    def example() -> Any:
        return redirect(session.address_of(session.open_new(EXAMPLE)))

    @app.post("/desk/<id_>/<any(forget, restore):what>")
    def forget(id_: str, what: str) -> Any:
        # A desk of the library has its revisions besides; only what was never kept is anybody's to
        # throw away.
        if not id_.startswith("n-"):
            abort(404)
        if what == "restore":
            return {} if session.drafts.restore(id_) else abort(404)
        _draft(session, id_)
        session.drafts.forget(id_)
        return {}

    @app.get("/station/<folder>")
    def station(folder: str) -> Any:
        return redirect(session.address_of(session.open_station(session.library.folder_of(folder))))

    @app.get("/pad/<id_>")
    def pad(id_: str) -> str:
        from render.desk.pad_page import pad_part

        found = session.pads.get(id_) or abort(404)
        part = pad_part(
            found.today,
            found.others,
            file_stem=found.stem,
            save_to=f"{place.path}/pad/{id_}/strokes",
            alone=True,
        )
        return render_template("pad.html", name=found.today.name, pad=part)

    @app.post("/pad/<id_>/strokes")
    def strokes(id_: str) -> tuple[str, int]:
        from render.desk.pads import KINDS

        found = session.pads.get(id_) or abort(404)
        kind = KINDS.get(request.mimetype)
        if kind is None:
            return say("Strokes come as JSON or SVG."), 415
        request.max_content_length = LARGEST_UPLOAD
        try:
            return found.save(kind, request.get_data()), 200
        except EvenstrokeError as error:
            return paragraph([problem_words(problem) for problem in error.problems]), 422

    @app.get("/desk/<id_>")
    def desk_now(id_: str) -> Any:
        return redirect(session.address_of(_draft(session, id_)))

    @app.get("/desk/<id_>/<int:step>")
    def desk_page(desk: Desk) -> str:
        desk.draft.go(desk.step)
        return render_template("desk.html", picture=desk.picture(860, 420), **context(desk))

    @app.post("/desk/<id_>/<int:step>/answer")
    def answer_to(desk: Desk) -> Any:
        return answered(desk, body(request, Asked))

    @app.post("/desk/<id_>/<int:step>/note/<blank>")
    def note_of(desk: Desk, blank: str) -> Any:
        if blank not in BLANKS:
            abort(404)
        system = session.system() if blank == "displays" else None
        feels = other_feels(desk) if blank == "scale" else ()
        made = note(blank, desk.now, desk.last, asks=desk.asks, system=system, feels=feels)
        return {"html": render_template("note.html", note=made)}

    @app.post("/desk/<id_>/<int:step>/keep")
    def keep(desk: Desk) -> Any:
        return kept(desk)

    @app.post("/desk/<id_>/<int:step>/take")
    def take(desk: Desk) -> Any:
        return taken(desk, body(request, Taking).what)

    @app.get("/desk/<id_>/<int:step>/profile.yaml")
    def profile(desk: Desk) -> Response:
        return _file(
            to_yaml(desk.now.workstation).encode(), f"{_stem(desk)}.yaml", "application/yaml"
        )

    @app.get("/desk/<id_>/<int:step>/picture.<any(svg, png):kind>")
    def picture(desk: Desk, kind: str) -> Response:
        from render.canvas.draw import to_bytes
        from render.pictures.preview import preview_scene

        solved = desk.solved or abort(404)
        content = to_bytes(preview_scene(solved), kind, theme=request.args.get("theme", "light"))
        return _file(
            content, f"{_stem(desk)}.{kind}", "image/svg+xml" if kind == "svg" else "image/png"
        )

    @app.post("/desk/<id_>/<int:step>/sheet")
    def sheet(desk: Desk) -> Any:
        from render.pages.wall_sheet import PAPERS_MM, wall_sheet

        paper = body(request, Paper).paper
        if paper not in PAPERS_MM:
            abort(404)
        today = datetime.now(UTC).astimezone().date()
        scene = wall_sheet(desk.now.workstation, today, paper=paper, standing=desk.standing)
        return {"html": fragment(scene, name="wall", label=scene.title)}

    @app.get("/desk/<id_>/<int:step>/figures")
    def figures(desk: Desk) -> str:
        from render.desk.figures import figure_parts

        last = desk.last
        if last is None or last.solved is None:
            abort(404)
        first, parts = figure_parts(last.solved, last.entry)
        return render_template("figures.html", desk=desk, first=first, parts=parts)

    @app.get("/desk/<id_>/<int:step>/study.html")
    def study(desk: Desk) -> Response:
        from render.desk.chapters.study import page

        return _file(page(desk), "study.html", "text/html")

    @app.get("/desk/<id_>/<int:step>/plan.ics")
    def plan(desk: Desk) -> Response:
        from render.desk.chapters.plan import calendar

        return _file(calendar(desk) or abort(404), "plan.ics", "text/calendar")

    @app.post("/desk/<id_>/<int:step>/stencil")
    def stencil(desk: Desk) -> Any:
        from render.desk.printed import stencil_sheets

        return {"print": stencil_sheets(desk, body(request, Paper))}

    @app.get("/desk/<id_>/<int:step>/chapter/<name>")
    def chapter(desk: Desk, name: str) -> Any:
        return {"html": (chapters.module(name) or abort(404)).fragment(desk)}

    @app.post("/desk/<id_>/<int:step>/chapter/<name>/<verb>")
    def chapter_does(desk: Desk, name: str, verb: str) -> Any:
        do = getattr(chapters.module(name), "do", None) or abort(404)
        return do(desk, verb, request)

    return app


def _served(app: Flask, session: Session, door: Door) -> None:
    """What a server answers besides: the way in, a second start, and signs of life."""

    @app.get("/in/<code>")
    def come_in(code: str) -> Response:
        path = door.admit(code)
        if path is None:
            return _plain(
                403, say("This address has already been used. Start again with: evenstroke desk")
            )
        reply = redirect(f"{door.path}{path}")
        reply.set_cookie(door.cookie, door.key, httponly=True, samesite="Strict", path=door.path)
        return reply  # type: ignore[return-value]

    @app.post("/again")
    def again() -> Any:
        if not door.is_ours(request.headers.get("X-Evenstroke-Secret", "")):
            return _plain(403, say("Only a second start of the same program may ask this."))
        wish = body(request, Wish)
        session.expected()
        return {"address": door.invite(path_of(session, wish))}

    @app.post("/<any(here, bye):word>")
    def sign_of_life(word: str) -> tuple[str, int]:
        getattr(session, word)(request.get_data(as_text=True)[:64])
        return "", 204


def warm(app: Flask, session: Session) -> None:
    """Load what the first page needs: a browser takes a while to start."""
    # What goes wrong here goes wrong again where somebody reads of it.
    with contextlib.suppress(Exception), app.app_context():
        desk = Desk(
            session,
            Draft("n-0", session.drafts.folder / "n-0.jsonl", {}, {0: State(0, None, "", EXAMPLE)}),
            0,
        )
        render_template("desk.html", picture=desk.picture(860, 420), **context(desk))


class _Below:
    """The application under its place's path; whatever else is asked for is not there."""

    def __init__(self, inner: Any, place: Place) -> None:
        self.inner = inner
        self.place = place

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Any:
        path = str(environ.get("PATH_INFO", ""))
        if not self.place.owns(path):
            reply = _plain(404, say("There is nothing here."))
            reply.headers.update(HEADERS)
            return reply(environ, start_response)
        length = len(self.place.path)
        return self.inner(
            environ | {"SCRIPT_NAME": path[:length], "PATH_INFO": path[length:]}, start_response
        )


def answered(desk: Desk, asked: Asked) -> dict[str, Any]:
    """The answer to one request: a change or a pull in, all fragments of the page out.

    With ``asked.commit`` the change becomes a step of the draft.
    """
    said = desk.said
    session = desk.session
    if asked.change:
        said = said.with_(asked.change)
    about = asked.about or changed(desk.said, said)
    if asked.pull is not None:
        pull = pull_of(asked.pull)
        base = desk.now if said == desk.said else session.answer(said)
        said = pulled(base, pull)
        about = "part" if pull.what.startswith("area") else "reach"
    if asked.commit and about == "displays" and desk.asks and said == desk.said:
        # "Yes, this one": with a label it is said, and no longer only found.
        display = said.displays[0] if said.displays else desk.asks
        said = said.with_({"displays": [f"main: {display}"]})
    if asked.commit and said != desk.said:
        if about not in BLANKS:
            about = changed(desk.said, said)
        step = desk.draft.change(desk.step, about, said)
        desk = Desk(session, desk.draft, step.number)
    elif said != desk.said:
        desk = Desk(session, desk.draft, desk.step, said)
    elif asked.commit:
        desk.draft.go(desk.step)
    return {
        "step": desk.step,
        "address": desk.address,
        "parts": fragments(desk, *asked.room),
        "say": outcome(desk.now.solved) if desk.now.possible else "",
        "possible": desk.now.possible,
        "title": page_title(desk),
        "wrong": [{"blank": blank, "says": says} for blank, says in wrong_words(desk.now)],
        "read": read_back(desk.now),
    }


def read_back(now: Answer) -> dict[str, str]:
    """What was understood of the texts that can be written in many ways, blank by blank."""
    if now.solved is None:
        return {}
    tablet = now.solved.request.tablet
    sides = size(tablet.width_mm, tablet.height_mm)
    if tablet.counts_per_mm is None:
        read = say("read as {size}", size=sides)
    else:
        counts = number(tablet.counts_per_mm, 3)
        read = say("read as {size}, {counts} counts for a mm", size=sides, counts=counts)
    distance = None if now.seat is None else number(now.seat.distance_mm / 10, 1)
    return {
        "seat": "" if distance is None else say("read as {distance} cm", distance=distance),
        "tablet": read,
        "displays": say("read as {displays}", displays=displays_words(now.solved.request.desktop)),
    }


def kept(desk: Desk) -> dict[str, Any]:
    """Keep a desk as the next revision of its workstation.

    Raises RequestError where it is not possible or not named.
    """
    workstation = desk.now.workstation
    if not desk.said.name.strip():
        return {"needs": "name"}
    library = desk.session.library
    draft = desk.draft
    known = draft.last_kept
    try:
        before = library.newest(library.folder_of(workstation.name))
    except EvenstrokeError:
        before = None
    revision, new = library.keep(workstation)
    draft.keep(Kept.of(desk.step, revision))
    says: str = say("Nothing changed since this desk was kept.")
    if new:
        says = say("Kept as setting {number}.", number=str(revision.number))
    if new and before is not None and (known is None or known.revision != before.name):
        also = say(
            "Setting {number} was kept in another window meanwhile, and is still there.",
            number=str(before.number),
        )
        says = paragraph([says, also])
    draft.adopt({"station": workstation.name, "folder": folder_name(workstation.name)})
    return {"says": says, "address": desk.address, "step": desk.step}


def taken(desk: Desk, what: str = "") -> dict[str, Any]:
    """Go on from what something else kept or wrote meanwhile, or made of this draft ``elsewhere``.

    The letter as it was is one undo away.
    """
    draft = desk.draft
    origin = draft.origin
    other = draft.told_elsewhere(desk.step) if what == "elsewhere" else None
    if other is not None:
        step = draft.change(desk.step, "elsewhere", other.said)
        draft.elsewhere = None
    elif origin.get("file"):
        content = read_bounded(origin["file"], LARGEST_BYTES, "profile")
        step = draft.change(desk.step, "kept", described(loads(content, origin["file"])))
        origin["digest"] = sha256(content).hexdigest()
    else:
        library = desk.session.library
        revision = library.in_force(library.folder_named(str(origin.get("folder", ""))))
        step = draft.change(desk.step, "kept", described(library.load(revision)))
        draft.keep(Kept.of(step.number, revision))
    return {"address": desk.session.address_of(draft, step.number), "step": step.number}


def start_context(session: Session) -> dict[str, Any]:
    """What the start page lists: the library's desks, and those described but not kept."""
    cards: list[dict[str, str]] = []
    notices: list[str] = []

    def card(name: str, said: Description, href: str, about: str, **more: str) -> None:
        now = session.answer(said)
        shown = {"says": outcome(now.solved), "picture": small_picture(now)}
        cards.append(
            {"name": name, "href": f"{session.place.path}/{href}", "about": about, **shown, **more}
        )

    try:
        found, problems = session.library.stations()
        notices += [problem_words(problem) for problem in problems]
    except EvenstrokeError:
        found = []
    for each in found:
        if each.marks.station_retired:
            continue
        try:
            revision = session.library.in_force(each.folder)
            workstation = session.library.load(revision)
        except EvenstrokeError as error:
            notices.append(problem_words(error.problems[0]))
            continue
        draft = session.drafts.get(f"s-{each.folder.name}")
        changed_since = draft is not None and draft.is_kept(draft.at) is None
        day = _day(revision.kept.isoformat())
        about: str = say("kept on {day}", day=day)
        if changed_since:
            about = say("kept on {day}; changed since, not kept", day=day)
        known = standing_of(session.library, each.folder, workstation.map)
        if known != NOTHING_NOTED and not changed_since:
            about = row_of([about, standing_words(known)])
        card(workstation.name, described(workstation), f"station/{each.folder.name}", about)
    kept_here = bool(cards)
    for id_ in session.drafts.ids():
        draft = session.drafts.get(id_) if not id_.startswith("s-") else None
        if draft is not None and len(draft.steps) > 1 and draft.is_kept(draft.at) is None:
            name = draft.said().name or say("a desk without a name")
            card(name, draft.said(), f"desk/{id_}", say("not kept yet"), forget=id_)
    # With nothing to list, the page shows what it is about.
    sample = "" if cards else small_picture(session.answer(EXAMPLE.with_({"fit": "full"})))
    return {
        "cards": cards,
        "notices": notices,
        "sample": sample,
        "another": kept_here,
        **all_desks.this_computers(session),
    }


def brought_words(done: Imported) -> str:
    """What bringing in a file of desks did, in the page's words."""
    new = say_count(
        "{count} setting or draft is new here.",
        "{count} settings and drafts are new here.",
        done.new,
    )
    here = say("All of it was here already.")
    came = new if done.new or not done.here_already else here
    return paragraph([came, *(problem_words(problem) for problem in done.problems[:5])])


def small_picture(now: Answer) -> str:
    """An SVG without words: tablet, display, the area and the part of the screen in use.

    All of it to one scale; empty where there is no map.
    """
    if now.solved is None:
        return ""
    from mapper.rect import Rect
    from render.canvas.scene import Easel
    from render.pictures.panels import Demonstration
    from render.pictures.preview import describe
    from render.pictures.stage import Stage
    from render.sentences.words import map_title

    stage = Stage(Demonstration.of(now.solved, probes=("circle",)), gap_mm=6.0)
    room = Rect(1, 1, 54, 24)
    easel = Easel(56.0, 26.0)
    stage.draw(easel, stage.places(room, *stage.best(room.width, room.height)), named=False)
    return drawn(easel.scene(title=map_title(now.solved), description=describe(now.solved)))


def path_of(session: Session, wish: Wish) -> str:
    """The path of the page that a start of the program asks for.

    That is a pad, the desk of a name, or the start page. Raises EvenstrokeError where there is no
    such desk.
    """
    if wish.pad:
        return f"/pad/{session.open_pad(wish)}"
    if not wish.desk:
        return "/"
    draft = session.open(wish.desk)
    return f"/desk/{draft.id}/{draft.at}"


def _draft(session: Session, id_: str) -> Draft:
    draft = session.drafts.get(id_)
    if draft is None and id_.startswith("s-"):
        try:
            draft = session.open_station(session.library.folder_of(id_[2:]))
        except EvenstrokeError:
            draft = None
    if draft is None:
        abort(404)
    return draft


def _desk(session: Session, id_: str, step: int) -> Desk:
    draft = _draft(session, id_)
    if step not in draft.steps:
        abort(404)
    return Desk(session, draft, step)


def _plain(status: int, text: str) -> Response:
    return Response(text, status, mimetype="text/plain")


def _file(content: bytes, name: str, kind: str) -> Response:
    return Response(
        content, mimetype=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


def _stem(desk: Desk) -> str:
    return folder_name(desk.said.name) if desk.said.name.strip() else "desk"


def _day(when: str) -> str:
    """``2 March``, of a moment in ISO 8601."""
    return day_words(datetime.fromisoformat(when))
