"""Pictures of maps, sheets, desks, glances and animations in numbers."""

import io
import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image, ImageSequence

from mapper.desk import Desktop, Display, Tablet
from mapper.mapping.solve import MapRequest, unturned_map
from mapper.paths import Outline
from mapper.problems import RequestError
from mapper.rect import Rect
from mapper.solving import solve
from render.pictures.compare import compare_scene, fits_scene
from render.pictures.desk_view import desk_scene
from render.pictures.glance import glance_scene
from render.pictures.glass import arrange
from render.pictures.motion import motion_frames, save_motion
from render.pictures.panels import Demonstration
from render.pictures.preview import preview_scene
from render.pictures.probes import PROBES, probe


def mapped(tablet, *displays, **asked):
    return solve(MapRequest(tablet, Desktop(displays), **asked))


TABLET, MAIN = Tablet(240, 152), Display(2560, 1440).with_diagonal(27 * 25.4)
LEFT = Display(1920, 1080, 531, 299, -1920, 200, "left")
TALL = Display(1080, 1920, 299, 531, 2560, -200, "tall", bezel_mm=10)


@pytest.fixture
def full():
    return mapped(TABLET, MAIN, fit="full")


@pytest.fixture
def locked():
    return mapped(TABLET, MAIN)


def extent(shape):
    left, top, right, bottom = shape.outline.bounds
    return right - left, bottom - top


def texts(scene):
    return [text.text for text in scene.texts]


# One map


def on_curve(shape):
    """The points of a circle that lie on the curve: the ends of its pieces."""
    return [command[-2:] for command in shape.outline.commands if command[0] in "MC"]


def span(shape):
    xs, ys = zip(*on_curve(shape), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def test_tablet_and_screen_are_to_one_scale(full):
    scene = preview_scene(full)
    area, screen = (extent(scene.shapes(role)[0]) for role in ("area-edge", "screen-edge"))
    display = full.reference
    assert screen[0] / area[0] == pytest.approx(display.width_mm / 240)
    assert screen[1] / area[1] == pytest.approx(display.height_mm / 152)


def test_the_circle_comes_out_as_the_figures_say(full):
    scene = preview_scene(full)
    hand, result, ghost = (span(scene.shapes(role)[0]) for role in ("hand", "result", "ghost"))
    figures = full.figures[0].distortion
    assert hand[0] == pytest.approx(hand[1])
    assert result[0] / hand[0] == pytest.approx(figures.scale_x)
    assert result[1] / hand[1] == pytest.approx(figures.scale_y)
    assert ghost == pytest.approx((result[1], result[1]))
    assert 100 * (result[0] / result[1] - 1) == pytest.approx(figures.oval_percent)
    assert scene.title == "A circle comes out oval, 12.6 % wider than tall"


@pytest.mark.parametrize(
    ("probe", "words"),
    [("circle", "the round shape"), ("square", "as it was drawn"), ("span", "as it was drawn")],
)
def test_only_a_dashed_circle_is_called_round(full, probe, words):
    one = preview_scene(full, probes=(probe,))
    several = compare_scene([("before", full), ("after", full)], probes=(probe,))
    assert f"Dashed: {words}" in texts(one)
    assert any(f"dashed: {words}" in text for text in texts(several))


def test_a_true_map_needs_no_ghost_and_hatches_what_is_out_of_use(locked):
    scene = preview_scene(locked)
    assert not scene.shapes("ghost")
    assert scene.shapes("spare-hatch")
    assert scene.title == "A circle stays round, 2.49 times as large"


def test_a_display_of_unknown_size_is_said_to_be_no_scale():
    scene = preview_scene(mapped(TABLET, Display(2560, 1440)))
    assert any("not to scale" in text.text for text in scene.texts)
    assert not any("2.5" in text.text for text in scene.texts)


def test_every_display_reached_has_its_circle_and_every_display_its_name():
    scene = preview_scene(
        mapped(Tablet(310, 174), Display(2560, 1440, 597, 336), LEFT, TALL, onto=("main", "left"))
    )
    assert len(scene.shapes("result")) == 2
    # By hand: 310 mm for 4480 px are 14.45 px a mm; pixels of 0.2332 and of 0.2766 mm make that
    # 3.37 and 4.
    assert {"main, 3.37 times as large", "left, 4 times as large", "tall"} <= {
        text.text for text in scene.texts
    }


def test_without_text_there_is_none(locked):
    scene = preview_scene(locked, text=False)
    assert not scene.texts
    assert scene.description.startswith("A circle stays round")


def test_inches_are_inches(locked):
    assert any(text.text == "9.45 × 5.31 in" for text in preview_scene(locked, units="in").texts)
    with pytest.raises(RequestError, match="must be mm or in"):
        preview_scene(locked, units="ft")


# Side by side


def test_all_maps_of_a_sheet_have_one_scale():
    small = mapped(Tablet(108, 68), Display(1920, 1080).with_diagonal(13 * 25.4))
    scene = compare_scene([("studio", mapped(TABLET, MAIN)), ("bag", small)])
    (area, little), (screen, little_screen) = (
        [extent(shape)[0] for shape in scene.shapes(role)] for role in ("area-edge", "screen-edge")
    )
    assert area / little == pytest.approx(240 / 108)
    assert screen / area == pytest.approx(MAIN.width_mm / 240)
    assert little_screen / screen == pytest.approx(small.reference.width_mm / MAIN.width_mm)


def test_the_three_fits_say_which_one_makes_a_circle_oval(full):
    scene = fits_scene(full)
    assert scene.title == "Only the whole tablet on the whole display makes a circle oval"
    words = " ".join(texts(scene)).replace("\N{NO-BREAK SPACE}", " ")
    assert "A circle comes out 12.6 % wider than tall." in words
    assert words.count("Round, 2.") == 2
    assert not {"full", "locked", "cropped"} & set(words.lower().split())


def test_two_figures_stand_under_each_desk_and_a_table_below(full):
    scene = compare_scene([("before", full), ("after", mapped(TABLET, MAIN))])
    assert scene.title == "A circle was 12.6 % wider than tall, and is now round"
    shown = texts(scene)
    assert {"12.6 %", "wider than tall", "2.41", "round", "2.49"} <= set(shown)
    # 2.49 beside 2.41, 0 beside 6.8 degrees, 89 beside 100 %: differences of what is written.
    assert {"(+0.08)", "(\N{MINUS SIGN}6.8)", "(\N{MINUS SIGN}11)"} <= set(shown)
    assert shown.count("240 × 135 mm") == 1


def test_displays_of_very_different_sizes_each_fill_their_place():
    sofa = mapped(Tablet(108, 68), Display(3840, 2160).with_diagonal(65 * 25.4))
    bag = mapped(Tablet(146, 96), Display(1920, 1080).with_diagonal(14 * 25.4))
    scene = compare_scene([("bag", bag), ("sofa", sofa)])
    bag_wide, sofa_wide = (extent(shape)[0] for shape in scene.shapes("screen-edge"))
    # To one scale the television would be 4.6 times as wide.
    assert sofa_wide < 1.5 * bag_wide
    assert any("own scale" in text for text in texts(scene))


def test_what_is_the_same_on_all_is_said_once(full):
    assert (
        compare_scene([("a", full), ("b", full)]).title
        == "A circle comes out 12.6 % wider than tall with both"
    )


# Desks


def test_displays_stand_beside_each_other_a_bezel_apart_and_to_scale():
    left, main, tall = arrange(Desktop((LEFT, MAIN, TALL)), assumed_mm_per_px=1.0)
    assert (left.rect_mm.width, left.rect_mm.height) == (531, 299)
    # Two bezels of 6 mm, assumed; and one of 6 and one of 10.
    assert main.rect_mm.left - left.rect_mm.right == pytest.approx(12)
    assert tall.rect_mm.left - main.rect_mm.right == pytest.approx(16)
    # The middle of the shared edge, 740 px down, is one point on both.
    assert left.px_to_glass_mm.point(0, 740)[1] == pytest.approx(
        main.px_to_glass_mm.point(0, 740)[1]
    )


def test_unknown_sizes_take_the_pitch_of_a_known_display():
    _, other = arrange(
        Desktop((MAIN, Display(1280, 720, None, None, 2560, 0, "other"))), assumed_mm_per_px=9.0
    )
    assert not other.size_known
    assert other.rect_mm.width == pytest.approx(MAIN.width_mm / 2)


def test_large_displays_that_touch_in_pixels_do_not_collide_on_the_desk():
    wall = Display(1920, 1080, 1400, 800, 640, -1080, "wall")
    panes = arrange(Desktop((MAIN, TALL, wall)), assumed_mm_per_px=1.0)
    for index, one in enumerate(panes):
        for two in panes[index + 1 :]:
            shared = one.rect_mm.overlap(two.rect_mm)
            assert shared is None


def test_a_desk_names_displays_strips_and_angles():
    said = texts(desk_scene(mapped(Tablet(310, 174), LEFT, MAIN, TALL, onto=("main", "left"))))
    assert any(text.startswith("main: 27 in") for text in said)
    assert said.count("not used: 37.2 mm") == 2
    assert "not reached" in said
    assert said.count("45°") == 3


def test_an_angle_of_45_degrees_comes_out_as_the_map_says(full):
    # 12.6 % wider than tall: atan(1 / 1.126) is 41.6 degrees.
    comes_out = math.degrees(
        math.atan(full.figures[0].distortion.scale_y / full.figures[0].distortion.scale_x)
    )
    assert f"{comes_out:.1f}°" == "41.6°"
    assert {"45°", "41.6°"} <= set(texts(desk_scene(full)))


def test_the_tablet_lies_as_it_is_turned():
    for slant, turn in ((0, 0), (0, 90), (20, 0)):
        tablet = Tablet(200, 100, turn_deg=turn, slant_deg=slant)
        plate = desk_scene(mapped(tablet, MAIN)).shapes("plate")[0].outline
        (x0, y0), (x1, y1) = plate.points[0], plate.points[1]
        # The upper edge as seen lies along the slant; a quarter turn makes it the short one.
        assert math.degrees(math.atan2(y1 - y0, x1 - x0)) == pytest.approx(slant)
        wide, high = (
            math.dist(plate.points[0], plate.points[1]),
            math.dist(plate.points[4], plate.points[5]),
        )
        assert (wide > high) == (turn == 0)


def test_a_tablet_askew_is_drawn_so_that_upright_stays_upright():
    shown = Demonstration.of(mapped(Tablet(240, 152, slant_deg=15), MAIN))
    to_glass = shown.desk_mm_to_glass_mm(shown.panes[0])
    assert (to_glass.b, to_glass.d) == pytest.approx((0, 0), abs=1e-12)
    (x0, y0), (x1, y1), *_ = shown.area_corners_desk_mm
    assert y0 == pytest.approx(y1)
    assert x1 - x0 == pytest.approx(shown.solved.area_seen_mm.width)


@pytest.mark.parametrize("size_mm", [(320.0, 180.0), (100.0, 80.0), (80.0, 300.0)])
def test_a_desk_that_is_not_to_scale_says_so_on_any_sheet(size_mm):
    said = texts(desk_scene(mapped(TABLET, Display(1920, 1080)), size_mm=size_mm))
    assert any(text.startswith("Not to scale") for text in said)
    assert not any(text.endswith(" mm") and text[0].isdigit() for text in said if "×" not in text)


def test_a_sliver_of_a_display_makes_no_shape_tiny():
    window = Rect(0, 0, 2600, 1440)
    shown = Demonstration.of(
        mapped(
            TABLET,
            MAIN,
            Display(1920, 1080, 531, 299, 2560, 0, "side"),
            window_px=window,
            fit="full",
        )
    )
    assert set(shown.probes) == {"main"}
    left, _, right, _ = shown.probes["main"][0].outline.bounds
    assert right - left > 0.5 * 152


# Glances


def test_rulers_are_as_long_as_the_scale_says():
    scene = glance_scene(mapped(TABLET, MAIN))
    hand, screen = (
        extent(scene.shapes("area-edge")[0])[0],
        extent(scene.shapes("screen-edge")[0])[0],
    )
    assert screen / hand == pytest.approx(MAIN.width_mm / 240)
    assert {"2.49 times as large", "round", "11 % not used"} <= set(texts(scene))


def test_nested_outlines_have_the_proportions_of_the_oval(full):
    scene = glance_scene(full)
    (wide, high), (ghost, _) = extent(scene.shapes("result")[0]), extent(scene.shapes("ghost")[0])
    assert wide / high == pytest.approx(full.figures[0].distortion.stretch, rel=1e-4)
    assert ghost == pytest.approx(high, rel=1e-4)


def test_an_unknown_scale_is_not_guessed():
    said = texts(glance_scene(mapped(TABLET, Display(1920, 1080))))
    assert "no scale factor" in said


# Probes


@pytest.mark.parametrize("name", [name for name in PROBES if name != "grid"])
def test_every_probe_stays_near_its_circle_and_is_drawn(name, full):
    shape = probe(name, 100.0, 50.0, 10.0)
    left, top, right, bottom = shape.outline.bounds
    assert min(left - 100, top - 50) >= -11
    assert max(right - 100, bottom - 50) <= 11
    scene = preview_scene(full, probes=(name,))
    assert scene.shapes("hand-thin" if shape.thin else "hand")


def test_diagonals_and_hatching_are_at_45_degrees():
    for name in ("diagonals", "hatching"):
        points = probe(name, 0.0, 0.0, 10.0).outline.points
        for (x0, y0), (x1, y1) in zip(points[::2], points[1::2], strict=True):
            assert abs(y1 - y0) == pytest.approx(abs(x1 - x0))


def test_an_unknown_probe_is_refused_with_the_nearest(full):
    with pytest.raises(RequestError, match="Did you mean square"):
        preview_scene(full, probes=("sqare",))


# Animations


def test_an_animation_goes_from_the_hand_to_the_screen(full):
    frames = motion_frames(full)
    assert frames[0].duration_ms >= 800
    assert frames[-1].duration_ms >= 2000
    widths = [extent(frame.scene.shapes("screen-edge")[-1])[0] for frame in frames[1:]]
    assert widths == sorted(widths)
    assert not frames[0].scene.shapes("result")
    # The last frame is the map itself.
    assert (
        extent(frames[-1].scene.shapes("result")[0])[0]
        > extent(frames[1].scene.shapes("result")[0])[0]
    )


@pytest.mark.parametrize("ending", ["gif", "apng"])
def test_animations_are_files_that_move_and_are_the_same_each_time(full, tmp_path, ending):
    frames = motion_frames(full)[::5]
    one, two = tmp_path / f"one.{ending}", tmp_path / f"two.{ending}"
    for path in (one, two):
        save_motion(frames, path, width_px=400)
    assert one.read_bytes() == two.read_bytes()
    with Image.open(io.BytesIO(one.read_bytes())) as opened:
        assert opened.size == (400, 225)
        shown = [np.asarray(frame.convert("RGB"), int) for frame in ImageSequence.Iterator(opened)]
        assert opened.info["loop"] == 0
    assert len(shown) == len(frames)
    assert all(np.abs(a - b).max() > 50 for a, b in itertools.pairwise(shown))


def test_outline_of_the_drawing_is_ghosted_where_it_is_bent(full, tmp_path):
    from profiles.strokes.drawing import read_drawing

    file = tmp_path / "strokes.csv"
    file.write_text("x,y\n0,0\n100,50\n0,50\n")
    drawing = read_drawing(str(file))
    scene = preview_scene(full, probes=(), drawing=drawing)
    hand, result, ghost = (
        scene.shapes(role)[-1].outline for role in ("hand-thin", "result-thin", "ghost")
    )
    assert isinstance(hand, Outline)
    (hw, hh), (rw, rh) = ((b[2] - b[0], b[3] - b[1]) for b in (hand.bounds, result.bounds))
    figures = full.figures[0].distortion
    assert (rw / hw, rh / hh) == pytest.approx((figures.scale_x, figures.scale_y))
    assert ghost.bounds[2] - ghost.bounds[0] == pytest.approx(2 * rh)


def test_the_ghost_of_a_picture_of_pixels_is_pale_and_true(full, tmp_path):
    from profiles.strokes.drawing import read_drawing

    file = tmp_path / "study.png"
    Image.new("RGB", (60, 40), (20, 60, 140)).save(file)
    scene = preview_scene(full, probes=(), drawing=read_drawing(str(file)))
    hand, result, ghost = (mark for mark in scene.marks if hasattr(mark, "pixels"))
    wide, high = full.figures[0].distortion.scale_x, full.figures[0].distortion.scale_y
    assert (result.box_mm.width / hand.box_mm.width) / (
        result.box_mm.height / hand.box_mm.height
    ) == pytest.approx(wide / high)
    assert ghost.box_mm.width / ghost.box_mm.height == pytest.approx(60 / 40)
    assert ghost.mode == "RGBA"
    assert set(ghost.pixels[3::4]) == {102}


def test_the_triangle_of_a_turned_tablet_has_a_legend_in_every_view():
    for turn in (0, 90, 180, 270):
        solved = mapped(Tablet(240, 152, turn_deg=turn), MAIN)
        for scene in (
            preview_scene(solved),
            compare_scene([("one", solved), ("two", solved)]),
            desk_scene(solved),
        ):
            words = " ".join(text.text for text in scene.texts).lower()
            assert ("triangle" in words) == bool(turn), (turn, words)
            assert ("not turned" in words) == bool(turn), (turn, words)


def test_a_map_that_turns_all_that_is_drawn_is_told_apart():
    turned = mapped(Tablet(240, 152, slant_deg=12.0), MAIN)
    scene = compare_scene([("turned", turned), ("straight", unturned_map(turned))])
    assert scene.title == (
        "With \N{LEFT DOUBLE QUOTATION MARK}straight\N{RIGHT DOUBLE QUOTATION MARK} strokes come "
        "out askew by 12° to the left; with \N{LEFT DOUBLE QUOTATION MARK}turned"
        "\N{RIGHT DOUBLE QUOTATION MARK} they do not"
    )
    straight = replace(turned.request, tablet=Tablet(240, 152))
    assert (
        compare_scene([("a", solve(straight)), ("b", turned)]).title
        == "A circle comes out round with both"
    )
