"""The library as text and as data: histories, lists of workstations, audits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mapper.phrases import in_line, phrase, template
from profiles.format.compare import setting_of
from profiles.plain import edges, headed
from profiles.times import shown
from render.sentences.audit import KINDS, intact_words
from render.sentences.changes import changes_data, changes_sentence, setting_sentence
from render.sentences.proofs import proof_words
from render.sentences.say import Name, row_of, say, say_again, say_count
from render.sentences.words import number
from render.tables import text_lines

if TYPE_CHECKING:
    from profiles.format.document import Workstation
    from profiles.library.audit import Audit
    from profiles.library.history import History, HistoryRow, StationRow
    from profiles.library.proofs import Proof
    from profiles.library.revisions import RevisionFile

#: What was decided about a workstation, and about one of its revisions.
_DECIDED = {
    "pin": phrase("pinned"),
    "unpin": phrase("unpinned"),
    "retire": phrase("retired"),
    "restore": phrase("brought back"),
}
_DECIDED_REVISION = {
    "pin": template("setting {revision} pinned"),
    "unpin": template("setting {revision} unpinned"),
    "retire": template("setting {revision} retired"),
    "restore": template("setting {revision} brought back"),
}


def history_text(history: History) -> str:
    """The revisions of a workstation, the newest first, each with what it changed."""
    lines: list[str] = [in_line(history.name)]
    if history.retired:
        lines = [say("{desk} (retired)", desk=Name(history.name))]
    width = max((len(row.called) for row in history.rows), default=0)
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
    data = {
        "workstation": history.name,
        "retired": history.retired,
        "earlier": history.earlier,
        "revisions": [
            {
                **revision_data(row.file),
                "note": row.holds and row.holds.revision and row.holds.revision.note,
                "in_force": row.in_force,
                "pinned": row.pinned,
                "retired": row.retired,
                "readable": row.holds is not None,
                "setting": row.holds and _setting_data(row.holds),
                "changes": changes_data(row.before, row.holds)
                if row.before and row.holds
                else None,
                "proofs": [_proof_data(proof) for proof in row.proofs],
            }
            for row in history.rows
        ],
        "decisions": history.decisions,
    }
    return headed("history", data, "built", "seen", "desktop")


def _proof_data(proof: Proof) -> dict[str, Any]:
    """A mark, its rectangles in the shape that all have."""
    setting = proof.setting
    area, screen = (
        edges(*(getattr(setting, f"{side}_{unit}") for side in ("left", "top", "width", "height")))
        for unit in ("mm", "px")
    )
    return {
        "at": proof.at,
        "mark": proof.mark,
        "right": proof.right,
        "cause": proof.cause,
        "found": proof.found,
        "setting": {
            "area": {"frame": "built", "mm": area, "angle_deg": setting.area_angle_deg or None},
            "screen": {"frame": "desktop", "px": screen},
            "turn_deg": setting.turn_deg,
        },
    }


def _setting_data(workstation: Workstation) -> dict[str, Any]:
    """What hand and eye notice of a workstation's map (``profiles.format.compare.Setting``)."""
    setting, solved = setting_of(workstation), workstation.map
    return {
        "area": {
            "frame": "seen",
            "mm": solved.area_seen_mm,
            "angle_deg": setting.angle_deg,
        },
        "screen": {"frame": "desktop", "px": solved.screen_px},
        "scale_factor": setting.scale_factor,
        "stretch": setting.stretch,
        "oval_percent": setting.oval_percent,
        "longer_axis_deg": setting.longer_axis_deg,
        "display": setting.display,
    }


def revision_data(revision: RevisionFile) -> dict[str, Any]:
    """Which revision it is, as plain data."""
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
        say("setting in use"),
        say("settings"),
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


def stations_data(rows: list[StationRow]) -> dict[str, Any]:
    """The workstations as plain data."""
    stations = [
        {
            "workstation": row.name,
            "folder": row.folder,
            "newest": row.newest,
            "in_force": row.in_force and revision_data(row.in_force),
            "pinned": row.pinned,
            "retired": row.retired,
            "setting": row.holds and _setting_data(row.holds),
        }
        for row in rows
    ]
    return headed("stations", {"workstations": stations}, "seen", "desktop")


def audit_text(found: Audit, rescued: int | None = None) -> str:
    """The findings of an audit, a line each; damaged files are counted, as errors name them."""
    lines: list[str] = [
        f"{in_line(str(finding.path))}: {say_again(KINDS[finding.kind])}: {say_again(finding.says)}"
        for finding in found.findings
        if finding.kind != "damaged"
    ]
    lines.append(intact_words(found))
    if rescued is not None:
        lines.append(say_count("{count} file rescued", "{count} files rescued", rescued))
    return "\n".join(lines) + "\n"


def audit_data(found: Audit, rescued: int | None = None) -> dict[str, Any]:
    """The findings of an audit as plain data, damaged files included."""
    counts = {"revisions": found.revisions, "entries": found.entries, "rescued": rescued}
    return headed("audit", {**counts, "findings": found.findings})
