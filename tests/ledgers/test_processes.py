"""The process of a part: waits, windows and bare times as spans, the coats to come, and what its coats add up to."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from journalgen.ledgers.coats import build_of
from journalgen.ledgers.processes import PartProcess, Span
from journalgen.ledgers.timeliness import BARE_TOO_LONG, TOO_EARLY, WINDOW_MISSED
from journalgen.records import Session
from tests.ledgers.workshop import at, craft, journal, part, square_metres, work

BLAST = work("2024-01-09", "part: axle, step: blast", start="10:00")
PRIME = work("2024-01-12", "part: axle, step: prime, coat: 1, material: red primer, amount: 80 mL", start="10:00")
FLAT = work("2024-01-14", "part: axle, step: flat", start="10:00")
GLOSS = work("2024-01-15", "part: axle, step: enamel, coat: 1, material: gloss, amount: 80 mL", start="10:00")
AGAIN = work("2024-01-18", "part: axle, step: enamel, coat: 2, material: gloss, amount: 80 mL", start="10:00")


def process_of(*sessions: Session, on: str = "2024-01-20") -> PartProcess:
    kept = journal([part("axle", "painted", area=square_metres("1"))], *sessions)
    return craft(kept, on).processes["axle"]


def test_a_wait_runs_from_the_end_of_its_session_and_the_window_from_the_end_of_the_wait() -> None:
    step = process_of(PRIME, on="2024-01-13").steps[0]
    assert step.wait == Span(at("2024-01-12T12:00"), at("2024-01-12T16:00"))
    assert step.window == Span(at("2024-01-12T16:00"), at("2024-01-19T12:00"))
    assert step.closes


@pytest.mark.parametrize("met", [FLAT, work("2024-01-14", "part: axle, step: strip", start="10:00")])
def test_a_window_ends_where_it_was_met(met: Session) -> None:
    step = process_of(PRIME, met).steps[0]
    assert step.window == Span(at("2024-01-12T16:00"), at("2024-01-14T10:00"))
    assert not step.closes


def test_a_window_that_nothing_met_ends_with_its_closing() -> None:
    late = work("2024-02-15", "part: axle, step: enamel, material: gloss", start="10:00")
    step = process_of(PRIME, late, on="2024-03-01").steps[0]
    assert step.closes
    assert step.window
    assert step.window.end == at("2024-01-19T12:00")


def test_the_last_coat_of_all_has_no_window_but_its_cure_is_waited_for() -> None:
    last = process_of(PRIME, GLOSS, AGAIN).steps[-1]
    assert last.window is None
    assert last.wait == Span(at("2024-01-18T12:00"), at("2024-02-01T12:00"))


def test_metal_that_stood_bare_too_long_is_a_span_until_it_was_protected_or_until_today() -> None:
    assert process_of(BLAST, PRIME).steps[0].bare == Span(at("2024-01-09T12:00"), at("2024-01-12T10:00"))
    still = process_of(BLAST).steps[0]
    assert still.bare == Span(at("2024-01-09T12:00"), at("2024-01-20T00:00"))
    assert still.days_bare == 11
    in_time = work("2024-01-09", "part: axle, step: prime", start="14:00")
    assert process_of(BLAST, in_time).steps[0].bare is None


def test_coats_to_come_stand_as_soon_as_the_waits_allow() -> None:
    found = process_of(BLAST, PRIME, on="2024-01-12")
    assert [(coming.coat.step, coming.soonest) for coming in found.to_come] == [
        ("enamel", at("2024-01-12T16:00")),
    ]
    early = process_of(BLAST)
    assert [coming.coat.step for coming in early.to_come] == ["prime", "enamel"]
    first, second = (coming.soonest for coming in early.to_come)
    assert first == at("2024-01-20T00:00")
    assert second - first == timedelta(hours=4)  # of the one coating that bears the name of the step


def test_what_lies_beneath_is_the_last_baring() -> None:
    assert (bared := process_of(BLAST, PRIME).bared)
    assert bared.step == "blast"
    assert process_of(PRIME).bared is None


def test_what_was_not_kept_is_given_by_part_with_its_days() -> None:
    late = work("2024-02-15", "part: axle, step: enamel, material: gloss", start="10:00")
    soon = work("2024-02-16", "part: axle, step: enamel, material: gloss", start="09:00")
    found = craft(journal([part("axle", "painted")], BLAST, PRIME, late, soon), "2024-03-01").missed["axle"]
    assert [(one.rule, one.earlier.step, one.days) for one in found] == [
        (TOO_EARLY, "enamel", 1),
        (WINDOW_MISSED, "prime", 34),
        (BARE_TOO_LONG, "blast", 3),
    ]


def test_the_build_adds_up_what_was_used_and_asks_for_what_is_to_come() -> None:
    kept = journal([part("axle", "painted", area=square_metres("1"))], PRIME)
    coats = craft(kept, "2024-01-13").coats["axle"]
    build = build_of(coats)
    assert (build.laid, build.to_come, build.assumed) == (1, 1, 0)
    assert build.so_far == coats[0].built == Fraction(32)
    # Nothing has told yet which enamel it will be: so what is wanted in all is not known.
    assert build.wanted is None


def test_a_coat_of_unknown_film_counts_as_it_was_asked() -> None:
    unsaid = work("2024-01-12", "part: axle, step: prime, material: red primer", start="10:00")
    build = build_of(craft(journal([part("axle", "painted")], unsaid, GLOSS), "2024-01-20").coats["axle"])
    assert (build.so_far, build.assumed, build.wanted) == (Fraction(76), 2, Decimal(76))
    bare = work("2024-01-12", "part: axle, step: prime, coat: 1", start="10:00")
    unknown = build_of(craft(journal([part("axle", "painted")], bare), "2024-01-20").coats["axle"])
    assert (unknown.so_far, unknown.assumed, unknown.wanted) == (None, 0, None)


def test_the_position_is_that_of_the_step_that_waits_else_of_the_next() -> None:
    def position(*sessions: Session, on: str) -> int | None:
        return craft(journal([part("axle", "painted")], *sessions), on).progress.parts["axle"].position

    assert position(PRIME, on="2024-01-12") == 5
    assert position(BLAST, on="2024-01-20") == 4
    assert position(on="2024-01-20") == 1
    fitted = work("2024-03-01", "part: axle, step: fit")
    assert position(PRIME, GLOSS, fitted, on="2024-03-02") is None
    kept = journal([part("axle", "painted"), part("hub")], PRIME, fitted)
    assert not craft(kept, "2024-03-02").progress.finished
    assert craft(journal([part("axle", "painted")], PRIME, fitted), "2024-03-02").progress.finished
