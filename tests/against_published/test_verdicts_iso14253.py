"""Verdicts against the decision rules of ISO 14253-1, written from memory of the standard.

Conformity is proven inside the limits narrowed by the expanded uncertainty U, non-conformity
outside the limits widened by it; in the zones of width 2U about each limit neither is proven.
"""

from __future__ import annotations

import pytest

from journalgen.ledgers.measures import verdict
from journalgen.reading.amounts import parse_limits, parse_measured
from journalgen.records import Measure
from journalgen.values import Place


@pytest.mark.parametrize(
    ("value", "uncertainty", "expected"),
    [
        ("10.000 mm", "0.010 mm", "within"),
        ("9.960 mm", "0.010 mm", "within"),  # LSL + U
        ("9.959 mm", "0.010 mm", "not proven"),
        ("9.941 mm", "0.010 mm", "not proven"),
        ("9.939 mm", "0.010 mm", "outside"),  # under LSL - U
        ("10.040 mm", "0.010 mm", "within"),  # USL - U
        ("10.041 mm", "0.010 mm", "not proven"),
        ("10.060 mm", "0.010 mm", "not proven"),
        ("10.061 mm", "0.010 mm", "outside"),  # over USL + U
        ("10.050 mm", "0 mm", "within"),
        ("10.051 mm", "0 mm", "outside"),
        ("0.395 in", "10 um", "within"),  # 10.033 mm
        ("10.000 mm", "0.060 mm", "not proven"),  # the uncertainty leaves no zone of conformity
    ],
)
def test_each_zone_about_the_limits_has_its_verdict(value: str, uncertainty: str, expected: str) -> None:
    measure = Measure(
        Place("x.md"), "bore", parse_measured(value), limits=parse_limits("9.950 .. 10.050 mm"),
        uncertainty=parse_measured(uncertainty),
    )  # fmt: skip
    assert verdict(measure) == expected
