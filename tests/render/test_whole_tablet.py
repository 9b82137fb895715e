"""``evenstroke trace --whole-tablet``.

The active area's size from cards that Skia draws as a pen runs round them.
"""

import json

import pytest
from click.testing import CliRunner

from mapper.tracing.outline import KnownOutline
from render.cli import group
from tests.drawn_traces import draw_trace, matrix_of

CARD = KnownOutline(85.6, 53.98, 3.18)
PX = (2560, 1440)
DISPLAY = ("--display", "27in 2560x1440")


@pytest.fixture(scope="module")
def cards(tmp_path_factory):
    """A card traced lying and upright with the whole of 240 x 152 mm on the display.

    The pen runs 0.6 mm outside its edge.
    """
    folder = tmp_path_factory.mktemp("cards")
    for name, turn, width_mm, height_mm in (
        ("lying", 0.8, 240, 152),
        ("upright", 90.5, 240, 152),
        ("locked", 0.5, 240, 135),
    ):
        matrix = matrix_of(PX[0] / width_mm, PX[1] / height_mm, turn)
        draw_trace(
            folder / f"{name}.png",
            CARD.grown(0.6),
            matrix,
            centre_px=(1250, 720),
            size_px=PX,
            wobble_mm=0.12,
            seed=len(name),
        )
    return folder


def run(*arguments):
    return CliRunner().invoke(group, [str(argument) for argument in arguments])


def test_lying_and_upright_give_the_size_and_the_next_command(cards):
    both = (
        "trace",
        cards / "lying.png",
        cards / "upright.png",
        "--of",
        "card",
        "--whole-tablet",
        *DISPLAY,
    )
    data = json.loads(run(*both, "--as", "json").stdout)
    assert data["width_mm"]["low"] < 240 < data["width_mm"]["high"]
    assert data["height_mm"]["low"] < 152 < data["height_mm"]["high"]
    assert data["ratio"]["value"] == pytest.approx(240 / 152, rel=0.0035)
    assert data["both_ways"]
    told = run(*both)
    assert told.exit_code == 0
    assert told.stdout.startswith("The active area is about 24")
    assert "Trace it once more" not in told.stdout
    command = told.stdout.splitlines()[-1].removeprefix("Next: evenstroke ")
    assert command.startswith("map --tablet 2")
    assert command.endswith('--display "27in 2560x1440"')


def test_one_trace_asks_for_the_other_and_locked_proportions_are_noticed(cards):
    told = run("trace", cards / "locked.png", "--of", "card", "--whole-tablet", *DISPLAY).stdout
    assert "Trace it once more, turned by 90 degrees" in told
    assert "or its settings keep proportions" in told
    two = run(
        "trace",
        cards / "lying.png",
        "--of",
        "card",
        "--whole-tablet",
        *DISPLAY,
        "--display",
        "24in 1920x1080",
    ).stdout
    assert "all of these displays" in two


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--whole-tablet",), "needs the display"),
        (DISPLAY, "Add --whole-tablet"),
        (("--whole-tablet", "--display", "27"), "--display"),
    ],
)
def test_a_wrong_request_is_told_so(cards, more, says):
    told = run("trace", cards / "lying.png", "--of", "card", *more)
    assert told.exit_code == 2 or isinstance(told.exception, Exception)
    assert says in (told.output + str(told.exception))
