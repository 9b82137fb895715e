"""How marks look: three palettes of our own, and line, fill and lettering of every role.

A scene says what stands where and which role it plays; nothing in a scene is a colour. Sizes are
the same in every theme, so one scene serves them all. No meaning is carried by colour alone: what
the hand draws is solid, a true circle is dashed, what is out of use is hatched, and everything that
matters is also written.
"""

from __future__ import annotations

from dataclasses import dataclass

from mapper.problems import one_of

#: Colours by the part they play. ``hand`` and ``result`` differ in lightness as well as in hue
#: (blue and orange, the pair that the common kinds of colour blindness keep apart).
THEMES: dict[str, dict[str, str]] = {
    "light": {
        "ground": "#FAF8F3",
        "plate": "#FFFFFF",
        "ink": "#1E222B",
        "muted": "#555B67",
        "rule": "#7F828A",
        "hand": "#1B4B9C",
        "hand_tint": "#DFE9F8",
        "hand_rule": "#6685B8",
        "result": "#B3430B",
        "result_tint": "#FBE3D2",
        "result_rule": "#C07A52",
        "ghost": "#4A505C",
        "spare": "#E9E6DE",
        "spare_rule": "#82827C",
        "reach": "#FDF3EA",
        "beam": "#EFECE3",
        "bezel": "#2B303A",
        "glass": "#FFFFFF",
        "paper": "#FFFFFF",
        "paper_ink": "#1E222B",
    },
    "dark": {
        "ground": "#14171D",
        "plate": "#20252E",
        "ink": "#F4F1EA",
        "muted": "#B4BAC6",
        "rule": "#7D8492",
        "hand": "#8DBDFF",
        "hand_tint": "#1E304C",
        "hand_rule": "#6C8DBE",
        "result": "#FFA866",
        "result_tint": "#46301F",
        "result_rule": "#B98660",
        "ghost": "#D0D5DE",
        "spare": "#272B33",
        "spare_rule": "#858A94",
        "reach": "#2A221C",
        "beam": "#1B1F27",
        "bezel": "#8F96A3",
        "glass": "#191D24",
        "paper": "#FFFFFF",
        "paper_ink": "#1E222B",
    },
    "print": {
        "ground": "#FFFFFF",
        "plate": "#FFFFFF",
        "ink": "#000000",
        "muted": "#444444",
        "rule": "#8A8A8A",
        "hand": "#12386F",
        "hand_tint": "#FFFFFF",
        "hand_rule": "#8A8A8A",
        "result": "#8F3305",
        "result_tint": "#F0F0F0",
        "result_rule": "#808080",
        "ghost": "#333333",
        "spare": "#FFFFFF",
        "spare_rule": "#777777",
        "reach": "#FFFFFF",
        "beam": "#F7F7F7",
        "bezel": "#000000",
        "glass": "#FFFFFF",
        "paper": "#FFFFFF",
        "paper_ink": "#1E222B",
    },
}


@dataclass(frozen=True, slots=True)
class Style:
    """How a role looks: names of palette colours and sizes in mm of the sheet.

    ``fill`` and ``line`` name palette colours, empty for none; ``dash_mm`` alternates mark and gap,
    empty for solid; ``em_mm`` is the letter size of a text role. ``on`` names the grounds on which
    the role may lie, for the contrast check.
    """

    fill: str = ""
    line: str = ""
    width_mm: float = 0.0
    dash_mm: tuple[float, ...] = ()
    em_mm: float = 0.0
    bold: bool = False
    on: tuple[str, ...] = ("ground",)


_EVERYWHERE = ("ground", "plate", "glass", "beam")

#: Every role there is. A module that needs a new one adds it here, with the grounds it may lie on.
ROLES: dict[str, Style] = {
    # Lettering.
    "title": Style(fill="ink", em_mm=8.0, bold=True),
    "subtitle": Style(fill="muted", em_mm=3.9),
    "heading": Style(fill="ink", em_mm=4.2, bold=True, on=_EVERYWHERE),
    "label": Style(fill="ink", em_mm=3.4, on=(*_EVERYWHERE, "hand_tint")),
    "note": Style(fill="muted", em_mm=3.4, on=_EVERYWHERE),
    "fact": Style(fill="ink", em_mm=3.4, bold=True, on=_EVERYWHERE),
    "number": Style(fill="ink", em_mm=7.4, bold=True),
    "hand-label": Style(fill="hand", em_mm=3.4, bold=True, on=(*_EVERYWHERE, "hand_tint")),
    "result-label": Style(
        fill="result", em_mm=3.4, bold=True, on=(*_EVERYWHERE, "result_tint", "reach", "hand_tint")
    ),
    "chip": Style(fill="ink", em_mm=3.4, on=("plate",)),
    "chip-ground": Style(fill="plate"),
    # Things on the desk.
    "plate": Style(fill="plate", line="bezel", width_mm=0.5),
    "bezel": Style(fill="bezel", line="bezel", width_mm=0.3),
    "glass": Style(fill="glass"),
    "spare": Style(fill="spare"),
    "spare-hatch": Style(line="spare_rule", width_mm=0.22, on=("spare",)),
    "area-edge": Style(line="hand", width_mm=0.5, on=("plate", "spare", "hand_tint")),
    "screen-edge": Style(line="result", width_mm=0.5, on=("glass", "spare")),
    "reach": Style(fill="reach"),
    "frame": Style(line="ink", width_mm=0.4, on=("plate", "spare", "ground")),
    "scale-bar": Style(line="ink", width_mm=0.4),
    "beam": Style(fill="beam"),
    "rule": Style(line="rule", width_mm=0.25, on=_EVERYWHERE),
    "arrow": Style(line="muted", width_mm=0.4, on=_EVERYWHERE),
    "arrow-head": Style(fill="muted", on=_EVERYWHERE),
    "leader": Style(line="muted", width_mm=0.25, on=(*_EVERYWHERE, "spare", "hand_tint")),
    # What is drawn and what it becomes.
    "hand-ground": Style(fill="hand_tint"),
    "hand-grid": Style(line="hand_rule", width_mm=0.2, on=("hand_tint",)),
    "hand-fill": Style(fill="plate"),
    "hand": Style(line="hand", width_mm=0.8, on=("hand_tint", "plate")),
    "result-grid": Style(line="result_rule", width_mm=0.2, on=("glass",)),
    "result-fill": Style(fill="result_tint"),
    "ghost-fill": Style(fill="glass"),
    "result": Style(
        line="result", width_mm=0.9, on=("glass", "result_tint", "reach", "ground", "hand_tint")
    ),
    "ghost": Style(
        line="ghost", width_mm=0.45, dash_mm=(1.6, 1.1), on=("glass", "result_tint", "reach")
    ),
    "hand-thin": Style(line="hand", width_mm=0.35, on=("hand_tint", "plate")),
    "result-thin": Style(line="result", width_mm=0.4, on=("glass", "result_tint", "reach")),
    # A live picture: what can be pulled, and what a shape became, in its middle.
    "hand-dimension": Style(line="hand", width_mm=0.4),
    "result-dimension": Style(line="result", width_mm=0.4),
    "result-word": Style(fill="ink", em_mm=4.4, bold=True, on=("glass", "result_tint", "reach")),
    # Somebody's own drawing, with its own colours, and the white paper it lies on in every theme.
    "paper-edge": Style(line="rule", width_mm=0.2, on=("hand_tint", "glass", "reach", "paper")),
    "paper-fill": Style(fill="paper"),
    "ink-line": Style(line="paper_ink", width_mm=0.5, on=("paper",)),
    "drawing": Style(),
    "image": Style(),
    # Paper at true size.
    "stencil-edge": Style(line="ink", width_mm=0.35),
    "stencil-area": Style(line="hand", width_mm=0.6),
    "stencil-trace": Style(line="ink", width_mm=0.25),
    "stencil-mark": Style(line="muted", width_mm=0.25),
    "stencil-hold": Style(line="muted", width_mm=0.3, dash_mm=(2.0, 1.2)),
    "stencil-join": Style(line="muted", width_mm=0.25, dash_mm=(3.0, 2.0)),
    "stencil-rule": Style(line="ink", width_mm=0.25),
    "stencil-tick": Style(line="ink", width_mm=0.15),
    # A trace: what was fitted, what was meant, and how far the hand strayed.
    "fit-line": Style(line="result", width_mm=0.4, on=("glass",)),
    "meant-line": Style(line="ghost", width_mm=0.4, dash_mm=(1.6, 1.1), on=("glass",)),
    "stray-line": Style(line="hand", width_mm=0.4, on=("glass",)),
    # Charts: a comfortable band, and what lies in and out of it.
    "band": Style(fill="hand_tint"),
    "band-outlined": Style(fill="hand_tint", line="hand_rule", width_mm=0.3, on=("hand_tint",)),
    "band-edge": Style(line="hand", width_mm=0.35, on=("ground", "hand_tint")),
    "curve": Style(line="hand", width_mm=0.8, on=("ground", "hand_tint")),
    "result-dot": Style(fill="result", line="result", width_mm=0.3, on=("ground", "hand_tint")),
    "sight": Style(line="hand", width_mm=0.4, on=("ground", "hand_tint")),
    "eye-level": Style(line="muted", width_mm=0.3, on=("ground", "hand_tint")),
    "body": Style(fill="spare", line="spare_rule", width_mm=0.4, on=("ground",)),
    "word-ground": Style(fill="ground"),
    "size-suits": Style(fill="hand", line="hand", width_mm=0.4),
    "size-perhaps": Style(fill="hand_tint", line="hand", width_mm=0.5),
    "size-no": Style(fill="ground", line="rule", width_mm=0.3),
    "lane-rule": Style(line="beam", width_mm=0.3, on=()),
    "doubt": Style(line="result", width_mm=0.3, on=("ground", "hand_tint")),
    "dot": Style(fill="hand", line="hand", width_mm=0.3, on=("ground", "hand_tint")),
    "dot-out": Style(fill="ground", line="muted", width_mm=0.5, on=("ground", "hand_tint")),
}


def palette(theme: str) -> dict[str, str]:
    """The colours of ``theme``. Raises RequestError for an unknown one."""
    return THEMES[one_of(theme, THEMES, "theme")]


def style(role: str) -> Style:
    """The style of ``role``.

    Raises KeyError for a role that is not in ROLES, which is a mistake in our code, not the user's.
    """
    return ROLES[role]


def luminance(colour_hex: str) -> float:
    """Relative luminance of ``#RRGGBB`` by WCAG 2.2, from 0 (black) to 1 (white)."""
    channels = (int(colour_hex[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one_hex: str, other_hex: str) -> float:
    """The contrast ratio of two colours by WCAG 2.2, from 1 (the same) to 21.

    The formula is ``(L1 + 0.05) / (L2 + 0.05)``, L1 being the lighter colour's ``luminance``.
    """
    lighter, darker = sorted((luminance(one_hex), luminance(other_hex)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)
