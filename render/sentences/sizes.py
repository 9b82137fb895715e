"""Sizes measured with a bank card, in sentences."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mapper.tracing.sizing import error_cost
from mapper.units import MM_PER_INCH
from render.sentences.measures import inches_words
from render.sentences.say import listed, say
from render.sentences.words import number

if TYPE_CHECKING:
    from mapper.tracing.measurement import Measurement
    from mapper.tracing.sizing import AreaSize, GlassSize


def give_or_take(known: Measurement, unit: str, places: int = 1) -> str:
    """``240.1 mm, give or take 1.5 mm``."""
    return say(
        "{value} ± {half} {unit}",
        value=number(known.value, places),
        half=number(known.half_width, places),
        unit=unit,
    )


def ratio_percent(size: AreaSize) -> float:
    """Half the width of the interval of the proportions, in percent of them."""
    return 100 * size.ratio.half_width / size.ratio.value


def area_typed(size: AreaSize) -> str:
    """The measured area as ``--tablet`` takes it: ``240.1x151.8mm``."""
    return f"{number(size.width_mm.value, 1)}x{number(size.height_mm.value, 1)}mm"


def area_sentences(size: AreaSize, displays: int = 1) -> list[str]:
    """The measured size of the active area, how sure it is, and what to do to make it surer."""
    mm, share = error_cost(size, "mm"), error_cost(size, "percent")
    sentences: list[str] = [
        say(
            "The active area is about {across} × {down} mm, as you see the tablet: width {width}; "
            "height {height}.",
            across=number(size.width_mm.value, 0),
            down=number(size.height_mm.value, 0),
            width=give_or_take(size.width_mm, "mm"),
            height=give_or_take(size.height_mm, "mm"),
        ),
        say(
            "Its proportions are {ratio} to 1 (± {percent} %).",
            ratio=number(size.ratio.value, 3),
            percent=number(ratio_percent(size), 2),
        ),
        say(
            "In settings that ask for mm or inches this error leaves circles round and moves an "
            "edge by up to {edge} mm. In percent or counts it also changes the shape: a circle "
            "may come out up to {percent} % too wide or too tall.",
            edge=number(mm.edge_mm, 1),
            percent=number(share.oval_percent, 1),
        ),
    ]
    if size.nib_mm is not None:
        sentences.insert(
            2,
            say(
                "The pen ran about {nib} mm outside the edge; that is subtracted.",
                nib=number(size.nib_mm.value, 1),
            ),
        )
    if not size.both_ways:
        sentences.append(
            say(
                "Trace it once more, turned by 90 degrees: tracing it both ways gives better "
                "proportions."
            )
        )
    if size.like_target:
        sentences.append(
            say(
                "These are the proportions of your display. Either your tablet has them too, or "
                "its settings keep proportions; then this cannot show the height. Switch that "
                "off and measure again."
            )
        )
    if displays > 1:
        sentences.append(
            say("This assumes that the pen reaches all of these displays, as is usual at first.")
        )
    if size.nib_mm is not None:
        sentences.append(
            say(
                "If a frame is printed on the tablet, a ruler is better: an error of 0.5 mm in "
                "240 mm is only 0.2 %."
            )
        )
    return sentences


def glass_sentences(size: GlassSize, resolution_px: tuple[int, int]) -> list[str]:
    """The measured size of the display, how sure it is, and whether to measure again."""
    width, height = (
        resolution_px[0] * size.x_mm_per_px.value,
        resolution_px[1] * size.y_mm_per_px.value,
    )
    sentences: list[str] = [
        say(
            "The display's diagonal is {diagonal} ± {half} in: {width} × {height} mm.",
            diagonal=number(size.diagonal_in.value, 1),
            half=number(size.diagonal_in.half_width, 1),
            width=number(width, 0),
            height=number(height, 0),
        )
    ]
    if size.another:
        sentences.append(
            say(
                "The tries differ by {percent} %: drag once more.",
                percent=number(size.disagreement_percent, 1),
            )
            if size.disagreement_percent > 0
            else say("Drag once more, to be sure.")
        )
    elif len(size.sold_in) > 1:
        sold = listed([inches_words(inches, 2) for inches in sorted(size.sold_in)])
        sentences.append(
            say(
                "The measurement cannot tell {sizes} apart: choose the size that yours was sold "
                "as.",
                sizes=sold,
            )
        )
    if size.x_mm_per_px != size.y_mm_per_px:
        sentences.append(say("Its pixels are not square."))
    return sentences


def glass_typed(
    size: GlassSize, resolution_px: tuple[int, int], diagonal_in: float | None = None
) -> str:
    """The measured display as ``--display`` takes it: ``27in 2560x1440``.

    With ``diagonal_in``, the size it was sold as, where it is known; else as it was measured.
    """
    pixels = f"{resolution_px[0]}x{resolution_px[1]}"
    if diagonal_in is not None:
        return f"{diagonal_in:g}in {pixels}"
    if size.x_mm_per_px == size.y_mm_per_px:
        inches = math.hypot(*resolution_px) * size.x_mm_per_px.value / MM_PER_INCH
        return f"{number(inches, 1)}in {pixels}"
    sides = (resolution_px[0] * size.x_mm_per_px.value, resolution_px[1] * size.y_mm_per_px.value)
    return f"{number(sides[0], 1)}x{number(sides[1], 1)}mm {pixels}"
