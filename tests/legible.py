"""Whether the words of a picture can be read: on the sheet, and on none of the others."""

from itertools import combinations

#: Sheets as wide as telephones, tablets and small windows show them, and the usual one.
SHEETS_MM = (72.0, 96.0, 160.0, 232.0, 320.0)


def assert_words_stand_free(scene, *, margin_mm=0.0, touch_mm=0.01):
    """Assert that no word of ``scene`` is near an edge or on another word.

    Near is less than ``margin_mm``; words may overlap by ``touch_mm``.
    """
    words = [(text.text, text.box_mm) for text in scene.texts]
    for word, (left, top, right, bottom) in words:
        assert min(left, top, scene.width_mm - right, scene.height_mm - bottom) >= margin_mm, word
    for (one, a), (other, b) in combinations(words, 2):
        across, down = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
        assert across <= touch_mm or down <= touch_mm, (one, other)
