"""Every kind of work that was done, with every time."""

from __future__ import annotations

from journalgen.ledgers.hours import keep_hours
from journalgen.ledgers.step_records import step_records
from journalgen.problems import Problems
from journalgen.records import WorkLine
from tests.site.samples import at, session

FIRST = session(
    "2024-01-01", "One", minutes=150,
    work=(WorkLine(at(3), ("axle", "hub"), "blast", minutes=61), WorkLine(at(4), ("axle",), "prime", 1, 20),
          WorkLine(at(5), ("frame",), None, minutes=9)),
)  # fmt: skip
SECOND = session(
    "2024-01-08", "Two", work=(WorkLine(at(3), ("hub",), "blast", minutes=40), WorkLine(at(4), (), "tidy"))
)


def test_each_step_has_every_line_that_names_it_in_order_of_time() -> None:
    sessions = (FIRST, SECOND)
    found = step_records(sessions, keep_hours(sessions, Problems()))
    assert list(found) == ["blast", "prime", "tidy"]
    blast = found["blast"]
    assert [(turn.session.title, turn.minutes) for turn in blast.turns] == [("One", 61), ("Two", 40)]
    assert (blast.minutes, blast.parts) == (101, ("axle", "hub"))


def test_the_median_is_of_one_part_at_a_time() -> None:
    found = step_records((FIRST, SECOND), keep_hours((FIRST, SECOND), Problems()))
    assert found["blast"].median == 31  # of 31, 30 and 40


def test_a_step_without_time_has_no_median() -> None:
    found = step_records((SECOND,), keep_hours((SECOND,), Problems()))
    assert (found["tidy"].median, found["tidy"].minutes, found["tidy"].parts) == (None, 0, ())


def test_the_minutes_are_those_of_the_hours_ledger() -> None:
    hours = keep_hours((FIRST, SECOND), Problems())
    found = step_records((FIRST, SECOND), hours)
    by_step = hours.by_step()
    assert {step: record.minutes for step, record in found.items() if record.minutes} == {
        step: minutes for step, minutes in by_step.items() if step in found
    }
