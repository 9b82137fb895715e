"""The words that shops, forums and spreadsheets use for tablets and displays.

Plain tables: ``profiles.pasted`` reads lines with them, ``profiles.lists`` the headings of columns.
The languages are English, German, French, Spanish, Italian, Portuguese, Dutch, Polish, Japanese and
Chinese, with the units of Russian, Arabic, Korean, Turkish, Czech and the Nordic languages too
(common practice, no source). All words
are written as ``folded`` makes them: in small letters without accents.
"""

from __future__ import annotations

import re
import unicodedata


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


def _phrases(text: str) -> tuple[str, ...]:
    return tuple(" ".join(phrase.split()) for phrase in text.split(","))


#: Units of length as they are written, to the three that shorthand knows.
UNITS = {
    word: unit
    for unit, listed in {
        "mm": """
            mm millimeter millimeters millimetre millimetres millimetri millimetro
            milimetro milimetros milimetr ミリ ミリメートル 毫米
            мм миллиметр миллиметра миллиметров ملم مم مليمتر ملليمتر ميليمتر مليمترا
        """,
        "cm": """
            cm centimeter centimeters centimetre centimetres zentimeter zentimetern
            centimetri centimetro centimetros センチ センチメートル 厘米 公分
            см сантиметр сантиметра сантиметров سم سنتيمتر سنتمتر سنتيمترا
        """,
        "in": """
            in inch inches " zoll pouce pouces po pulgada pulgadas pulg pollice pollici
            polegada polegadas duim cal cale cali インチ 型 英寸 吋 寸
            дюйм дюйма дюимов дюим дюима بوصة بوصه بوصات انش 인치 tum tommer tuumaa palcu inc
        """,
    }.items()
    for word in listed.split()
}

#: Units of length in a sentence about a desk: those above, metres, feet, and the R of a curve's
#: radius, which is in mm.
LONG_UNITS = {
    **UNITS,
    **dict.fromkeys(
        ("metre", "metres", "meter", "meters", "metro", "metros", "metri", "メートル", "متر"), "m"
    ),
    **dict.fromkeys(("foot", "feet", "fuss", "pied", "pieds"), "ft"),
    "r": "mm",
}
#: A word for a length that was not measured, before its number: ``about 28 inches``.
ABOUT = re.compile(
    r"^\s*(?:about|around|roughly|approx\.?|ca\.?|circa|etwa|environ|unos|~|≈)\s+(?=[\d.])",
    re.IGNORECASE,
)

PIXELS = _words(
    """
    px pixel pixels pixeln bildpunkte bildpunkten bildpunkter pixeles pixeis pikseli
    ドット ピクセル 画素 像素 пикселеи пиксель пикселя
    """
)

#: What stands between two sides, besides x, the times sign and the asterisk.
BY = ("by", "bij", "mal", "par", "por", "per", "sur", "auf", "su", "op", "na", "на")

WIDTH = _words(
    """
    width wide broad w breite breit b largeur large ancho anchura larghezza largo largura
    breedte breed szerokosc 幅 横 横幅 宽 宽度 ширина
    """
)
HEIGHT = _words(
    """
    height high tall h hoehe hohe hoch hauteur haut alto altura altezza hoogte hoog wysokosc
    高さ 縦 高 高度 высота
    """
)
#: The shorter side of a flat thing, where no height is named.
DEPTH = _words(
    """
    depth deep tiefe tief profondeur fondo profundidad profundo profundidade profondita
    glebokosc diepte diep 奥行 奥行き 深 深度 глубина
    """
)
#: Letters for a side. They do not mean the same side in all languages.
SIDE_LETTERS = _words("w b h l a d t p v")
DIAGONAL = _words(
    """
    diagonal diagonale diagonaal przekatna bildschirmdiagonale bilddiagonale 対角 对角线
    """
)

VISIBLE = _words("viewable visible sichtbar sichtbare visibile visibles")

#: The part of a tablet or display that counts, as it is called before or after its size.
ACTIVE = _phrases(
    """
    active, working area, work area, drawing area, visible area, screen area,
    aktiv, aktive, aktiver, aktivbereich, arbeitsflache, arbeitsbereich, zeichenflache,
    zeichenbereich, bildflache, nutzflache, sichtbare flache,
    surface de travail, zone de travail, surface de dessin, zone de dessin, surface visible,
    surface utile, zone utile,
    activa, activo, area de trabajo, area de dibujo, area visible, area util,
    attiva, attivo, area di lavoro, area di disegno, area visibile, area utile,
    ativa, area de trabalho, actief, werkgebied, aktywny, obszar roboczy,
    рабочая область, 作業領域, 作業エリア, 有効範囲, 有効エリア, 入力範囲, 読取範囲, 読取可能範囲,
    読み取り可能範囲, 表示領域, 表示面積, アクティブエリア, 有效区域, 工作区域
    """
)

#: The body around that part, whose size is not wanted.
OUTER = _phrases(
    """
    outer, overall, case, housing, body, footprint, dimensions, product size,
    aussenmasse, abmessungen, masse, gehause, dimension, encombrement, medidas, dimensiones,
    dimensioni, ingombro, dimensoes, afmetingen, wymiary, vesa,
    外形, 外形寸法, 本体サイズ, 本体寸法, 外观尺寸
    """
)

#: The nouns of a resolution such as 3810 lines per inch, its ``per``, and its short forms.
COUNTED = _words(
    """
    counts count lines line linien linie lignes ligne lineas linea linee linhas linha lijnen
    linii ライン 本 线 points dots
    """
)
PER = _words("per pro par por al a op na")
PER_INCH = _words("lpi cpi lpp")
PER_MM = _words("lpmm l/mm")

#: Where one of these is written, a name such as QHD means more than its usual pixels.
VERY_WIDE = _phrases(
    """
    ultrawide, ultra-wide, ultra wide, ultrabreit, ultrapanor, ウルトラワイド, 21:9, 32:9, 带鱼屏
    """
)

TABLETS = _words(
    """
    tablet tablets pad pads tablett zeichentablett grafiktablett stifttablett tablette tableta
    tavoletta tekentablet ペンタブレット ペンタブ タブレット 数位板
    """
)
DISPLAYS = _words(
    """
    display displays monitor monitors screen tv bildschirm fernseher ecran moniteur televiseur
    pantalla televisor schermo televisore tela scherm beeldscherm
    モニター モニタ ディスプレイ 液晶モニター 显示器 монитор شاشة 모니터
    """
)

#: Units and nouns of figures that are no size: what stands before a size with one of these is no
#: name.
OTHER_UNITS = _words(
    """
    hz khz ms nit nits cd lb lbs oz kg g w v ppi dpi px keys key tasten touches teclas tasti
    levels stufen niveaux % ° grad fps
    """
)

#: The system's zoom, and what may stand between it and its number.
SCALING = _phrases(
    """
    zoom, scale, scaling, scaled, skalierung, skaliert, echelle, mise a l'echelle, escala,
    escalado, scala, ridimensionamento, schaal, skala, 拡大, 拡大率, 表示倍率, 缩放
    """
)
AT = _words("at to of bei auf von a de al")
#: More than one display.
SEVERAL = _phrases(
    """
    two, both, dual, twin, pair of, zwei, doppel, deux, double, dos, doble, due, doppio, dois,
    twee, デュアル
    """
)

#: Columns of a list of tablets or displays, each with the headings that name it.
_HEADINGS = {
    "label": """
        name label model title product item designation bezeichnung modell produkt artikel gerat
        nom modele produit article nombre modelo producto articulo nome modello prodotto articolo
        produto naam model nazwa 名前 名称 型番 製品名 品名 型号 产品
    """,
    "size": """
        size area format grosse flache taille tamano dimensione tamanho formaat rozmiar
        サイズ 大きさ 画面サイズ 尺寸 bildschirmgrosse displaygrosse
    """,
    "resolution": """
        resolution auflosung resolucion risoluzione resolucao resolutie rozdzielczosc definition
        解像度 分辨率
    """,
    "turn_deg": "turn drehung rotation giro rotazione 回転",
}
#: Columns of a log of days of trying, likewise.
_LOG_HEADINGS = {
    "date": "date day datum tag fecha dia data giorno jour dzien 日付",
    "score": """
        score rating mark felt bewertung wertung punkte gefuhl evaluation puntuacion valoracion
        punteggio voto valutazione ocena cijfer 評価 点数 评分
    """,
    "who": "who name person wer qui quien chi nom nombre nome naam 名前",
    "doing": "doing work arbeit tatigkeit travail trabajo lavoro werk praca 作業 用途",
    "minutes": "minutes minuten min minutos minuti minuty 分 時間_分",
    "distance": "distance abstand entfernung distancia distanza afstand odleglosc 距離",
    "first day": "first_day erster_tag premier_jour primer_dia primo_giorno 初日",
    "note": """
        note notes comment comments remark remarks bemerkung bemerkungen kommentar notiz notizen
        commentaire remarque comentario observaciones commento osservazioni opmerking uwagi
        メモ 備考 备注
    """,
}


def _by_word(columns: dict[str, str]) -> dict[str, str]:
    return {word: column for column, listed in columns.items() for word in listed.split()}


_SIDES = {
    **dict.fromkeys(WIDTH, "width"),
    **dict.fromkeys(HEIGHT, "height"),
    **dict.fromkeys(DEPTH, "depth"),
    **dict.fromkeys(DIAGONAL, "diagonal"),
}
HEADINGS = _by_word(_HEADINGS) | _SIDES
LOG_HEADINGS = (
    _by_word(_LOG_HEADINGS) | dict.fromkeys(TABLETS, "tablet") | dict.fromkeys(DISPLAYS, "display")
)

#: Words of a heading that say nothing of which column it is.
FILLERS = (
    TABLETS
    | DISPLAYS
    | PER
    | COUNTED
    | _words(
        """
        active aktive aktiver activa activo attiva attivo ativa visible sichtbare visibile nutzbare
        the of de der des du del della dell d do da di in en em
        count deg degrees grad 画面 表示
        """
    )
)

#: Words for a kind of thing: together they make no label, and are not worth naming when they are
#: left aside.
KINDS = (
    FILLERS
    | DIAGONAL
    | PIXELS
    | _by_word(_HEADINGS).keys()
    | {word for phrase in (*ACTIVE, *OUTER) for word in phrase.split()}
    | _words(
        """
        panel pen drawing graphics working bereich gebied aire zona superficie
        proportions aspect ratio seitenverhaltnis zeichenflache outer ワイド 液晶 約
        with and approx about ca circa die das mit von und im etwa la le les avec et environ
        el los las con y il lo e a
        """
    )
)

_FOLD = str.maketrans({"ß": "ss", "ł": "l", "ø": "o", "æ": "ae", "œ": "oe"})


def folded(text: str) -> str:
    """``text`` in small letters and without accents.

    Characters of one meaning take one form (Unicode NFKD); Japanese voiced marks stay.
    """
    apart = unicodedata.normalize("NFKD", text.casefold().translate(_FOLD))
    plain = "".join(
        char for char in apart if not unicodedata.combining(char) or char in "\u3099\u309a"
    )
    return unicodedata.normalize("NFC", plain)


def last_place(text: str, phrases: tuple[str, ...]) -> int:
    """The place in ``text`` where the last of the ``phrases`` begins, -1 where none is there.

    ``text`` is folded; a phrase counts as whole words only.
    """
    found = re.finditer(rf"(?<![a-z])(?:{'|'.join(map(re.escape, phrases))})(?![a-z])", text)
    return max((match.start() for match in found), default=-1)


def is_about_the_body(text: str) -> bool:
    """Whether ``text`` speaks of the body around the part that counts."""
    return last_place(folded(text), OUTER) >= 0


_ONE_OF_SEVERAL = re.compile(r"\s[A-Z]$")


def names_a_kind(text: str) -> bool:
    """Whether ``text`` names a kind of thing only: tablet, active area, Auflösung.

    Pad A is no kind: it is one of several.
    """
    return not _ONE_OF_SEVERAL.search(text) and all(
        word in KINDS for word in re.findall(r"[^\W\d_]+", folded(text))
    )
