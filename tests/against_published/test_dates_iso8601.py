"""Dates against ISO 8601-1:2019: calendar dates in the extended format (5.2.2) and leap years (4.3.2).

The clause numbers are written from memory.
"""

from __future__ import annotations

from datetime import date

import pytest

from journalgen.reading.dates import parse_day, parse_time
from journalgen.reading.unreadable import Unreadable


@pytest.mark.parametrize("text", ["1985-04-12", "2000-02-29", "2024-02-29", "2400-02-29", "1999-12-31"])
def test_calendar_dates_in_the_extended_format_are_read(text: str) -> None:
    assert parse_day(text).isoformat() == text


@pytest.mark.parametrize(
    "text",
    [
        "1900-02-29",  # a century not divisible by 400 has no leap day
        "2023-02-29",
        "2024-13-01",
        "2024-00-10",
        "2024-04-31",
        "19850412",  # basic format: not accepted here, since it may be any number
        "1985-102",  # ordinal date
        "1985-W15-5",  # week date
        "85-04-12",
        "12/04/1985",
        "1985-4-12",
    ],
)
def test_what_is_no_such_date_or_of_another_format_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        parse_day(text)


def test_the_day_after_28_february_is_right_in_every_century_year() -> None:
    for year in range(1600, 2401, 100):
        leap = year % 400 == 0
        try:
            assert parse_day(f"{year}-02-29") == date(year, 2, 29)
            assert leap
        except Unreadable:
            assert not leap


def test_times_of_day_are_hours_and_minutes() -> None:
    assert parse_time("23:59").isoformat("minutes") == "23:59"
    for text in ("24:00", "12:60", "noon"):
        with pytest.raises(Unreadable):
            parse_time(text)
