"""The line of a problem, and the mark under its place."""

from __future__ import annotations

import os
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.columns import width
from journalgen.pointing import MARK, Sources, point_at
from journalgen.values import Place
from tests.journals import write_journal


@pytest.mark.parametrize(
    ("line", "column", "shown", "mark"),
    [
        ("hours: 2h75", 8, "hours: 2h75", "       ^"),
        ("  - {part: axle}", 5, "- {part: axle}", "  ^"),
        ("  - {part: axle}", 1, "  - {part: axle}", "^"),
        ("a\tb", 3, "a    b", "     ^"),
        ("\t\tb", 3, "b", "^"),
        ("車輪: x", 5, "車輪: x", "      ^"),
        ("e\u0301: x", 5, "e\u0301: x", "   ^"),
        ("e\u0301: x", 2, "e\u0301: x", "^"),  # at the accent: under the letter that bears it
        ("hours:", 99, "hours:", "      ^"),
        ("a\x1b[31mb", 7, "a\ufffd[31mb", "      ^"),
        ("a\u202eb", 3, "a\ufffdb", "  ^"),
    ],
)
def test_the_mark_stands_under_the_place(line: str, column: int, shown: str, mark: str) -> None:
    assert point_at(line, column, 70) == (shown, mark)


def test_a_long_line_is_cut_around_the_place() -> None:
    line = f"{'x' * 200}HERE{'y' * 200}"
    shown, mark = point_at(line, 201, 40)
    assert shown.startswith("…x")
    assert shown.endswith("y…")
    assert shown[mark.index(MARK) :].startswith("HERE")
    assert len(shown) == 40
    shown, mark = point_at(line, 1, 40)
    assert (shown, mark) == (f"{'x' * 39}…", "^")
    shown, mark = point_at("x" * 400, 400, 40)
    assert shown == f"…{'x' * 39}"
    assert mark == f"{' ' * 39}^"


LINES = st.text(
    st.one_of(
        st.sampled_from("ab \t車é\u0301\u200d👩🔧"), st.characters(exclude_categories=["Cs"], exclude_characters="\n")
    ),
    min_size=1,
    max_size=120,
)


@given(LINES, st.integers(1, 130), st.integers(10, 60))
def test_whatever_the_line_is_it_stays_within_its_columns_and_holds_nothing_that_drives_a_terminal(
    line: str, column: int, columns: int
) -> None:
    shown, mark = point_at(line, column, columns)
    assert width(shown) <= columns
    assert len(mark) <= columns
    assert mark.strip(" ") == MARK
    assert not any(unicodedata.category(letter) == "Cc" for letter in shown)


@given(st.text(st.sampled_from("ab車é👩"), min_size=1, max_size=30), st.data())
def test_before_the_mark_stands_what_stands_before_the_place(line: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(line) - 1))
    shown, mark = point_at(line, at + 1, 100)
    assert shown == line
    assert len(mark) - 1 == width(line[:at])


def test_a_line_is_read_from_the_journal_as_it_is_now(tmp_path: Path) -> None:
    root = write_journal(
        tmp_path, {"entries/a.md": "---\nhours: 1\n\n---\n", "entries/b.md": "\ufeffhours: 1\r\nx: 2\r\n"}
    )
    sources = Sources(root)
    assert sources.line(Place("entries/a.md", 2, 1)) == "hours: 1"
    assert sources.line(Place("entries/b.md", 1, 1)) == "hours: 1"
    assert sources.line(Place("entries/b.md", 2, 1)) == "x: 2"


def test_where_there_is_nothing_to_show_nothing_is_shown(tmp_path: Path) -> None:
    root = write_journal(tmp_path / "j", {"entries/a.md": "---\nhours: 1\n\n---\n"})
    (root / "entries" / "b.md").write_bytes(b"\xff\xfe")
    (tmp_path / "secret.md").write_text("secret\n")
    sources = Sources(root)
    nowhere = ("entries/gone.md", "entries", "entries/b.md", "../secret.md", "entries/a\0.md", "x" * 5000)
    assert [sources.line(Place(file)) for file in nowhere] == [None] * len(nowhere)
    assert sources.line(Place("entries/a.md", 1)) is None  # the hyphens above the front matter
    assert sources.line(Place("entries/a.md", 3)) is None
    assert sources.line(Place("entries/a.md", 99)) is None


@pytest.mark.skipif(sys.platform == "win32", reason="not everyone may make links there")
def test_a_link_that_leads_out_of_the_journal_is_not_followed(tmp_path: Path) -> None:
    root = write_journal(tmp_path / "j", {})
    (tmp_path / "secret.md").write_text("secret\n")
    (root / "entries").mkdir()
    os.symlink(tmp_path / "secret.md", root / "entries" / "a.md")
    os.symlink("loop.md", root / "entries" / "loop.md")
    assert [Sources(root).line(Place(f"entries/{name}.md")) for name in ("a", "loop")] == [None, None]
