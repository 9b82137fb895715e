"""The library as text and as data: histories, lists of workstations, audits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from profiles.format.compare import setting_of
from profiles.times import shown
from render.sentences.changes import changes_data, changes_sentence, setting_sentence
from render.sentences.proofs import proof_words
from render.sentences.say import say_count
from render.sentences.words import number
from render.tables import text_lines

if TYPE_CHECKING:
    from profiles.library.audit import Audit
    from profiles.library.history import History, HistoryRow, StationRow
    from profiles.library.revisions import RevisionFile

_DECIDED = {"pin": "pinned", "unpin": "released", "retire": "retired", "restore": "brought back"}


def history_text(history: History) -> str:
    """The revisions of a workstation, the newest first, each with what it changed."""
    retired = " (retired)" if history.retired else ""
    lines = [f"{history.name}{retired}"]
    width = max(len(row.called) for row in history.rows)
    for row in history.rows:
        lines.append(f"  {row.called:>{width}}  {shown(row.file.kept)}  {_row_sentence(row)}")
        note = row.holds.revision.note if row.holds and row.holds.revision else None
        if note:
            lines.append(f"  {'':>{width}}  {'':16}  {' '.join(note.split())}")
        lines += [f"  {'':>{width}}  {'':16}  {proof_words(proof)}" for proof in row.proofs]
    if history.earlier:
        lines.append(f"and {history.earlier} earlier: --all")
    for decision in history.decisions:
        revision = (
            "" if decision.revision is None else f" revision {decision.revision.partition('-')[0]}"
        )
        why = f": {' '.join(decision.note.split())}" if decision.note else ""
        lines.append(f"{shown(decision.at)}  {_DECIDED[decision.mark]}{revision}{why}")
    return "\n".join(lines) + "\n"


def _row_sentence(row: HistoryRow) -> str:
    sentence = "cannot be read"
    if row.holds is not None:
        sentence = (
            setting_sentence(row.holds)
            if row.before is None
            else changes_sentence(row.before, row.holds)
        )
    states = {"in force": row.in_force, "pinned": row.pinned, "retired": row.retired}
    state = ", ".join(word for word, holds in states.items() if holds)
    return f"{sentence} [{state}]" if state else sentence


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
        return "All workstations are retired; evenstroke stations --all lists them\n"
    if not rows:
        return "No workstation was kept yet. Keep one: evenstroke keep desk.yaml\n"
    head = ("workstation", "in force", "of", "kept", "area mm", "scale factor", "")
    cells = []
    for row in rows:
        setting = setting_of(row.holds) if row.holds else None
        state = ", ".join(
            word for word, holds in (("pinned", row.pinned), ("retired", row.retired)) if holds
        )
        cells.append(
            (
                " ".join(row.name.split()),
                str(row.in_force.number) if row.in_force else "none",
                str(row.newest),
                shown(row.in_force.kept) if row.in_force else "",
                f"{number(setting.width_mm, 1)} x {number(setting.height_mm, 1)}"
                if setting
                else "cannot be read",
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
    lines = [
        f"{finding.path}: {finding.kind}: {finding.says}"
        for finding in found.findings
        if finding.kind != "damaged"
    ]
    intact = (
        f"{say_count('{count} revision', '{count} revisions', found.revisions)} and "
        f"{say_count('{count} entry', '{count} entries', found.entries)} are intact"
    )
    lines.append(f"{intact}, {len(found.damaged)} damaged")
    if rescued is not None:
        lines.append(f"{say_count('{count} file', '{count} files', rescued)} rescued")
    return "\n".join(lines) + "\n"


def audit_data(found: Audit, rescued: int | None = None) -> dict[str, Any]:
    """The findings of an audit as plain data, damaged files included."""
    return {
        "revisions": found.revisions,
        "entries": found.entries,
        "rescued": rescued,
        "findings": found.findings,
    }
