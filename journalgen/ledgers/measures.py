"""Verdicts on measures after ISO 14253-1: within, outside, or not proven."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from journalgen.records import Measure

WITHIN: Final = "within"
OUTSIDE: Final = "outside"
NOT_PROVEN: Final = "not proven"


def verdict(measure: Measure) -> str | None:
    """Whether a measure is proven to lie within its limits; None where it has none.

    `within`: inside the limits narrowed by the uncertainty, the limit itself included.
    `outside`: beyond the limits widened by it. Between the two nothing is proven.
    Source: ISO 14253-1, decision rules for verifying conformity. No uncertainty counts as nought.
    """
    limits = measure.limits
    if limits is None:
        return None
    value = measure.value.base
    doubt = measure.uncertainty.span if measure.uncertainty else Fraction(0)
    low = limits.low.base if limits.low else None
    high = limits.high.base if limits.high else None
    if (low is None or value >= low + doubt) and (high is None or value <= high - doubt):
        return WITHIN
    if (low is not None and value < low - doubt) or (high is not None and value > high + doubt):
        return OUTSIDE
    return NOT_PROVEN
