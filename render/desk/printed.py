"""Sheets that the page prints at true size: the crosses to touch, and the stencil to trace."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError
from render.canvas.svg import fragment
from render.pages.stencil import StencilSheet, stencil_pages
from render.sentences.say import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from mapper.mapping.solve import TabletMap
    from render.canvas.scene import Scene
    from render.desk.bodies import Paper
    from render.desk.desks import Desk

#: The papers that a browser prints on; what takes several of them is glued.
_PAPERS = ("a4", "letter")


def sheets(
    desk: Desk,
    pages: Callable[[TabletMap, StencilSheet], list[Scene]],
    paper: str,
    hand: str = "right",
) -> str:
    """The ``pages`` of a desk as SVG in HTML, each with the name of its page in print.

    Raises RequestError where there is no map, or for an unknown paper.
    """
    solved = desk.solved
    if solved is None:
        raise RequestError(Problem("print", phrase("needs a letter that says tablet and display")))
    if paper not in _PAPERS:
        raise RequestError(Problem("paper", phrase("must be one that is offered"), paper))
    found = pages(solved, StencilSheet(desk.said.name or say("this desk"), paper, hand))
    parts = []
    for index, scene in enumerate(found):
        kind = f"{paper}-wide" if scene.width_mm > scene.height_mm else f"{paper}-tall"
        parts.append(
            {"kind": kind, "svg": fragment(scene, name=f"sheet{index}", label=scene.title)}
        )
    return render_template("chapters/crosses.html", parts=parts)


def stencil_sheets(desk: Desk, sent: Paper) -> str:
    """The stencil of a desk, to be printed."""
    return sheets(desk, stencil_pages, sent.paper, sent.hand)
