"""The fields of a HID report descriptor that a pen fills. Nothing is judged here.

Source: Device Class Definition for Human Interface Devices 1.11, section 6.2.2; usages from the HID
Usage Tables, pages 0x01 (generic desktop) and 0x0D (digitizers). Section numbers are not checked
against the standard. The tests compare the reading with hid-tools and hid-parser.

There is one pass over the items. A field is looked up among the usage ranges before it, which are
never spread out, so a report count of four thousand million costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mapper.phrases import phrase
from mapper.problems import Problem, RequestError

if TYPE_CHECKING:
    from collections.abc import Iterator

#: Linux keeps 4,096 bytes of a descriptor and newer versions 16,384; no digitizer comes near.
LONGEST_BYTES = 16_384

#: What a field of a pen may mean: extended usage (page and id) to our word for it.
PEN_USES = {
    0x0001_0030: "x",
    0x0001_0031: "y",
    0x000D_0030: "pressure",
    0x000D_003D: "tilt_x",
    0x000D_003E: "tilt_y",
}

_DIGITIZER, _PEN, _STYLUS = 0x000D_0001, 0x000D_0002, 0x000D_0020
_PEN_COLLECTIONS = {_DIGITIZER, _PEN, _STYLUS}
# Touch screen, touch pad, puck, finger, multi-point digitizer: X and Y inside are not a pen's.
_OTHER_COLLECTIONS = {0x000D_0004, 0x000D_0005, 0x000D_0021, 0x000D_0022, 0x000D_000C}

_MAIN, _GLOBAL, _LOCAL = 0, 1, 2
_INPUT, _COLLECTION, _END_COLLECTION = 0x8, 0xA, 0xC
_USAGE_PAGE, _LOGICAL_MIN, _LOGICAL_MAX, _PHYSICAL_MIN, _PHYSICAL_MAX = 0x0, 0x1, 0x2, 0x3, 0x4
_EXPONENT, _UNIT, _REPORT_SIZE, _REPORT_ID, _REPORT_COUNT = 0x5, 0x6, 0x7, 0x8, 0x9
_PUSH, _POP = 0xA, 0xB
_USAGE, _USAGE_MIN, _USAGE_MAX, _DELIMITER = 0x0, 0x1, 0x2, 0xA
_LONG_ITEM = 0xFE


@dataclass(frozen=True, slots=True)
class _Value:
    """The value of an item as it stands in its ``size`` bytes (0, 1, 2 or 4).

    Whether it is signed depends on the item.
    """

    unsigned: int = 0
    size: int = 0

    @property
    def signed(self) -> int:
        bits = 8 * self.size
        negative = bits and self.unsigned >> (bits - 1)
        return self.unsigned - (1 << bits) if negative else self.unsigned


#: The state that lasts from item to item (6.2.2.7), by the tags of the items that set it. Push
#: saves it and pop restores it.
_Globals = dict[int, _Value]
_NOTHING_SET: _Globals = dict.fromkeys(range(_USAGE_PAGE, _REPORT_COUNT + 1), _Value())


@dataclass(slots=True)
class _Locals:
    """The state that lasts until the next main item (6.2.2.8).

    Each usage range is its first and last.
    """

    usages: list[tuple[_Value, _Value]] = field(default_factory=list)
    usage_min: _Value | None = None
    in_delimiter: bool = False
    taken_in_delimiter: bool = False


@dataclass(frozen=True, slots=True)
class ReportField:
    """One value that a pen reports.

    ``use`` is a word of PEN_USES. ``pen`` numbers the application collection it stands in,
    ``report_id`` is None where the device sends one kind of report only. ``exponent`` is None where
    it cannot be read as one; ``unit`` is the raw value, 0 for none; ``bits`` is the width of the
    field.
    """

    use: str
    pen: int
    report_id: int | None
    logical_min: int
    logical_max: int
    physical_min: int
    physical_max: int
    exponent: int | None
    unit: int
    bits: int


def read_fields(data: bytes, where: str) -> tuple[tuple[ReportField, ...], tuple[str, ...]]:
    """The fields of pens in the order of the report descriptor ``data``, and doubts as sentences.

    Raises RequestError naming ``where`` if ``data`` is empty or longer than any descriptor.
    """
    if not data:
        raise RequestError(
            Problem(where, phrase("holds no report descriptor"), phrase("nothing"), _HINT)
        )
    if len(data) > LONGEST_BYTES:
        raise RequestError(
            Problem(
                where,
                phrase(
                    "a report descriptor has at most {longest_bytes} bytes",
                    longest_bytes=LONGEST_BYTES,
                ),
                phrase("more"),
                _HINT,
            )
        )
    reader = _Items()
    for kind, tag, value in _items(data, reader.doubts):
        reader.take(kind, tag, value)
    if reader.collections:
        reader.doubts.append(phrase("A collection is not closed."))
    return tuple(reader.fields), tuple(dict.fromkeys(reader.doubts))


_HINT = phrase("Give for example /sys/class/hidraw/hidraw0/device/report_descriptor")


def _items(data: bytes, doubts: list[str]) -> Iterator[tuple[int, int, _Value]]:
    """Each short item as (type, tag, value).

    Long items (6.2.2.3), of which none is defined, are passed over.
    """
    place = 0
    while place < len(data):
        prefix = data[place]
        if prefix == _LONG_ITEM:
            length = data[place + 1] if place + 1 < len(data) else 0
            place += 3 + length
            if place > len(data):
                doubts.append(phrase("It ends in the middle of an item."))
            continue
        size = (0, 1, 2, 4)[prefix & 3]
        end = place + 1 + size
        if end > len(data):
            doubts.append(phrase("It ends in the middle of an item."))
            return
        value = int.from_bytes(data[place + 1 : end], "little")
        yield prefix >> 2 & 3, prefix >> 4, _Value(value, size)
        place = end


class _Items:
    """The walk over the items, with the state that they set and the fields found so far."""

    def __init__(self) -> None:
        self.globals = _NOTHING_SET
        self.locals = _Locals()
        self.pushed: list[_Globals] = []
        self.collections: list[int] = []
        # How many of the open collections are a pen's, and how many something else's: counted as
        # they open and close, since a hostile descriptor may open thousands.
        self.pens_open = self.others_open = 0
        self.applications = 0
        self.fields: list[ReportField] = []
        self.doubts: list[str] = []

    def take(self, kind: int, tag: int, value: _Value) -> None:
        """Apply one item."""
        if kind == _GLOBAL:
            self._take_global(tag, value)
        elif kind == _LOCAL:
            self._take_local(tag, value)
        elif kind == _MAIN:
            self._take_main(tag, value.unsigned)
            self.locals = _Locals()

    def _take_global(self, tag: int, value: _Value) -> None:
        if tag in _NOTHING_SET:
            self.globals = self.globals | {tag: value}
            if tag == _REPORT_ID and not 1 <= value.unsigned <= 255:
                self.doubts.append(
                    phrase(
                        "It uses the report number {unsigned}, which the standard reserves.",
                        unsigned=value.unsigned,
                    )
                )
        elif tag == _PUSH:
            self.pushed.append(self.globals)
        elif tag == _POP and self.pushed:
            self.globals = self.pushed.pop()
        elif tag == _POP:
            self.doubts.append(
                phrase("It restores a state that was never saved (pop without push).")
            )

    def _take_local(self, tag: int, value: _Value) -> None:
        state = self.locals
        if tag == _DELIMITER:
            state.in_delimiter, state.taken_in_delimiter = value.unsigned == 1, False
            return
        if tag == _USAGE_MIN:
            state.usage_min = value
            return
        if tag == _USAGE:
            first = last = value
        elif tag == _USAGE_MAX and state.usage_min is not None:
            first, last = state.usage_min, value
            state.usage_min = None
        else:
            return
        # Of alternatives between delimiters the first is preferred (6.2.2.8); the field has one
        # value.
        if not (state.in_delimiter and state.taken_in_delimiter):
            state.usages.append((first, last))
            state.taken_in_delimiter = True

    def _take_main(self, tag: int, number: int) -> None:
        if tag == _COLLECTION:
            usages = self._extended_usages()
            usage = usages[0][0] if usages else 0
            if not self.collections:
                self.applications += 1
            self.collections.append(usage)
            self._count(usage, 1)
        elif tag == _END_COLLECTION:
            if self.collections:
                self._count(self.collections.pop(), -1)
            else:
                self.doubts.append(phrase("It closes a collection that was never opened."))
        elif tag == _INPUT and number & 0x07 == 0x02 and self.pens_open and not self.others_open:
            # data, variable, absolute
            self._take_input()

    def _count(self, usage: int, step: int) -> None:
        """Count a collection that opens (``step`` 1) or closes (-1)."""
        self.pens_open += step * (usage in _PEN_COLLECTIONS)
        self.others_open += step * (usage in _OTHER_COLLECTIONS)

    def _extended_usages(self) -> list[tuple[int, int]]:
        """First and last of each usage range, with the page in the upper half.

        The page of a short usage is the one in force at the main item, not where the usage stands:
        so 6.2.2.8 and what systems do; 6.2.2.7 can be read otherwise.
        """
        page = (self.globals[_USAGE_PAGE].unsigned & 0xFFFF) << 16
        return [
            (_extended(first, page), _extended(last, page)) for first, last in self.locals.usages
        ]

    def _take_input(self) -> None:
        """Add the fields of one input item, whose usages are looked up among their ranges."""
        count = self.globals[_REPORT_COUNT].unsigned
        place = 0
        for first, last in self._extended_usages():
            room = count - place
            if room <= 0:
                return
            for usage, use in PEN_USES.items():
                if first <= usage <= last and usage - first < room:
                    self._add(use)
            place += max(last - first + 1, 0)

    def _add(self, use: str) -> None:
        state = self.globals
        logical_min, logical_max = _range(state[_LOGICAL_MIN], state[_LOGICAL_MAX])
        physical_min, physical_max = _range(state[_PHYSICAL_MIN], state[_PHYSICAL_MAX])
        self.fields.append(
            ReportField(
                use=use,
                pen=self.applications,
                # 0 is reserved, and stands for none.
                report_id=state[_REPORT_ID].unsigned or None,
                logical_min=logical_min,
                logical_max=logical_max,
                physical_min=physical_min,
                physical_max=physical_max,
                exponent=_exponent(state[_EXPONENT]),
                unit=state[_UNIT].unsigned,
                bits=state[_REPORT_SIZE].unsigned,
            )
        )


def _extended(usage: _Value, page: int) -> int:
    return usage.unsigned if usage.size == 4 else page | usage.unsigned


def _range(low: _Value, high: _Value) -> tuple[int, int]:
    """The range from ``low`` to ``high`` as it is meant.

    Values are signed, but many devices write a high end that only fits unsigned. Where the low end
    is not negative a high end below it makes no sense, and is read as unsigned.
    """
    if low.signed < 0:
        return low.signed, high.signed
    return low.signed, high.signed if high.signed >= low.signed else high.unsigned


def _exponent(value: _Value) -> int | None:
    """The power of ten, None where ``value`` is none.

    It is a signed nibble by the standard (0x0D is -3), and a signed byte with many devices (0xFD is
    -3).
    """
    if value.unsigned <= 0x0F:
        return value.unsigned - 16 if value.unsigned > 7 else value.unsigned
    return value.signed if -8 <= value.signed < 0 else None
