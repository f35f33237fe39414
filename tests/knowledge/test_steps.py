"""The built-in steps and routes: readable as a journal's own, complete, and sane."""

from __future__ import annotations

import re
from collections import Counter
from importlib.resources import files
from pathlib import Path

import pytest

from journalgen.knowledge.trade import cautions
from journalgen.problems import Problem, Problems
from journalgen.reading.registers import catalogue, parse_steps
from journalgen.reading.trees import Table, parse_tree, plain
from journalgen.records import Route, Step
from journalgen.slugs import key

EXAMPLE = Path(__file__).parents[2] / "content_example"
TEXT = files("journalgen.knowledge").joinpath("steps.yaml").read_text(encoding="utf-8")
DAY = 24 * 60

PROBLEMS = Problems()
READ, READ_ROUTES = parse_steps(TEXT, "steps.yaml", PROBLEMS)
STEPS: dict[str, Step] = {step.key: step for step in READ}
ROUTES: dict[str, Route] = {route.name: route for route in READ_ROUTES}


def but_for_the_source(problems: Problems) -> list[Problem]:
    return [found for found in problems.found if not found.message.startswith("`source` is not a key of a step")]


def minutes(step: Step) -> int:
    assert step.wait is not None
    return step.wait.minutes


def limit(name: str) -> int:
    found = STEPS[name].limit
    assert found is not None
    return found.minutes


def test_the_file_reads_without_a_problem() -> None:
    assert but_for_the_source(PROBLEMS) == []
    assert len(STEPS) >= 50


def test_no_two_steps_answer_to_one_name() -> None:
    problems = Problems()
    names, kept = catalogue(READ, problems)
    assert problems.found == []
    assert kept.keys() == STEPS.keys()
    assert all(names.find(other) == step.key for step in READ for other in step.also_called)


def test_no_two_routes_share_a_name() -> None:
    assert len({key(route.name) for route in READ_ROUTES}) == len(READ_ROUTES)


def test_every_row_names_its_source_family_and_time() -> None:
    tree = parse_tree(TEXT, "steps.yaml", 1, Problems())
    assert isinstance(tree, Table)
    rows = plain(tree.values["steps"])
    assert isinstance(rows, dict)
    for name, row in rows.items():
        assert isinstance(row, dict), name
        source = row.get("source")
        assert isinstance(source, str), name
        assert source.startswith(("common practice", "ASTM ")), name
        assert {"label", "family", "typical"} <= row.keys(), name


def test_every_caution_is_known_and_every_caution_is_used() -> None:
    named = {name for step in READ for name in step.cautions}
    assert named == set(cautions())


def test_every_step_of_a_route_is_known() -> None:
    assert [(route.name, step) for route in READ_ROUTES for step in route.steps if step not in STEPS] == []


def test_the_eleven_kinds_of_part_have_a_route() -> None:
    assert set(ROUTES) == {
        "painted steel", "painted cast iron", "cast aluminium", "brass and copper", "plated work", "wood",
        "rubber and seals", "bearings", "rebuilt assembly", "wiring", "bought-in part",
    }  # fmt: skip


def test_every_route_ends_when_the_part_is_fitted() -> None:
    assert {route.steps[-1] for route in READ_ROUTES} == {"fit"}


def test_no_route_asks_twice_for_what_one_family_does() -> None:
    for route in READ_ROUTES:
        families = Counter(STEPS[step].family for step in route.steps)
        assert families.most_common(1)[0][1] == 1, route.name


def test_a_family_named_like_a_step_holds_that_step() -> None:
    assert {step.key for step in READ if any(other.family == step.key for other in READ)} == {
        step.key for step in READ if step.family == step.key
    }


def test_several_ways_to_strip_count_as_stripped() -> None:
    ways = {step.key for step in READ if step.family == "strip"}
    assert {"strip", "blast", "wire brush", "chemical strip", "electrolysis"} <= ways
    assert all(STEPS[way].bares for way in ways)


@pytest.mark.parametrize("name", ["painted steel", "painted cast iron"])
def test_coats_go_on_in_the_order_of_the_trade(name: str) -> None:
    steps = ROUTES[name].steps
    order = ["trial fit", "etch prime", "red oxide", "high build", "flat", "undercoat", "enamel", "fit"]
    assert [step for step in steps if step in order] == order
    assert next(step for step in steps if STEPS[step].protects) == "etch prime"


def test_no_step_both_bares_and_protects() -> None:
    assert [step.key for step in READ if step.bares and step.protects] == []


def test_only_bared_metal_has_a_limit() -> None:
    assert [step.key for step in READ if step.limit and not step.bares] == []


def test_blasted_steel_is_primed_the_same_day_and_treated_steel_may_stand_longest() -> None:
    assert limit("blast") < DAY
    assert limit("blast") < limit("wire brush") < limit("etch")


def test_a_limit_outlasts_the_wait_before_the_next_step() -> None:
    assert [step.key for step in READ if step.limit and step.wait and step.limit.minutes <= step.wait.minutes] == []


def test_acid_rust_treatment_takes_coats_of_two_days_each() -> None:
    assert minutes(STEPS["etch"]) == 2 * DAY
    assert STEPS["etch"].repeats


def test_waits_are_hours_to_days() -> None:
    waits = {step.key: step.wait for step in READ if step.wait}
    assert all(wait.months == 0 for wait in waits.values())
    assert [name for name, wait in waits.items() if not 60 <= wait.minutes <= 7 * DAY] == []


def test_every_paint_laid_at_the_bench_has_a_wait() -> None:
    paints = {"etch prime", "prime", "high build", "undercoat", "finish", "clear coat", "wood finish"}
    at_the_bench = [step for step in READ if step.family in paints and "sent out" not in step.label]
    assert len(at_the_bench) > 12
    assert [step.key for step in at_the_bench if step.wait is None or not step.repeats] == []


def test_typical_times_are_minutes_at_a_bench() -> None:
    assert [step.key for step in READ if not 5 <= (step.typical or 0) <= 480] == []


def test_every_step_of_the_example_is_known_so_spelt() -> None:
    entries = EXAMPLE.joinpath("entries").glob("*/*.md")
    used = {word.strip() for entry in entries for word in re.findall(r"step: ([^,}\n]+)", entry.read_text("utf-8"))}
    assert len(used) > 25
    assert used - STEPS.keys() == set()


def test_every_route_of_the_example_is_built_in_or_its_own() -> None:
    register = EXAMPLE / "register"
    _, own = parse_steps(register.joinpath("steps.yaml").read_text("utf-8"), "register/steps.yaml", Problems())
    parts = register.joinpath("parts.yaml").read_text("utf-8")
    used = set(re.findall(r"^  route: (.+)$", parts, re.MULTILINE))
    assert used - ROUTES.keys() - {route.name for route in own} == set()
    assert [step for route in own for step in route.steps if step not in STEPS] == []
