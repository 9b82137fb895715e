"""Names in other scripts: which font draws a letter, how wide it is, in which order it is read."""

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from PIL import ImageFont

from profiles.doubts import hearing
from render.canvas import draw, scripts
from render.canvas.lettering import width_mm
from render.canvas.scene import Easel

DESK = "机"


@pytest.fixture
def only_font(tmp_path, monkeypatch):
    """A font of one letter, a black square of 0.8 by 0.8, as the only one of the system."""
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder([".notdef", "desk"])
    builder.setupCharacterMap({ord(DESK): "desk"})
    pen = TTGlyphPen(None)
    for at, corner in enumerate([(100, 0), (100, 800), (900, 800), (900, 0)]):
        (pen.lineTo if at else pen.moveTo)(corner)
    pen.closePath()
    square = pen.glyph()
    builder.setupGlyf({".notdef": square, "desk": square})
    builder.setupHorizontalMetrics({".notdef": (500, 0), "desk": (1000, 100)})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "One Letter", "styleName": "Regular"})
    builder.setupPost()
    path = tmp_path / "one-letter.ttf"
    builder.save(path)
    _alone(monkeypatch, str(path))
    yield path
    _forget()


def _alone(monkeypatch, *paths):
    _forget()
    monkeypatch.setattr(scripts, "_system_fonts", lambda bold: paths)  # noqa: ARG005


def _forget():
    from render.canvas import lettering

    scripts._system_face.cache_clear()
    lettering._advance_em.cache_clear()


def _drawn(text):
    easel = Easel(40, 20)
    easel.text(text, 10, 15, "label", em_mm=10)
    heard = []
    with hearing(heard.append):
        picture = draw.pixels(easel.scene(title="A desk", description="A desk."), width_px=400)
    return picture.convert("L"), heard


def test_a_letter_of_another_font_is_as_wide_and_as_black_as_that_font_says(only_font):
    oracle = ImageFont.truetype(str(only_font), 1000).getlength(DESK) / 1000
    assert width_mm(DESK, 10.0) == pytest.approx(10 * oracle)
    assert width_mm(f"a{DESK}", 10.0) == pytest.approx(width_mm("a", 10.0) + 10 * oracle)
    picture, heard = _drawn(DESK)
    assert heard == []
    # The square from 11 to 19 mm across and from 7 to 15 mm down, at 10 px to the mm.
    assert picture.crop((112, 72, 188, 148)).getextrema()[1] < 60
    outside = [(0, 0, 108, 200), (192, 0, 400, 200), (0, 0, 400, 68), (0, 152, 400, 200)]
    assert all(picture.crop(box).getextrema()[0] > 200 for box in outside)


def test_a_letter_that_no_font_has_is_a_box_and_is_said(monkeypatch):
    _alone(monkeypatch)
    picture, heard = _drawn(f"a{DESK} {DESK}")
    assert heard == [f"no font of this computer has {DESK}; boxes are drawn instead"]
    assert picture.getextrema()[0] < 60
    _forget()


@pytest.mark.parametrize(
    ("typed", "laid"),
    [
        # Hebrew letters for the capitals of the example in UAX 9 (Unicode's bidirectional
        # algorithm), section 3.3.5, from memory: "car is THE CAR in arabic" is displayed as "car is
        # RAC EHT in arabic".
        ("car is אבג דהו in arabic", "car is והד גבא in arabic"),
        # Numbers keep their order (the same, rule W2 and L2).
        ("שולחן 12", "12 ןחלוש"),
        # An isolated name moves nothing around it; the isolates are not drawn.
        ("desk \N{FIRST STRONG ISOLATE}אב\N{POP DIRECTIONAL ISOLATE} 5", "desk בא 5"),
        # Beh and heh joined (Unicode chart FE70: initial FE91, final FEEA), the first at the right.
        ("به", "\ufeea\ufe91"),
        # The selector of a coloured emoji has no shape.
        ("\u2702\ufe0f", "\u2702"),
    ],
)
def test_letters_are_laid_in_the_order_in_which_they_are_read(typed, laid):
    assert scripts._from_the_left(typed) == laid


def test_letters_of_the_typeface_need_no_other_font(monkeypatch):
    monkeypatch.setattr(scripts, "_system_face", lambda *_: pytest.fail("looked for a font"))
    assert scripts.is_plain("Zeichentisch für Ärzte, 27 in × 2")
    assert not scripts.is_plain("שולחן")
    # The typeface has Hebrew and Arabic.
    assert scripts.width_em("שולחן مكتب") > 4


def test_brackets_of_a_line_that_is_read_from_the_right_are_turned():
    # UAX 9, L4: the bracket that opens is laid at the right of what it opens, and curves around it.
    laid = scripts._from_the_left("\u0623\u0628\u062c (\u062f)")
    assert laid.index("(") < laid.index(")")
    assert laid.startswith("(")
    # A size between isolates keeps the order of its sides and its brackets.
    isolated = scripts._from_the_left("\u0623\u0628\u062c\u062f\u0647\u0648 \u206612 (34)\u2069")
    assert "12 (34)" in isolated
    # In an isolate they take its own direction: that of its mark, or of its first letter (P2, X5c).
    for mark, laid in (("\u2067", "(\u0634)"), ("\u2068", "(\u0634)"), ("\u2066", ")\u0634(")):
        turned = scripts._mirrored(f"{mark}\u0627 (\u0634)\u2069", is_leftward=False)
        assert (mark, laid[0], laid[-1]) == (mark, turned[-2], turned[3])
    assert scripts._mirrored("\u2068a (\u0634)\u2069", is_leftward=True)[3] == "("
