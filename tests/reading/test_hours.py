"""Hours and spans of time, as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.reading.hours import parse_duration, parse_hours, parse_session_hours, parse_window
from journalgen.reading.unreadable import Unreadable
from journalgen.values import Duration, Window


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("2.5", 150),
        ("2:30", 150),
        ("2 h 30 min", 150),
        ("2h30", 150),
        ("150 min", 150),
        ("2 h", 120),
        ("0:45", 45),
        ("45 minutes", 45),
        ("1.5 hours", 90),
        ("0", 0),
        ("0.008", 0),  # 0.48 min
        ("0.025", 2),  # 1.5 min: half-even goes to 2
        ("0.041666666666", 2),  # 2.49999999996 min
        ("0.375", 22),  # 22.5 min: half-even goes to 22
    ],
)
def test_hours_become_whole_minutes(text: str, minutes: int) -> None:
    assert parse_hours(text) == minutes


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("2h75", "hours"),
        ("2:75", "hours"),
        ("two", "hours"),
        ("", "hours"),
        ("2,5", "hours"),
        ("-1", "hours-negative"),
        ("-0:30", "hours-negative"),
        ("2 h -10 min", "hours"),
        ("30 s", "hours"),
    ],
)
def test_what_is_no_time_at_the_bench_is_refused_with_a_remedy(text: str, rule: str) -> None:
    with pytest.raises(Unreadable) as refused:
        parse_hours(text)
    assert refused.value.rule == rule
    assert refused.value.remedy


def test_a_session_is_at_most_a_day() -> None:
    assert parse_session_hours("24") == 1440
    with pytest.raises(Unreadable, match="more than 24 h"):
        parse_session_hours("24:01")


@given(st.integers(0, 23), st.integers(0, 59))
def test_every_spelling_of_a_time_is_the_same_time(hours: int, minutes: int) -> None:
    whole = hours * 60 + minutes
    for text in (f"{hours}:{minutes:02}", f"{hours} h {minutes} min", f"{hours}h{minutes}", f"{whole} min"):
        assert parse_hours(text) == whole


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("48 h", Duration(2880)),
        ("4h", Duration(240)),
        ("7 d", Duration(10080)),
        ("2 weeks", Duration(20160)),
        ("24 months", Duration(0, 24)),
        ("1 year", Duration(0, 12)),
        ("0.5 year", Duration(0, 6)),
    ],
)
def test_spans_are_minutes_or_whole_months(text: str, span: Duration) -> None:
    assert parse_duration(text) == span


@pytest.mark.parametrize("text", ["48", "soon", "-3 h", "0.3 months", "3 fortnights", "99999999999 d", "2400 months"])
def test_what_is_no_span_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        parse_duration(text)


def test_windows_have_one_or_two_ends() -> None:
    assert parse_window("4 h .. 7 d") == Window(Duration(240), Duration(10080))
    assert parse_window("at least 4 h") == parse_window("4 h") == Window(Duration(240), None)
    assert parse_window("at most 7 d") == Window(None, Duration(10080))
