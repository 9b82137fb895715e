"""Every text and every line that means something stands out from what it lies on."""

import pytest

from mapper.problems import RequestError
from render.canvas.theme import ROLES, THEMES, contrast, palette

# WCAG 2.2: success criterion 1.4.3 asks for 4.5 to 1 for text, 1.4.11 for 3 to 1 for graphics
# needed to understand.
TEXT, GRAPHICS = 4.5, 3.0


def pairs():
    for role, looks in ROLES.items():
        drawn = looks.fill if looks.em_mm else looks.line
        for ground in looks.on if drawn else ():
            yield role, ground, drawn, TEXT if looks.em_mm else GRAPHICS


@pytest.mark.parametrize("theme", THEMES)
def test_contrast_is_as_wcag_asks(theme):
    colours = THEMES[theme]
    weak = {
        (role, ground): round(contrast(colours[drawn], colours[ground]), 2)
        for role, ground, drawn, least in pairs()
        if contrast(colours[drawn], colours[ground]) < least
    }
    assert not weak


# W3C, WCAG 2.2, definition of relative luminance; the ratios of its own examples: black on white is
# 21, #777777 on white 4.48 (just too little) and #767676 on white 4.54 (just enough): not checked
# against the Understanding documents.
@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("#000000", "#FFFFFF", 21.0), ("#777777", "#FFFFFF", 4.48), ("#767676", "#FFFFFF", 4.54)],
)
def test_contrast_is_the_formula_of_wcag(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(one, other) == contrast(other, one)


def test_every_theme_has_every_colour():
    names = {
        name for looks in ROLES.values() for name in (looks.fill, looks.line, *looks.on) if name
    }
    for theme in THEMES.values():
        assert names <= set(theme)
        assert len(theme) == len(THEMES["light"])


def test_an_unknown_theme_is_refused_with_the_nearest():
    with pytest.raises(RequestError, match="Did you mean dark"):
        palette("drak")
