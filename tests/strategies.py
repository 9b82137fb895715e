"""All hypothesis strategies, by floor. Sizes are those of real desks and a good way beyond."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from mapper.affine import Affine
from mapper.desk import TURNS_DEG, Desktop, Display, Tablet
from mapper.mapping.fits import FITS
from mapper.mapping.solve import MapRequest
from mapper.rect import Rect
from mapper.seat import Seat
from tests import hardware_bytes

# mapper
# ------------------------------------------------------------

#: From a thumbnail of a tablet to a wall of glass, in mm.
lengths_mm = st.floats(min_value=1.0, max_value=5000.0)
#: From a clock's display to a video wall, in px.
lengths_px = st.integers(min_value=1, max_value=20_000)
places = st.floats(min_value=-20_000.0, max_value=20_000.0)
turns_deg = st.sampled_from(TURNS_DEG)
fits = st.sampled_from(FITS)
#: By hand, since what is checked against it must not be what it comes from: the shares of the spare
#: length that each hold leaves at the left and above.
HOLD_SHARES = {
    "top-left": (0, 0),
    "top": (Fraction(1, 2), 0),
    "top-right": (1, 0),
    "left": (0, Fraction(1, 2)),
    "centre": (Fraction(1, 2), Fraction(1, 2)),
    "right": (1, Fraction(1, 2)),
    "bottom-left": (0, 1),
    "bottom": (Fraction(1, 2), 1),
    "bottom-right": (1, 1),
}
holds = st.sampled_from(tuple(HOLD_SHARES))
counts_per_mm = st.none() | st.floats(min_value=1.0, max_value=1000.0)

rects = st.builds(Rect, places, places, lengths_mm, lengths_mm)
tablets = st.builds(Tablet, lengths_mm, lengths_mm, counts_per_mm, turns_deg)


def _or_nothing(value):
    """Scales of less than a millionth are no maps of a desk; a zero is, and often."""
    return value if abs(value) > 1e-6 else 0.0


elements = st.floats(min_value=-1000.0, max_value=1000.0).map(_or_nothing)


@st.composite
def affines(draw):
    """Affine maps that do not flatten the plane: stretches of at most about a million."""
    linear = draw(st.tuples(elements, elements, elements, elements))
    a, b, d, e = linear
    size = max(map(abs, linear))
    if not abs(a * e - b * d) > 1e-6 * size * size > 0:
        a, e = a + 3000.0, e + 3000.0
    return Affine(a, b, draw(places), d, e, draw(places))


@st.composite
def displays(draw, *, left_px=0, top_px=0, label="main", sized=None):
    """One display; ``sized`` says whether its size in mm is known, None that either may be."""
    known = draw(st.booleans()) if sized is None else sized
    width_mm, height_mm = (draw(lengths_mm), draw(lengths_mm)) if known else (None, None)
    return Display(draw(lengths_px), draw(lengths_px), width_mm, height_mm, left_px, top_px, label)


@st.composite
def desktops(draw, *, sized=None):
    """One to three displays in a row, the primary at any place in it.

    Gaps and steps in height are allowed.
    """
    count = draw(st.integers(1, 3))
    primary = draw(st.integers(0, count - 1))
    steps = [draw(st.integers(-500, 500)) if index != primary else 0 for index in range(count)]
    row, left = [], 0
    for index in range(count):
        display = draw(
            displays(left_px=left, top_px=steps[index], label=f"display {index}", sized=sized)
        )
        row.append(display)
        left += display.width_px + draw(st.integers(0, 300))
    shift = row[primary].left_px
    return Desktop(tuple(replace(each, left_px=each.left_px - shift) for each in row))


@st.composite
def requests(draw, *, fit=fits, sized=None):
    """A whole request: any tablet, any desk, any part of it, any fit and hold."""
    desktop = draw(desktops(sized=sized))
    labels = [display.label for display in desktop.displays]
    onto = tuple(draw(st.lists(st.sampled_from(labels), unique=True)))
    true_on = draw(st.none() | st.sampled_from(onto)) if onto else None
    return MapRequest(draw(tablets), desktop, draw(fit), draw(holds), onto, true_on)


# sitting
# ------------------------------------------------------------

seats = st.builds(
    Seat,
    st.floats(200.0, 5000.0),
    st.none() | st.floats(-300.0, 300.0),
    st.none() | st.floats(-30.0, 45.0),
    st.none() | st.floats(700.0, 5000.0),
)


# mapper: any desk, any part of it, any step
# ------------------------------------------------------------

#: Few enough whole sides that all rectangles of them can be tried.
small_sides = st.integers(1, 30)
#: Proportions with small and with large terms, from a third of a square to three squares and
#: beyond.
small_ratios = st.fractions(
    min_value=Fraction(1, 12), max_value=12, max_denominator=60
) | st.fractions(min_value=Fraction(1, 3), max_value=3)
#: A shape tolerance, none and far too much included.
tolerances = st.sampled_from(
    [Fraction(each) for each in ("0", "0.001", "0.01", "0.1", "0.5", "3")]
) | st.fractions(0, 1, max_denominator=1000)
slants_deg = st.floats(min_value=-45.0, max_value=45.0)
shares = st.floats(min_value=0.0, max_value=0.6)


@st.composite
def parts(draw, whole):
    """A rectangle within ``whole``: a tenth of a side at least."""
    left, top = draw(shares), draw(shares)
    width, height = draw(st.floats(0.1, 1.0)) * (1 - left), draw(st.floats(0.1, 1.0)) * (1 - top)
    return Rect(
        whole.left + left * whole.width,
        whole.top + top * whole.height,
        width * whole.width,
        height * whole.height,
    )


@st.composite
def any_requests(draw, *, fit=fits, sized=None):
    """A request with everything that may be asked.

    A slant, a part of the tablet, a window, an area that is set now.
    """
    request = draw(requests(fit=fit, sized=sized))
    tablet = replace(request.tablet, slant_deg=draw(st.just(0.0) | slants_deg))
    request = replace(request, tablet=tablet)
    if draw(st.booleans()):
        request = replace(request, within_built_mm=draw(parts(tablet.active_built_mm)))
    elif draw(st.booleans()):
        request = replace(request, area_built_mm=draw(parts(tablet.active_built_mm)), fit="full")
    if draw(st.booleans()):
        shown = draw(st.sampled_from(request.desktop.displays))
        request = replace(request, onto=(), true_on=None, window_px=draw(parts(shown.rect_px)))
    return request


# hardware
# ------------------------------------------------------------

_twelve_bits = st.integers(1, 4095)
_timing_bytes = st.builds(
    hardware_bytes.detailed, _twelve_bits, _twelve_bits, st.integers(0, 4095), st.integers(0, 4095)
) | st.builds(
    hardware_bytes.detailed,
    _twelve_bits,
    st.integers(1, 4095).map(lambda lines: 2 * lines),
    st.integers(0, 4095),
    st.integers(0, 4095),
    interlaced=st.just(True),
)
_wide = st.integers(1, 20_000)
_displayid_data = st.one_of(
    st.builds(
        hardware_bytes.display_parameters,
        st.integers(1, 65_535).map(lambda tenths: tenths / 10),
        st.integers(1, 65_535).map(lambda tenths: tenths / 10),
        _wide,
        _wide,
    ),
    st.builds(
        hardware_bytes.type_one_timing,
        _wide,
        _wide,
        preferred=st.booleans(),
        interlaced=st.booleans(),
    ),
    st.builds(
        hardware_bytes.type_two_timing,
        st.integers(1, 512).map(lambda eighth: 8 * eighth),
        st.integers(1, 4096),
        preferred=st.booleans(),
    ),
    st.builds(
        hardware_bytes.type_six_timing,
        st.integers(1, 16_384),
        st.integers(1, 16_384),
        preferred=st.booleans(),
        size=st.just(b"")
        | st.tuples(st.integers(22, 255), st.integers(3, 255), st.integers(0, 255)),
    ),
    st.builds(hardware_bytes.tiled_topology, st.integers(1, 64), st.integers(1, 64), _wide, _wide),
)
_sixteen_bits = st.integers(1, 65_535)
_displayid_2_data = st.one_of(
    st.builds(
        hardware_bytes.display_parameters_2,
        _sixteen_bits,
        _sixteen_bits,
        _wide,
        _wide,
        whole_mm=st.booleans(),
    ),
    st.builds(
        hardware_bytes.type_one_timing, _wide, _wide, preferred=st.booleans(), tag=st.just(0x22)
    ),
    st.builds(
        hardware_bytes.tiled_topology,
        st.integers(1, 64),
        st.integers(1, 64),
        _wide,
        _wide,
        tag=st.just(0x28),
    ),
)
_displayid_blocks = st.lists(_displayid_data, max_size=3).map(
    lambda data: hardware_bytes.displayid_block(*data)
) | st.lists(_displayid_2_data, max_size=3).map(
    lambda data: hardware_bytes.displayid_block(*data, version=0x20)
)


@st.composite
def edids(draw, *, revision=None, extensions=True):
    """Whole EDIDs of version 1.0 to 1.4.

    Up to three timings, a name, CTA-861 and DisplayID extensions.
    """
    revision = draw(st.integers(0, 4)) if revision is None else revision
    more = []
    if extensions:
        more += draw(
            st.lists(
                st.lists(_timing_bytes, max_size=6).map(
                    lambda timings: hardware_bytes.cta_block(*timings)
                ),
                max_size=1,
            )
        )
        more += draw(st.lists(_displayid_blocks, max_size=2))
    base = hardware_bytes.base_block(
        *draw(st.lists(_timing_bytes, max_size=3)),
        revision=revision,
        vendor=draw(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=3, max_size=3)),
        product=draw(st.integers(0, 65_535)),
        cm=(draw(st.integers(0, 255)), draw(st.integers(0, 255))),
        name=draw(st.text("abcdefghijklmnopqrstuvwxyz0123456789", max_size=12)),
        preferred_is_native=draw(st.booleans()),
        extensions=len(more),
    )
    return base + b"".join(more)


_highest = st.integers(1, 2**31 - 1)


@st.composite
def pen_descriptors(draw, *, extended_usages=True, push=True):
    """Report descriptors of a pen with X and Y.

    Any ranges, units and exponents, items of any size, some between.
    """
    parts = []
    for usage in draw(st.permutations([0x30, 0x31])):
        low = draw(st.integers(-1000, 1000))
        physical_low = draw(st.integers(-1000, 1000))
        whole_usage = 0x0001_0000 | usage if extended_usages and draw(st.booleans()) else None
        field = [
            # A usage that holds its page is not to take this one.
            hardware_bytes.item(
                hardware_bytes.USAGE_PAGE,
                0x0D if whole_usage else 0x01,
                size=draw(st.sampled_from([1, 2])),
            ),
            hardware_bytes.item(hardware_bytes.LOGICAL_MIN, low),
            hardware_bytes.item(hardware_bytes.LOGICAL_MAX, max(low, 0) + draw(_highest) // 2),
            hardware_bytes.item(hardware_bytes.PHYSICAL_MIN, physical_low),
            hardware_bytes.item(
                hardware_bytes.PHYSICAL_MAX, max(physical_low, 0) + draw(_highest) // 2
            ),
            hardware_bytes.item(hardware_bytes.EXPONENT, draw(st.integers(0, 15)), size=1),
            hardware_bytes.item(
                hardware_bytes.UNIT,
                draw(st.sampled_from([0, 0x11, 0x12, 0x13, 0x14, 0x21])),
                size=1,
            ),
            hardware_bytes.item(hardware_bytes.REPORT_SIZE, draw(st.integers(1, 32))),
            hardware_bytes.item(hardware_bytes.REPORT_COUNT, 1),
        ]
        if whole_usage is None:
            field.append(
                hardware_bytes.item(hardware_bytes.USAGE, usage, size=draw(st.sampled_from([1, 2])))
            )
        else:
            field.append(hardware_bytes.item(hardware_bytes.USAGE, whole_usage, size=4))
        field.append(hardware_bytes.item(hardware_bytes.INPUT, 2))
        if push and draw(st.booleans()):
            # A field of another kind in between, whose ranges must not leak into the pen's.
            wheel = hardware_bytes.axis(0x38, (0, 7), (0, 0), unit=0)
            field = [
                hardware_bytes.item(hardware_bytes.PUSH),
                wheel,
                hardware_bytes.item(hardware_bytes.POP),
                *field,
            ]
        parts += field
    return hardware_bytes.pen(*parts, report_id=draw(st.integers(1, 255)))


# render
# ------------------------------------------------------------

_SHAPES_PX = [
    (1920, 1080),
    (2560, 1440),
    (3840, 2160),
    (1920, 1200),
    (5120, 1440),
    (1280, 1024),
    (1200, 1920),
    (1080, 1920),
]


@st.composite
def real_displays(draw, *, left_px=0, top_px=0, label="main"):
    """One display of a real desk, from 7 to 65 inches, now and then of unknown size.

    Landscape, portrait or very wide.
    """
    width_px, height_px = draw(st.sampled_from(_SHAPES_PX))
    display = Display(width_px, height_px, None, None, left_px, top_px, label)
    if draw(st.integers(0, 9)) == 0:
        return display
    return display.with_diagonal(draw(st.floats(7 * 25.4, 65 * 25.4)))


@st.composite
def real_desks(draw):
    """A map on a real desk, under one to three displays.

    From a 5 inch pad to a large board, turned or askew.
    """
    width_mm = draw(st.floats(90, 620))
    tablet = Tablet(
        width_mm,
        width_mm * draw(st.sampled_from([9 / 16, 10 / 16, 3 / 4, 1.0])),
        draw(counts_per_mm),
        draw(turns_deg),
        draw(st.sampled_from(["", "sketch pad"])),
        draw(st.sampled_from([0.0, 0.0, 7.5, -20.0, 45.0])),
    )
    displays = [
        draw(
            real_displays(
                label=draw(st.sampled_from(["main", "a display with quite a long name", "画"]))
            )
        )
    ]
    for index in range(draw(st.integers(0, 2))):
        place = {
            "left_px": max(d.left_px + d.width_px for d in displays),
            "top_px": draw(st.integers(-600, 600)),
        }
        if draw(st.booleans()):
            place = {
                "left_px": draw(st.integers(-600, 600)),
                "top_px": max(d.top_px + d.height_px for d in displays),
            }
        displays.append(draw(real_displays(**place, label=f"side {index}")))
    labels = [display.label for display in displays]
    onto = tuple(draw(st.lists(st.sampled_from(labels), unique=True)))
    return MapRequest(tablet, Desktop(tuple(displays)), draw(fits), draw(holds), onto)


sheet_sizes_mm = st.sampled_from(
    [
        (320.0, 180.0),
        (240.0, 240.0),
        (180.0, 320.0),
        (123.0, 92.0),
        (154.0, 115.0),
        (297.0, 210.0),
        (480.0, 120.0),
    ]
) | st.tuples(st.floats(100, 400), st.floats(80, 400))
