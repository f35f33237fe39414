"""Choosing by number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.asking.choosing import read_choice
from journalgen.reading.unreadable import Unreadable


@pytest.mark.parametrize(
    ("text", "chosen"),
    [
        ("1", [0]), ("1 3", [0, 2]), ("3,1", [2, 0]), ("1, 3", [0, 2]), ("2-4", [1, 2, 3]), ("2 - 4", [1, 2, 3]),
        ("1 3-4", [0, 2, 3]), ("2 2 1-2", [1, 0]), ("all", [0, 1, 2, 3, 4]), ("ALL", [0, 1, 2, 3, 4]), ("2..3", [1, 2]),
    ],
)  # fmt: skip
def test_numbers_and_spans_of_numbers_choose(text: str, chosen: list[int]) -> None:
    assert read_choice(text, 5) == chosen


@pytest.mark.parametrize("text", ["0", "6", "4-2", "1-6", "x", "1 x", "-1", "1.5", "9" * 50])
def test_what_is_not_in_the_list_is_said(text: str) -> None:
    with pytest.raises(Unreadable, match="not in the list"):
        read_choice(text, 5)


@given(st.text(max_size=20), st.integers(1, 30))
def test_whatever_is_typed_chooses_from_the_list_or_is_unreadable(text: str, count: int) -> None:
    try:
        chosen = read_choice(text, count)
    except Unreadable as fault:
        assert fault.remedy  # noqa: PT017 - any text may be unreadable
    else:
        assert len(set(chosen)) == len(chosen)
        assert set(chosen) <= set(range(count))
