"""What was done too early, after a window closed, or left bare too long: told once, at its line."""

from __future__ import annotations

import pytest

from journalgen.ledgers.steps_done import steps_done
from journalgen.ledgers.timeliness import check_timeliness
from journalgen.problems import Problems
from journalgen.records import Session
from tests.journals import rules
from tests.ledgers.workshop import at, journal, part, work


def problems_of(*sessions: Session, on: str = "2030-01-01T00:00", route: str = "painted") -> Problems:
    problems = Problems()
    kept = journal([part("axle", route), part("hub", route)], *sessions)
    check_timeliness(kept, steps_done(kept.sessions), at(on), problems)
    return problems


PRIME = work("2024-01-09", "part: axle, step: prime, coat: 1, material: red primer", start="10:00")


def test_a_step_begun_before_the_wait_is_over_is_told_once() -> None:
    early = work("2024-01-09", "part: axle, step: flat", "part: axle, step: enamel, material: gloss", start="14:00")
    problems = problems_of(PRIME, early)
    assert rules(problems) == ["too-early"]
    assert problems.found[0].place == early.work[0].place
    assert "2024-01-09 16:00" in problems.found[0].message


@pytest.mark.parametrize(
    "line", ["part: axle, step: inspect", "part: axle, step: strip", "part: hub, step: enamel, material: gloss"]
)
def test_looking_removing_and_other_parts_are_never_too_early(line: str) -> None:
    assert rules(problems_of(PRIME, work("2024-01-09", line, start="14:00"), on="2024-01-09T18:00")) == []


def test_without_times_the_wait_counts_from_midnight_as_it_is_shown() -> None:
    first = work("2024-03-09", "part: axle, step: etch, coat: 1, wait: 48 h")
    assert rules(problems_of(first, work("2024-03-11", "part: axle, step: etch, coat: 2"))) == ["too-early"]
    assert rules(problems_of(first, work("2024-03-12", "part: axle, step: etch, coat: 2"))) == []


def test_within_one_session_only_what_is_certain_is_told() -> None:
    both = ["part: axle, step: prime, coat: 1, wait: 4 h", "part: axle, step: prime, coat: 2"]
    assert rules(problems_of(work("2024-01-09", *both, hours="2"))) == ["too-early"]
    assert rules(problems_of(work("2024-01-09", *both, hours="8"))) == []


def test_a_coat_after_the_window_is_told_once_for_all_the_parts_of_its_line() -> None:
    first = work("2024-01-09", "part: [axle, hub], step: prime, material: red primer")
    late = work("2024-02-09", "part: [axle, hub], step: enamel, material: gloss")
    problems = problems_of(first, late, work("2024-02-11", "part: axle, step: enamel, material: gloss"))
    assert rules(problems) == ["window-missed"]
    assert problems.found[0].place == late.work[0].place
    assert "axle, hub" in problems.found[0].message


@pytest.mark.parametrize("between", ["flat", "strip"])
def test_a_window_is_never_missed_where_the_part_was_abraded(between: str) -> None:
    late = "part: axle, step: enamel, material: gloss"
    assert rules(problems_of(PRIME, work("2024-02-01", f"part: axle, step: {between}"), work("2024-02-09", late))) == []
    assert (
        rules(problems_of(PRIME, work("2024-02-09", late, f"part: axle, step: {between}"), on="2024-02-09T00:00")) == []
    )


def test_a_coat_within_the_window_is_well() -> None:
    assert (
        rules(problems_of(PRIME, work("2024-01-16", "part: axle, step: enamel, material: gloss", start="09:00"))) == []
    )


BLAST = work("2024-01-09", "part: axle, step: blast", start="10:00")


def test_metal_left_bare_is_told_once_the_limit_has_passed() -> None:
    assert rules(problems_of(BLAST, on="2024-01-09T19:59")) == []
    problems = problems_of(BLAST, on="2024-01-09T20:01")
    assert rules(problems) == ["bare-too-long"]
    assert problems.found[0].place == BLAST.work[0].place


def test_what_protects_in_time_ends_it_and_too_late_does_not() -> None:
    same_day = work("2024-01-09", "part: axle, step: prime, material: red primer")
    next_day = work("2024-01-10", "part: axle, step: prime, material: red primer")
    assert rules(problems_of(BLAST, same_day)) == []
    assert rules(problems_of(BLAST, next_day)) == ["bare-too-long"]


def test_blasting_again_begins_anew_and_bright_parts_are_not_meant_to_be_primed() -> None:
    again = work("2024-02-09", "part: axle, step: blast", "part: axle, step: prime, material: red primer")
    assert rules(problems_of(BLAST, again)) == []
    assert rules(problems_of(BLAST, route="bright")) == []
