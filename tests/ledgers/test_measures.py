"""Verdicts on measures."""

from __future__ import annotations

import pytest

from journalgen.ledgers.measures import verdict
from tests.journals import entry


@pytest.mark.parametrize(
    ("value", "limits", "uncertainty", "expected"),
    [
        ("34.981 mm", "34.975 .. 35.000 mm", "0.004 mm", "within"),
        ("34.977 mm", "34.975 .. 35.000 mm", "0.004 mm", "not proven"),
        ("34.973 mm", "34.975 .. 35.000 mm", "0.004 mm", "not proven"),
        ("34.970 mm", "34.975 .. 35.000 mm", "0.004 mm", "outside"),
        ("34.979 mm", "34.975 .. 35.000 mm", "4 um", "within"),  # on the narrowed limit counts as within
        ("34.971 mm", "34.975 .. 35.000 mm", "0.004 mm", "not proven"),  # outside only beyond the widened limit
        ("35 mm", "34.975 .. 35.000 mm", None, "within"),
        ("35.001 mm", "34.975 .. 35.000 mm", None, "outside"),
        ("0.05 mm", "at most 0.05 mm", None, "within"),
        ("2 mm", "at least 3 mm", None, "outside"),
        ("1 in", "20 .. 30 mm", None, "within"),
        ("68 degF", "15 .. 25 degC", "1 degC", "within"),
        ("3 mm", None, None, None),
    ],
)
def test_a_verdict_is_proven_by_the_uncertainty_or_not_at_all(
    value: str, limits: str | None, uncertainty: str | None, expected: str | None
) -> None:
    more = f", limits: {limits}" if limits else ""
    more += f", uncertainty: {uncertainty}" if uncertainty else ""
    (measure,) = entry(f"---\nmeasures:\n  - {{part: axle, what: x, value: {value}{more}}}\n---\n").measures
    assert verdict(measure) == expected
