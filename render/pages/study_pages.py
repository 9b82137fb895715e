"""A study as a web page, a document, slides or Markdown, each with its entries as CSV beside it."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from mapper.phrases import in_line, phrase
from mapper.problems import Problem, RequestError, one_of, quoted
from mapper.rect import Rect
from profiles.files import judge_names, make_folder, reason_of, write_whole
from profiles.library.personal import FoundBand
from profiles.library.trial_book import to_csv
from profiles.standard import is_standard
from render.canvas.draw import kind_of, pdf_pages, pixels, to_bytes
from render.canvas.lettering import LEADING, wrapped
from render.canvas.scene import Easel, Scene
from render.pictures.band_chart import band_chart_scene
from render.pictures.study_charts import (
    HIGH_MM,
    WIDE_MM,
    draw_table,
    grid_scene,
    people_scene,
    sizes_scene,
    table_fit,
    words_scene,
)
from render.pictures.study_charts import MARGIN_MM as PICTURE_MARGIN_MM
from render.sentences.languages import page_attributes
from render.sentences.say import paragraph, say, say_again, say_count
from render.sentences.study import Section, study_sections
from render.tables import markdown_lines, markdown_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from profiles.library.trial_book import Felt
    from profiles.library.tried import Study

TITLE = phrase("Which display goes with which tablet")
SLIDE_PX = (1920, 1080)
_ENDINGS = (".html", ".pdf", ".md")


def write_study(
    study: Study,
    *outs: str,
    before: Study | None = None,
    slide: str = "",
    theme: str = "light",
    force: bool = False,
) -> list[Path]:
    """Write ``study`` to ``outs`` and return the files that were written.

    Each name's ending says what is made: a page (.html), a document (.pdf), Markdown (.md) or,
    without an ending, a folder of slides. The entries go beside it as CSV, except where one
    ``slide`` alone is wanted, by its key, as a picture; a page and a document of one name share
    them. Raises RequestError for another ending, and for a file that exists unless ``force``, of
    all names before anything is written.
    """
    sections = study_sections(study, before)
    files: dict[Path, bytes] = {}
    for out in outs:
        files |= _files_of(study, sections, out, slide, theme)
    folders = [Path(out) for out in outs if not Path(out).suffix and not is_standard(out)]
    judge_names(files, force=force, new_folders=folders)
    for folder in folders:
        try:
            make_folder(folder)
        except OSError as error:
            raise RequestError(
                Problem(str(folder), phrase("could not be made"), reason_of(error))
            ) from None
    for path, content in files.items():
        write_whole(path, content, force=force)
    return list(files)


def _files_of(
    study: Study, sections: Sequence[Section], out: str, slide: str, theme: str
) -> dict[Path, bytes]:
    """The files that one name asks for, and their content."""
    target = Path(out)
    ending = target.suffix.lower()
    if slide:
        section = _section_with_key(sections, slide)
        content = to_bytes(
            _slide_of(study, section), kind_of(out), theme=theme, width_px=SLIDE_PX[0]
        )
        return {target: content}
    if is_standard(out):
        # The page alone: the entries have no place beside it.
        return {target: _html(study, sections, "", theme)}
    if ending not in {"", *_ENDINGS}:
        must = phrase(
            "the name must end in {endings}, or in nothing for a folder of slides",
            endings=", ".join(_ENDINGS),
        )
        instead = phrase("Type for example {file}", file="study.html")
        raise RequestError(Problem(out, must, quoted(target.suffix), instead))
    data = target / "entries.csv" if not ending else target.with_suffix(".csv")
    if not ending:
        files = _slides(study, sections, target, theme)
    else:
        made = {".html": _html, ".pdf": _pdf, ".md": _markdown}[ending](
            study, sections, data.name, theme
        )
        files = {target: made}
    files[data] = to_csv(_published(study)).encode()
    return files


def _published(study: Study) -> list[Felt]:
    """The entries under the names that are published.

    Where letters stand for names, notes are left out too, since they may name people.
    """
    from msgspec.structs import replace

    who = list(
        dict.fromkeys(entry.who or "" for entry in sorted(study.book, key=lambda each: each.date))
    )
    names = dict(zip(who, study.names, strict=True))
    if all(old == new for old, new in names.items()):
        return list(study.book)
    return [replace(entry, who=names[entry.who or ""] or None, note=None) for entry in study.book]


def scene_of(study: Study, section: Section, *, heading: bool = True) -> Scene | None:
    """The picture of a section, None where it has none.

    ``heading`` puts its statement on top; a page says it itself.
    """
    if section.picture == "grid":
        return grid_scene(study, section.statement, heading=heading)
    if section.picture == "sizes":
        return sizes_scene(study, section.statement, heading=heading)
    if section.picture == "people":
        return people_scene(study, section.statement, heading=heading)
    if section.picture == "band":
        kinds = {entry.doing for entry in study.book}
        doing = next(iter(kinds)) if len(kinds) == 1 else None
        found = FoundBand(study.bands[0], study.trials[0], study.practice, doing, "scale_factor")
        return band_chart_scene(found, section.statement, heading=heading)
    return None


def _slides(
    study: Study, sections: Sequence[Section], folder: Path, theme: str
) -> dict[Path, bytes]:
    files = {}
    for number, section in enumerate(sections, 1):
        scene = _slide_of(study, section)
        files[folder / f"{number:02}-{section.key}.png"] = to_bytes(
            scene, "png", theme=theme, width_px=SLIDE_PX[0]
        )
    return files


def _slide_of(study: Study, section: Section) -> Scene:
    return scene_of(study, section) or words_scene(
        section.statement,
        section.paragraphs + _rows_left_out(section),
        section.head,
        section.rows[:_MOST_ROWS],
    )


def _section_with_key(sections: Sequence[Section], key: str) -> Section:
    by_key = {section.key: section for section in sections}
    return by_key[one_of(key, by_key, "--slide")]


# More rows than these cannot be read on a slide.
_MOST_ROWS = 20


def _rows_left_out(section: Section) -> list[str]:
    left = len(section.rows) - _MOST_ROWS
    if left <= 0:
        return []
    return [
        say_count(
            "{count} more row is in the page and the document.",
            "{count} more rows are in the page and the document.",
            left,
        )
    ]


def _html(study: Study, sections: Sequence[Section], data_name: str, theme: str) -> bytes:
    from jinja2 import Environment, PackageLoader, select_autoescape

    pictures: dict[str, dict[str, str]] = {}
    for section in sections:
        scene = scene_of(study, section, heading=False)
        if scene is not None:
            svg = base64.b64encode(to_bytes(scene, "svg", theme=theme)).decode()
            pictures[section.key] = {"data": svg, "words": scene.description}
    environment = Environment(
        loader=PackageLoader("render", "pages"),
        autoescape=select_autoescape(),
        # Cells and headings hold names of others.
        finalize=lambda said: in_line(said) if isinstance(said, str) else said,
    )
    environment.globals["say"] = say
    page: Any = environment.get_template("study.html")
    text: str = page.render(
        language=page_attributes(),
        title=say_again(TITLE),
        sections=sections,
        pictures=pictures,
        data_name=data_name,
    )
    return text.encode()


def _markdown(study: Study, sections: Sequence[Section], data_name: str, theme: str) -> bytes:
    del study, theme
    lines = [f"# {say_again(TITLE)}", ""]
    for section in sections:
        lines += [f"## {markdown_text(section.statement)}", ""]
        for words in section.paragraphs:
            lines += [markdown_text(words), ""]
        if section.rows:
            lines += [*markdown_lines(section.head, section.rows, left=len(section.head)), ""]
    link = f"[{markdown_text(data_name)}]({quote(data_name)})"
    lines.append(say("Every number comes from the notes in {file}.", file=link))
    return ("\n".join(lines) + "\n").encode()


# -- the document

#: ISO 216 A4, upright.
_PAGE_MM, _MARGIN_MM = (210.0, 297.0), 18.0


def _pdf(study: Study, sections: Sequence[Section], data_name: str, theme: str) -> bytes:
    del theme
    flow = _Flow()
    flow.words(say_again(TITLE), "title", 8.0, bold=True)
    for section in sections:
        scene = scene_of(study, section, heading=False)
        flow.section(section, scene)
    source = say("Every number comes from the notes in {file}.", file=data_name)
    flow.words(source, "note", 3.2)
    return pdf_pages(flow.pages(), theme="print")


class _Flow:
    """Words, tables and pictures down A4 pages; what does not fit begins the next page."""

    def __init__(self) -> None:
        self.easels: list[Easel] = []
        self.descriptions: list[list[str]] = []
        self.width_mm = _PAGE_MM[0] - 2 * _MARGIN_MM
        self.begin_page()

    def begin_page(self) -> None:
        self.easels.append(Easel(*_PAGE_MM))
        self.descriptions.append([])
        self.y = _MARGIN_MM

    def make_room(self, high: float) -> None:
        if self.y + high > _PAGE_MM[1] - _MARGIN_MM - 6 and self.y > _MARGIN_MM:
            self.begin_page()

    def words(self, text: str, role: str, em: float, *, bold: bool = False) -> None:
        lines = wrapped(text, em, self.width_mm, bold=bold)
        self.descriptions[-1].append(text)
        for line in lines:
            self.make_room(em * LEADING)
            with self.easels[-1].block(_MARGIN_MM, self.width_mm):
                self.easels[-1].text(line, _MARGIN_MM, self.y, role, level="top", em_mm=em)
            self.y += em * LEADING
        self.y += 0.5 * em

    def section(self, section: Section, scene: Scene | None) -> None:
        # What is drawn reaches from margin to margin: the picture's own margins lie in those of the
        # page.
        picture_width_mm = self.width_mm * WIDE_MM / (WIDE_MM - 2 * PICTURE_MARGIN_MM)
        picture_height_mm = picture_width_mm * HIGH_MM / WIDE_MM if scene is not None else 0.0
        # The heading stays with its picture, or with the first lines under it.
        self.make_room(14 + (picture_height_mm or 18))
        self.y += 4
        self.words(section.statement, "heading", 5.0, bold=True)
        if scene is not None:
            self.easels[-1].image(
                pixels(scene, theme="print", width_px=1800),
                Rect(
                    _MARGIN_MM - (picture_width_mm - self.width_mm) / 2,
                    self.y,
                    picture_width_mm,
                    picture_height_mm,
                ),
            )
            self.descriptions[-1].append(scene.description)
            self.y += picture_height_mm + 3
        for words in section.paragraphs:
            self.words(words, "label", 3.5)
        if section.rows and section.picture != "grid":
            self.table([section.head, *section.rows])

    def table(self, table: list[list[str]]) -> None:
        """Draw a table whose cells wrap where their column is narrow."""
        em = 2.9
        fitted, widths = table_fit(table, em, self.width_mm)
        if fitted >= 2.5:
            for first in range(1, len(table), 40):
                part = [table[0], *table[first : first + 40]]
                self.make_room(len(part) * fitted * 1.75 if len(part) < 30 else 30)
                with self.easels[-1].block(_MARGIN_MM, self.width_mm):
                    draw_table(self.easels[-1], part, (_MARGIN_MM, self.y), fitted, widths)
                self.y += len(part) * fitted * 1.75 + 3
            return
        # Too wide for a line each: a row becomes its first cell and the others under it.
        for row in table[1:]:
            self.make_room(5 * em * LEADING)
            self.words(row[0], "fact", em, bold=True)
            for head, cell in zip(table[0][1:], row[1:], strict=True):
                self.y -= 0.4 * em
                self.words(f"{head}: {cell}", "label", em)

    def pages(self) -> list[Scene]:
        scenes = []
        for number, (easel, description) in enumerate(
            zip(self.easels, self.descriptions, strict=True), 1
        ):
            with easel.block(_MARGIN_MM, self.width_mm):
                easel.text(
                    say("{page} of {pages}", page=str(number), pages=str(len(self.easels))),
                    _PAGE_MM[0] - _MARGIN_MM,
                    _PAGE_MM[1] - 10,
                    "note",
                    anchor="end",
                )
            scenes.append(easel.scene(title=say_again(TITLE), description=paragraph(description)))
        return scenes
