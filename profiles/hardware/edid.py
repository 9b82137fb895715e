"""A display's own description: its pixels, its size in mm from the best source, and the doubts.

Descriptions can be wrong. A field of millimetres may hold 16 and 9, centimetres and millimetres may
disagree by a metre, and a projector has no size at all. So each declared size is compared with the
pixels, the sensible ones vote, the winner's source is named, and everything odd becomes a doubt.
Where no sensible size is left it is unknown, never guessed.

The vote. There are three kinds of source: a DisplayID block, the detailed timings, the base block's
centimetres. The size that most kinds agree on wins, and of those that agree the most exact is
taken. Timings are one kind however many they are, since televisions repeat in each the millimetres
of some other panel. Where no two kinds agree, square pixels come first, then the centimetres, then
what most timings declare: of the blocks in Debian's edid-decode source package that disagree and
whose model name gives the size, the centimetres are right in nine of eleven models and nothing else
in any. A size has square pixels where rounding to its unit can explain how oblong they come out.

A block with a wrong checksum is read with a doubt when it is the base block, and left out when it
is an extension. Densities outside 20 to 1000 px per inch are not used. Serial numbers are not read:
profiles are shared.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mapper.desk import Display
from mapper.phrases import all_of, phrase
from mapper.problems import Problem, RequestError
from mapper.units import MM_PER_INCH
from profiles.hardware.edid_blocks import EdidBlocks, read_blocks

if TYPE_CHECKING:
    from collections.abc import Iterator

#: Pixel densities, from a wall of light to a headset (common practice, no source).
SPARSEST_PX_PER_INCH, DENSEST_PX_PER_INCH = 20.0, 1000.0

# Pixels are square on all but a few old displays. A few percent are the rounding of a size to
# centimetres; at half as long again the size belongs to other pixels, or its sides are swapped.
_ODD_PIXEL, _WRONG_PIXEL = 1.06, 1.5
# Proportions that stand where a size belongs, as they are or times 10 (common practice, no source).
_PROPORTIONS = ((16, 9), (16, 10), (4, 3), (5, 4), (21, 9), (3, 2))
# Times 100 a proportion could be a size. These two are of no panel and stand in many a television.
_PROPORTIONS_IN_THE_HUNDREDS = ((1600, 900), (1600, 1000))
_LARGEST_CM = 255
# Fewer pixels a side than the smallest display for drawing has (common practice, no source).
_FEWEST_PX = 100


@dataclass(frozen=True, slots=True)
class DisplayFacts:
    """A display as it describes itself.

    ``vendor`` is the three-letter id, ``product`` its number; ``name`` may be empty. The pixels are
    None where no timing is given; ``width_mm`` and ``height_mm`` are None where the size is
    unknown. ``pixels_source`` and ``size_source`` name where they come from. ``doubts`` are
    sentences.
    """

    vendor: str
    product: int
    name: str
    version: str
    width_px: int | None
    height_px: int | None
    pixels_source: str
    width_mm: float | None
    height_mm: float | None
    size_source: str
    doubts: tuple[str, ...]

    @property
    def title(self) -> str:
        """Its name, or its vendor and product number where it has none."""
        return self.name or f"{self.vendor} {self.product:04x}"

    def display(self, where: str) -> Display:
        """The display to map to. Raises RequestError naming ``where`` if its pixels are unknown."""
        if self.width_px is None or self.height_px is None:
            must = phrase("this display does not say how many pixels it has")
            size = (
                f"{self.width_mm:g}x{self.height_mm:g}mm" if self.width_mm is not None else "27in"
            )
            raise RequestError(
                Problem(
                    where,
                    must,
                    "",
                    phrase('Type them yourself, for example "{size} 1280x1024"', size=size),
                )
            )
        return Display(self.width_px, self.height_px, self.width_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class _DeclaredSize:
    """One declared size in mm and its source.

    ``kind`` is "block", "timing" or "centimetres"; ``source`` names it in a sentence;
    ``rounded_mm`` is how far rounding may have moved it; ``times`` is how often it is declared.
    """

    kind: str
    width_mm: float
    height_mm: float
    source: str
    rounded_mm: float
    times: int = 1

    def __str__(self) -> str:
        return self.said

    @property
    def said(self) -> str:
        """The size and its source, free of language."""
        size = _size_text(self.width_mm, self.height_mm)
        return phrase("{size} by {source}", size=size, source=self.source)


def read_edid(data: bytes, where: str) -> DisplayFacts:
    """The facts of the EDID ``data``.

    It is one of VESA E-EDID 1.0 to 1.4 with CTA-861 and DisplayID extensions. Raises RequestError
    naming ``where`` if ``data`` is no such EDID. Whatever else is wrong with it becomes a doubt.
    """
    blocks = read_blocks(data, where)
    doubts = list(blocks.doubts)
    width_px, height_px, pixels_source = _pixels(blocks, doubts)
    sensible = []
    for candidate in _candidates(blocks, width_px, height_px, doubts):
        wrong = _why_wrong(candidate, width_px, height_px)
        if wrong:
            doubts.append(phrase("{declared}; {wrong}.", declared=candidate.said, wrong=wrong))
        else:
            sensible.append(candidate)
    best = _elected(sensible, width_px, height_px)
    if best is None:
        doubts.append(
            phrase(
                "No size can be taken from this description: measure the picture, or look it up "
                "in its manual."
            )
        )
    else:
        doubts += _disagreements(best, sensible)
        doubts += _odd_pixels(best, width_px, height_px)
    return DisplayFacts(
        vendor=blocks.vendor,
        product=blocks.product,
        name=blocks.name,
        version=blocks.version,
        width_px=width_px or None,
        height_px=height_px or None,
        pixels_source=pixels_source,
        width_mm=best.width_mm if best else None,
        height_mm=best.height_mm if best else None,
        size_source=best.source if best else "",
        doubts=tuple(doubts),
    )


def _pixels(blocks: EdidBlocks, doubts: list[str]) -> tuple[int, int, str]:
    """Width and height of the panel in px and their source; 0, 0 where none are named."""
    tiled = blocks.tiled
    if tiled:
        width_px, height_px = tiled.across * tiled.tile_width_px, tiled.down * tiled.tile_height_px
        doubts.append(
            phrase(
                "The display is made of {across} × {down} tiles that describe themselves one by "
                "one; the whole of {width} × {height} px is taken.",
                across=tiled.across,
                down=tiled.down,
                width=width_px,
                height=height_px,
            )
        )
        return width_px, height_px, phrase("its tiles")
    for size in blocks.sizes:
        if min(size.width_px, size.height_px) >= _FEWEST_PX:
            return size.width_px, size.height_px, size.source
    timings = [
        timing for timing in blocks.timings if min(timing.width_px, timing.height_px) >= _FEWEST_PX
    ]
    doubts += [
        phrase(
            "{width} × {height} px by {source}, which no display has.",
            source=timing.source,
            width=timing.width_px,
            height=timing.height_px,
        )
        for timing in blocks.timings
        if timing not in timings
    ]
    preferred = [timing for timing in timings if timing.preferred]
    if preferred:
        # Wide panels may be declared in an extension only, beside an older preference in the base
        # block.
        timing = max(preferred, key=lambda each: each.width_px * each.height_px)
        if blocks.native_px_first is False:
            doubts.append(
                phrase(
                    "It prefers {width} × {height} px but does not say that the panel has as many.",
                    width=timing.width_px,
                    height=timing.height_px,
                )
            )
    elif timings:
        timing = timings[0]
        doubts.append(
            phrase(
                "It prefers no timing; {width} × {height} px is the first it names.",
                width=timing.width_px,
                height=timing.height_px,
            )
        )
    else:
        doubts.append(phrase("It names no detailed timing, so its pixels are unknown."))
        return 0, 0, ""
    return timing.width_px, timing.height_px, timing.source


def _candidates(
    blocks: EdidBlocks, width_px: int, height_px: int, doubts: list[str]
) -> Iterator[_DeclaredSize]:
    """The sizes that are declared, the most exact first."""
    for size in blocks.sizes:
        if size.width_mm and size.height_mm:
            yield _DeclaredSize("block", size.width_mm, size.height_mm, size.source, 1.0)
    whole = [
        timing
        for timing in blocks.timings
        if timing.width_px * height_px == timing.height_px * width_px
    ]
    times = Counter((timing.width_mm, timing.height_mm) for timing in whole)
    for timing in blocks.timings:
        mm = (timing.width_mm, timing.height_mm)
        # A timing of other proportions fills a part of the panel, and its size is that of the part.
        if timing in whole and all(mm) and times[mm]:
            yield _DeclaredSize("timing", *mm, timing.source, 1.0, times.pop(mm))
        elif any(mm) and not all(mm):
            doubts.append(
                phrase(
                    "{size} by {source}, which gives one side only.",
                    source=timing.source,
                    size=_size_text(*mm),
                )
            )
    if blocks.cm_holds_ratio:
        doubts.append(
            phrase(
                "An HDMI block says that the base block's {width} × {height} cm are a proportion.",
                width=blocks.width_cm,
                height=blocks.height_cm,
            )
        )
    elif blocks.width_cm and blocks.height_cm:
        sides = 10.0 * blocks.width_cm, 10.0 * blocks.height_cm
        yield _DeclaredSize(
            "centimetres", *sides, phrase("the base block in whole centimetres"), 10.0
        )
    elif blocks.ratio is not None:
        doubts.append(
            phrase(
                "The base block gives a proportion of {ratio} to 1 in place of a size.",
                ratio=f"{blocks.ratio:.2f}",
            )
        )


def _elected(sensible: list[_DeclaredSize], width_px: int, height_px: int) -> _DeclaredSize | None:
    """The size that wins the vote of the module's docstring; the earlier one where all is equal."""

    def votes(one: _DeclaredSize) -> tuple[int, bool, bool, int]:
        agreeing = [other for other in sensible if _same_size(one, other)]
        square = not width_px or _may_be_square(one, width_px, height_px)
        return len({other.kind for other in agreeing}), square, one.kind == "centimetres", one.times

    if not sensible:
        return None
    elected = max(sensible, key=votes)
    return min(
        (one for one in sensible if _same_size(elected, one)),
        key=lambda one: (one.rounded_mm, -one.times),
    )


def _why_wrong(size: _DeclaredSize, width_px: int, height_px: int) -> str:
    """The reason why ``size`` cannot be that of the picture; empty where there is none."""
    for across, down in _PROPORTIONS:
        for sides in ((across, down), (down, across)):
            if (size.width_mm, size.height_mm) in {sides, (10 * sides[0], 10 * sides[1])}:
                return phrase(
                    "that is the proportion {across}:{down}, not a size",
                    across=sides[0],
                    down=sides[1],
                )
    for sides in _PROPORTIONS_IN_THE_HUNDREDS:
        if (size.width_mm, size.height_mm) in {sides, sides[::-1]}:
            return phrase("many televisions write a proportion this way, not a size")
    if not width_px:
        return ""
    for px, mm, way in (
        (width_px, size.width_mm, phrase("across")),
        (height_px, size.height_mm, phrase("down")),
    ):
        density = px * MM_PER_INCH / mm
        if not SPARSEST_PX_PER_INCH <= density <= DENSEST_PX_PER_INCH:
            return phrase(
                "that would be {density} px per inch {way}, which no display has",
                density=f"{density:.0f}",
                way=way,
            )
    if _pixel_shape(size, width_px, height_px) > _WRONG_PIXEL:
        return phrase(
            "that does not go with {width} × {height} px", width=width_px, height=height_px
        )
    return ""


def _pixel_shape(size: _DeclaredSize, width_px: int, height_px: int) -> float:
    """The longer side of a pixel over its shorter one."""
    shape = (size.width_mm / width_px) / (size.height_mm / height_px)
    return max(shape, 1 / shape)


def _may_be_square(size: _DeclaredSize, width_px: int, height_px: int) -> bool:
    """Whether the pixels are square by some size that rounds to this one."""
    rounded = size.rounded_mm
    # Cross-multiplied, as a side may be as short as its rounding.
    widest = (size.width_mm + rounded) * height_px >= (size.height_mm - rounded) * width_px
    highest = (size.width_mm - rounded) * height_px <= (size.height_mm + rounded) * width_px
    return widest and highest


def _odd_pixels(best: _DeclaredSize, width_px: int, height_px: int) -> list[str]:
    """The doubt that pixels are not square, where the size is exact enough to tell."""
    if not width_px or best.rounded_mm > 0.02 * min(best.width_mm, best.height_mm):
        return []
    shape = _pixel_shape(best, width_px, height_px)
    if shape <= _ODD_PIXEL:
        return []
    longer_percent = 100 * (shape - 1)
    return [
        phrase(
            "By this size its pixels are not square but {longer} % longer one way: measure to be "
            "sure.",
            longer=f"{longer_percent:.0f}",
        )
    ]


def _disagreements(best: _DeclaredSize, others: list[_DeclaredSize]) -> list[str]:
    """One sentence on the sizes that differ from the best by more than rounding, three at most."""
    apart = [other for other in others if not _same_size(best, other)]
    if not apart:
        return []
    named = all_of([other.said for other in apart[:3]])
    return [phrase("{best}, but {others}: measure to be sure.", best=best.said, others=named)]


def _same_size(best: _DeclaredSize, other: _DeclaredSize) -> bool:
    """Whether two declared sizes differ by no more than rounding."""
    for mine, its in ((best.width_mm, other.width_mm), (best.height_mm, other.height_mm)):
        # The centimetre field ends at 255: there it means that much or more.
        at_its_end = other.rounded_mm == 10 and its == 10 * _LARGEST_CM and mine >= its
        if abs(mine - its) > best.rounded_mm + other.rounded_mm and not at_its_end:
            return False
    return True


def _size_text(width_mm: float, height_mm: float) -> str:
    return f"{width_mm:g} × {height_mm:g} mm"
