"""New journals and new entries."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journalgen import beginning
from journalgen.beginning import (
    CannotBegin,
    NewEntry,
    NewJournal,
    begin,
    copy_example,
    entry_text,
    open_entry,
    yaml_flow,
    yaml_text,
)
from journalgen.inspecting import inspect_journal
from journalgen.languages import LANGUAGES
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.reading.settings import HIDEABLE, SYSTEMS
from journalgen.reading.trees import parse_tree, plain
from tests.journals import FixedRates, entry, write_journal

DAY = date(2024, 3, 9)


@pytest.mark.parametrize("title", ["Trolley", 'The "old" one: #17', "Wagen für später\\"])
def test_a_new_journal_reads_without_a_problem(tmp_path: Path, title: str) -> None:
    folder = tmp_path / "new"
    path = begin(folder, NewJournal(title, "GBP", "Europe/London", DAY))
    reading = read_journal(folder)
    assert not reading.problems
    assert reading.journal.settings.title == title
    assert reading.journal.settings.hide == {"prices", "suppliers", "storage", "numbers"}
    (session,) = reading.journal.sessions
    assert (session.day, session.minutes, session.parts) == (DAY, 90, ("front wheel",))
    assert path.is_file()
    assert (folder / "photos").is_dir()


def test_nothing_is_laid_out_over_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "thesis.doc").write_text("x")
    with pytest.raises(CannotBegin, match="not empty"):
        begin(tmp_path, NewJournal("T", "GBP", "UTC", DAY))
    assert [path.name for path in tmp_path.iterdir()] == ["thesis.doc"]


def test_an_opened_entry_holds_what_is_known_and_reads_clean(tmp_path: Path) -> None:
    root = write_journal(tmp_path, {"register/parts.yaml": "front wheel:\n"})
    new = NewEntry(DAY, "Etch: the first coat", ["front wheel"], "2:30")
    path = open_entry(root, new)
    assert path.name == "2024-03-09-etch-the-first-coat.md"
    reading = read_journal(root)
    assert not reading.problems
    (session,) = reading.journal.sessions
    assert (session.title, session.minutes, session.parts) == ("Etch: the first coat", 150, ("front wheel",))


def test_a_second_entry_of_one_name_does_not_replace_the_first(tmp_path: Path) -> None:
    root = write_journal(tmp_path, {})
    first = open_entry(root, NewEntry(DAY, "Etch"))
    first.write_text("mine")
    second = open_entry(root, NewEntry(DAY, "Etch"))
    assert first.read_text() == "mine"
    assert second.name == "2024-03-09-etch-2.md"
    assert not [path for path in second.parent.iterdir() if path.name.startswith(".")]


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=40))
def test_any_text_comes_back_from_yaml_as_it_was(text: str) -> None:
    node = parse_tree(f"a: {yaml_text(text)}\nb: [{yaml_text(text)}]\n", "x.yaml", 1, Problems())
    assert node is not None
    assert plain(node) == ({"a": text, "b": [text]} if text.strip() else {"b": [text]})


def test_an_entry_of_which_nothing_is_known_reads_clean() -> None:
    assert entry(entry_text(NewEntry(DAY))).day == DAY


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)


@settings(max_examples=60, deadline=None)
@given(
    title=WORDS,
    machine=st.none() | WORDS,
    currency=st.sampled_from(["EUR", "JPY", "KWD", "GBP"]),
    zone=st.sampled_from(["UTC", "Europe/London", "America/Argentina/Buenos_Aires"]),
    locale=st.sampled_from(["en_GB", "de_CH", "it", "fr_FR"]),
    language=st.sampled_from(LANGUAGES),
    units=st.sampled_from(SYSTEMS),
    hide=st.lists(st.sampled_from(HIDEABLE), unique=True),
)
def test_whatever_a_new_journal_is_given_is_read_back_and_its_worked_entry_inspects_clean(
    title: str,
    machine: str | None,
    currency: str,
    zone: str,
    locale: str,
    language: str,
    units: str,
    hide: Sequence[str],
) -> None:
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "new"
        begin(folder, NewJournal(title, currency, zone, DAY, machine, locale, language, units, hide))
        reading = read_journal(folder)
        assert inspect_journal(reading, folder, FixedRates(), DAY, today=True) == ()
        read = reading.journal.settings
        called = " ".join(title.split()) or "new"
        assert read.title == called
        assert read.machine.name == (" ".join((machine or "").split()) or called)
        assert (read.home_currency, str(read.time_zone), read.locale) == (currency, zone, locale)
        assert (read.language, read.units, read.hide) == (language, units, frozenset(hide))


def test_the_worked_entry_teaches_the_format(tmp_path: Path) -> None:
    text = begin(tmp_path / "new", NewJournal("T", "GBP", "UTC", DAY)).read_text(encoding="utf-8")
    for key in (
        "date",
        "start",
        "hours",
        "parts",
        "work",
        "materials",
        "bought",
        "found",
        "photos",
        "measures",
        "private",
    ):
        assert f"{key}:" in text
    assert text.count("#") >= 15


ROWS = st.recursive(
    WORDS, lambda held: st.lists(held, max_size=3) | st.dictionaries(WORDS, held, max_size=3), max_leaves=8
)


@given(st.dictionaries(WORDS, ROWS, min_size=1, max_size=4))
def test_any_line_comes_back_from_yaml_as_it_was(row: dict[str, Any]) -> None:
    problems = Problems()
    node = parse_tree(f"a:\n  - {yaml_flow(row)}\n", "x.yaml", 1, problems)
    assert node is not None, problems.found
    assert plain(node) == {"a": [filled(row)]}


def filled(value: Any) -> Any:
    """What is left when keys with nothing after them are left out."""
    if isinstance(value, dict):
        return {key: filled(held) for key, held in value.items() if not (isinstance(held, str) and not held.strip())}
    return [filled(held) for held in value] if isinstance(value, list) else value


def test_names_stay_plain_where_they_can() -> None:
    line = {
        "part": "front wheel",
        "hours": "1:30",
        "amount": "5.5 mL",
        "share": "55 %",
        "note": "a: b",
        "with": ["x, y"],
    }
    assert yaml_flow(line) == (
        '{part: front wheel, hours: 1:30, amount: 5.5 mL, share: 55 %, note: "a: b", with: ["x, y"]}'
    )


@pytest.mark.parametrize("example", [False, True])
def test_a_beginning_that_breaks_off_takes_away_its_own_files_and_none_that_came_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, example: bool
) -> None:
    """As where two begin at once: the second finds a file of the first, and must not take the first's journal away."""
    folder, place = tmp_path / "new", beginning.place_new
    theirs = folder / "register" / "parts.yaml"

    def place_late(half: Path, path: Path) -> None:
        if path == theirs:
            path.write_text("wheel:\n")
            (folder / "notes.txt").write_text("mine")
        place(half, path)

    monkeypatch.setattr(beginning, "place_new", place_late)
    with pytest.raises(CannotBegin, match="exists already"):
        copy_example(folder) if example else begin(folder, NewJournal("A", "GBP", "Europe/London", DAY))
    assert {path.name for path in folder.rglob("*") if path.is_file()} == {"parts.yaml", "notes.txt"}
    assert theirs.read_text() == "wheel:\n"
    assert {path.name for path in folder.iterdir()} == {"register", "notes.txt"}
