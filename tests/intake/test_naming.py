"""What photographs are called: in order of time, no two alike on any file system."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.intake.naming import name_beside, name_photograph, words_of
from journalgen.intake.present import Present
from journalgen.intake.taken import session_day

EVENING = datetime(2024, 3, 9, 21, tzinfo=UTC)


@given(
    st.lists(st.integers(0, 6 * 3600), max_size=40),
    st.lists(st.text(max_size=30), max_size=3),
    st.sampled_from([None, "before"]),
)
def test_names_are_in_order_of_time_and_no_two_alike(seconds: list[int], parts: list[str], shows: str | None) -> None:
    present, words = Present(Path("photos")), words_of(parts, shows)
    given = [EVENING + timedelta(seconds=n) for n in sorted(seconds)]
    names = [name_photograph(at, session_day(at), words, "jpg", present) for at in given]
    assert names == sorted(names)
    assert len({name.casefold() for name in names}) == len(names)
    assert all(name.isascii() and not set(name) & set('<>:"\\|?* ') for name in names)
    assert {name.rpartition("/")[0] for name in names} <= {"2024/2024-03-09"}


@pytest.mark.parametrize(
    ("parts", "shows", "words"),
    [
        ((), None, ""),
        (("Front wheel",), None, "front-wheel"),
        (("Front wheel", "Räder"), "after", "front-wheel-rader-after"),
        (("ось",), "after", "after"),
        (("ось 2",), None, "2"),
        (("../../etc",), None, "etc"),
    ],
)
def test_words_are_plain_letters(parts: tuple[str, ...], shows: str | None, words: str) -> None:
    assert words_of(parts, shows) == words


def test_what_belongs_to_a_photograph_bears_its_name() -> None:
    present = Present(Path("photos"))
    present.take("a/Wheel 1.heic")
    assert name_beside("a/Wheel 1.heic", "mov", present) == "a/Wheel 1.mov"
    assert name_beside("a/wheel 1.heic", "MOV", present) == "a/wheel 1_02.MOV"
