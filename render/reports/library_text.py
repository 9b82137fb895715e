"""The library as text and as data: histories, lists of workstations, audits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.phrases import in_line, phrase, template
from profiles.format.compare import setting_of
from profiles.times import shown
from render.sentences.changes import changes_data, changes_sentence, setting_sentence
from render.sentences.proofs import proof_words
from render.sentences.say import Name, row_of, say, say_again, say_count
from render.sentences.words import number
from render.tables import text_lines

if TYPE_CHECKING:
    from profiles.library.audit import Audit
    from profiles.library.history import History, HistoryRow, StationRow
    from profiles.library.revisions import RevisionFile

#: What was decided about a workstation, and about one of its revisions.
_DECIDED = {
    "pin": phrase("pinned"),
    "unpin": phrase("released"),
    "retire": phrase("retired"),
    "restore": phrase("brought back"),
}
_DECIDED_REVISION = {
    "pin": template("revision {revision} pinned"),
    "unpin": template("revision {revision} released"),
    "retire": template("revision {revision} retired"),
    "restore": template("revision {revision} brought back"),
}


def history_text(history: History) -> str:
    """The revisions of a workstation, the newest first, each with what it changed."""
    lines: list[str] = [in_line(history.name)]
    if history.retired:
        lines = [say("{desk} (retired)", desk=Name(history.name))]
    width = max(len(row.called) for row in history.rows)
    for row in history.rows:
        lines.append(f"  {row.called:>{width}}  {shown(row.file.kept)}  {_row_sentence(row)}")
        note = row.holds.revision.note if row.holds and row.holds.revision else None
        if note:
            lines.append(f"  {'':>{width}}  {'':16}  {in_line(' '.join(note.split()))}")
        lines += [f"  {'':>{width}}  {'':16}  {proof_words(proof)}" for proof in row.proofs]
    if history.earlier:
        earlier = str(history.earlier)
        lines.append(say("and {count} earlier: {option}", count=earlier, option="--all"))
    for decision in history.decisions:
        done = say_again(_DECIDED[decision.mark])
        if decision.revision is not None:
            revision = decision.revision.partition("-")[0]
            done = say(_DECIDED_REVISION[decision.mark], revision=revision)
        if decision.note:
            done = say("{done}: {why}", done=done, why=Name(" ".join(decision.note.split())))
        lines.append(f"{shown(decision.at)}  {done}")
    return "\n".join(lines) + "\n"


def _row_sentence(row: HistoryRow) -> str:
    sentence: str = say("cannot be read")
    if row.holds is not None:
        sentence = (
            setting_sentence(row.holds)
            if row.before is None
            else changes_sentence(row.before, row.holds)
        )
    state = _states_words(row.pinned, row.retired, in_force=row.in_force)
    return f"{sentence} [{state}]" if state else sentence


def _states_words(pinned: object, retired: object, *, in_force: bool = False) -> str:
    """``in use, pinned``: what holds of a revision or a workstation; empty for nothing."""
    states = ((in_force, say("in use")), (pinned, say("pinned")), (retired, say("retired")))
    return row_of([word for holds, word in states if holds])


def history_data(history: History) -> dict[str, Any]:
    """The revisions of a workstation as plain data."""
    return {
        "workstation": history.name,
        "retired": history.retired,
        "earlier": history.earlier,
        "revisions": [
            {
                **_revision_data(row.file),
                "note": row.holds and row.holds.revision and row.holds.revision.note,
                "in_force": row.in_force,
                "pinned": row.pinned,
                "retired": row.retired,
                "readable": row.holds is not None,
                "setting": row.holds and setting_of(row.holds),
                "changes": changes_data(row.before, row.holds)
                if row.before and row.holds
                else None,
                "proofs": row.proofs,
            }
            for row in history.rows
        ],
        "decisions": history.decisions,
    }


def _revision_data(revision: RevisionFile) -> dict[str, Any]:
    return {"revision": revision.number, "digest": revision.digest, "kept": revision.kept}


def stations_text(rows: list[StationRow], *, retired: int = 0) -> str:
    """All workstations, each with its setting in use.

    ``retired`` counts the workstations that are not among the ``rows``.
    """
    if not rows and retired:
        everything = say(
            "All desks are retired. To list them: {command}", command="evenstroke stations --all"
        )
        return f"{everything}\n"
    if not rows:
        first = say(
            "No desk was kept yet. To keep one: {command}", command="evenstroke keep desk.yaml"
        )
        return f"{first}\n"
    head = (
        say("desk"),
        say("in use"),
        say("of"),
        say("kept"),
        say("area, mm"),
        say("scale factor"),
        "",
    )
    cells = []
    for row in rows:
        setting = setting_of(row.holds) if row.holds else None
        state = _states_words(row.pinned, row.retired)
        cells.append(
            (
                " ".join(row.name.split()),
                str(row.in_force.number) if row.in_force else say("none"),
                str(row.newest),
                shown(row.in_force.kept) if row.in_force else "",
                f"{number(setting.width_mm, 1)} × {number(setting.height_mm, 1)}"
                if setting
                else say("cannot be read"),
                number(setting.scale_factor)
                if setting and setting.scale_factor is not None
                else "",
                state,
            )
        )
    return "\n".join(text_lines(head, cells)) + "\n"


def stations_data(rows: list[StationRow]) -> list[dict[str, Any]]:
    """The workstations as plain data."""
    return [
        {
            "workstation": row.name,
            "folder": row.folder,
            "newest": row.newest,
            "in_force": row.in_force and _revision_data(row.in_force),
            "pinned": row.pinned,
            "retired": row.retired,
            "setting": row.holds and setting_of(row.holds),
        }
        for row in rows
    ]


def audit_text(found: Audit, rescued: int | None = None) -> str:
    """The findings of an audit, a line each; damaged files are counted, as errors name them."""
    lines: list[str] = [
        f"{in_line(str(finding.path))}: {say_again(KINDS[finding.kind])}: {say_again(finding.says)}"
        for finding in found.findings
        if finding.kind != "damaged"
    ]
    lines.append(
        say(
            "{revisions} and {entries} are intact, {damaged} damaged",
            revisions=say_count("{count} revision", "{count} revisions", found.revisions),
            entries=say_count("{count} note", "{count} notes", found.entries),
            damaged=str(len(found.damaged)),
        )
    )
    if rescued is not None:
        lines.append(say_count("{count} file rescued", "{count} files rescued", rescued))
    return "\n".join(lines) + "\n"


#: What a file of the library is that belongs to none of its kinds.
KINDS = {
    "damaged": phrase("damaged"),
    "other format": phrase("other format"),
    "misplaced": phrase("misplaced"),
    "unfinished": phrase("unfinished"),
    "foreign": phrase("foreign"),
}


def audit_data(found: Audit, rescued: int | None = None) -> dict[str, Any]:
    """The findings of an audit as plain data, damaged files included."""
    return {
        "revisions": found.revisions,
        "entries": found.entries,
        "rescued": rescued,
        "findings": found.findings,
    }
