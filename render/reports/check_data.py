"""What ``check`` found of each file, as data for other programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from profiles.plain import headed
from render.sentences.words import map_sentence

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mapper.problems import Problem
    from profiles.library.desks import FoundDesk


def check_data(checked: Sequence[tuple[str, FoundDesk | None, list[Problem]]]) -> dict[str, Any]:
    """Of each desk as it was typed whether it is valid, and what it maps or what is wrong."""
    return headed("check", {"profiles": [_row(*each) for each in checked]})


def _row(typed: str, right: FoundDesk | None, wrong: list[Problem]) -> dict[str, Any]:
    workstation = right and right.workstation
    return {
        "desk": typed,
        "valid": right is not None,
        "workstation": workstation and workstation.name,
        "says": workstation and map_sentence(workstation.map),
        "scale_factor": workstation and workstation.map.summary.scale_factor,
        "problems": [_problem(problem) for problem in wrong],
    }


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        "where": problem.where,
        "must": problem.must,
        "came": problem.came or None,
        "instead": problem.instead or None,
        "missing": problem.is_missing,
    }
