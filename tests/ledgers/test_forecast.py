"""When it may be done: from the journal's own weeks, the same on every run, and honest about thin data."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from journalgen.ledgers.forecast import Forecast, forecast, quantile, weekly_minutes
from journalgen.ledgers.hours import keep_hours
from journalgen.problems import Problems
from journalgen.records import Session
from tests.ledgers.workshop import craft, journal, part, work

MONDAY = date(2024, 1, 1)


def weeks(*minutes: int) -> list[Session]:
    """A session on the Monday of each week, none where the week is idle."""
    days = [MONDAY + timedelta(weeks=n) for n in range(len(minutes))]
    return [
        work(str(when), "part: hub, step: inspect", hours=f"{spent} min")
        for when, spent in zip(days, minutes, strict=True)
        if spent
    ]


def of(on: date, *sessions: Session, parts: int = 6, route: str | None = "painted") -> Forecast:
    kept = journal([part(f"part {n}", route) for n in range(parts)], *sessions)
    found = craft(kept, str(on))
    hours = keep_hours(kept.sessions, Problems())
    assert forecast(found.progress, hours, on) == found.forecast  # the same on every run
    return found.forecast


def test_weeks_of_nothing_count_and_the_week_of_the_day_itself() -> None:
    hours = keep_hours(weeks(120, 0, 0, 60), Problems())
    assert weekly_minutes(hours, date(2024, 1, 31)) == [120, 0, 0, 60, 0]
    assert weekly_minutes(hours, date(2024, 1, 28)) == [120, 0, 0, 60]
    assert weekly_minutes(hours, date(2023, 12, 31)) == []


def test_even_weeks_give_the_plain_quotient() -> None:
    found = of(date(2024, 3, 10), *weeks(*[180] * 10))
    assert found.minutes_to_do == 6 * (45 + 40 + 80 + 60 + 45 + 55 + 40 + 50)
    need = -(-found.minutes_to_do // 180)
    assert found.likely == found.safe == date(2024, 3, 10) + timedelta(weeks=need)
    assert (found.weeks, found.parts_unknown, found.why_not) == (10, 1, None)


def test_under_eight_weeks_there_is_none_and_it_says_so() -> None:
    found = of(date(2024, 2, 18), *weeks(*[180] * 7))
    assert (found.likely, found.safe) == (None, None)
    assert found.why_not == "Weeks of record so far: 7; a forecast needs at least 8."
    assert of(date(2024, 2, 19), *weeks(*[180] * 7)).why_not is None  # the eighth has begun


def test_without_routes_or_with_all_done_there_is_none() -> None:
    assert "route" in (of(date(2024, 6, 1), *weeks(180), route=None).why_not or "")
    fitted = [work("2024-01-01", *(f"part: part {n}, step: fit" for n in range(6)))]
    assert of(date(2024, 6, 1), *fitted).why_not == "Everything with a route is done."


def test_a_pace_beyond_fifty_years_is_said() -> None:
    assert "fifty years" in (of(date(2024, 6, 1), *weeks(1), parts=60).why_not or "")


@given(st.lists(st.integers(0, 600), min_size=8, max_size=20).filter(lambda row: row[0] > 0 and sum(row) > 200))
def test_the_days_are_ordered_and_not_before_the_day_itself(minutes: list[int]) -> None:
    on = MONDAY + timedelta(weeks=len(minutes) - 1)
    found = of(on, *weeks(*minutes), parts=2)
    assert found.likely is not None
    assert found.safe is not None
    assert on < found.likely <= found.safe


@given(st.lists(st.integers(), min_size=1), st.floats(0.01, 1), st.floats(0.01, 1))
def test_quantiles_are_ordered_and_values_of_the_list(values: list[int], one: float, other: float) -> None:
    ordered = sorted(values)
    low, high = quantile(ordered, min(one, other)), quantile(ordered, max(one, other))
    assert low <= high
    assert low in values
    assert quantile(ordered, 1) == ordered[-1]
