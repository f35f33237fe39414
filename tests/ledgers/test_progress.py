"""How far each part is, and the machine."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.ledgers.progress import Progress, keep_progress
from journalgen.ledgers.steps_done import steps_done
from journalgen.ledgers.waits import keep_waits
from journalgen.records import Session
from tests.ledgers.workshop import STEPS, at, craft, journal, part, told, work


def progress(*sessions: Session, on: str = "2030-01-01", route: str | None = "painted") -> Progress:
    return craft(journal([part("axle", route)], *sessions), on).progress


def steps(found: Progress, name: str = "axle") -> dict[str, str]:
    return {row.step: row.state for row in found.parts[name].steps}


def test_each_step_of_the_route_is_done_in_hand_waiting_or_to_do() -> None:
    first = work("2024-01-01", "part: axle, step: take off", "part: axle, step: degrease")
    primed = work("2024-01-09", "part: axle, step: blast", "part: axle, step: prime, material: red primer, wait: 48 h")
    found = progress(first, primed, on="2024-01-10")
    assert found.parts["axle"].state == "waiting"
    assert steps(found) == {
        "take off": "done", "degrease": "done", "strip": "done", "etch": "passed over", "prime": "waiting",
        "flat": "to do", "enamel": "to do", "fit": "to do",
    }  # fmt: skip
    later = progress(first, primed, on="2024-01-12")
    assert steps(later)["prime"] == "in hand"
    assert (later.parts["axle"].state, later.parts["axle"].next_step, later.parts["axle"].repeat) == (
        "in work",
        "flat",
        "prime",
    )


def test_a_step_of_the_same_family_stands_in_for_one_step_only() -> None:
    assert steps(progress(work("2024-01-01", "part: axle, step: blast")))["strip"] == "done"
    assert steps(progress(work("2024-01-01", "part: axle, step: degrease")))["strip"] == "to do"


COATED = [
    work("2024-01-09", "part: axle, step: prime, material: red primer"),
    work("2024-01-12", "part: axle, step: flat"),
    work("2024-01-13", "part: axle, step: enamel, material: gloss", start="10:00"),
]


@pytest.mark.parametrize(
    ("sessions", "on", "state"),
    [
        ([], "2024-02-01", "as found"),
        ([work("2024-01-01", "part: axle, step: take off")], "2024-02-01", "in work"),
        (COATED, "2024-01-14", "waiting"),  # for the next coat
        (COATED, "2024-01-20", "waiting"),  # for the cure
        (COATED, "2024-01-28", "ready to fit"),
        ([*COATED, work("2024-02-01", "part: axle, step: fit")], "2024-02-02", "fitted"),
        ([*COATED, work("2024-02-01", "part: axle, step: fit"), work("2024-03-01", "part: axle, step: take off")],
         "2024-03-02", "ready to fit"),
    ],
)  # fmt: skip
def test_the_state_of_a_part_with_a_route(sessions: list[Session], on: str, state: str) -> None:
    assert progress(*sessions, on=on).parts["axle"].state == state


def test_a_part_without_a_route_goes_by_the_simple_rule_and_waits_too() -> None:
    assert progress(COATED[0], on="2024-01-10", route=None).parts["axle"].state == "waiting"
    assert progress(COATED[0], on="2024-02-01", route=None).parts["axle"].state == "in work"
    assert progress(work("2024-01-01", "part: axle, step: fit"), route=None).parts["axle"].share == 1


def test_shares_are_weighted_by_the_journals_own_medians_else_the_typical_minutes_else_an_hour() -> None:
    sessions = [work("2024-01-01", "part: axle, step: degrease", hours=hours) for hours in ("1", "2", "5")]
    found = progress(*sessions, route="bright").parts["axle"]
    assert [row.minutes for row in found.steps] == [45, 120, 60, 50]
    assert found.share == Fraction(120, 120 + 60 + 50)  # what was passed over is not still to do
    assert found.minutes_to_do == 110


def test_an_assembly_and_the_machine_have_their_shares_by_weight_and_are_ready_when_all_is() -> None:
    parts = [
        part("axle", "bright", assembly="gear"), part("box", "bright", assembly="gear"),
        part("gear", assembly="machine"), part("seat", "bright"),
    ]  # fmt: skip
    fit_axle, fit_box = (work("2024-01-01", f"part: {name}, step: fit", hours="0:50") for name in ("axle", "box"))
    half = craft(journal(parts, fit_axle), "2024-02-01").progress
    assert (half.assemblies["gear"].share, half.assemblies["gear"].ready) == (Fraction(50, 50 + 195), False)
    whole = craft(journal(parts, fit_axle, fit_box), "2024-02-01").progress
    assert (whole.assemblies["gear"].share, whole.assemblies["gear"].ready) == (1, True)
    assert whole.assemblies["machine"].ready
    assert 0 < whole.share < 1


def test_a_step_done_after_one_that_comes_later_is_told_once_for_a_part() -> None:
    axle = [part("axle", "painted")]
    prime, strip = work("2024-01-09", "part: axle, step: prime"), work("2024-02-09", "part: axle, step: degrease")
    assert told(journal(axle, prime, strip, work("2024-03-01", "part: axle, step: degrease"))) == ["out-of-order"]
    assert told(journal(axle, strip, work("2024-03-01", "part: axle, step: prime"))) == []


def test_flatting_standing_in_and_steps_of_no_route_are_never_out_of_order() -> None:
    axle, prime = [part("axle", "painted")], work("2024-01-09", "part: axle, step: prime")
    enamel = work("2024-01-12", "part: axle, step: enamel")
    for late in ("flat", "inspect", "polish"):
        assert told(journal(axle, prime, enamel, work("2024-02-09", f"part: axle, step: {late}"))) == [], late
    same = work("2024-01-09", "part: axle, step: prime", "part: axle, step: degrease")
    assert told(journal(axle, same)) == []


KEYS = [step.key for step in STEPS if step.key != "take off" and step.key != "strip"]


@given(st.lists(st.sampled_from(KEYS), max_size=9), st.sampled_from(["painted", "bright"]))
def test_shares_stay_within_0_and_1_and_never_fall_as_steps_are_done(done: list[str], route: str) -> None:
    weights = {step.key: step.typical for step in STEPS if step.typical}
    before = Fraction(0)
    for count in range(len(done) + 1):
        sessions = [work(f"2024-01-{i + 1:02}", f"part: axle, step: {step}") for i, step in enumerate(done[:count])]
        kept = journal([part("axle", route)], *sessions)
        row = steps_done(kept.sessions)
        found = keep_progress(kept, kept.sessions, row, keep_waits(kept, row), weights, at("2024-06-01T00:00"))
        assert before <= found.share <= 1
        before = found.share
