"""Texts that a person reads, out of what shows them: HTML with its SVG, and scripts."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

#: What stands inside a line; all else begins a line of its own.
_INLINE = frozenset(
    "a abbr b bdi br button code em i input label option output s small span strong".split()
)
_VOID = frozenset("br col hr img input link meta path rect ellipse circle line".split())
#: What is pressed or filled in stands in brackets.
_PRESSED = frozenset(("a", "button"))
#: What is read aloud, or stands in an empty line.
_READ = {
    "aria-label": "aloud",
    "aria-valuetext": "aloud",
    "alt": "aloud",
    "title": "on pointing",
    "placeholder": "example",
}

# A comment, a string or a template of JavaScript, with what makes it a name of the page's own. A
# comment follows a space or begins a line: two strokes also stand in an address.
_SCRIPT = re.compile(
    r"""
    (?P<comment> (?:^|(?<=\s))//[^\n]* | /\*.*?\*/ )
    | (?P<named> (?:querySelector(?:All)?|closest|matches|matchMedia|toggle)\(
               | "?class"?[,:]\  | \?\ (?="n\ ) | :\ (?="n")
      )?
      (?P<text> "(?:\\.|[^"\\\n])*"
              | '(?:\\.|[^'\\\n])*'
              | `(?:\\. | \$\{ (?:[^{}`]|`[^`]*`)* \} | [^`\\] )*` )
    """,
    re.VERBOSE | re.DOTALL | re.MULTILINE,
)
# Two words with a space between them, or one word with a capital letter.
_WORDS = re.compile(r"[A-Za-z}][,.:;]? [A-Za-z$(]|^[A-Z][a-z]+[.!?]?$")
# Marks of SVG, selectors, a place, keys.
_CODE = re.compile(
    r"^<(?!title)|^[.#:\[(]|px$|^translate|pulled$|^(Arrow\w+|Escape|Enter|Home|End)$"
)


def one_line(text: str) -> str:
    """``text`` with each run of white space as one space."""
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " ")).strip()


def html_lines(html: str) -> list[str]:
    """Each line of a page or a picture, then what is read aloud of it."""
    reader = _Html()
    reader.feed(html)
    reader.close()
    reader.end_line()
    return reader.lines


class _Html(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = []
        self.line = ""
        self.aloud: list[str] = []
        self.within: list[str] = []
        self.json = False
        self.opened = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = {name: value or "" for name, value in attrs}
        if tag not in _INLINE or "way" in named.get("class", "").split():
            self.end_line()
        if tag in _PRESSED:
            self.line += "["
        elif tag in {"br", "input", "option", "small", "span"}:
            self.line += " "
        if tag == "option" and "value" in named:
            self.line += named["value"]
        self.aloud += [
            f"({kind}) {one_line(named[name])}" for name, kind in _READ.items() if named.get(name)
        ]
        self.json = tag == "script" and named.get("type") == "application/json"
        if tag not in _VOID:
            self.within.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in _PRESSED and not self.opened:
            self.line = f"{self.line.rstrip()}]"
        if tag not in _INLINE:
            self.end_line()
        if tag in self.within:
            while self.within.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        if self.json:
            self.end_line()
            self.lines += json_lines(json.loads(data))
            self.json = False
        elif not {"script", "style"}.intersection(self.within):
            if self.opened and data.strip() and "svg" not in self.within:
                self.line, self.opened = "[", False
            self.line += data

    def end_line(self) -> None:
        line = one_line(self.line).replace("[ ", "[").replace("][", "] [").replace(" ]", "]")
        if re.search(r"\w", line):
            self.lines.append(line)
        elif line.endswith("["):
            # A button that begins with a picture: what is written on it comes later.
            self.opened = True
        self.lines += self.aloud
        self.line, self.aloud = "", []


def json_lines(value: object) -> list[str]:
    """Each text of plain data that has a space in it; of a long list the first and the last."""
    if isinstance(value, str):
        return [one_line(value)] if " " in value else []
    if isinstance(value, dict):
        return [line for each in value.values() for line in json_lines(each)]
    if isinstance(value, list):
        shown = value
        if len(value) > 4:
            shown = [value[0], value[-1]]
        return [line for each in shown for line in json_lines(each)]
    return []


def script_lines(script: str) -> list[str]:
    """Each string and template of JavaScript that looks like words."""
    found = [
        match["text"] for match in _SCRIPT.finditer(script) if match["text"] and not match["named"]
    ]
    texts = [one_line(text[1:-1].replace("\\n", " ")) for text in found]
    return [
        text
        for text in texts
        if _WORDS.search(text)
        and not _CODE.search(text)
        and re.search(r"[A-Za-z]{2}", re.sub(r"\$\{[^}]*\}", "", text))
    ]
