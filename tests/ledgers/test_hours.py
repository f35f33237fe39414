"""Whose minutes a session's minutes were."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from journalgen.ledgers.hours import Hours, keep_hours, share_session
from journalgen.problems import Problems
from journalgen.records import Part, Session, WorkLine
from tests.journals import PLACE, entry, rules

PARTS = ("axle", "hub", "wheel", "lever")


def shares(text: str) -> list[tuple[str, str, int]]:
    return [(s.part, s.step, s.minutes) for s in share_session(entry(f"---\n{text}\n---\n"), Problems())]


@pytest.mark.parametrize(
    ("front", "expected"),
    [
        ("hours: 2", [("(general)", "(unspecified)", 120)]),
        (
            "hours: 1:40\nparts: axle, hub, wheel",
            [("axle", "(unspecified)", 34), ("hub", "(unspecified)", 33), ("wheel", "(unspecified)", 33)],
        ),
        (
            "hours: 2:30\nparts: axle, hub\nwork:\n  - {part: axle, step: etch, hours: 1:30}",
            [("axle", "etch", 90), ("hub", "(unspecified)", 60)],
        ),
        (
            "hours: 2:31\nparts: [hub]\nwork:\n  - {part: axle, step: etch, hours: 1:30}\n  - {part: lever, step: fit}",
            [("axle", "etch", 90), ("lever", "fit", 31), ("hub", "(unspecified)", 30)],
        ),
        (
            "hours: 2\nwork:\n  - {part: axle, step: etch, hours: 1:30}",
            [("axle", "etch", 90), ("(general)", "(unspecified)", 30)],
        ),
        ("work:\n  - {part: axle, step: etch, hours: 1:30}\n  - {part: hub, step: etch}", [("axle", "etch", 90)]),
        ("work:\n  - {part: [axle, hub], step: etch, hours: 0:45}", [("axle", "etch", 23), ("hub", "etch", 22)]),
        ("hours: 0:45\nwork:\n  - {part: [axle, hub], step: etch}", [("axle", "etch", 23), ("hub", "etch", 22)]),
        ("hours: 1\nwork:\n  - {step: sweep, hours: 1}", [("(general)", "sweep", 60)]),
        ("hours: 1\nwork:\n  - {part: axle}", [("axle", "(unspecified)", 60)]),
        ("hours: 1\nparts: axle\nwork:\n  - {part: axle, step: etch}", [("axle", "etch", 60)]),
        ("parts: axle", []),
    ],
)
def test_minutes_go_to_lines_first_and_the_rest_is_shared(front: str, expected: list[tuple[str, str, int]]) -> None:
    assert shares(front) == expected


def test_lines_above_the_session_are_an_error_naming_both_figures() -> None:
    session = entry("---\nhours: 1\nwork:\n  - {part: axle, step: etch, hours: 1:30}\n---\n")
    problems = Problems()
    found = share_session(session, problems)
    assert rules(problems) == ["hours-exceed-session"]
    assert "1 h 30 min" in problems.found[0].message
    assert "1 h." in problems.found[0].message
    assert problems.found[0].place.line == 2
    assert [(s.part, s.minutes) for s in found] == [("(general)", 60)]


def test_lines_that_add_up_to_more_than_a_day_are_an_error() -> None:
    problems = Problems()
    share_session(entry("---\nwork:\n  - {part: axle, hours: 20}\n  - {part: hub, hours: 4:01}\n---\n"), problems)
    assert rules(problems) == ["hours-over-a-day"]


lines = st.lists(
    st.builds(
        lambda parts, step, minutes: WorkLine(PLACE, parts=tuple(parts), step=step, minutes=minutes),
        st.lists(st.sampled_from(PARTS), max_size=3, unique=True),
        st.sampled_from(["etch", "fit", None]),
        st.none() | st.integers(0, 180),
    ),
    max_size=5,
)


@st.composite
def sessions(draw: st.DrawFn) -> Session:
    work = tuple(draw(lines))
    said = sum(line.minutes or 0 for line in work)
    day = draw(st.dates())
    return replace(
        entry("---\n---\n"),
        day=day,
        page=f"{day}-{draw(st.integers(0, 99))}",
        work=work,
        minutes=draw(st.none() | st.integers(said, said + 300)),
        parts=tuple(draw(st.lists(st.sampled_from(PARTS), max_size=4, unique=True))),
    )


@given(sessions())
def test_the_shares_always_add_up_to_the_session(session: Session) -> None:
    total = session.minutes if session.minutes is not None else sum(line.minutes or 0 for line in session.work)
    problems = Problems()
    found = share_session(session, problems)
    assert sum(share.minutes for share in found) == total
    assert all(share.minutes > 0 for share in found)
    assert not problems.found


@given(st.lists(sessions(), max_size=6))
def test_every_breakdown_adds_up_to_the_whole(found: list[Session]) -> None:
    parts = {name: Part(name, assembly="gear" if name != "lever" else None) for name in PARTS}
    hours: Hours = keep_hours(found, Problems())
    for breakdown in (hours.by_part(), hours.by_step(), hours.by_month(), hours.by_assembly(parts)):
        assert sum(breakdown.values()) == hours.minutes
