"""New journals and new entries."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.beginning import CannotBegin, NewEntry, NewJournal, begin, entry_text, open_entry, yaml_text
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.reading.trees import parse_tree, plain
from tests.journals import entry, write_journal

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
    assert not [path for path in second.parent.iterdir() if path.name.endswith(".half")]


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=40))
def test_any_text_comes_back_from_yaml_as_it_was(text: str) -> None:
    node = parse_tree(f"a: {yaml_text(text)}\nb: [{yaml_text(text)}]\n", "x.yaml", 1, Problems())
    assert node is not None
    assert plain(node) == ({"a": text, "b": [text]} if text.strip() else {"b": [text]})


def test_an_entry_of_which_nothing_is_known_reads_clean() -> None:
    assert entry(entry_text(NewEntry(DAY))).day == DAY
