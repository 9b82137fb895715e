"""Traces found in pictures that Skia drew.

Right numbers, or an error that says what to draw instead.
"""

import io
import json

import numpy as np
import pytest
from PIL import Image, ImageOps

from mapper.affine import Affine
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.tracing.measure import measure
from mapper.tracing.outline import KnownOutline
from profiles.known_things import parse_thing
from profiles.strokes.traces import MOST_TRACED, TraceRequest, trace_report
from profiles.strokes.tracing import MOST_MEASURED, flattened, trace_picture, trace_points
from tests.drawn_traces import draw_trace, matrix_of, skia
from tests.studies.trace_recovery import one

CARD = KnownOutline(85.6, 53.98, 3.18)
CIRCLE = KnownOutline.circle(60)
X, Y = 7.4, 6.6


def traced(path, outline=CIRCLE, **options):
    return measure([trace_picture(str(path), outline, Affine.identity(), **options).trace])


def right(measured, within=0.002):
    assert measured.x_px_per_mm.value == pytest.approx(X, rel=within)
    assert measured.y_px_per_mm.value == pytest.approx(Y, rel=within)


# The hundred maps are tests/studies/trace_recovery.py; these are the first of them.
@pytest.mark.oracle
@pytest.mark.parametrize("number", range(5))
def test_clean_traces_give_the_stretch_within_three_thousandths(number, tmp_path):
    error, _ = one(number, tmp_path, wobble_mm=0.0)
    assert abs(error) < 0.3


@pytest.mark.oracle
@pytest.mark.parametrize("number", range(5))
def test_wobbly_traces_give_the_stretch_within_a_hundredth(number, tmp_path):
    error, _ = one(number, tmp_path, wobble_mm=0.12)
    assert abs(error) < 1


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    path = tmp_path_factory.mktemp("traces") / "plain.png"
    draw_trace(path, CIRCLE, matrix_of(X, Y), size_px=(700, 640))
    return path


def sixteen_bit(image):
    grey = np.asarray(image.convert("L")).astype(np.uint16)
    return Image.fromarray(30_000 + grey * 60)


def see_through(image):
    grey = ImageOps.invert(image.convert("L"))
    clear = Image.new("RGBA", image.size, (0, 0, 0, 0))
    clear.putalpha(grey)
    return clear


KINDS = {
    "grey.png": lambda image: image.convert("L"),
    "bits.png": lambda image: image.convert("L").point(lambda v: 255 * (v > 128)).convert("1"),
    "palette.png": lambda image: image.convert("P", palette=Image.Palette.ADAPTIVE),
    "clear.png": see_through,
    "opaque.png": lambda image: image.convert("RGBA"),
    "grey-alpha.png": lambda image: see_through(image).convert("LA"),
    "sixteen.png": sixteen_bit,
    "sixteen.tiff": sixteen_bit,
    "float.tiff": lambda image: Image.fromarray(
        np.asarray(image.convert("L"), dtype=np.float32) / 255
    ),
    "print.jpg": lambda image: image.convert("CMYK"),
    "print.tiff": lambda image: image.convert("CMYK"),
    "video.jpg": lambda image: image.convert("YCbCr"),
    "lab.tiff": lambda image: image.convert("LAB"),
    "photo.jpg": lambda image: image,
    "web.webp": lambda image: image,
    "old.bmp": lambda image: image,
    "old.gif": lambda image: image,
}


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_of_picture_gives_the_same_numbers(name, drawn, tmp_path):
    with Image.open(drawn) as image:
        KINDS[name](image.convert("RGB")).save(tmp_path / name)
    right(traced(tmp_path / name), within=0.004 if name == "bits.png" else 0.002)


# A photo's 12 million pixels and more are decoded at half their size: where the trace is, and how
# large, must not show it.
@pytest.mark.parametrize("orientation", [1, 3, 6])
def test_a_very_large_jpeg_gives_the_numbers_and_the_place_of_the_small_picture(
    orientation, drawn, tmp_path
):
    small = Image.open(drawn).convert("RGB")
    large = Image.new("RGB", (4501, 2801), "white")
    large.paste(small, (2000, 1500))
    exif = large.getexif()
    exif[0x0112] = orientation
    path = tmp_path / "large.jpg"
    large.save(path, quality=92, exif=exif)
    upright = ImageOps.exif_transpose(Image.open(path))
    found = trace_picture(str(path), CIRCLE, Affine.identity()).trace
    shown = {1: (X, Y), 3: (X, Y), 6: (Y, X)}[orientation]
    assert np.diag(found.straight.placed.matrix) == pytest.approx(shown, rel=0.002)
    # The middle of the ink, by plain weighing, in the picture as it is shown.
    dark = 255 - np.asarray(upright.convert("L"), dtype=float)
    dark[dark < 60] = 0
    middle = [
        (np.arange(len(sums)) + 0.5) @ sums / sums.sum()
        for sums in (dark.sum(axis=0), dark.sum(axis=1))
    ]
    assert found.straight.placed.centre_px == pytest.approx(middle, abs=0.3)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_that_exif_turns_is_measured_as_it_is_shown(orientation, drawn, tmp_path):
    back = {1: None, 2: 0, 3: 3, 4: 1, 5: 5, 6: 2, 7: 6, 8: 4}[orientation]
    with Image.open(drawn) as image:
        stored = (
            image.convert("RGB")
            if back is None
            else image.convert("RGB").transpose(Image.Transpose(back))
        )
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored.save(tmp_path / "turned.jpg", exif=exif, quality=95)
    with Image.open(tmp_path / "turned.jpg") as opened:
        # Pillow's own view of the matter: upright, it is the picture we began with.
        assert ImageOps.exif_transpose(opened).size == (700, 640)
    found = trace_picture(str(tmp_path / "turned.jpg"), CIRCLE, Affine.identity())
    right(measure([found.trace]))
    assert found.trace.straight.nearest[:2] == pytest.approx((353.3, 317.4), abs=0.2)


@pytest.mark.parametrize(
    ("ground", "ink"),
    [
        ((12, 12, 14), (240, 240, 230)),
        ((250, 250, 250), (255, 210, 0)),
        ((120, 130, 140), (160, 40, 40)),
    ],
)
def test_any_colour_on_any_plain_ground(ground, ink, tmp_path):
    draw_trace(tmp_path / "a.png", CARD, matrix_of(X, Y, 2), ground=ground, ink=ink)
    right(traced(tmp_path / "a.png", CARD))


def test_the_noise_of_a_photograph_is_no_ink(drawn, tmp_path):
    with Image.open(drawn) as image:
        pixels = np.asarray(image.convert("RGB")).astype(float)
    noisy = pixels * 0.8 + 30 + np.random.default_rng(5).normal(0, 6, pixels.shape)
    Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8)).save(
        tmp_path / "noisy.jpg", quality=60
    )
    right(traced(tmp_path / "noisy.jpg"))


def test_a_window_full_of_other_things_is_cropped(drawn, tmp_path):
    with Image.open(drawn) as image:
        screen = Image.new("RGB", (1600, 900), (90, 90, 95))
        screen.paste(image.convert("RGB"), (500, 120))
        for left in range(0, 480, 24):
            screen.paste((left % 255, 200, 30), (left, 0, left + 12, 900))
        screen.save(tmp_path / "screen.png")
    found = trace_picture(
        str(tmp_path / "screen.png"), CIRCLE, Affine.identity(), crop_px=Rect(500, 120, 700, 640)
    )
    right(measure([found.trace]))
    assert found.trace.straight.nearest[:2] == pytest.approx((853.3, 437.4), abs=0.1)
    with pytest.raises(RequestError, match="must lie in the picture"):
        trace_picture(str(drawn), CIRCLE, Affine.identity(), crop_px=Rect(5000, 0, 100, 100))


def test_doubled_pictures_and_zoomed_canvases_are_scaled_back(drawn):
    half = Affine(0.5, 0, 0, 0, 0.5, 0)
    measured = measure([trace_picture(str(drawn), CIRCLE, half).trace])
    assert measured.x_px_per_mm.value == pytest.approx(X / 2, rel=0.002)


def scribble(canvas, paint):
    for number in range(30):
        canvas.drawLine(40 * number, 30, 1200 - 37 * number, 960, paint)


def blot(canvas, _):
    canvas.drawOval(
        skia.Rect.MakeLTRB(381, 299, 825, 695), skia.Paint(AntiAlias=True, Color=skia.ColorBLACK)
    )


REFUSED = {
    "filled": (CIRCLE, {"extra": blot}, "filled"),
    "half of it": (CIRCLE, {"gap": 0.55}, "whole outline|at least 60"),
    "one side missing": (KnownOutline(80, 80), {"gap": 0.3}, "whole"),
    "a rectangle for a circle": (
        CIRCLE,
        {"drawn": KnownOutline(85, 54)},
        "look like a circle|whole outline",
    ),
    "a circle for a card": (CARD, {"drawn": CIRCLE}, "look like a rectangle|whole outline"),
    "leaves the picture": (
        CIRCLE,
        {"centre_px": (150, 500)},
        "leaves the picture|whole outline|at least",
    ),
    "a scribble": (CARD, {"extra": scribble, "stroke_px": 14}, "."),
    "a speck": (
        KnownOutline.circle(5),
        {"matrix": matrix_of(3, 3), "stroke_px": 2},
        "at least 40 px",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_answer_is_refused_with_what_to_draw_instead(case, tmp_path):
    outline, options, words = REFUSED[case]
    options = dict(options)
    draw_trace(
        tmp_path / "a.png",
        options.pop("drawn", outline),
        options.pop("matrix", matrix_of(X, Y)),
        **options,
    )
    with pytest.raises(RequestError, match=words) as caught:
        traced(tmp_path / "a.png", outline)
    assert all(problem.instead for problem in caught.value.problems)


def saved(image, kind="PNG", **options):
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def test_empty_and_crowded_pictures_are_refused(tmp_path):
    path = tmp_path / "a.png"
    path.write_bytes(saved(Image.new("RGB", (600, 400), "white")))
    with pytest.raises(RequestError, match="empty picture"):
        traced(path)
    noise = np.random.default_rng(1).integers(0, 255, (100, 100, 3), dtype=np.uint8)
    path.write_bytes(saved(Image.fromarray(noise)))
    with pytest.raises(RequestError, match=r"plain|empty ground"):
        traced(path)
    path.write_bytes(saved(Image.linear_gradient("L")))
    with pytest.raises(RequestError, match=r"plain|empty ground"):
        traced(path)


def damaged(content):
    yield b""
    yield b"no picture at all"
    yield b"<svg xmlns='http://www.w3.org/2000/svg'/>"
    for share in (0.02, 0.3, 0.9, 0.999):
        yield content[: int(len(content) * share)]
    yield content[:40] + bytes(40) + content[80:]


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP", "TIFF", "BMP", "GIF"])
def test_damaged_files_give_an_answer_or_a_clear_error(kind, drawn, tmp_path):
    with Image.open(drawn) as image:
        content = saved(image.convert("RGB"), kind)
    path = tmp_path / "a.picture"
    refused = 0
    for piece in damaged(content):
        path.write_bytes(piece)
        try:
            traced(path)
        except RequestError as error:
            refused += 1
            assert str(error).startswith((str(path), "a.picture", "trace"))
    assert refused >= 4


def test_a_decompression_bomb_is_refused_before_it_goes_off(tmp_path):
    # 40,000 x 40,000 white pixels in a few kilobytes: the header is honest, the rest need not be
    # there.
    small = saved(Image.new("1", (40_000, 40), 1))
    header = small[:16] + (40_000).to_bytes(4, "big") * 2 + small[24:29]
    import zlib

    bomb = header + zlib.crc32(header[12:29]).to_bytes(4, "big") + small[33:]
    (tmp_path / "bomb.png").write_bytes(bomb)
    with pytest.raises(RequestError, match="million pixels"):
        traced(tmp_path / "bomb.png")


@pytest.mark.parametrize("outline", [CARD, CIRCLE])
def test_recorded_points_are_measured_however_unevenly_the_hand_went(outline):
    from mapper.tracing.outline import Placed

    boundary = Placed(outline, matrix_of(X, Y), np.array([500.0, 400.0])).boundary(2000).points_px
    slow, fast = boundary[:900], boundary[900::25]
    found = trace_points(
        "strokes", [slow, fast, np.array([[20.0, 30.0]])], outline, Affine.identity()
    )
    right(measure([found.trace]))
    assert found.picture is None


def test_a_trace_of_very_many_points_is_thinned_and_measured_and_beyond_a_bound_refused(tmp_path):
    from mapper.tracing.outline import Placed

    boundary = Placed(CARD, matrix_of(X, Y), np.array([500.0, 400.0])).boundary(60_000).points_px
    noise = np.random.default_rng(3).normal(0, 1.0, boundary.shape)
    dense, many = boundary + noise, np.split(boundary, 20_000)
    for strokes in ([dense], many):
        found = trace_points("strokes", strokes, CARD, Affine.identity())
        assert 500 < len(found.points_px) <= MOST_MEASURED
    right(measure([found.trace]))
    path = tmp_path / "many.json"
    path.write_text(json.dumps([[[0, 0]] * (MOST_TRACED + 1)]))
    with pytest.raises(RequestError, match=f"at most {MOST_TRACED} points"):
        trace_report(TraceRequest((str(path),), (parse_thing("card", "x"),), (None,)))


def test_curves_of_an_svg_are_flattened():
    from mapper.paths import Outline

    points = flattened(Outline.circle(300, 200, 100))
    assert np.abs(np.hypot(*(points - (300, 200)).T) - 100).max() < 0.01
    assert (points[0] == points[-1]).all()


def test_a_picture_of_too_many_pixels_is_refused_in_one_sentence(tmp_path):
    path = tmp_path / "large.webp"
    Image.new("RGB", (5001, 5000)).save(path)
    with pytest.raises(RequestError) as caught:
        trace_report(TraceRequest((str(path),), (parse_thing("card", "x"),), (None,)))
    (problem,) = caught.value.problems
    assert str(problem).count("million pixels") == 1
    assert str(problem).count(path.name) == 1
