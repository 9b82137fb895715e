"""The desks that the pages show, and who is there to see them.

A session holds the library and its drafts; a desk is one draft at one of its steps.
"""

from __future__ import annotations

import threading
import time
from concurrent.futures import Future
from contextlib import suppress
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from queue import SimpleQueue
from secrets import token_hex
from typing import TYPE_CHECKING, Any

from mapper.problems import AnswerIsNo, EvenstrokeError, RequestError
from profiles.files import read_bounded
from profiles.format.document import LARGEST_BYTES, load
from profiles.library.desks import find_desk
from profiles.library.proofs import (
    NOTHING_NOTED,
    SettingPart,
    proofs_of,
    standing_of,
    typed_now,
)
from profiles.library.revisions import Library
from render.canvas.svg import fragment
from render.desk.answer import Answer, answer
from render.desk.described import Description, described
from render.desk.drafts import Draft, Drafts, Kept
from render.desk.spoken import ChosenLanguage
from render.pictures.live import live_scene
from render.sentences.say import say, say_again

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.mapping.solve import TabletMap
    from profiles.format.document import Workstation
    from profiles.library.proofs import Proof, Standing
    from profiles.library.revisions import RevisionFile
    from render.desk.bodies import Wish
    from render.desk.hardware import SaidDesktop
    from render.desk.pads import OpenPad
    from render.desk.place import Place

_MM_PER_CSS_PX = 25.4 / 96
_REMEMBERED = 128
_SYSTEM_S = 3.0
#: So many revisions are read to find the one whose setting the letter has.
_LOOKED_AT = 20


class Session:
    """All that the pages work with: the library, its drafts, and who is there.

    ``silence_s``: after so long without a sign of life the server ends (a browser lets a hidden
    page speak once a minute at most); ``grace_s``: so long a page has to come back after its
    goodbye, as a reload does.
    """

    def __init__(
        self,
        library: Library,
        place: Place,
        *,
        silence_s: float = 180.0,
        grace_s: float = 3.0,
    ) -> None:
        self.library, self.place = library, place
        self.drafts = Drafts(library.root)
        self.language = ChosenLanguage(self.drafts.folder)
        #: What a description comes to; the last ones are remembered, as one page asks for several
        #: parts of each.
        self.answer: Callable[[Description], Answer] = lru_cache(_REMEMBERED)(answer)
        self._silence_s, self._grace_s = silence_s, grace_s
        self.pads: dict[str, OpenPad] = {}
        self._pages: set[str] = set()
        self._ends_at = time.monotonic() + silence_s
        self._lock = threading.Lock()
        #: What only the program's first thread may do, and how it is woken for it; None while no
        #: server runs.
        self._errands: SimpleQueue[Future[SaidDesktop | None]] = SimpleQueue()
        self.wake: Callable[[], object] | None = None

    def system(self) -> SaidDesktop | None:
        """The desktop as the running system has it now, or None where it says nothing.

        The thread that serves asks it.
        """
        from render.desk.hardware import said_desktop

        if self.wake is None:
            return said_desktop()
        errand: Future[SaidDesktop | None] = Future()
        self._errands.put(errand)
        self.wake()
        try:
            return errand.result(_SYSTEM_S)
        except TimeoutError:
            return None

    def run_errands(self) -> None:
        """By the thread that serves: ask what was wished for, once for all that wait."""
        from render.desk.hardware import said_desktop

        waiting = [self._errands.get() for _ in range(self._errands.qsize())]
        found = said_desktop() if waiting else None
        for errand in waiting:
            errand.set_result(found)

    def address_of(self, draft: Draft, step: int | None = None) -> str:
        """The address, without its host, of a draft at ``step`` or where it stands now."""
        return f"{self.place.path}/desk/{draft.id}/{draft.at if step is None else step}"

    # -- who is there

    @property
    def over(self) -> bool:
        """Whether there is nobody left to serve."""
        return time.monotonic() > self._ends_at

    def here(self, page: str) -> None:
        """The page ``page`` lives."""
        with self._lock:
            self._pages.add(page)
            self._ends_at = time.monotonic() + self._silence_s

    def bye(self, page: str) -> None:
        """The page ``page`` is gone; with the last one the end is near."""
        with self._lock:
            self._pages.discard(page)
            if not self._pages:
                self._ends_at = time.monotonic() + self._grace_s

    def expected(self) -> None:
        """A browser was sent here and has some time to come."""
        with self._lock:
            self._ends_at = max(self._ends_at, time.monotonic() + self._silence_s)

    # -- desks

    def open_station(self, folder: Path) -> Draft:
        """The draft of a workstation of the library.

        Where there is none, a new one from what is in force.
        """
        id_ = f"s-{folder.name}"
        draft = self.drafts.of_station(folder.name)
        revision = self.library.in_force(folder)
        if draft is None or (
            draft.is_kept(draft.at)
            and draft.last_kept
            and draft.last_kept.revision != revision.name
        ):
            workstation = self.library.load(revision)
            if draft is not None:
                # Nothing was changed here and a newer revision is there: go on from that.
                step = draft.change(draft.at, "kept", described(workstation))
                draft.keep(Kept.of(step.number, revision))
                return draft
            origin = {"station": workstation.name, "folder": folder.name}
            return self.drafts.begin(id_, origin, described(workstation), Kept.of(0, revision))
        return draft

    def open_file(self, path: str) -> Draft:
        """The draft of a profile file. Raises RequestError where it is none."""
        whole = str(Path(path).absolute())
        id_ = f"f-{sha256(whole.encode('utf-8', 'surrogatepass')).hexdigest()[:16]}"
        workstation = load(path)
        draft = self.drafts.get(id_)
        if draft is None or len(draft.steps) == 1:
            return self.drafts.begin(
                id_, {"file": whole, "digest": digest_of(whole)}, described(workstation)
            )
        return draft

    def open(self, typed: str) -> Draft:
        """The draft of the desk that a person calls ``typed``.

        That is a profile's file, or a workstation, ``@`` a revision of it. Raises EvenstrokeError
        where there is none.
        """
        found = find_desk(typed, self.library)
        if found.revision is None:
            return self.open_file(typed)
        draft = self.open_station(self.library.folder_of(found.workstation.name))
        if "@" in typed and draft.last_kept and draft.last_kept.revision != found.revision.name:
            draft.change(draft.at, "kept", described(found.workstation))
        return draft

    def open_pad(self, wish: Wish) -> str:
        """The id of a pad for the desks of ``wish`` (render.desk.pads.open_pad).

        Raises RequestError.
        """
        from render.desk.pads import open_pad

        id_ = token_hex(6)
        self.pads[id_] = open_pad(self.library, wish)
        return id_

    def open_new(self, said: Description, screen: str = "") -> Draft:
        """A desk that nobody kept yet.

        ``screen`` are the pixels of the screen that a browser found itself on.
        """
        origin: dict[str, Any] = {"new": True}
        if screen:
            origin |= {"screen": screen, "displays": list(said.displays)}
        return self.drafts.begin(f"n-{token_hex(6)}", origin, said)


def digest_of(path: str) -> str:
    """The digest of a profile's file, by which a change by somebody else is seen.

    Empty where the file cannot be read.
    """
    try:
        return sha256(read_bounded(path, LARGEST_BYTES, "profile")).hexdigest()
    except RequestError:
        return ""


class Desk:
    """One desk at one step of its draft, as a page shows it."""

    def __init__(
        self, session: Session, draft: Draft, step: int, said: Description | None = None
    ) -> None:
        self.session, self.draft, self.step = session, draft, step
        self.said = draft.said(step) if said is None else said
        self.now = session.answer(self.said)

    @property
    def address(self) -> str:
        return self.session.address_of(self.draft, self.step)

    @property
    def asks(self) -> str:
        """The pixels of the browser's own screen, ``2560x1440``.

        Empty once somebody said which display it is.
        """
        origin = self.draft.origin
        if not origin.get("screen") or list(self.said.displays) != origin.get("displays"):
            return ""
        said = any(
            each.about == "displays"
            for each in (self.draft.steps[self.step], *self.draft.ancestors(self.step))
        )
        return "" if said else str(origin["screen"])

    @property
    def last(self) -> Answer | None:
        """The last answer that was possible: this one, or that of the nearest step before."""
        if self.now.possible:
            return self.now
        for before in (self.draft.steps[self.step], *self.draft.ancestors(self.step)):
            found = self.session.answer(before.said)
            if found.possible:
                return found
        return None

    @property
    def solved(self) -> TabletMap | None:
        """The map as it was last possible."""
        return self.last.solved if self.last else None

    @property
    def workstation(self) -> Workstation | None:
        """What a profile would hold now, None while something is missing or wrong."""
        return self.now.workstation if self.now.possible else None

    @property
    def folder(self) -> Path | None:
        """The folder of the workstation of this name in the library, None where there is none."""
        try:
            name = self.said.name.strip()
            return self.session.library.folder_of(name) if name else None
        except EvenstrokeError:
            return None

    @property
    def standing(self) -> Standing:
        """Whether the setting of the letter was typed in and tested, by the marks of the library.

        Nothing where this desk is not kept, or while the letter is not possible.
        """
        if self.now.solved is None or not self.now.possible:
            return NOTHING_NOTED
        try:
            return standing_of(self.session.library, self.folder, self.now.solved)
        except EvenstrokeError:
            return NOTHING_NOTED

    @property
    def typed_before(self) -> Proof | None:
        """The mark of the setting of this desk that is typed in where it is not the letter's."""
        folder, solved = self.folder, self.solved
        if folder is None or solved is None:
            return None
        try:
            proof = typed_now(proofs_of(self.session.library, folder)[0])
        except EvenstrokeError:
            return None
        return None if proof is None or proof.setting.same(SettingPart.of(solved)) else proof

    def map_of(self, proof: Proof) -> TabletMap | None:
        """The map of the revision of this desk that a mark is of, None where it is not here."""
        folder, library = self.folder, self.session.library
        try:
            if folder is None:
                return None
            return library.load(library.marked(folder, proof.revision)).map
        except EvenstrokeError:
            return None

    def revision_of_setting(self) -> RevisionFile | None:
        """The newest revision in which the same has to be typed as here, so that its mark holds.

        None where no such setting was kept among the newest ones.
        """
        folder, solved = self.folder, self.now.solved
        if folder is None or solved is None or not self.now.possible:
            return None
        wanted = SettingPart.of(solved)
        library = self.session.library
        for revision in reversed(library.newest_of(folder, _LOOKED_AT)):
            with suppress(EvenstrokeError):
                if SettingPart.of(library.load(revision).map).same(wanted):
                    return revision
        return None

    def note(self, write: Callable[[RevisionFile], Proof | None]) -> Proof | None:
        """The mark that ``write`` makes of the revision with this setting.

        None where none was kept, nothing is written or it cannot be.
        """
        revision = self.revision_of_setting()
        try:
            return None if revision is None else write(revision)
        except EvenstrokeError:
            return None

    def picture(self, width_px: float, height_px: float, rem_px: float = 16.0) -> str:
        """The picture as it fits into so many CSS px; its lettering goes with the page's."""
        if self.solved is None:
            return ""
        per = _MM_PER_CSS_PX * 16.0 / rem_px
        scene = live_scene(
            self.solved, width_mm=max(80.0, width_px * per), most_high_mm=max(60.0, height_px * per)
        )
        return fragment(scene, name="map", label=scene.title)

    def _changed_elsewhere(self) -> list[dict[str, str]]:
        """What another program, or another window of this one, made of this desk meanwhile."""
        action = say("show the description of the other window")
        if self.draft.told_elsewhere(self.step) is not None:
            says = say("This desk was changed elsewhere meanwhile. Your description is still here.")
            return [{"says": says, "action": action, "take": "elsewhere"}]
        if self.draft.said() == self.draft.said(self.step):
            return []
        says = say(
            "This desk was changed in another window meanwhile. Your description is still here."
        )
        return [{"says": says, "action": action, "take": "window"}]

    def notices(self) -> list[dict[str, str]]:
        """What stands at the top where something is wrong: a sentence each, and one action."""
        origin = self.draft.origin
        download = {"action": say("download the profile"), "href": f"{self.address}/profile.yaml"}
        found = [{"says": says} for says in self.now.slips]
        if self.draft.unwritten is not None:
            says = say(
                "Your changes cannot be saved: {reason}. They will be lost when you close this "
                "page.",
                reason=say_again(self.draft.unwritten.came),
            )
            found.append({"says": says, **download})
        found += self._changed_elsewhere()
        if origin.get("folder"):
            library, last = self.session.library, self.draft.last_kept
            try:
                revision = library.in_force(library.folder_named(str(origin["folder"])))
                if last is None or (
                    last.revision != revision.name and revision.number >= last.number
                ):
                    says = say(
                        "This desk was kept in another window meanwhile, as setting {number}. Your "
                        "description is still based on an earlier setting.",
                        number=str(revision.number),
                    )
                    action = say("use the newer one")
                    found.append({"says": says, "action": action, "take": "revision"})
            except AnswerIsNo:
                says = say(
                    "All kept settings of this desk are retired. Your description is still here."
                )
                found.append({"says": says, "action": say("bring them back"), "take": "back"})
            except EvenstrokeError as error:
                says = say(
                    "The kept settings of this desk cannot be read: {reason}. Your description is "
                    "still here.",
                    reason=say_again(error.problems[0].came or error.problems[0].must),
                )
                found.append({"says": says, **download})
        if origin.get("file"):
            digest = digest_of(str(origin["file"]))
            if not digest:
                says = say(
                    "The file that this desk came from is gone. What you see here is the only copy."
                )
                found.append({"says": says, **download})
            elif digest != origin.get("digest"):
                says = say("The file that this desk came from was changed by another program.")
                action = say("use what is there now")
                found.append({"says": says, "action": action, "take": "file"})
        return found
