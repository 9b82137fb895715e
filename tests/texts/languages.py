"""The catalogues of messages: ``python -m tests.texts.languages`` brings all of them up to date.

It writes ``evenstroke.pot`` from the calls of the seam, puts new messages into each language's PO
file, takes out those that are gone, and compiles what is translated. ``--missing FOLDER`` also
writes, for each language, a PO file that holds only what is still to be translated.
``--take LANGUAGE FILE`` first takes in the translations of a file.
"""

from __future__ import annotations

import sys
from io import BytesIO
from pathlib import Path

from babel.messages import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from tests.texts.messages import ROOT, messages

FOLDER = ROOT / "render/sentences/languages"
TEMPLATE = FOLDER / "evenstroke.pot"
#: The languages, each in its own name.
LANGUAGES = {"de": "Deutsch", "fr": "Français", "es": "Español", "ja": "日本語", "ar": "العربية"}
_HEADER = """\
# {language} of Evenstroke. Each slot in braces and each pair of square brackets stays as it is;
# both may move to another place of the sentence.
"""


def template() -> Catalog:
    """All messages, none of them translated."""
    made = Catalog(project="Evenstroke", version="1", fuzzy=False, header_comment=_HEADER)
    for message, places in messages().items():
        where = sorted({(place.file, 0) for place in places})
        text = (message.text, message.many) if message.many else message.text
        told = [place.function for place in places if place.function]
        made.add(
            text,
            locations=where,
            auto_comments=sorted(set(told)),
            context=message.context or None,
            flags=["python-brace-format"] if "{" in message.text else [],
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
    new = Catalog(
        locale=language,
        project="Evenstroke",
        version="1",
        fuzzy=False,
        header_comment=_HEADER.format(language=LANGUAGES[language]),
    )
    for message in made:
        if not message.id:
            continue
        copy = message.clone()
        for source in filter(None, (held, given)):
            found = source.get(key_of(copy), copy.context)
            if found is not None and is_translated(found) and not found.fuzzy:
                if isinstance(found.id, tuple) == isinstance(copy.id, tuple):
                    copy.string = found.string
        new[copy.id] = copy
    return new


def key_of(message: object) -> str:
    """The English text by which a message is found."""
    text = message.id  # type: ignore[attr-defined]
    return text[0] if isinstance(text, tuple) else text


def is_translated(message: object) -> bool:
    """Whether a message has all its forms."""
    forms = message.string  # type: ignore[attr-defined]
    return bool(forms) and all(forms if isinstance(forms, tuple) else [forms])


def untranslated(made: Catalog) -> list[object]:
    """The messages that have no translation."""
    return [each for each in made if each.id and not is_translated(each)]


def po_text(made: Catalog) -> bytes:
    """A catalogue as a PO file, one line a message, without dates: what does not change stays."""
    into = BytesIO()
    write_po(into, made, width=0, include_lineno=False, omit_header=False)
    lines = into.getvalue().decode().splitlines(keepends=True)
    dated = ("POT-Creation-Date", "PO-Revision-Date", "Last-Translator", "Language-Team")
    dated += ("Generated-By", "Report-Msgid-Bugs-To")
    return "".join(
        line for line in lines if not line.startswith(tuple(f'"{name}' for name in dated))
    ).encode()


def mo_bytes(made: Catalog) -> bytes:
    """What is translated of a catalogue, compiled."""
    into = BytesIO()
    whole = Catalog(locale=made.locale, project=made.project, version=made.version)
    for message in made:
        if message.id and is_translated(message):
            whole[message.id] = message
    write_mo(into, whole)
    return into.getvalue()


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
    FOLDER.mkdir(exist_ok=True)
    made = template()
    TEMPLATE.write_bytes(po_text(made))
    print(f"{TEMPLATE.name}: {len(made)} messages")
    for language in LANGUAGES:
        new = updated(catalogue(language), language, taken.get(language))
        left = untranslated(new)
        (FOLDER / f"{language}.po").write_bytes(po_text(new))
        (FOLDER / f"{language}.mo").write_bytes(mo_bytes(new))
        print(f"{language}: {len(left)} messages are not translated")
        if missing:
            only = Catalog(locale=language, fuzzy=False)
            for message in left:
                only[message.id] = message  # type: ignore[attr-defined]
            missing.mkdir(parents=True, exist_ok=True)
            (missing / f"{language}.po").write_bytes(po_text(only))


if __name__ == "__main__":
    main()
