"""The catalogues of messages: ``python -m tests.texts.languages`` brings all of them up to date.

It writes ``evenstroke.pot`` from the calls of the seam, puts new messages into each language's PO
file, takes out those that are gone, and compiles each language that is whole. ``--missing FOLDER``
also writes, for each language, a PO file that holds only what is still to be translated.
``--take LANGUAGE FILE`` first takes in the translations of a file.
"""

from __future__ import annotations

import json
import re
import sys
from io import BytesIO
from pathlib import Path
from typing import Any

from babel import Locale
from babel.messages import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from render.sentences.languages import ENGLISH, FOLDER, OWN_NAMES
from tests.texts.messages import messages

TEMPLATE = FOLDER / "evenstroke.pot"
CLDR = FOLDER / "cldr.json"
LANGUAGES = [code for code in OWN_NAMES if code != ENGLISH]
#: Scripts whose sentences follow each other without a space.
_WITHOUT_SPACES = {"ja"}
_HEADER = """\
# {language} of Evenstroke. Each slot in braces and each pair of square brackets stays as it is;
# both may move to another place of the sentence.
"""


def template() -> Catalog:
    """All messages, none of them translated."""
    made = _Undated(project="Evenstroke", version="1", fuzzy=False, header_comment=_HEADER)
    for message, places in messages().items():
        where = sorted({(place.file, 0) for place in places})
        text = (message.text, message.many) if message.many else message.text
        told = [place.function for place in places if place.function]
        made.add(
            text,
            locations=where,
            auto_comments=sorted(set(told)),
            context=message.context or None,
        )
    return made


def catalogue(language: str) -> Catalog:
    """A language's catalogue as its file holds it."""
    path = FOLDER / f"{language}.po"
    if not path.exists():
        return Catalog(locale=language, fuzzy=False)
    return read_po(BytesIO(path.read_bytes()), locale=language)


def updated(held: Catalog, language: str, given: Catalog | None = None) -> Catalog:
    """The messages of the program with the translations of ``held``, and first of ``given``."""
    made = template()
    new = _Undated(
        locale=language,
        project="Evenstroke",
        version="1",
        fuzzy=False,
        header_comment=_HEADER.format(language=OWN_NAMES[language]),
    )
    for message in made:
        if not message.id:
            continue
        copy = message.clone()
        for source in filter(None, (held, given)):
            found = source.get(key_of(copy), copy.context)
            alike = found and isinstance(found.id, tuple) == isinstance(copy.id, tuple)
            if alike and is_translated(found) and not found.fuzzy:
                copy.string = found.string
        new[copy.id] = copy
    return new


def key_of(message: Message) -> str:
    """The English text by which a message is found."""
    text = message.id
    return text[0] if isinstance(text, tuple) else text


def is_translated(message: Message) -> bool:
    """Whether a message has all its forms."""
    forms = message.string
    return bool(forms) and all(forms if isinstance(forms, tuple) else [forms])


def untranslated(made: Catalog) -> list[Message]:
    """The messages that have no translation."""
    return [each for each in made if each.id and not is_translated(each)]


class _Undated(Catalog):
    """A catalogue whose file stays the same where no message changes."""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        kept = ("Project-Id-Version", "Language", "Plural-Forms", "MIME-Version", "Content-Type")
        kept += ("Content-Transfer-Encoding",)
        return [(name, value) for name, value in super().mime_headers if name in kept]


def cldr(code: str) -> dict[str, Any]:
    """How a language writes numbers, lists and days in digits of Europe.

    Source: Unicode CLDR, as Babel holds it.
    """
    locale = Locale.parse(code)
    day = locale.datetime_skeletons["MMMMd"].pattern
    # Japanese numbers its months.
    months = list(locale.months["format"]["wide"].values()) if "MMMM" in day else range(1, 13)
    lists = locale.list_patterns["standard"]
    return {
        "decimal_mark": locale.number_symbols["latn"]["decimal"],
        "percent": locale.percent_formats[None].pattern,
        "list": [lists["middle"], lists["2"], lists["end"]],
        "list_or": [locale.list_patterns["or"][part] for part in ("middle", "2", "end")],
        "day": _slots(day),
        "day_of_year": _slots(locale.date_formats["long"].pattern),
        "months": [str(month) for month in months],
        "leftward": locale.text_direction == "rtl",
        "sentence_gap": "" if code in _WITHOUT_SPACES else " ",
    }


def _slots(pattern: str) -> str:
    """A pattern of CLDR, ``d 'de' MMMM``, as a template of ours."""
    return re.sub(r"'([^']*)'|MMMM|[Mdy]", lambda match: match[1] or _PARTS[match[0][0]], pattern)


_PARTS = {"M": "{month}", "d": "{day}", "y": "{year}"}


def po_text(made: Catalog) -> bytes:
    """A catalogue as a PO file, one line a message, without dates: what does not change stays."""
    into = BytesIO()
    for message in made:
        # A share, "{percent} %", is taken for a format of another kind.
        message.flags.discard("python-format")
    write_po(into, made, width=0, include_lineno=False)
    return into.getvalue()


def mo_bytes(made: Catalog) -> bytes:
    """A catalogue compiled."""
    into = BytesIO()
    write_mo(into, made)
    return into.getvalue()


def cldr_text() -> str:
    """The facts of all languages that differ from English in them, as the file holds them."""
    facts = {
        "source": "Unicode CLDR, through Babel; written by python -m tests.texts.languages",
        "languages": {code: cldr(code) for code in LANGUAGES},
    }
    return f"{json.dumps(facts, ensure_ascii=False, indent=1)}\n"


def main() -> None:
    """Bring the template, the catalogues and the compiled files up to date."""
    arguments = sys.argv[1:]
    taken: dict[str, Catalog] = {}
    missing = None
    while arguments:
        option = arguments.pop(0)
        if option == "--take":
            language, file = arguments.pop(0), arguments.pop(0)
            taken[language] = read_po(BytesIO(Path(file).read_bytes()), locale=language)
        elif option == "--missing":
            missing = Path(arguments.pop(0))
    CLDR.write_text(cldr_text(), "utf-8", newline="\n")
    made = template()
    TEMPLATE.write_bytes(po_text(made))
    print(f"{TEMPLATE.name}: {len(made)} messages")
    for language in LANGUAGES:
        new = updated(catalogue(language), language, taken.get(language))
        left = untranslated(new)
        (FOLDER / f"{language}.po").write_bytes(po_text(new))
        compiled = FOLDER / f"{language}.mo"
        if left:
            compiled.unlink(missing_ok=True)
        else:
            compiled.write_bytes(mo_bytes(new))
        print(f"{language}: {len(left)} messages are not translated")
        if missing:
            only = _Undated(locale=language, fuzzy=False)
            for message in left:
                only[message.id] = message
            missing.mkdir(parents=True, exist_ok=True)
            (missing / f"{language}.po").write_bytes(po_text(only))


if __name__ == "__main__":
    main()
