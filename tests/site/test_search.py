"""The search: its entries, its words, its index and its page."""

from __future__ import annotations

import json
import re
import sys
import unicodedata
from collections.abc import Mapping
from functools import cache
from gettext import NullTranslations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html
from msgspec.structs import replace

from journalgen.editions import public_edition
from journalgen.house import example_folder
from journalgen.pictures.model import Picture, Variant
from journalgen.reading.journal import read_journal
from journalgen.records import Journal, Photo, Session
from journalgen.site.desk import Desk
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.matter import OWNER, PUBLIC, Matter
from journalgen.site.pages import Pages, render_pages
from journalgen.site.pages.search import HEAVIEST, LONGEST, MOST
from journalgen.site.search import Entry, list_entries
from journalgen.site.search_index import LETTERS, Encoded, decode, encode, fold, index_texts, script, split
from journalgen.site.templates import Templates
from tests.site.full_journal import FILES, HIDDEN
from tests.site.matters import matter_of, read_matter
from tests.site.samples import (
    FIRST,
    SECOND,
    THEME,
    at,
    edition,
    every,
    hiding,
    journal,
    of_class,
    one,
    session,
    trees,
    words,
)

RATIO = 0.25
FIRST_LOAD = 150_000


def entries_of(matter: Matter) -> list[Entry]:
    words = NullTranslations()
    formats = Formats(matter.journal.settings, words)
    return list_entries(Desk(matter, words, formats, Index(matter), Templates(THEME, words, formats)))


def named(entries: list[Entry], title: str) -> Entry:
    found = [entry for entry in entries if entry.title == title]
    assert len(found) == 1, title
    return found[0]


def found_by(entry: Entry) -> set[str]:
    return {word for text in entry.searched for word in split(text)}


def indexed(files: Mapping[str, bytes]) -> dict[str, list[int]]:
    """The index of a site, decoded from its file."""
    text = files["search-index.js"].decode()
    found = re.fullmatch(r"journalIndex\(\{letters:(\{.*\}),count:(\d+),\nwords:'(.*)',\nentries:'(.*)'\}\);\n", text)
    assert found, text[:200]
    assert json.loads(found[1]) == LETTERS
    return decode(Encoded(found[3], found[4], int(found[2])))


@cache
def example() -> Journal:
    return read_journal(example_folder()).journal


@cache
def example_matter(name: str) -> Matter:
    """An edition of the example with a stand-in for each picture."""
    whole = example()
    shown = whole if name == OWNER else public_edition(whole)
    files = dict.fromkeys(photo.file for session in shown.sessions for photo in session.photos)
    pictures = {
        file: Picture(2000, 1500, "#5f4c3c", (Variant(480, 360, f"{n:016x}-480.avif", f"{n:016x}-480.jpg"),))
        for n, file in enumerate(files)
    }
    return replace(matter_of(whole, name), pictures=pictures)


def test_there_is_an_entry_for_every_session_part_step_material_and_caption() -> None:
    matter = example_matter(OWNER)
    entries = entries_of(matter)
    of = {
        kind: [e for e in entries if e.kind == kind] for kind in ("part", "session", "step", "material", "photograph")
    }
    figures = matter.figures
    assert sum(map(len, of.values())) == len(entries)
    assert {entry.title for entry in of["part"]} == set(matter.journal.parts)
    assert {entry.title for entry in of["material"]} == set(matter.journal.materials)
    assert len(of["session"]) == len(figures.sessions)
    assert len(of["step"]) == len({line.step for s in figures.sessions for line in s.work if line.step})
    captions = [photo.caption for s in figures.sessions for photo in s.photos if photo.caption]
    assert len(of["photograph"]) == len(captions) > 50


def test_the_newest_session_comes_first() -> None:
    days = [entry.day for entry in entries_of(example_matter(OWNER)) if entry.kind == "session"]
    assert days == sorted(days, key=str, reverse=True)


def test_a_session_is_found_by_its_body_its_day_and_all_that_its_page_says() -> None:
    found = found_by(named(entries_of(edition()), "First coat"))
    assert {"came", "up", "well"} <= found  # its body
    assert {"9", "march", "2024", "03", "09"} <= found  # its day as shown and as typed
    assert {"front", "wheel", "etch", "rust", "converter", "clears", "hub"} <= found  # its work
    assert {"320", "grit", "lampenteile", "journal", "diameter", "bent", "replace", "chip", "rim"} <= found


def test_a_part_is_found_by_its_other_names_its_number_and_what_was_found_and_decided() -> None:
    entries = entries_of(edition())
    assert {"road", "pq", "204", "running", "gear", "shelf", "b"} <= found_by(named(entries, "front wheel"))
    assert {"bent", "beyond", "replace", "wall", "left"} <= found_by(named(entries, "axle"))
    assert {"chip", "rim", "drawer"} <= found_by(named(entries, "lamp glass"))


def test_a_step_is_found_by_the_notes_of_its_turns_and_a_material_by_its_kind() -> None:
    entries = entries_of(edition())
    assert {"thick", "near", "clears"} <= found_by(named(entries, "etch"))
    assert "coating" in found_by(named(entries, "zinc primer"))


def test_a_caption_leads_to_its_photograph_on_the_page_of_its_session() -> None:
    entry = named(entries_of(edition()), "as it came off")
    assert entry.href == "sessions/2024-03-09-first-coat.html#photo-aaaa"
    figure = one(trees(edition())["sessions/2024-03-09-first-coat.html"], "*[@id='photo-aaaa']")
    assert "as it came off" in words(figure)


def test_a_photograph_in_a_pair_that_the_body_places_can_be_reached_too() -> None:
    captioned = replace(SECOND, photos=tuple(replace(photo, caption="the wheel done") for photo in SECOND.photos[:1]))
    matter = edition(journal(FIRST, captioned))
    entry = named(entries_of(matter), "the wheel done")
    file, _, place = entry.href.partition("#")
    assert "pair-side" in one(trees(matter)[file], f"*[@id='{place}']").get("class")


def test_a_photograph_that_is_shown_twice_has_its_id_once() -> None:
    twice = replace(FIRST, photos=(*FIRST.photos, *FIRST.photos), body="![x](photos/wheel-1.jpg)\n\n![y](wheel-1.jpg)")
    tree = trees(edition(journal(twice)))["sessions/2024-03-09-first-coat.html"]
    assert len(every(tree, "*[@id='photo-aaaa']")) == 1
    assert len(every(tree, "figure")) > 2


# folding and splitting


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Größe", ["grosse"]), ("GROSSE", ["grosse"]), ("Łódź", ["lodz"]), ("ŒUVRE", ["oeuvre"]), ("Øre", ["ore"]),
        ("İzmir", ["izmir"]), ("ısı", ["isi"]), ("ΟΔΟΣ οδός", ["οδοσ", "οδοσ"]), ("ﬁn", ["fin"]), ("½", ["1", "2"]),
        ("e\u0301tude étude", ["etude", "etude"]), ("chain\u00adguard", ["chainguard"]), ("off-cut", ["off", "cut"]),
        ("it’s M8x1.25", ["it", "s", "m8x1", "25"]), ("PQ_17", ["pq", "17"]), ("µm", ["μm"]), ("", []), (" -- ", []),
    ],
)  # fmt: skip
def test_words_are_folded_and_split(text: str, folded: list[str]) -> None:
    assert split(text) == folded


@given(st.text())
def test_folding_twice_is_folding_once_and_words_are_letters_and_figures(text: str) -> None:
    assert fold(fold(text)) == fold(text)
    assert split(fold(text)) == split(text)
    for word in split(text):
        assert word
        assert all(unicodedata.category(letter)[0] in "LN" for letter in word)
        assert not re.search("[A-Z'\\\\]", word)  # what the index is written with


def test_a_run_of_letters_and_figures_is_what_the_script_takes_for_one() -> None:
    """The script splits by Unicode's own categories, Python's expressions by its own notion of a word."""
    for number in range(sys.maxunicode + 1):
        letter = chr(number)
        assert bool(re.match(r"[^\W_]", letter)) == (unicodedata.category(letter)[0] in "LN"), hex(number)


# the index

_WORDS = st.text(st.characters(codec="utf-8"), min_size=1).map(split).filter(bool).map(lambda found: found[0])
_POSTINGS = st.integers(1, 700).flatmap(
    lambda count: st.tuples(
        st.dictionaries(_WORDS, st.sets(st.integers(0, count - 1), min_size=1).map(sorted), max_size=20), st.just(count)
    )
)


@given(_POSTINGS)
def test_what_is_encoded_is_decoded(made: tuple[dict[str, list[int]], int]) -> None:
    index, count = made
    encoded = encode(index, count)
    assert decode(encoded) == index
    assert encoded.entries.isascii()
    assert encoded.entries.isprintable()
    assert not {"'", "\\"} & set(encoded.words + encoded.entries)


@given(st.lists(st.lists(st.text(), max_size=3), max_size=12))
def test_every_word_leads_to_just_the_entries_that_hold_it(texts: list[list[str]]) -> None:
    index = index_texts(texts)
    for word in {word for entry in texts for text in entry for word in split(text)}:
        holding = [n for n, entry in enumerate(texts) if any(word in split(text) for text in entry)]
        assert index[word] == holding
    assert all(index.values())


def test_a_word_that_stands_everywhere_costs_hardly_anything() -> None:
    everywhere = encode({"the": list(range(4000))}, 4000)
    assert len(everywhere.entries) <= 4
    assert decode(everywhere) == {"the": list(range(4000))}


def told(entry: Entry) -> int:
    """The bytes of what an entry says, each text once: an excerpt of another text does not count."""
    said = list(dict.fromkeys(entry.searched))
    return sum(len(text.encode()) for text in said if not any(text in other for other in said if other is not text))


@pytest.mark.parametrize("name", [OWNER, PUBLIC])
def test_the_index_of_the_example_is_less_than_a_quarter_of_its_text(name: str) -> None:
    matter = example_matter(name)
    entries = entries_of(matter)
    files = dict(render_pages(matter, THEME))
    text = sum(map(told, entries))
    assert text > 50_000
    assert len(files["search-index.js"]) < RATIO * text
    assert indexed(files) == index_texts(entry.searched for entry in entries)


@pytest.mark.parametrize("name", [OWNER, PUBLIC])
def test_the_page_of_the_example_is_light_and_lists_everything_in_the_order_of_the_index(name: str) -> None:
    matter = example_matter(name)
    files = dict(render_pages(matter, THEME))
    assert sum(len(files[file]) for file in ("search.html", "enamel.css", "enamel.js", "search.js")) < FIRST_LOAD
    listed = every(trees(matter)["search.html"], f"{of_class('found')}/li")
    assert [one(row, "h2/a").get("href") for row in listed] == [entry.href for entry in entries_of(matter)]
    assert "search-list.js" not in files


# what is private or hidden


@pytest.mark.parametrize("settings", [HIDDEN])
def test_nothing_private_or_hidden_is_in_any_byte_of_the_search(tmp_path: Path, settings: str) -> None:
    secrets = ("PRIVATEDAY", "PRIVATEWHY", "PLATEWORDS", "SHELFB", "NUMBER-9", "Muster", "OLDTOWN", "secret", "2:31")
    owner = dict(render_pages(read_matter(tmp_path / "o", FILES, OWNER, settings), THEME))
    public = dict(render_pages(read_matter(tmp_path / "p", FILES, PUBLIC, settings), THEME))
    for secret in secrets:
        for word in split(secret):
            if word.isdigit():
                continue
            assert word not in indexed(public), secret
            assert word.encode() not in public["search.html"].lower(), secret
            assert word.encode() not in public["search-index.js"].lower(), secret
    held = indexed(owner)
    assert {"privateday", "privatewhy", "shelfb", "number", "muster"} <= set(held)  # the words would be found if there


def test_a_private_session_and_what_is_hidden_are_not_in_a_long_list_either() -> None:
    matter = edition(long_journal(hide=frozenset({"prices", "suppliers", "storage", "numbers", "hours"})), PUBLIC)
    files = dict(render_pages(matter, THEME))
    everything = b"".join(files[name] for name in ("search.html", "search-index.js", "search-list.js")).lower()
    for secret in (
        b"keepquiet",
        b"haggling",
        b"saw",
        b"shelf",
        b"drawer",
        b"pq",
        b"corner stores",
        b"muster",
        b"\xc2\xa3",
    ):
        assert secret not in everything, secret
    assert b"turn number 7" in everything


# many entries, and none


def long_journal(count: int = MOST, years: int = 1, hide: frozenset[str] = frozenset()) -> Journal:
    many = [
        session(f"{2023 - n % years}-{1 + n % 12:02}-{1 + n % 28:02}", f"Turn number {n}", parts=("axle",))
        for n in range(count)
    ]
    whole = hiding(*hide)
    return replace(whole, sessions=tuple(sorted((*many, *whole.sessions), key=lambda s: s.day)))


def test_a_long_list_is_fetched_by_the_script_and_the_page_leads_to_the_other_lists_without() -> None:
    matter = edition(long_journal())
    files = dict(render_pages(matter, THEME))
    page = html.document_fromstring(files["search.html"].decode())
    assert len(files["search.html"]) < 20_000
    assert not every(page, f"{of_class('found')}/li")
    assert one(page, "form[@data-index]").get("data-list") == "search-list.js"
    hrefs = {link.get("href") for link in every(page, "main//noscript//a")}
    assert {"sessions.html", "parts.html", "steps.html", "materials.html"} <= hrefs
    rows = json.loads(files["search-list.js"].decode().removeprefix("journalList(").removesuffix(");\n"))
    assert rows.count("<li ") == len(entries_of(matter)) > MOST


def test_a_list_of_few_but_heavy_entries_does_not_weigh_down_the_page() -> None:
    heavy = tuple(
        replace(session("2024-02-01", f"Turn {n}"), body="word " * 40, photos=(Photo(at(1), "wheel-1.jpg"),))
        for n in range(MOST - 50)
    )
    matter = edition(journal(*heavy))
    files = dict(render_pages(matter, THEME))
    assert len(entries_of(matter)) <= MOST
    assert len(files["search-list.js"]) > HEAVIEST
    assert sum(len(files[file]) for file in ("search.html", "enamel.css", "enamel.js", "search.js")) < FIRST_LOAD


def test_with_nothing_to_find_the_page_says_so() -> None:
    matter = edition(replace(journal(), sessions=(), parts={}, materials={}, suppliers={}))
    files = dict(render_pages(matter, THEME))
    page = html.document_fromstring(files["search.html"].decode())
    assert "nothing to find yet" in words(one(page, "main"))
    assert not every(page, "form")
    assert not {"search-index.js", "search-list.js"} & set(files)


def test_a_word_in_the_file_of_the_index_cannot_end_its_string() -> None:
    odd: Session = session("2024-02-01", "Odd", body="it's a \\ 'quote' `and` </script> \u2028 ${x}")
    text = script(encode(index_texts([[odd.body]]), 1))
    assert text.count("'") == 4
    assert "\\" not in text


# a long record: files by year


def shared(files: dict[str, bytes]) -> dict[str, dict[str, list[int]]]:
    """Each index file with what the script reads in it."""
    return {name: indexed({"search-index.js": files[name]}) for name in files if name.startswith("search-index")}


def listed(files: dict[str, bytes], index: str) -> str:
    rows = files[index.replace("index", "list")].decode()
    return str(json.loads(rows.removeprefix("journalList(").removesuffix(");\n")))


def test_a_long_record_has_an_index_and_a_list_for_each_year_and_one_for_what_has_no_day() -> None:
    pages = Pages(edition(long_journal(count=3 * LONGEST, years=3)), THEME)
    files = dict(pages.more())
    form = one(html.document_fromstring(pages.render("search.html").decode()), "form[@data-index]")
    indexes, lists = form.get("data-index").split(), form.get("data-list").split()
    assert indexes[:2] == ["search-index-parts.js", "search-index-newest.js"]
    assert indexes[2:] == sorted(indexes[2:], reverse=True)
    assert [name.replace("index", "list") for name in indexes] == lists
    assert set(indexes) | set(lists) == {name for name in files if name.startswith(("search-index", "search-list"))}
    assert max(len(files[name]) for name in (*indexes, *lists)) < 500_000
    rows = [listed(files, name) for name in indexes]
    assert sum(found.count("<li ") for found in rows) == len(entries_of(edition(long_journal(3 * LONGEST, 3))))
    assert 'data-kind="part"' in rows[0]
    assert "<time" not in rows[0]
    for index, found in zip(indexes[2:], rows[2:], strict=True):
        assert set(re.findall(r'datetime="(\d{4})', found)) == {index.removeprefix("search-index-")[:4]}


@pytest.mark.parametrize(("day", "name"), [("2023-12-28", "newest"), ("2022-12-28", "2022")])
def test_an_entry_more_changes_the_files_of_its_year_alone(day: str, name: str) -> None:
    before = long_journal(count=3 * LONGEST - 300, years=3)
    late = session(day, "One more turn", body="A word that stands nowhere else: zirconium.")
    after = replace(before, sessions=tuple(sorted((*before.sessions, late), key=lambda s: s.day)))
    first, then = (dict(Pages(edition(of), THEME).more()) for of in (before, after))  # what pages fetch in use
    changed = {file for file in then if then[file] != first.get(file)}
    assert [file for file, held in shared(then).items() if "zirconium" in held] == [f"search-index-{name}.js"]
    assert changed == {f"search-index-{name}.js", f"search-list-{name}.js"}
