"""The desks of the start page: one card each, and what was put away and can be brought back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.problems import AnswerIsNo, EvenstrokeError
from profiles.library.proofs import NOTHING_NOTED, standing_of
from render.desk.answer import problem_words
from render.desk.chapters.known import small_picture
from render.desk.described import described
from render.sentences.outcome import outcome
from render.sentences.proofs import day_words, standing_words
from render.sentences.say import Name, row_of, say, say_count

if TYPE_CHECKING:
    from profiles.library.revisions import Station
    from render.desk.described import Description
    from render.desk.desks import Session
    from render.desk.drafts import Draft

Card = dict[str, str]


def desk_cards(session: Session) -> tuple[list[Card], list[str], list[Card]]:
    """The cards of all desks, what cannot be read, and the desks that were put away."""
    cards: list[Card] = []
    notices: list[str] = []
    put_away: list[Card] = []
    drafts = session.drafts.of_stations()
    try:
        found, problems = session.library.stations()
        notices += [problem_words(problem) for problem in problems]
    except EvenstrokeError:
        found = []
    for station in found:
        own = drafts.get(station.folder.name, [])
        try:
            if station.marks.station_retired or _all_retired(session, station):
                put_away.append(_put_away(session, station))
            else:
                cards += _of_station(session, station, own)
        except EvenstrokeError as error:
            notices.append(problem_words(error.problems[0]))
    here = {station.folder.name for station in found}
    known = {draft.id for folder, of in drafts.items() if folder in here for draft in of}
    for id_ in session.drafts.ids():
        draft = session.drafts.get(id_) if id_ not in known and not id_.startswith("s-") else None
        if draft is not None and len(draft.steps) > 1 and draft.is_kept(draft.at) is None:
            name = draft.said().name or say("a desk without a name")
            more = {"forget": id_} if id_.startswith("n-") else {}
            cards.append(
                _card(session, name, draft.said(), f"desk/{id_}", say("not kept yet")) | more
            )
    return cards, notices, put_away


def _card(session: Session, name: str, said: Description, href: str, about: str) -> Card:
    now = session.answer(said)
    shown = {"says": outcome(now.solved), "picture": small_picture(now)}
    return {"name": name, "href": f"{session.place.path}/{href}", "about": about, **shown}


def _of_station(session: Session, station: Station, drafts: list[Draft]) -> list[Card]:
    """The card of a kept desk; and one of each other draft of it that nobody kept.

    Two windows may have gone two ways from one desk. Raises EvenstrokeError.
    """
    library = session.library
    revision = library.in_force(station.folder)
    workstation = library.load(revision)
    day = day_words(revision.kept)
    is_changed = bool(drafts) and drafts[0].is_kept(drafts[0].at) is None
    about: str = say("kept on {day}", day=day)
    if is_changed:
        about = say("kept on {day}, changed since", day=day)
    known = standing_of(library, station.folder, workstation.map)
    if known != NOTHING_NOTED and not is_changed:
        about = row_of([about, standing_words(known)])
    href = f"station/{station.folder.name}"
    cards = [_card(session, workstation.name, described(workstation), href, about)]
    for draft in drafts[1:]:
        if draft.is_kept(draft.at) is None:
            name = draft.said().name or workstation.name
            says = say("changed in another window, not kept")
            cards.append(_card(session, name, draft.said(), f"desk/{draft.id}", says))
    return cards


def _all_retired(session: Session, station: Station) -> bool:
    """Whether each setting of a desk was put away, one by one."""
    if not station.marks.retired or station.marks.pinned is not None:
        return False
    try:
        session.library.in_force(station.folder)
    except AnswerIsNo:
        return True
    return False


def _put_away(session: Session, station: Station) -> Card:
    count = session.library.count(station.folder)
    about = say_count(
        "{desk}, with {count} kept setting",
        "{desk}, with {count} kept settings",
        count,
        desk=Name(station.name),
    )
    return {"name": station.name, "folder": station.folder.name, "about": about}


def bring_back(session: Session, folder_name: str) -> dict[str, Any]:
    """Bring a desk back that was put away, and its newest setting where all of them were.

    Raises AnswerIsNo where there is no such desk.
    """
    library = session.library
    folder = library.folder_of(folder_name)
    library.decide(folder, "restore")
    try:
        library.in_force(folder)
    except AnswerIsNo:
        library.decide(folder, "restore", library.newest(folder))
    return {"says": say("{desk} is back in the list.", desk=Name(library.called(folder)))}
