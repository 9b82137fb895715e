"""How far the hand travels and what it hits at each scale factor, as text, CSV and plain data."""

from __future__ import annotations

import textwrap
from dataclasses import asdict
from typing import Any

from mapper.choosing.recommended import CAUTION
from mapper.choosing.travel import Crossing, largest_sure_scale
from profiles.plain import headed
from render.sentences.pairs import FEEL
from render.sentences.say import paragraph, say, say_again
from render.sentences.travel import display_name, travel_sentences
from render.sentences.words import fixed, number
from render.tables import csv_lines, text_lines

_WIDE = 116


def travel_text(crossed: Crossing) -> str:
    """The travel of the hand as a table, sentences on what it means, and the sources."""
    head = [
        say("scale factor"),
        say("corner to corner"),
        say("middle to edge"),
        say("wrist's share"),
        say("elbow turns"),
        say("target"),
        say("difficulty"),
        say("your limit"),
        say("hits"),
        say("reliable from"),
        "",
    ]
    rows = []
    for row in crossed.rows:
        own = crossed.own_scale is not None and row.scale_factor == crossed.own_scale
        rows.append(
            [
                f"{'> ' if own else ''}{fixed(row.scale_factor, 2)}",
                f"{fixed(row.corner_to_corner_mm, 0)} mm",
                f"{fixed(row.palette_mm, 0)} mm",
                f"{fixed(100 - row.forearm_share_percent, 0)} %",
                say("too short")
                if row.forearm_swing_deg is None
                else f"{fixed(row.forearm_swing_deg, 0)}°",
                f"{fixed(row.target_hand_mm, 2)} mm",
                f"{fixed(row.difficulty_bits, 2)}",
                f"{fixed(row.hand_bits, 2)}",
                f"{fixed(row.hit_percent, 1)} %",
                f"{fixed(row.smallest_sure_target_mm / crossed.mm_per_px, 0)} px",
                say_again(FEEL[crossed.band.side(row.scale_factor)]),
            ]
        )
    lines = [
        say(
            "The hand crosses {display} and taps on {target}",
            display=display_name(crossed.display),
            target=say_again(crossed.target_words),
        ),
        "",
        *(f"  {line}" for line in text_lines(head, rows, left=0)),
        "",
        *(
            line
            for sentence in travel_sentences(crossed)
            for line in textwrap.wrap(sentence, _WIDE)
        ),
        "",
        *_sources(crossed),
        "",
        *textwrap.wrap(say_again(CAUTION), _WIDE),
    ]
    return "\n".join(lines) + "\n"


def _sources(crossed: Crossing) -> list[str]:
    text = paragraph(
        [
            say(
                "difficulty: how hard it is to go from the middle of the screen to a target at its "
                "side edge, log2(D / W + 1), the Shannon form of ISO/TS 9241-411 (not checked "
                "against the standard)."
            ),
            say("It is the same at every scale factor, since distance and target shrink together."),
            say(
                "your limit: the difficulty that a hand manages if its taps land about {mm} mm "
                "off ({source}), with an effective width of 4.133 times that.",
                mm=number(crossed.hand.mm),
                source=say_again(crossed.hand.source),
            ),
            say("Where it is below the difficulty, the hand misses."),
            say(
                "Reach of wrist and forearm: 130 mm turned by 15 degrees to either side, and 350 "
                "mm (common practice, no source)."
            ),
        ]
    )
    return textwrap.wrap(text, _WIDE)


def travel_data(crossed: Crossing) -> dict[str, Any]:
    """The travel of the hand as plain data; what is not known is absent."""
    data = {
        "display": crossed.display.label,
        "target_mm": crossed.target_mm,
        "hand_scatter_mm": crossed.hand.mm,
        "hand_scatter_source": crossed.hand.source,
        "largest_sure_scale": largest_sure_scale(crossed.target_mm, crossed.hand.mm),
        "scale_factor": crossed.own_scale,
        "travel": [
            {**asdict(row), "band": crossed.band.side(row.scale_factor)} for row in crossed.rows
        ],
        "caution": CAUTION,
    }
    return headed("travel", data)


def travel_csv(crossed: Crossing) -> str:
    """The travel of the hand as CSV, one line for each scale factor.

    The columns are those of ``mapper.choosing.travel.Travel``.
    """
    rows = [asdict(row) for row in crossed.rows]
    lines = [["" if value is None else f"{value:.6g}" for value in row.values()] for row in rows]
    return csv_lines([list(rows[0]), *lines])
