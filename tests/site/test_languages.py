"""Every word of a page is either the journal's own or comes through the catalogues, and the catalogues are whole.

The example journal is rewritten in Greek letters and shown in a Greek locale, with a catalogue that puts
every message between brackets. Latin letters outside brackets are then words that no catalogue could translate.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from gettext import NullTranslations
from typing import Any

import pytest
from babel.messages.catalog import Catalog, Message
from lxml import etree, html
from lxml.html import HtmlElement
from msgspec import Struct
from msgspec.structs import fields, replace

from journalgen.house import example_folder, trade_lore
from journalgen.knowledge import unit_systems
from journalgen.languages import DOMAINS, LANGUAGES, SOURCE, load_words
from journalgen.ledgers.figures import compute
from journalgen.pictures.model import Fault
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.records import Journal
from journalgen.site.matter import OWNER, PUBLIC, Matter, material_slugs, part_slugs, step_slugs
from journalgen.site.pages import render_pages
from journalgen.site.said import Said
from journalgen.site.words import SENTENCES, TERMS
from tests.catalogues import gather, read_catalogue
from tests.site.samples import THEME, edition

OTHERS = tuple(language for language in LANGUAGES if language != SOURCE)
GREEK = str.maketrans("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
                      "αβψδεφγηιξκλμνοπϙρστθωϛχυζΑΒΨΔΕΦΓΗΙΞΚΛΜΝΟΠϘΡΣΤΘΩϚΧΥΖ")  # fmt: skip

_WHOLE = ("Place", "Amount", "Money", "Duration", "Window", "Limits", "Rectangle")
_KEPT = {
    "Settings": ("home_currency", "locale", "language", "units", "address"),
    "WorkLine": ("step",), "Purchase": ("kind",), "Decision": ("do",), "Found": ("severity",),
    "Photo": ("file", "shows"), "PairChoice": ("before", "after"),
    "Session": ("page",), "Part": ("route", "decision", "safety"),
    "Material": ("colour", "hazards"), "Supplier": ("site",),
    "Step": ("key", "family", "cautions", "label", "also_called", "source"), "Route": ("name", "steps"),
}  # fmt: skip
"""What is no word of the journal's: fixed terms, codes, files, and what the program itself brings."""


def in_greek(value: Any) -> Any:
    """The records with every word of the journal's own in Greek letters."""
    if isinstance(value, str):
        return value.translate(GREEK)
    if isinstance(value, tuple):
        return tuple(map(in_greek, value))
    if isinstance(value, dict):
        return {in_greek(key): in_greek(row) for key, row in value.items()}
    if not isinstance(value, Struct) or type(value).__name__ in _WHOLE:
        return value
    kept = _KEPT.get(type(value).__name__, ())
    changed = {f.name: in_greek(getattr(value, f.name)) for f in fields(value) if f.name not in kept}
    return replace(value, **changed)


class Marking(NullTranslations):
    """A catalogue that leaves every message as it is, between brackets."""

    def gettext(self, message: str) -> str:
        return f"⟦{message}⟧"

    def ngettext(self, one: str, many: str, n: int) -> str:
        assert type(n) is int, many  # other catalogues choose by it
        return f"⟦{one if n == 1 else many}⟧"


@cache
def greek_journal() -> Journal:
    journal = read_journal(example_folder()).journal
    sessions = tuple(replace(s, body="μία λέξη", blocks=(), references=()) for s in journal.sessions)
    settings = replace(journal.settings, locale="el_GR", hide=frozenset())
    return replace(
        journal,
        settings=replace(in_greek(settings), targets=(), rates=settings.rates),
        sessions=tuple(map(in_greek, sessions)),
        parts=in_greek(journal.parts),
        materials=in_greek(journal.materials),
        suppliers=in_greek(journal.suppliers),
    )


def marked_pages(shown: str, on: date) -> dict[str, HtmlElement]:
    journal, words = greek_journal(), Marking()
    figures = compute(journal, EuropeanCentralBank(), on, Problems())
    absent = {p.file: Fault("absent", "⟦⟧") for s in journal.sessions for p in s.photos}
    matter = Matter(
        shown, journal, figures, absent, frozenset(), (), (),
        part_slugs(journal), material_slugs(journal), step_slugs(journal), trade_lore(words.gettext),
        Said().of(journal.sessions),
    )  # fmt: skip
    made = render_pages(matter, THEME, words)
    return {name: html.fromstring(page.decode()) for name, page in made if name.endswith(".html")}


_SAID = ("alt", "title", "aria-label", "content", "placeholder", "data-view", "data-wipe", "data-value", "data-other")
_SILENT = {"script", "style", "code", "pre"}
_APART = (
    "ancestor::*[(@lang and not(self::html)) or @class='address' or contains(@href, 'data/') or "
    "@rel='noopener noreferrer']"
)
CODES = re.compile(r"\b(?:EUH|H|P)[0-9]{3}[A-Za-z]*|\b[A-Z]{3}\b|#[0-9a-f]{6}")  # statements, currencies, colours


def said_on(tree: HtmlElement) -> Iterator[str]:
    """What a person sees or hears of a page: the running text whole, since a message may hold markup; then attributes.

    Code, and what is marked as another language, is left out.
    """
    running, attributes = [], []
    for action, element in etree.iterwalk(tree, events=("start", "end", "comment")):
        if action == "start" and isinstance(element.tag, str):
            silent = element.tag in _SILENT or element.xpath(_APART.replace("ancestor", "ancestor-or-self"))
            running.append("" if silent else element.text or "")
            named = element.tag != "meta" or "description" in (element.get("name"), element.get("property"))
            attributes += [element.get(name) or "" for name in _SAID if named and not silent]
        elif action == "end":
            silent = element.xpath(_APART)
            running.append("" if silent else element.tail or "")
    return iter([" ".join(running), *attributes])


def outside_brackets(text: str) -> str:
    """The text without what lies between brackets, however deep."""
    depth, kept = 0, []
    for letter in text:
        depth += {"⟦": 1, "⟧": -1}.get(letter, 0)
        kept.append(" " if depth or letter == "⟧" else letter)
    assert depth == 0, text[:200]
    return "".join(kept)


@cache
def units() -> frozenset[str]:
    """Units as the journal writes them and as they are set, and the letters of codes."""
    found: set[str] = set()

    def walk(value: Any) -> None:
        if type(value).__name__ == "Amount":
            found.update(re.findall(r"[A-Za-z]+", value.unit))
        elif isinstance(value, Struct):
            for f in fields(value):
                walk(getattr(value, f.name))
        elif isinstance(value, (tuple, list)):
            for item in value:
                walk(item)
        elif isinstance(value, dict):
            walk(list(value.values()))

    walk(greek_journal())
    others = " ".join(f"{row.other} {row.other_us}" for row in unit_systems().values())
    return frozenset(found | {"C", "F"} | set(re.findall(r"[A-Za-z]+", others)))


def untranslated(tree: HtmlElement) -> set[str]:
    found = set()
    for text in said_on(tree):
        outside = CODES.sub("", " ".join(outside_brackets(text).split()))
        for word in re.findall(r"[A-Za-z]+", outside):
            if word not in units():
                at = outside.index(word)
                found.add(f"{word} in {outside[max(0, at - 30) : at + 50].strip()!r}")
    return found


@pytest.mark.parametrize("shown", [OWNER, PUBLIC])
@pytest.mark.parametrize("on", [date(2023, 5, 1), date(2024, 6, 30), date(2025, 9, 30)])
def test_every_word_of_a_page_comes_through_the_catalogue_or_from_the_journal(shown: str, on: date) -> None:
    pages = marked_pages(shown, on)
    assert len(pages) > 50
    assert {name: slips for name, tree in pages.items() if (slips := untranslated(tree))} == {}


def test_templates_compiled_for_one_language_speak_another() -> None:
    """A theme's compiled templates are kept for the whole process; no word may stick to them."""
    plain, marked = (dict(render_pages(edition(), THEME, words)) for words in (NullTranslations(), Marking()))
    page = "sessions/2024-03-09-first-coat.html"
    assert "<td>(general)</td>" in plain[page].decode()
    assert "<td>⟦(general)⟧</td>" in marked[page].decode()


@pytest.mark.parametrize("language", OTHERS)
def test_every_page_can_be_said_in_every_language(language: str) -> None:
    words = load_words(language)
    pages = {name: page.decode() for name, page in render_pages(edition(), THEME, words) if name.endswith(".html")}
    assert words.gettext("Skip to the record") in pages["index.html"]
    assert not [name for name, page in pages.items() if "Skip to the record" in page or "%(" in page]


def test_a_word_outside_the_catalogues_is_noticed() -> None:
    tree = html.fromstring("<html><body><p>⟦Hours ⟦in⟧ all⟧ Ωρα</p><p title='Spent'>3 mm</p><p>Spent</p></body></html>")
    assert {slip.split()[0] for slip in untranslated(tree)} == {"Spent"}


# the catalogues themselves


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", OTHERS)
def test_a_catalogue_has_every_message_and_no_other(domain: str, language: str) -> None:
    kept, now = read_catalogue(domain, language), gather(domain)
    assert ids(kept) == ids(now), "run python -m tests.catalogues"


def ids(catalogue: Catalog) -> set[Any]:
    return {message.id for message in catalogue if message.id}


def messages(domain: str, language: str) -> list[Message]:
    return [message for message in read_catalogue(domain, language) if message.id]


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", OTHERS)
def test_every_message_is_translated_with_its_gaps(domain: str, language: str) -> None:
    for message in messages(domain, language):
        said = message.string if message.pluralizable else (message.string,)
        asked = message.id if message.pluralizable else (message.id,)
        assert all(said), message.id
        assert not message.fuzzy, message.id
        gaps = [set(re.findall(r"%\(\w+\)s|\{\w+\}", text)) for text in asked]
        for text, expected in zip(said, gaps, strict=True):
            found = set(re.findall(r"%\(\w+\)s|\{\w+\}", text))
            # A language may name the number where English says "one", or say "one" where English names it.
            assert found in (expected, gaps[-1], expected - {"%(count)s", "%(n)s"} if text is said[0] else expected)
            assert [text.startswith(" "), text.endswith(" ")] == [asked[0].startswith(" "), asked[0].endswith(" ")]


@pytest.mark.parametrize("language", OTHERS)
def test_a_language_speaks_for_itself(language: str) -> None:
    words = load_words(language)
    for text in ("Sessions", "Cautions", "waiting", "not proven", *sorted(SENTENCES)):
        assert words.gettext(text) != text, text
    assert words.gettext("Wear") == "Wear"  # what is no message stays as it is
    assert words.ngettext("%(n)s day", "%(n)s days", 1) != words.ngettext("%(n)s day", "%(n)s days", 2)


def test_english_is_the_source_and_an_unknown_language_is_refused() -> None:
    assert load_words(SOURCE).gettext("waiting") == "waiting"
    assert "waiting" in TERMS
    with pytest.raises(KeyError):
        load_words("xx")
