"""The desk's pages: Flask's routes, and what each page is filled with.

Thin on purpose: what a desk comes to is render.desk.answer's, what a pull does render.desk.pulls',
what is remembered render.desk.drafts', and who may come in render.desk.address'. Pages are rendered
here whole; after that the page swaps fragments, which come as JSON from the same templates.
"""

from __future__ import annotations

import contextlib
import re
from dataclasses import replace
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from flask import Flask, Response, abort, redirect, render_template, request

from mapper.mapping.entry import Entry
from mapper.problems import AnswerIsNo, EvenstrokeError, one_of
from profiles.fields import entry_text
from profiles.files import read_bounded
from profiles.format.document import LARGEST_BYTES, loads, to_yaml
from profiles.library.station_names import folder_name
from render.canvas.svg import fragment, style_sheet, theme_rules
from render.desk import all_desks, chapters, work
from render.desk.address import HEADERS, Door
from render.desk.answer import problem_words
from render.desk.bodies import Asked, NewDesk, Paper, Taking, TypedIn, Wish, body, sent_name
from render.desk.cards import bring_back, desk_cards
from render.desk.chapters.kept import BACK
from render.desk.chapters.known import small_picture
from render.desk.described import Description, described, from_plain
from render.desk.desks import Desk, Session
from render.desk.drafts import ID, Draft, Kept, State
from render.desk.dropped import dropped_beside
from render.desk.letter import letter
from render.desk.life import copied_from, name_lead
from render.desk.markup import teach
from render.desk.notes import changed, note, slips
from render.desk.other_desks import other_feels
from render.desk.place import reads_traces, who_reads_traces
from render.desk.pulls import pull_of, pulled
from render.desk.saved_names import disposition, saved_stem
from render.desk.script_texts import page_texts
from render.desk.standing import progress, typed_in
from render.desk.warm import warm_traces
from render.fields import BLANKS
from render.sentences.entry import answer_sentences, beside_the_numbers, form_words
from render.sentences.languages import OWN_NAMES, code_now, language, offered
from render.sentences.letter import displays_words
from render.sentences.measures import size
from render.sentences.outcome import outcome
from render.sentences.proofs import day_words
from render.sentences.say import paragraph, say, say_again, say_count, speaking, spoken
from render.sentences.words import number

if TYPE_CHECKING:
    from profiles.library.archive import Imported
    from render.desk.answer import Answer
    from render.desk.slips import Slip

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
        "besides": [] if solved is None else beside_the_numbers(solved, entry),
        "outcome": outcome(solved),
        "progress": progress(desk),
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
    moment = got_back(blank)
    if moment is not None:
        return say("opening the setting of {day}", day=day_words(moment))
    said = {"kept": say("what was kept"), "elsewhere": say("what was changed elsewhere")}
    return said.get(blank, "")


def begun_here(said: Description) -> Description:
    """A new desk, whose numbers begin with the decimal mark of the language in use.

    The tablet's settings of a system in that language most likely want it.
    """
    now = spoken()
    if now is None or now.decimal_mark != ",":
        return said
    return said.with_({"entry": entry_text(Entry(comma=True))})


def got_back(about: str) -> datetime | None:
    """When the setting was kept that a step of the letter got back; None for any other step."""
    what, _, moment = about.partition(" ")
    if what != BACK:
        return None
    try:
        return datetime.fromisoformat(moment).astimezone()
    except (ValueError, OverflowError):
        return None


def make_app(session: Session) -> Flask:  # noqa: C901, PLR0915 - one line a route
    """The application. Every answer carries the policy, and every request is looked at first."""
    here = Path(__file__).parent
    app = Flask(
        "evenstroke", template_folder=str(here / "templates"), static_folder=str(here / "static")
    )
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    teach(app.jinja_env)
    place = session.place
    app.jinja_env.globals["texts"] = lambda: page_texts(place)
    app.wsgi_app = _Below(app.wsgi_app, session)  # type: ignore[method-assign]
    app.jinja_env.globals.update(
        root=place.path,
        languages=lambda: [(code, OWN_NAMES[code]) for code in offered()],
        language_now=code_now,
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
        going_on = request.method == "GET" and request.path.startswith("/on/")
        refused = place.refusal(request.method, request.headers, going_on=going_on)
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

    app.teardown_request(work.over)

    @app.errorhandler(EvenstrokeError)
    def wrong(error: EvenstrokeError) -> tuple[dict[str, Any], int]:
        words = [problem_words(problem) for problem in error.problems]
        # Names of fields, which no language changes.
        where = [getattr(each.where, "template", each.where) for each in error.problems]
        return {"wrong": words, "where": where}, 404 if isinstance(error, AnswerIsNo) else 422

    @app.errorhandler(ModuleNotFoundError)
    def not_here(error: ModuleNotFoundError) -> tuple[dict[str, Any], int]:
        if reads_traces():
            raise error
        return {"wrong": [who_reads_traces()]}, 422

    @app.errorhandler(500)
    def broken(_: Exception) -> tuple[dict[str, Any], int]:
        says = say(
            "Something went wrong inside the program. You did nothing wrong. Your description is "
            "saved: load the page again."
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

    @app.get("/language/<code>")
    def speak_it(code: str) -> Any:
        if code not in offered():
            abort(404)
        session.language.choose(code)
        return redirect(f"{place.path}/{request.args.get('to', '').lstrip('/')}")

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
        draft = session.open_new(begun_here(from_plain(said)), screen if asks else "")
        return {"address": session.address_of(draft)}

    @app.get("/example")
    def example() -> Any:
        return redirect(session.address_of(session.open_new(begun_here(EXAMPLE))))

    @app.post("/station/<folder>/back")
    def brought_back(folder: str) -> Any:
        return bring_back(session, folder)

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
        today, others = found.maps()
        part = pad_part(
            today,
            others,
            file_stem=found.stem,
            save_to=f"{place.path}/pad/{id_}/strokes",
            alone=True,
        )
        return render_template("pad.html", name=today.name, pad=part)

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
        if blank == "name":
            made = replace(made, lead=name_lead(desk))
        return {"html": render_template("note.html", note=made)}

    @app.post("/desk/<id_>/<int:step>/keep")
    def keep(desk: Desk) -> Any:
        return kept(desk)

    @app.post("/desk/<id_>/<int:step>/typed")
    def typed(desk: Desk) -> Any:
        return typed_in(desk, undo=body(request, TypedIn).undo)

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

        return _file(page(desk), f"{_stem(desk)} study.html", "text/html")

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
        if name == "took":
            warm_traces()
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
        if door.before:
            name, value = door.next_cookie
            # For the script of a page that waits for a new server, and for no other page.
            reply.set_cookie(name, value, samesite="Strict", path=f"{door.before}/", max_age=86400)
        return reply  # type: ignore[return-value]

    @app.get("/on/<id_>/<int:at>")
    def go_on(id_: str, at: int) -> Response:
        # From a page of the last server. It has the browser ask for the desk as from here.
        if not ID.fullmatch(id_):
            abort(404)
        to = f"{door.path}/desk/{id_}/{at}"
        return Response(
            f'<!doctype html><meta http-equiv="refresh" content="0;url={to}">', mimetype="text/html"
        )

    @app.post("/again")
    def again() -> Any:
        if not door.is_ours(request.headers.get("X-Evenstroke-Secret", "")):
            return _plain(403, say("Only a second start of the same program may ask this."))
        wish = body(request, Wish)
        session.expected()
        return {"address": door.invite(path_of(session, wish))}

    @app.get("/work/<name>")
    def how_far(name: str) -> Any:
        return work.how_far(name)

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
    """The application under its place's path; whatever else is asked for is not there.

    It answers in the language of who asks.
    """

    def __init__(self, inner: Any, session: Session) -> None:
        self.inner = inner
        self.session = session
        self.place = session.place

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Any:
        code = self.session.language.of(environ.get("HTTP_ACCEPT_LANGUAGE", ""))
        with speaking(language(code)):
            return self._answer(environ, start_response)

    def _answer(self, environ: dict[str, Any], start_response: Any) -> Any:
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
    if asked.dropped is not None:
        said = dropped_beside(said, asked.dropped)
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
        if about not in BLANKS and got_back(about) is None:
            about = changed(desk.said, said)
        step = desk.draft.change(desk.step, about, said)
        desk = Desk(session, desk.draft, step.number)
    elif said != desk.said:
        desk = Desk(session, desk.draft, desk.step, said)
    elif asked.commit:
        desk.draft.go(desk.step)
    wrong = slips(desk.now)
    return {
        "step": desk.step,
        "address": desk.address,
        "parts": fragments(desk, *asked.room),
        "say": said_aloud(desk, wrong),
        "possible": desk.now.possible,
        "title": page_title(desk),
        "wrong": [each.plain for each in wrong],
        "read": read_back(desk.now),
    }


def said_aloud(desk: Desk, wrong: list[Slip]) -> str:
    """What a step of the letter comes to, in a sentence: the answer's, or what is wrong."""
    if wrong:
        return paragraph(list(dict.fromkeys(each.says for each in wrong)))
    if desk.now.possible:
        return outcome(desk.now.solved)
    return say("The numbers to type appear here when the tablet and the display have a size.")


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
        read = say("read as {size}, {counts} counts per mm", size=sides, counts=counts)
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
        why = say("A kept desk needs a name, so that you find it again. Press Enter to keep it.")
        return {"needs": "name", "why": why}
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
    copied = copied_from(desk)
    if copied is not None:
        says = paragraph([says, copied])
    draft.adopt({"station": workstation.name, "folder": folder_name(workstation.name)})
    return {"says": says, "address": desk.address, "step": desk.step}


def taken(desk: Desk, what: str = "") -> dict[str, Any]:
    """Go on from what something else kept or wrote meanwhile, or made of this draft ``elsewhere``.

    The letter as it was is one undo away.
    """
    draft = desk.draft
    origin = draft.origin
    if what == "window":
        return {"address": desk.session.address_of(draft), "step": draft.at}
    if what == "back":
        bring_back(desk.session, str(origin.get("folder", "")))
        return {"address": desk.address, "step": desk.step}
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
    cards, notices, put_away = desk_cards(session)
    kept_here = any(not each.get("forget") for each in cards)
    # With nothing to list, the page shows what it is about.
    sample = "" if cards else small_picture(session.answer(EXAMPLE))
    return {
        "cards": cards,
        "notices": notices,
        "put_away": put_away,
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
    here = say("Everything was already here.")
    came = new if done.new or not done.here_already else here
    return paragraph([came, *(problem_words(problem) for problem in done.problems[:5])])


def path_of(session: Session, wish: Wish) -> str:
    """The path of the page that a start of the program asks for.

    That is a pad, the desk of a name, or the start page. Raises EvenstrokeError where there is no
    such desk.
    """
    if wish.language:
        session.language.use(one_of(wish.language, offered(), "language"))
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
    return Response(content, mimetype=kind, headers={"Content-Disposition": disposition(name)})


def _stem(desk: Desk) -> str:
    return saved_stem(desk.said.name)
