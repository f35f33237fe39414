"""Pairs of photographs, states and events of parts."""

from __future__ import annotations

from journalgen.ledgers.pairs import find_pairs
from journalgen.ledgers.states import find_states
from journalgen.ledgers.timeline import part_events
from journalgen.records import Part, Session
from tests.journals import entry


def day(when: str, text: str) -> Session:
    return entry(f"---\ndate: {when}\n{text}\n---\n", file=f"entries/{when}-x.md")


FIRST = day(
    "2024-01-01",
    "photos:\n  - {file: a1.jpg, part: axle, shows: before}\n  - {file: a2.jpg, part: axle, shows: before}",
)
WORK = day("2024-02-01", "photos:\n  - {file: b1.jpg, part: axle}\n  - {file: b2.jpg, part: axle}")
AFTER = day(
    "2024-03-01", "photos:\n  - {file: c1.jpg, part: axle, shows: after}\n  - {file: c2.jpg, part: axle, shows: after}"
)


def files(*sessions: Session) -> tuple[str, str, bool] | None:
    pair = find_pairs(sessions).get("axle")
    return (pair.before.photo.file, pair.after.photo.file, pair.finished) if pair else None


def test_a_pair_is_the_first_before_and_the_last_after() -> None:
    assert files(FIRST, WORK, AFTER) == ("a1.jpg", "c2.jpg", True)


def test_until_there_is_an_after_the_latest_during_stands_for_it() -> None:
    assert files(FIRST, WORK) == ("a1.jpg", "b2.jpg", False)
    assert files(FIRST) is None
    assert files(AFTER) is None


def test_a_person_may_name_either_side() -> None:
    choice = day("2024-04-01", "pair: {part: axle, before: a2.jpg}")
    assert files(FIRST, WORK, AFTER, choice) == ("a2.jpg", "c2.jpg", True)
    choice = day("2024-04-01", "pair: [{part: axle, before: a2.jpg, after: b1.jpg}]")
    assert files(FIRST, WORK, AFTER, choice) == ("a2.jpg", "b1.jpg", True)


def test_a_part_is_fitted_by_fitting_it_until_it_comes_off_again() -> None:
    parts = {name: Part(name) for name in ("axle", "hub")}
    clean = day("2024-01-01", "work:\n  - {part: axle, step: clean}")
    fit = day("2024-01-02", "work:\n  - {part: axle, step: fit}")
    off = day("2024-01-03", "work:\n  - {part: axle, step: take off}")
    assert find_states([], parts, {}) == {"axle": "as found", "hub": "as found"}
    assert find_states([clean], parts, {})["axle"] == "in work"
    assert find_states([clean, fit], parts, {}) == {"axle": "fitted", "hub": "as found"}
    assert find_states([clean, fit, off], parts, {})["axle"] == "in work"


def test_events_of_a_part_are_in_order_of_time() -> None:
    session = day(
        "2024-01-01",
        "found:\n  - {part: axle, condition: bent}\nwork:\n  - {part: axle, step: straighten}\n"
        "bought:\n  - {part: axle, what: turning, kind: outside work, price: 1}",
    )
    assert [(event.kind, event.text) for event in part_events([session])["axle"]] == [
        ("found", "bent"), ("step", "straighten"), ("purchase", "turning"),
    ]  # fmt: skip
