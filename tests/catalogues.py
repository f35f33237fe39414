"""Gathers every message of the interface and of the data files, and brings the catalogues up to date with them.

Run as `python -m tests.catalogues` after a text was added or changed; then translate what is listed as missing.
A language that is not there yet is begun by adding it to `journalgen.languages.LANGUAGES`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Final

import yaml
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from journalgen.house import themes_folder
from journalgen.knowledge import steps_text
from journalgen.knowledge.trade import STATEMENTS, cautions, deferring, safety_notices, statements
from journalgen.languages import DOMAINS, LANGUAGES, SOURCE
from journalgen.site.words import SENTENCES, TERMS

PACKAGE: Final = Path(__file__).parent.parent / "journalgen"
FOLDER: Final = PACKAGE / "languages"
_KEYWORDS: Final = {"_": None, "gettext": None, "ngettext": (1, 2), "mark": None}
_HEAD: Final = r"""msgid ""
msgstr ""
"Language: {language}\n"
"MIME-Version: 1.0\n"
"Content-Type: text/plain; charset=utf-8\n"
"Content-Transfer-Encoding: 8bit\n"
"Plural-Forms: {plurals}\n"

"""
_TEMPLATES: Final = {"trimmed": "true", "newstyle_gettext": "true", "silent": "false"}


def gather(domain: str) -> Catalog:
    """All messages of one domain as they stand now, in a settled order."""
    return _interface() if domain == "interface" else _knowledge()


def _interface() -> Catalog:
    found = Catalog(domain="interface")
    for folder, pattern, method in ((PACKAGE, "**.py", "python"), (themes_folder(), "**.html", "jinja2")):
        for file, _, message, _, _ in extract_from_dir(
            str(folder), method_map=[(pattern, method)], options_map={"**.html": _TEMPLATES}, keywords=_KEYWORDS
        ):
            # No line numbers: they change with every edit and would hide what did.
            found.add(message, locations=[(f"{folder.name}/{Path(file).as_posix()}", 0)])
    for text in sorted(TERMS | SENTENCES):  # constants of ledgers, which the gathering of literals does not see
        found.add(text, locations=[("journalgen/site/words.py", 0)])
    return found


def _knowledge() -> Catalog:
    found = Catalog(domain="knowledge")
    for text, note in _known_texts():
        found.add(text, auto_comments=[note])
    return found


def _known_texts() -> Iterator[tuple[str, str]]:
    steps = yaml.load(steps_text(), Loader=yaml.CBaseLoader)["steps"]  # noqa: S506 - texts only
    for row in steps.values():
        yield row["label"], "a step"
        for name in row.get("also called", ()):
            yield name, "another name of a step"
        yield row["family"], "a family of steps"
        yield row["source"], "where the figures of a step are from"
    for caution in (*cautions().values(), *safety_notices().values()):
        yield caution.title, "title of a caution"
        for sentence in caution.text:
            yield sentence, f"caution: {caution.title}"
        yield caution.source, "where a caution is from"
        yield caution.defer, "closes a caution"
    yield deferring(), "closes a caution"
    yield STATEMENTS, "where GHS statements are from"
    for statement in statements().values():
        yield statement.text, f"GHS statement {statement.code}"


def read_catalogue(domain: str, language: str) -> Catalog:
    """The catalogue as it is kept; an empty one where there is none yet."""
    file = FOLDER / f"{domain}.{language}.po"
    if not file.exists():
        return Catalog(locale=language, domain=domain)
    with file.open("rb") as source:
        return read_po(source, locale=language, domain=domain)


def write_catalogue(catalogue: Catalog, domain: str, language: str) -> None:
    """Writes a catalogue with no more in its head than reading it needs, so that only messages change."""
    messages = BytesIO()
    write_po(messages, catalogue, width=0, omit_header=True, include_lineno=False)
    head = _HEAD.format(language=language, plurals=catalogue.plural_forms)
    (FOLDER / f"{domain}.{language}.po").write_bytes(head.encode() + messages.getvalue().strip() + b"\n")


def main() -> int:
    """Brings every catalogue up to date; tells what wants translating."""
    missing = 0
    for domain in DOMAINS:
        template = gather(domain)
        for language in LANGUAGES:
            if language == SOURCE:
                continue
            kept = read_catalogue(domain, language)
            kept.update(template, no_fuzzy_matching=True)
            kept.obsolete.clear()
            write_catalogue(kept, domain, language)
            empty = [m.id for m in kept if m.id and not all(m.string if m.pluralizable else [m.string])]
            missing += len(empty)
            print(f"{domain}.{language}: {len(kept)} messages, {len(empty)} to translate")  # noqa: T201 - a tool
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
