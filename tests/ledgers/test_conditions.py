"""Whether coats were laid in fit conditions."""

from __future__ import annotations

import pytest

from journalgen.ledgers.conditions import Conditions, check_conditions, dew_point
from journalgen.problems import Problems
from tests.journals import rules
from tests.ledgers.workshop import journal, work


def laid(conditions: str, material: str = "red primer") -> tuple[Conditions, list[str]]:
    kept = journal([], work("2024-01-09", f"part: axle, step: prime, material: {material}, {conditions}"))
    problems = Problems()
    (found,) = check_conditions(kept.sessions, kept.steps, kept.materials, problems)
    assert all(p.place == kept.sessions[0].work[0].place for p in problems.found)
    return found, rules(problems)


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        ("air: 20 degC, humidity: 60 %, surface: 18 degC", []),
        ("air: 20 degC, humidity: 80 %, surface: 19 degC", ["dew-point"]),  # dew point 16.4 degC
        ("air: 20 degC, humidity: 80 %, surface: 19.5 degC", []),
        ("air: 20 degC, humidity: 90 %, surface: 25 degC", ["humidity-limit"]),
        ("humidity: 85 %", []),
        ("surface: 4 degC", ["surface-limit"]),
        ("surface: 96 degF", ["surface-limit"]),  # 35.6 degC
        ("surface: 35 degC", []),
        ("air: 7.5 degC", ["air-limit"]),
    ],
)
def test_each_limit_is_told_where_it_is_passed(conditions: str, expected: list[str]) -> None:
    found, told = laid(conditions)
    assert told == expected
    assert found.faults == tuple(expected)
    assert found.fit is not bool(expected)


def test_a_materials_own_margin_above_the_dew_point_wins() -> None:
    conditions = "air: 20 degC, humidity: 60 %, surface: 16 degC"  # 4 degC above 12.0
    assert laid(conditions)[1] == []
    assert laid(conditions, "gloss")[1] == ["dew-point"]


def test_what_was_not_taken_gives_no_verdict_and_no_coat_none_at_all() -> None:
    found, told = laid("air: 20 degC")
    assert (found.dew_point, found.margin, told) == (None, None, [])
    kept = journal([], work("2024-01-09", "part: axle, step: prime", "part: axle, step: degrease, humidity: 99 %"))
    (only,) = check_conditions(kept.sessions, kept.steps, kept.materials, Problems())
    assert only.fit is None


def test_dew_point_of_saturated_air_is_its_temperature_and_dry_air_has_none() -> None:
    assert dew_point(12.5, 100) == pytest.approx(12.5)
    assert dew_point(12.5, 0) is None
    assert dew_point(-300, 50) is None
    assert dew_point(1e6, 50) is None
