"""When a part may be worked on again; nothing is ever ready too early, whatever the clocks do."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from journalgen.ledgers.moments import FAR, NEAR, instants, later, session_end
from journalgen.ledgers.steps_done import steps_done
from journalgen.ledgers.waits import Wait, keep_waits
from journalgen.reading.checks import in_time_order
from journalgen.records import Session, WorkLine
from journalgen.values import Duration, Place
from tests.ledgers.workshop import LONDON, at, journal, work

PLACE = Place("entries/x.md", 3)
ZONES = ["Europe/London", "America/New_York", "Australia/Lord_Howe", "America/Sao_Paulo", "Asia/Beirut", "UTC"]


def only(*sessions: Session) -> Wait:
    kept = journal([], *sessions)
    (wait,) = keep_waits(kept, steps_done(kept.sessions)).of("axle")
    return wait


def test_a_wait_begins_at_the_end_of_the_session() -> None:
    wait = only(work("2024-03-09", "part: axle, step: etch, coat: 1, wait: 48 h", start="19:15", hours="2:30"))
    assert wait.ready_at == at("2024-03-11T21:45")
    assert wait.closes_at is None


@pytest.mark.parametrize(("start", "hours"), [("", "2"), ("19:15", "0")])
def test_without_a_start_or_a_length_the_session_ends_at_local_midnight(start: str, hours: str) -> None:
    wait = only(work("2024-03-09", "part: axle, step: etch, wait: 48 h", start=start, hours=hours))
    assert wait.ready_at == at("2024-03-12T00:00")


def test_the_lines_wait_wins_then_the_recoat_minimum_then_the_step() -> None:
    own = only(work("2024-01-09", "part: axle, step: prime, material: red primer, wait: 1 h", start="10:00"))
    material = only(work("2024-01-09", "part: axle, step: prime, material: red primer", start="10:00"))
    step = only(work("2024-01-09", "part: axle, step: prime", start="10:00"))
    ready = [at("2024-01-09T13:00"), at("2024-01-09T16:00"), at("2024-01-10T04:00")]
    assert [own.ready_at, material.ready_at, step.ready_at] == ready
    assert material.closes_at == at("2024-01-16T12:00")


def test_a_step_without_any_wait_keeps_nothing_waiting() -> None:
    kept = journal([], work("2024-01-09", "part: axle, step: degrease", "part: axle, step: prime, wait: 0 h"))
    assert not any(keep_waits(kept, steps_done(kept.sessions)).by_part.values())


def test_the_wait_that_a_line_began_is_found_on_each_of_its_parts() -> None:
    kept = journal([], work("2024-01-09", "part: [axle, hub], step: prime, wait: 2 h", "part: axle, step: degrease"))
    waits = keep_waits(kept, steps_done(kept.sessions))
    primed, degreased = (line.place for line in kept.sessions[0].work)
    found = [waits.of_line(part, str(primed)) for part in ("axle", "hub")]
    assert [wait.part for wait in found if wait] == ["axle", "hub"]
    assert waits.of_line("axle", str(degreased)) is None
    assert waits.of_line("frame", str(primed)) is None


def test_fitting_waits_for_the_cure_unless_the_line_says_otherwise() -> None:
    wait = only(work("2024-01-09", "part: axle, step: enamel, material: gloss", start="10:00"))
    assert (wait.ready_at, wait.cured_at) == (at("2024-01-10T12:00"), at("2024-01-23T12:00"))
    told = only(work("2024-01-09", "part: axle, step: enamel, material: gloss, wait: 2 d", start="10:00"))
    assert told.cured_at == at("2024-01-11T12:00")


def test_months_go_by_the_calendar() -> None:
    wait = only(work("2024-01-31", "part: axle, step: enamel, material: gloss", start="10:00"))
    assert wait.closes_at == at("2024-02-29T12:00")


def test_a_night_in_which_the_clocks_go_forward_is_an_hour_shorter_on_the_wall() -> None:
    wait = only(work("2024-03-30", "part: axle, step: prime, wait: 24 h", start="20:00"))
    assert wait.ready_at is not None
    assert wait.ready_at.astimezone(LONDON).isoformat() == "2024-03-31T23:00:00+01:00"


def test_a_time_that_comes_twice_is_taken_as_the_later() -> None:
    first, second = instants(date(2024, 10, 27), time(1, 30), LONDON)
    assert second - first == timedelta(hours=1)
    wait = only(work("2024-10-27", "part: axle, step: prime, wait: 1 h", start="01:30", hours="1"))
    assert wait.ready_at == datetime(2024, 10, 27, 3, 30, tzinfo=UTC)


def test_a_later_coat_or_a_flatting_meets_the_window_and_stripping_ends_the_wait() -> None:
    prime = work("2024-01-09", "part: axle, step: prime, material: red primer")
    for step, followed, bared in (
        ("prime", True, False),
        ("flat", True, False),
        ("strip", True, True),
        ("inspect", False, False),
    ):
        kept = journal([], prime, work("2024-01-12", f"part: axle, step: {step}"))
        wait = keep_waits(kept, steps_done(kept.sessions)).of("axle")[0]
        assert (wait.followed, wait.bared) == (followed, bared), step


@pytest.mark.parametrize("when", ["0001-01-01", "9999-12-31"])
def test_a_year_typed_wrong_is_borne(when: str) -> None:
    session = work(when, "part: axle, step: enamel, material: gloss, wait: 36000 d", start="23:00")
    wait = only(session)
    assert NEAR <= wait.ends <= FAR + timedelta(days=1)
    assert wait.ready_at is not None
    assert wait.ready_at.astimezone(ZoneInfo("Pacific/Kiritimati"))


@given(
    st.sampled_from(ZONES),
    st.dates(date(2010, 1, 1), date(2026, 12, 31)),
    st.none() | st.times().map(lambda t: t.replace(second=0, microsecond=0)),
    st.integers(1, 24 * 60),
    st.integers(1, 90 * 24 * 60),
)
def test_nothing_is_ready_before_the_wait_has_passed(
    zone_name: str, when: date, start: time | None, minutes: int, wait: int
) -> None:
    zone = ZoneInfo(zone_name)
    line = WorkLine(PLACE, ("axle",), "prime", wait=Duration(wait))
    session = Session(PLACE, PLACE, when, "work", "page", start=start, minutes=minutes, work=(line,))
    kept = journal([], session, zone=zone)
    (found,) = keep_waits(kept, steps_done(kept.sessions)).of("axle")
    assert found.ready_at is not None
    # The latest reading of the wall clock, in elapsed seconds since 1970, is what must have passed.
    walls = [datetime.combine(when, start, zone)] if start else [datetime.combine(when + timedelta(1), time(), zone)]
    latest = max(wall.replace(fold=fold).timestamp() for wall in walls for fold in (0, 1))
    earliest_end = latest + (minutes * 60 if start else 0)
    assert found.ready_at.timestamp() >= earliest_end + wait * 60
    assert found.ready_at.timestamp() == session_end(session, zone).timestamp() + wait * 60


@given(
    st.sampled_from(ZONES),
    st.integers(1262304000, 1767225600).map(lambda seconds: datetime.fromtimestamp(seconds, UTC)),
    st.integers(0, 48),
    st.integers(0, 9999),
)
def test_a_longer_span_never_ends_sooner(zone_name: str, moment: datetime, months: int, minutes: int) -> None:
    zone = ZoneInfo(zone_name)
    shorter = later(moment, Duration(minutes, months), zone)
    assert later(moment, Duration(minutes + 1, months), zone) > shorter >= moment
    assert later(moment, Duration(minutes, months + 1), zone) > shorter


@pytest.mark.parametrize(
    ("etch", "strip", "waits"),
    [("", "10:00", True), ("10:00", "", True), ("", "", True), ("19:15", "19:15", True), ("19:15", "10:00", True),
     ("10:00", "19:15", False)],
)  # fmt: skip
def test_a_coat_is_not_taken_for_stripped_unless_the_strip_certainly_came_later(
    etch: str, strip: str, waits: bool
) -> None:
    """Of two sessions of one day it is often not known which came first."""
    coat = work("2026-11-20", "part: axle, step: etch, coat: 1, wait: 48 h", start=etch)
    gone = replace(work("2026-11-20", "part: axle, step: strip", start=strip), place=Place("entries/later-in-name.md"))
    sessions = in_time_order([coat, gone])
    kept = journal([], *sessions)
    found = keep_waits(kept, steps_done(kept.sessions)).waiting("axle", at("2026-11-21T12:00"))
    assert bool(found) == waits


def test_what_does_not_say_when_it_began_ends_its_day() -> None:
    first = work("2026-11-20", "part: axle, step: strip", start="10:00")
    last = work("2026-11-20", "part: axle, step: etch")
    next_day = work("2026-11-21", "part: axle, step: prime", start="09:00")
    assert in_time_order([next_day, last, first]) == [first, last, next_day]
