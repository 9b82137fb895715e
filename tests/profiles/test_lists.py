"""Lists as they are pasted: what is read, and what is refused with which words."""

import csv
import io
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mapper.problems import RequestError
from profiles.doubts import hearing
from profiles.lists import display_list, one_display, one_tablet, tablet_list
from tests.strategies import lengths_mm

TABLETS = [
    "label,width_mm,height_mm,counts_per_mm\nNord,240,152,150\n",
    "\ufeffName;Active area (mm);Resolution;Price\r\nNord;240 x 152;150/mm;12,50\r\n",
    "model\tactive width (cm)\tactive height (cm)\tcounts per inch\nNord\t24\t15.2\t3810\n",
    "# pasted\n\ntablet|size|counts_per_mm\nNord|240x152mm@150/mm|\n",
    "label,width,height,resolution\nNord,240mm,15.2 cm,3810/in\n",
    "Nord: 240x152mm@150/mm\n",
    "tablet,tablet_width_mm,tablet_height_mm,tablet_counts_per_mm,display\nNord,240,152,150,any\n",
    "Bezeichnung;Breite (cm);Höhe (cm);Auflösung;Preis\nNord;24,0;15,2;3.810 lpi;59,90 €\n",
    "Bezeichnung;Breite (cm);Tiefe (cm);lpi\nNord;24,0;15,2;3810\n",
    "名前,幅(mm),奥行(mm),解像度\nNord,240,152,3810lpi\n",
    "Name,Width (mm),Depth (mm),lpi\nNord,240,152,3810\n",
    "Name;B (cm);H (cm);lpi\nNord;24,0;15,2;3810\n",
    "Nom;Largeur en mm;Hauteur en mm;lpi\nNord;240;152;3810\n",
    "Modelo\tÁrea activa\tResolución\tPrecio\nNord\t24 x 15,2 cm\t3810 líneas por pulgada\t59\n",
    "Modello|Area attiva|lpi\n-----|----|---\nNord|24 x 15,2 cm|3810\n",
    "名前,幅(mm),高さ(mm),解像度\nNord,240,152,3810lpi\n",
    "Name   Active area     Resolution    Price\nNord    240 x 152 mm    150/mm        $59\n",
    "| Name | Size | Lines per mm |\n|------|:----:|-----:|\n| Nord | 240 x 152 mm | 150 |\n",
    "Model,Dimensions,Active area,LPI\nNord,320 x 230 x 8 mm,240 x 152 mm,3810\n",
    "size,label,lpi\n24 x 15,2 cm,Nord,3810\n",
    "Spring offers\nNord, 240 x 152 mm, 3810 lpi\n",
    '"Nord";"24,0 x 15,2 cm";"3810 lpi"\n',
    "sep=;\nname;size;lpi\nNord;24,0 x 15,2 cm;3810\n",
]
DISPLAYS = [
    "label,diagonal_in,pixels\nWand,31.5,3840x2160\n",
    'name;Diagonal (in);width_px;height_px\nWand;31.5";3840;2160\n',
    "display,size,resolution\nWand,31.5in,3840 x 2160 px\n",
    "display,size\nWand,31.5in 3840x2160\n",
    "Wand: 31.5in 3840x2160\n",
    "Bildschirm;Zoll;Pixel\nWand;31,5;3840 x 2160\n",
    "Schermo;Dimensione schermo (pollici);Risoluzione\nWand;31,5;3.840 x 2.160\n",
    "製品名,画面サイズ（インチ）,解像度\nWand,31.5,3840×2160\n",
    "Modell   Diagonale   Auflösung\nWand     31,5 Zoll   3840 x 2160\n",
    "display,diagonal (in),width (px),height (px),weight\nWand,31.5,3840,2160,6 kg\n",
    'Wand - 31,5" 4K 3840 x 2160, 60 Hz\n',
    '"Wand","31.5 inch","3840x2160"\n',
]


@pytest.mark.parametrize("text", TABLETS)
def test_one_tablet_in_the_lists_of_many_hands(text):
    for encoding in ("utf-8", "utf-16"):
        with hearing([].append):
            (tablet,) = tablet_list(text.encode(encoding), "shop").items
        assert (tablet.label, tablet.width_mm, tablet.height_mm, tablet.counts_per_mm) == (
            "Nord",
            240,
            152,
            150,
        )


@pytest.mark.parametrize("text", DISPLAYS)
def test_one_display_in_the_lists_of_many_hands(text):
    with hearing([].append):
        (display,) = display_list(text.encode(), "shop").items
    assert (display.label, display.width_px, display.height_px) == ("Wand", 3840, 2160)
    assert math.hypot(display.width_mm, display.height_mm) == pytest.approx(31.5 * 25.4)


def test_columns_that_are_not_known_are_left_aside_and_named():
    listed = tablet_list(b"label,size,price,colour\na,240x152mm,99,black\n", "shop.csv")
    assert listed.left_aside == ("price", "colour")


def test_a_display_may_have_no_size_and_a_turned_tablet_its_turn():
    (display,) = display_list(b"label,pixels,size\na,1920x1080,\n", "shop.csv").items
    assert display.width_mm is None
    (tablet,) = tablet_list(b"size,turn_deg\n240x152mm,90\n", "shop.csv").items
    assert tablet.turn_deg == 90


def test_what_has_no_label_is_called_by_its_size():
    assert one_tablet("240x152mm", "t").label == "240 × 152 mm"
    assert one_display("27in 2560x1440", "d").label == "27 in 2560 × 1440 px"
    assert one_display("2560x1440", "d").label == "2560 × 1440 px"
    assert one_display("by the\nwindow: 2560x1440", "d").label == "by the window"


def test_one_line_that_cannot_be_read_is_named_and_the_rest_is_understood():
    read = tablet_list(b"240x152mm\nnonsense\n146 x 96 mm\n", "l.csv")
    assert [tablet.width_mm for tablet in read.items] == [240, 146]
    (problem,) = read.unread
    assert str(problem).startswith("l.csv line 2: must be a tablet's active area")


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("", ["l.csv: must list at least one item; got an empty list."]),
        ("label,size\n", ["l.csv: must list at least one item; got a header alone."]),
        (
            "label,widht_mm,height_mm\nx,1,2\n",
            ["line 1: the columns must give a size", "widht_mm: did you mean width?"],
        ),
        ("label,size\na,24x15mm,b\n", ["line 2: must have 2 cells, as the first line; got 3"]),
        (
            'label,size\na,"24,500x15mm"\nb,\nc,5x3\n',
            ["line 2: a comma before three", "line 3: needs its width", "line 4: a length needs"],
        ),
        ("size,turn_deg\n240x152mm,45\n", ["line 2: turn must be 0, 90, 180 or 270"]),
        (
            "240x152mm\nnonsense 1\nnonsense 2\n",
            ["line 2: must be a tablet's active area", "line 3: must be"],
        ),
        ('label,size\n"a\nb",0x3mm\n', ["line 3: tablet width_mm: must be greater than 0"]),
        (
            "@hid:/dev/hidraw0\nA: @connected\n",
            ["line 1: a list holds sizes", "line 2: a list holds sizes"],
        ),
        ("label,size\nA,@hid:secret\n", ["line 2: a list holds sizes, not references to hardware"]),
        ("label;width;height\nx;;3\n", ["line 2: needs its width and its height"]),
    ],
)
def test_each_problem_has_its_line(text, messages):
    with pytest.raises(RequestError) as caught:
        tablet_list(text.encode(), "l.csv")
    for message in messages:
        assert message in str(caught.value)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"\xff\xfe\x00", "must be text in UTF-8; got byte 0xff at 0"),
        (b"PNG\0", "a binary file"),
        (b"label,diagonal_in\na,27\n", "the columns must give the pixels"),
        (b'label,size\n"' + b"x" * 140_000 + b'",1', "must be CSV"),
        (b"label,size\n" + b"a,b\n" * 500, "has more problems than these"),
    ],
)
def test_a_list_that_is_none(content, message):
    with pytest.raises(RequestError, match=message):
        display_list(content, "l.csv")


labels = (
    st.text(min_size=1, max_size=20)
    .map(lambda text: " ".join(text.split()))
    .filter(
        lambda text: (
            text
            and not text.startswith("#")
            and "\0" not in text
            and not any(0xD800 <= ord(c) < 0xE000 for c in text)
        )
    )
)


@given(st.lists(st.tuples(labels, lengths_mm, lengths_mm), min_size=1, max_size=5))
def test_what_the_csv_module_writes_is_read_back(rows):
    """Oracle: the standard library's csv writer."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["label", "width_mm", "height_mm"])
    # Sixteen places: shorthand knows no exponent, and a length here is a plain decimal number.
    writer.writerows([label, f"{width:.16f}", f"{height:.16f}"] for label, width, height in rows)
    listed = tablet_list(out.getvalue().encode(), "x")
    assert [(tablet.label, tablet.width_mm, tablet.height_mm) for tablet in listed.items] == rows


@given(
    st.binary(max_size=200)
    | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace"))
)
def test_any_bytes_are_read_or_refused(content):
    for read in (tablet_list, display_list):
        try:
            assert read(content, "x").items
        except RequestError as error:
            assert str(error).startswith("x")


def test_a_letter_behind_a_kind_is_a_name():
    read = tablet_list(
        b"Pad A 146x96mm\nPad B 240x152mm\nPad C 168x104mm\nPad E 330x214mm\n", "list"
    )
    assert [each.label for each in read.items] == ["Pad A", "Pad B", "Pad C", "Pad E"]


def test_a_list_in_the_spreadsheet_s_own_letters_is_read_and_says_so():
    notes = []
    with hearing(notes.append):
        (tablet,) = tablet_list("Name;Fläche\nSüd;24 x 15,2 cm\n".encode("cp1252"), "shop").items
    assert tablet.label == "Süd"
    assert "Windows-1252" in notes[0]


def test_decimal_commas_that_could_be_put_together_two_ways_are_refused_with_their_line():
    with pytest.raises(RequestError, match="line 2: must have 3 cells"):
        tablet_list(b"label,width_cm,height_cm\nPad,22,4,15\n", "shop")


def test_notes_on_a_long_list_are_counted():
    notes = []
    with hearing(notes.append):
        tablet_list(b"24,5 x 15,2 cm\n" * 40, "shop")
    assert len(notes) < 12
    assert notes[0] == "shop line 1: read as 24.5x15.2cm"
    assert notes[-1] == "shop: 32 more notes of this kind"
