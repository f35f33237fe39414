"""Texts by the columns they take: no letter is lost, and nothing stands out over the edge."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.columns import ELLIPSIS, cut, fitting, fitting_end, left, letters, right, width, wrap
from journalgen.terminal import one_line

TEXTS = st.text(
    st.one_of(
        st.sampled_from("ab -é日本語한\u0301\u0308\u200d\ufe0f👩🔧🇩🇪ก็"),
        st.characters(exclude_categories=["Cs"]),
    ),
    max_size=60,
).map(one_line)


@pytest.mark.parametrize(
    ("text", "columns"),
    [("wheel", 5), ("Räder", 5), ("e\u0301", 1), ("車輪", 4), ("a車", 3), ("…", 1), ("", 0), ("👩\u200d🔧", 2)],
)
def test_a_text_takes_the_columns_that_a_terminal_gives_it(text: str, columns: int) -> None:
    assert width(text) == columns


def test_what_is_cut_ends_in_an_ellipsis_and_splits_no_letter() -> None:
    assert cut("front wheel", 11) == "front wheel"
    assert cut("front wheel", 8) == "front w…"
    assert cut("車輪車輪", 6) == "車輪…"  # two and a half letters would be five columns and a half of one
    assert cut("xe\u0301e\u0301", 2) == "x…"
    assert fitting_end("front wheel", 5) == "wheel"


def test_a_text_is_padded_to_its_columns() -> None:
    assert left("車", 4) == "車  "
    assert right("車", 4) == "  車"


def test_words_are_wrapped_and_a_word_that_is_too_long_is_broken() -> None:
    assert wrap("one two three", 7) == ["one two", "three"]
    assert wrap("one two", 6, "- ", "  ") == ["- one", "  two"]
    assert wrap("abcdefgh", 3) == ["abc", "def", "gh"]
    assert wrap("車輪車輪", 5) == ["車輪", "車輪"]
    assert wrap("", 5) == []


@given(TEXTS, st.integers(4, 40))
def test_wrapping_keeps_every_letter_and_stays_within_its_columns(text: str, columns: int) -> None:
    lines = wrap(text, columns, "- ", "  ")
    assert "".join(line[2:] for line in lines).replace(" ", "") == "".join(text.split())
    assert all(width(line) <= columns for line in lines)


@given(TEXTS, st.integers(1, 40))
def test_what_fits_is_the_beginning_in_whole_letters(text: str, columns: int) -> None:
    assert "".join(letters(text)) == text
    assert text.startswith(fitting(text, columns))
    assert width(fitting(text, columns)) <= columns
    shown = cut(text, columns)
    assert width(shown) <= columns
    assert shown == text or shown.endswith(ELLIPSIS)
