"""What can be done tonight, what waits, what is blocked, and what to buy."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from journalgen.ledgers.figures import compute
from journalgen.problems import Problems
from journalgen.ready import find_ready, ready_json, ready_lines
from journalgen.records import Journal, Part, Session
from tests.journals import FixedRates
from tests.ledgers.workshop import day, journal, part, square_metres, work


def ready(kept: Journal, on: str, minutes: int | None = None) -> dict[str, Any]:
    return ready_json(find_ready(kept, compute(kept, FixedRates(), date.fromisoformat(on), Problems()), minutes))


def starts(kept: Journal, on: str, minutes: int | None = None) -> list[tuple[str, str]]:
    return [(row["part"], row["step"]) for row in ready(kept, on, minutes)["can_start"]]


AXLE = part("axle", "painted", area=square_metres("0.5"), quantity=2)
PRIMED = work("2024-01-09", "part: axle, step: prime, coat: 1, material: red primer", start="10:00")


def test_the_json_has_the_stable_shape_with_times_of_the_journals_zone() -> None:
    etched = work("2024-06-09", "part: axle, step: etch, coat: 1, wait: 48 h")
    found = ready(journal([AXLE, part("hub", "bright")], etched), "2024-06-11")
    assert found == {
        "format": "journalgen-ready/1",
        "on": "2024-06-11T00:00:00+01:00",
        "can_start": [{"part": "hub", "step": "take off", "typical_minutes": 45, "window_closes": None}],
        "waiting": [{"part": "axle", "step": "etch", "coat": 1, "ready_at": "2024-06-12T00:00:00+01:00"}],
        "blocked": [],
        "closing": [],
        "to_buy": [{"material": "red primer", "needed": "0.1", "left": "0", "unit": "L"}],
    }


def test_a_part_can_go_on_at_the_very_instant_its_wait_is_over() -> None:
    etched = work("2024-06-09", "part: axle, step: etch, wait: 48 h")
    kept = journal([AXLE], etched)
    assert starts(kept, "2024-06-11") == []
    assert starts(kept, "2024-06-12") == [("axle", "prime")]
    assert ready(kept, "2024-06-12")["waiting"] == []


def test_another_coat_is_offered_beside_the_next_step_while_the_window_is_open() -> None:
    kept = journal([AXLE], PRIMED)
    found = ready(kept, "2024-01-12")
    assert [(r["step"], r["window_closes"]) for r in found["can_start"]] == [
        ("prime", "2024-01-16T12:00:00+00:00"), ("flat", "2024-01-16T12:00:00+00:00"),
    ]  # fmt: skip
    assert found["closing"] == [{"part": "axle", "closes_at": "2024-01-16T12:00:00+00:00"}]
    second = work("2024-01-12", "part: axle, step: prime, coat: 2, material: red primer")
    assert starts(journal([AXLE], PRIMED, second), "2024-01-14") == [("axle", "flat")]


def test_past_the_window_the_part_asks_to_be_abraded() -> None:
    rows = [part("axle", "painted")]
    primed = work("2024-01-09", "part: axle, step: prime, material: red primer", "part: axle, step: flat, note: before")
    late = ready(journal(rows, PRIMED), "2024-02-01")
    assert [(r["step"], r["window_closes"]) for r in late["can_start"]] == [("flat", None)]
    assert late["closing"] == []
    assert starts(journal(rows, primed), "2024-02-01") == [("axle", "prime"), ("axle", "enamel")]


def test_a_window_after_the_last_coat_closes_nothing() -> None:
    twice = [work(f"2024-01-{n}", "part: axle, step: enamel, material: gloss", start="10:00") for n in ("02", "10")]
    found = ready(journal([AXLE], *twice), "2024-01-30")
    assert found["closing"] == []
    assert [(r["step"], r["window_closes"]) for r in found["can_start"]] == [("fit", None)]


def test_fitting_waits_for_the_cure() -> None:
    twice = [work(f"2024-01-{n}", "part: axle, step: enamel, material: gloss", start="10:00") for n in ("02", "10")]
    found = ready(journal([AXLE], *twice), "2024-01-20")
    assert found["can_start"] == []
    assert [(r["step"], r["ready_at"]) for r in found["waiting"]] == [("enamel", "2024-01-24T12:00:00+00:00")]


def test_a_fitted_part_offers_nothing() -> None:
    fitted = work("2024-01-20", "part: axle, step: fit")
    found = ready(journal([AXLE], PRIMED, fitted), "2024-01-21")
    assert all(not found[key] for key in ("can_start", "waiting", "blocked", "closing", "to_buy"))


POLISHED = work("2024-01-09", "part: hub, step: polish")


def bearing(purchase: str, *, route: str | None = None, on: str = "2024-02-01") -> dict[str, Any]:
    rows = [part("hub", "bright", needs=("bearing",)), part("bearing", route)]
    bought = (
        day("2024-01-12", f"bought:\n  - {{part: bearing, kind: used spare, price: 5, {purchase}}}")
        if purchase
        else None
    )
    return ready(journal(rows, POLISHED, *([bought] if bought else [])), on)


@pytest.mark.parametrize(
    ("purchase", "because"),
    [
        ("", "not ready"),
        ("ordered: 2024-01-02", "ordered, not arrived"),
        ("ordered: 2024-01-02, arrived: 2024-02-02", "ordered, not arrived"),
    ],
)
def test_fitting_is_blocked_by_a_need_that_is_not_there(purchase: str, because: str) -> None:
    found = bearing(purchase)
    assert found["blocked"] == [{"part": "hub", "needs": ["bearing"], "because": because}]
    assert ("hub", "fit") not in [(r["part"], r["step"]) for r in found["can_start"]]


@pytest.mark.parametrize("purchase", ["ordered: 2024-01-02, arrived: 2024-01-20", "what: bought over the counter"])
def test_a_bought_part_that_goes_through_no_route_is_ready_when_it_has_come(purchase: str) -> None:
    found = bearing(purchase)
    assert (found["blocked"], [r["step"] for r in found["can_start"]]) == ([], ["fit"])


def test_a_bought_part_with_a_route_has_to_go_through_it() -> None:
    found = bearing("what: bought over the counter", route="painted")
    assert found["blocked"][0]["because"] == "not ready"


def test_what_is_to_be_replaced_can_only_be_taken_off_until_it_is_bought() -> None:
    lens = part("lens", "bright", decision="replace")
    assert starts(journal([lens]), "2024-02-01") == [("lens", "take off")]
    off = work("2024-01-09", "part: lens, step: take off")
    found = ready(journal([lens], off), "2024-02-01")
    assert (found["can_start"], found["blocked"]) == ([], [{"part": "lens", "needs": [], "because": "not bought"}])
    bought = day("2024-01-12", "bought:\n  - {part: lens, kind: reproduction, price: 5}")
    assert starts(journal([lens], off, bought), "2024-02-01") == [("lens", "degrease")]


def test_a_need_may_be_a_whole_assembly() -> None:
    rows = [part("hub", "bright", needs=("gear",)), part("box", "bright", assembly="gear"), Part("gear")]
    assert ready(journal(rows, POLISHED), "2024-02-01")["blocked"][0]["needs"] == ["gear"]
    polished = work("2024-01-10", "part: box, step: polish")
    assert ("hub", "fit") in starts(journal(rows, POLISHED, polished), "2024-02-01")


def test_hours_keep_only_what_fits() -> None:
    rows = [part("axle", "painted"), part("hub", "bright")]
    degreased = work("2024-01-09", "part: [axle, hub], step: degrease")
    kept = journal(rows, degreased)
    assert starts(kept, "2024-02-01") == [("axle", "strip"), ("hub", "polish")]
    assert starts(kept, "2024-02-01", 60) == [("hub", "polish")]  # of unknown length: an hour
    assert starts(kept, "2024-02-01", 59) == []


def test_closing_windows_come_first_then_parts_in_work() -> None:
    rows = [part("seat", "bright"), part("hub", "bright"), AXLE]
    kept = journal(rows, work("2024-01-09", "part: hub, step: take off"), PRIMED)
    assert [name for name, _ in starts(kept, "2024-01-12")] == ["axle", "axle", "hub", "seat"]


def stocked(bought: str, *more: Session) -> list[dict[str, Any]]:
    purchase = day("2024-01-02", f"bought:\n  - {{material: red primer, price: 5, {bought}}}", "buying")
    etched = work("2024-01-09", "part: axle, step: etch")
    found: list[dict[str, Any]] = ready(journal([AXLE], purchase, etched, *more), "2024-02-01")["to_buy"]
    return found


def test_what_the_next_coats_need_is_held_against_what_is_left() -> None:
    assert stocked("amount: 99 mL") == [{"material": "red primer", "needed": "100", "left": "99", "unit": "mL"}]
    assert stocked("amount: 0.1 L") == []
    used = work("2024-01-12", "part: hub, step: prime, material: red primer, amount: 70 mL")
    assert stocked("amount: 0.1 L", used) == [{"material": "red primer", "needed": "0.1", "left": "0.03", "unit": "L"}]
    assert stocked("amount: 1 tin") == []  # tins convert to nothing


def test_a_person_reads_it_in_80_columns() -> None:
    name = "a very long name of a part that goes on and on until it is far too long for any table"
    rows = [part(name, "painted", needs=(name + " too",)), part("hub", "bright", needs=(name,)), part(name + " too")]
    kept = journal(
        rows, POLISHED, work("2024-01-09", f"part: {name}, step: prime, material: red primer", start="10:00")
    )
    for on in ("2024-01-09", "2024-01-12"):
        lines = list(ready_lines(find_ready(kept, compute(kept, FixedRates(), date.fromisoformat(on), Problems()))))
        assert max(map(len, lines)) <= 80
        assert any("hub" in line and "not ready" in line for line in lines)
    assert any("2024-01-16 12:00" in line for line in lines)


def test_an_empty_journal_says_that_nothing_can_be_started() -> None:
    assert "Nothing can be started." in list(
        ready_lines(find_ready(journal([]), compute(journal([]), FixedRates(), date(2024, 1, 1), Problems())))
    )
