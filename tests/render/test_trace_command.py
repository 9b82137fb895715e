"""``evenstroke trace`` from the outside: exit codes, words, plain data, pictures."""

import json

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from mapper.problems import AnswerIsNo, RequestError
from mapper.tracing.outline import KnownOutline
from profiles.strokes import traces
from render.cli import group
from tests.drawn_traces import draw_trace, matrix_of
from tests.drawn_windows import Sheet, wobbly

CARD = KnownOutline(85.6, 53.98, 3.18)


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A folder with a profile and two traces.

    One is of the whole tablet on the whole screen, one of the map that was meant.
    """
    folder = tmp_path_factory.mktemp("desk")
    made = [
        "map",
        "--tablet",
        "240x152mm",
        "--display",
        "27in 2560x1440",
        "--save",
        str(folder / "desk.yaml"),
    ]
    assert CliRunner().invoke(group, made).exit_code == 0
    for name, height_mm in (("meant.png", 135), ("whole.png", 152)):
        matrix = matrix_of(2560 / 240, 1440 / height_mm, 1.2)
        draw_trace(
            folder / name, CARD, matrix, centre_px=(1200, 700), size_px=(2560, 1440), wobble_mm=0.1
        )
    return folder


def run(*arguments):
    result = CliRunner().invoke(group, [str(argument) for argument in arguments])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def test_the_right_setting_leaves_with_0(desk):
    result = run("trace", desk / "meant.png", "--of", "card", "--against", desk / "desk.yaml")
    assert result.exit_code == 0
    assert result.stdout.startswith(
        "The tablet seems to use this setting: the sizes of the trace agree with desk.yaml.\n"
    )
    assert "240 × 135 mm" in result.stdout


def test_the_wrong_setting_leaves_with_1_its_cause_and_the_number_to_correct(desk):
    result = run("trace", desk / "whole.png", "--of", "card", "--against", desk / "desk.yaml")
    assert result.exit_code == 1
    assert "Likely cause: the area does not have the display's proportions." in result.stdout
    assert "Change the height from about 152 mm to 135 mm." in result.stdout
    # The whole tablet starts at its own edge.
    assert "Change the distance from the top from about 0 mm to 8.5 mm." in result.stdout


def test_plain_data_say_the_same(desk):
    result = run(
        "trace", desk / "whole.png", "--of", "card", "--against", desk / "desk.yaml", "--as", "json"
    )
    data = json.loads(result.stdout)
    assert (data["agrees"], data["cause"]["name"], data["correct"]) == (
        False,
        "proportions not locked",
        ["height", "top"],
    )
    assert data["ratio"]["low"] < 152 / 135 < data["ratio"]["high"]
    assert data["off_percent"]["y"] == pytest.approx(100 * (135 / 152 - 1), abs=0.5)


def test_without_a_profile_the_numbers_alone(desk):
    result = run("trace", desk / "whole.png", "--of", "card")
    assert result.exit_code == 0
    assert "% wider than tall" in result.stdout


def test_zoomed_canvases_and_doubled_pictures(desk):
    against = ("--of", "card", "--against", desk / "desk.yaml")
    doubled = run("trace", desk / "meant.png", *against, "--pixel-ratio", "2")
    assert doubled.exit_code == 1
    assert "shapes are right, sizes are not" in doubled.stdout
    assert "--canvas-zoom 200%" in doubled.stdout
    # A zoom that was given is taken as given.
    zoomed = run("trace", desk / "meant.png", *against, "--canvas-zoom", "200%")
    assert (zoomed.exit_code, "canvas-zoom" in zoomed.stdout) == (1, False)
    assert (
        run(
            "trace", desk / "meant.png", *against, "--canvas-zoom", "200%", "--pixel-ratio", "2"
        ).exit_code
        == 0
    )


PLAIN = ("map", "--tablet", "240x152mm", "--display", "27in 2560x1440")


def traced_by_hand(folder, name, outline, matrix):
    """Strokes as a pen leaves them, in ``folder``: the path of a file."""
    points = wobbly(
        np.random.default_rng(4),
        outline,
        np.array(matrix, dtype=float),
        np.array([1200.0, 700.0]),
        0.1,
    )
    (folder / name).write_text(json.dumps({"strokes": [points.tolist()]}))
    return folder / name


@pytest.mark.parametrize(
    ("scales", "upright", "words"),
    [
        ((2560 / 240, 1440 / 135), False, ("The tablet seems to use this setting",)),
        # It lay upright, or the driver turns what is drawn: nobody said.
        (
            (2560 / 240, 1440 / 135),
            True,
            ("cannot tell", "if the long side lay up and down", '--of "card upright"'),
        ),
        # Set to a tall display: squeezed so hard that a card which lay across comes out upright.
        (
            (1080 / 240, 1920 / 135),
            False,
            ("wrong display", "its long side along", '--of "card upright"'),
        ),
    ],
)
def test_a_card_is_read_as_it_lay_with_the_profiles_help(scales, upright, words, tmp_path):
    tall = ("--display", "tall: 1080x1920 at 2560,0", "--onto", "main")
    desk = (*PLAIN[:-1], f"main: {PLAIN[-1]}", *tall)
    assert run(*desk, "--save", tmp_path / "desk.yaml").exit_code == 0
    matrix = np.diag(scales) @ np.array([[0, -1], [1, 0]] if upright else [[1, 0], [0, 1]])
    path = traced_by_hand(tmp_path, "card.json", CARD, matrix)
    told = run("trace", path, "--of", "card", "--against", tmp_path / "desk.yaml").stdout
    assert [word for word in words if word not in told] == []
    if upright:
        asked = run("trace", path, "--of", "card", "--against", tmp_path / "desk.yaml")
        assert asked.exit_code == 1
    for lay in ("upright", "across"):
        said = run("trace", path, "--of", f"card {lay}", "--against", tmp_path / "desk.yaml")
        assert said.exit_code == (0 if upright == (lay == "upright") and scales[0] > 5 else 1)


def test_a_pen_held_at_the_edge_of_the_screen_is_told_with_the_likely_cause(tmp_path):
    assert run(*PLAIN, "--save", tmp_path / "desk.yaml").exit_code == 0
    # 9.4 x 5.3 inches typed as mm: 272 px for each mm, cut off where the screen ends.
    path = traced_by_hand(tmp_path, "card.json", CARD, np.diag([2560 / 9.4, 1440 / 5.3]))
    held = np.clip(np.array(json.loads(path.read_text())["strokes"][0]), 0, (2559, 1439))
    path.write_text(json.dumps({"strokes": [held.tolist()]}))
    sheet = Sheet((2560, 1440), (1, 1, 1))
    sheet.stroke(held, (0, 0, 0.3), 6)
    Image.fromarray(sheet.pixels()).save(tmp_path / "card.png")
    for name in ("card.json", "card.png"):
        with pytest.raises(
            RequestError, match=r"along the edge of the screen.*inches were typed as mm"
        ):
            run("trace", tmp_path / name, "--of", "card", "--against", tmp_path / "desk.yaml")


PAPERS = {
    "plain": '<rect x="0" y="0" width="2560" height="1440" fill="white"/>',
    "a round one on a table": (
        '<rect x="-9" y="-9" width="2578" height="1458"/><rect width="2560" height="1440" rx="12"/>'
    ),
}


@pytest.mark.parametrize("paper", PAPERS.values(), ids=PAPERS)
def test_the_paper_in_an_svg_is_no_trace(paper, tmp_path):
    path = traced_by_hand(tmp_path, "card.json", CARD, np.diag([10.0, 10.0]))
    points = " ".join(f"{x},{y}" for x, y in json.loads(path.read_text())["strokes"][0])
    drawn = f'<polygon points="{points}" fill="none" stroke="black" stroke-width="3"/>'
    (tmp_path / "a.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="2560" height="1440">{paper}{drawn}</svg>'
    )
    data = json.loads(run("trace", tmp_path / "a.svg", "--of", "card", "--as", "json").stdout)
    assert (data["x_px_per_mm"]["value"], data["y_px_per_mm"]["value"]) == pytest.approx(
        (10, 10), rel=0.01
    )


def test_papers_are_looked_for_in_a_drawing_of_any_number_of_strokes(monkeypatch):
    """A trace of 37,500 strokes of four points each was compared with all others, without an end.

    What is counted is how often all that a path goes along is worked out.
    """
    looked, along = [], traces._runs_along_its_box
    monkeypatch.setattr(
        traces, "_runs_along_its_box", lambda path: looked.append(path) or along(path)
    )
    square = np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]])
    nested = [square * (2 + share) for share in np.linspace(0, 1, traces.MOST_STROKES)]
    left = traces._without_papers([nested[0] / 2, *nested])
    assert len(looked) <= traces._MOST_PAPERS
    assert len(left) == len(nested) + 1 - traces._MOST_PAPERS
    assert traces._without_papers([nested[0] / 2, *nested[-9:]])[0] is not None
    assert len(traces._without_papers([nested[0] / 2, *nested[-9:]])) == 1


def test_a_trace_of_very_many_strokes_is_refused_before_it_is_worked_on(tmp_path, monkeypatch):
    monkeypatch.setattr(traces, "flattened", lambda _: pytest.fail("was worked on"))
    strokes = np.random.default_rng(2).uniform(0, 900, (traces.MOST_STROKES + 1, 2, 2))
    (tmp_path / "many.json").write_text(json.dumps(strokes.tolist()))
    with pytest.raises(RequestError, match="must have at most 5000 strokes; got 5001"):
        run("trace", tmp_path / "many.json", "--of", "card")


def test_a_card_squeezed_till_it_looks_upright_is_not_called_turned(tmp_path):
    # Of the two readings one would need a map that leans, as it lay askew by a degree.
    run("map", "--tablet", "240x152mm", "--display", "2560x1440", "--save", tmp_path / "desk.yaml")
    path = traced_by_hand(tmp_path, "card.json", CARD, matrix_of(5.9, 10.7, 3.0))
    told = run("trace", path, "--of", "card", "--against", tmp_path / "desk.yaml", "--as", "json")
    data = json.loads(told.stdout)
    assert (data["x_px_per_mm"]["value"], data["y_px_per_mm"]["value"]) == pytest.approx(
        (5.9, 10.7), rel=0.01
    )
    assert data["if_it_lay_the_other_way"]["x_px_per_mm"]["value"] > 9
    assert data["cause"]["name"] != "turned"


def test_two_things_with_their_places_give_the_whole_map(desk):
    things = []
    for number, (x, y) in enumerate(((50.0, 40.0), (170.0, 100.0))):
        centre = (x * 2560 / 240, (y - 8.5) * 1440 / 135)
        outline = KnownOutline.circle(40)
        draw_trace(
            desk / f"{number}.png",
            outline,
            matrix_of(32 / 3, 32 / 3),
            centre_px=centre,
            size_px=(2560, 1440),
        )
        things += ["--of", f"circle 40mm at {x},{y}mm"]
    files = (desk / "0.png", desk / "1.png")
    result = run("trace", *files, *things, "--against", desk / "desk.yaml", "--as", "json")
    data = json.loads(result.stdout)
    assert data["agrees"]
    assert data["area_left_seen_mm"]["value"] == pytest.approx(0, abs=0.3)
    assert data["area_top_seen_mm"]["value"] == pytest.approx(8.5, abs=0.3)
    assert data["whole_map"]["seen_mm_to_desktop_px"][0] == pytest.approx([32 / 3, 0, 0], abs=3)


def test_points_are_read_too(desk):
    import numpy as np

    from mapper.tracing.outline import Placed

    placed = Placed(CARD, matrix_of(32 / 3, 32 / 3), np.array([900.0, 700.0]))
    rows = "\n".join(f"{x:.3f},{y:.3f}" for x, y in placed.boundary(500).points_px)
    (desk / "points.csv").write_text(f"x,y\n{rows}\n")
    drawn = "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in placed.boundary(500).points_px)
    (desk / "points.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{drawn}Z" fill="none" '
        f'stroke="black"/></svg>'
    )
    for name in ("points.csv", "points.svg"):
        assert (
            run("trace", desk / name, "--of", "card", "--against", desk / "desk.yaml").exit_code
            == 0
        )


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_the_fit_is_drawn(desk, ending, tmp_path):
    out = tmp_path / f"fit.{ending}"
    arguments = (
        "trace",
        desk / "whole.png",
        "--of",
        "card",
        "--against",
        desk / "desk.yaml",
        "--picture",
        out,
    )
    assert run(*arguments).exit_code == 1
    assert out.exists()
    if ending == "png":
        with Image.open(out) as opened:
            assert opened.size == (1600, 900)
    with pytest.raises(RequestError, match="already exists"):
        run(*arguments)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--of", "spoon"), "known size"),
        (("--of", "card", "--of", "card"), "once for each"),
        (("--of", "card", "--crop", "1,2,3"), "left,top"),
        (("--of", "card", "--canvas-zoom", "0"), "from 1"),
        (("--of", "card", "--pixel-ratio", "nan"), "number"),
        (("--of", "card", "--from", "left"), "two numbers"),
        (("--of", "card", "--picture", "fit.xyz"), "must end in"),
        (("--of", "disc"), "look like|whole outline"),
    ],
)
def test_wrong_requests_are_one_plain_error(desk, options, words):
    with pytest.raises((RequestError, AnswerIsNo), match=words):
        run("trace", desk / "meant.png", *options)
