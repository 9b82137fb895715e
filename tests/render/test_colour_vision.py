"""The palette under simulated colour-vision deficiency, and in greyscale.

Colours that stand for different things must stay apart for everybody: the hand's and the screen's,
and both from the true shape. Simulation: Machado, Oliveira and Fernandes (2009), as colorspacious
implements it, at full severity; distance: CIEDE-like delta E' in CAM02-UCS (Luo, Cui and Li 2006),
where about 1 is just noticeable side by side.
"""

import itertools

import numpy as np
import pytest
from colorspacious import cspace_convert, deltaE

from render.canvas.theme import THEMES, luminance

# What must never be mistaken for one another, lines and fills each among themselves.
LINES = ("hand", "result", "ghost")
FILLS = ("hand_tint", "result_tint", "spare")

# Ten just noticeable steps for lines; fills are large and lie apart, and each bears lines of its
# own as well.
LINES_APART, FILLS_APART = 10.0, 2.0


def seen(colour, deficiency):
    rgb = np.array([int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    if deficiency is None:
        return rgb
    space = {"name": "sRGB1+CVD", "cvd_type": deficiency, "severity": 100}
    return np.clip(cspace_convert(rgb, space, "sRGB1"), 0, 1)


@pytest.mark.oracle
@pytest.mark.parametrize("deficiency", [None, "protanomaly", "deuteranomaly", "tritanomaly"])
@pytest.mark.parametrize("theme", THEMES)
def test_what_differs_looks_different_to_everybody(theme, deficiency):
    colours = THEMES[theme]
    for names, least in ((LINES, LINES_APART), (FILLS, FILLS_APART)):
        for one, other in itertools.combinations(names, 2):
            if colours[one] == colours[other]:
                # Paper white twice, in the theme for print: there lines and hatching alone tell.
                continue
            apart = deltaE(
                seen(colours[one], deficiency),
                seen(colours[other], deficiency),
                input_space="sRGB1",
            )
            assert apart >= least, (one, other)


@pytest.mark.parametrize("theme", THEMES)
def test_lines_stand_out_of_their_grounds_in_grey(theme):
    colours = THEMES[theme]
    for line, ground in (
        ("hand", "hand_tint"),
        ("result", "result_tint"),
        ("result", "glass"),
        ("ghost", "glass"),
    ):
        # Luminance is what is left in a photocopy.
        assert abs(luminance(colours[line]) - luminance(colours[ground])) > 0.25, (line, ground)
