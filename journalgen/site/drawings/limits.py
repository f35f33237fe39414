"""Where a measured value lies between its limits: an open box, its proven inner part, the value with its doubt."""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from journalgen.records import Measure
from journalgen.site.drawings.svg import per_cent

_MARGIN = Fraction(1, 20)


class LimitsShape(Struct, frozen=True):
    """Places from 0 to 1 across the drawing; an open side lies at its edge."""

    low: Fraction
    high: Fraction
    inner_low: Fraction  # the limits narrowed by the uncertainty; beyond `inner_high` where nothing is left
    inner_high: Fraction
    value: Fraction
    value_low: Fraction
    value_high: Fraction


def draw_limits(measure: Measure) -> str:
    """The drawing for a table cell; the cells beside it say the same. Empty for a measure without limits."""
    limits = measure.limits
    low = limits.low.base if limits and limits.low else None
    high = limits.high.base if limits and limits.high else None
    doubt = measure.uncertainty.span if measure.uncertainty else Fraction(0)
    if low is None and high is None:
        return ""
    return _svg(place_limits(low, high, measure.value.base, doubt))


def place_limits(low: Fraction | None, high: Fraction | None, value: Fraction, doubt: Fraction) -> LimitsShape:
    """Lays out limits, value and doubt so that all of them are in view."""
    start, end = _view(low, high, value, doubt)

    def at(x: Fraction) -> Fraction:
        return (x - start) / (end - start)

    box_low = at(low) if low is not None else Fraction(0)
    box_high = at(high) if high is not None else Fraction(1)
    return LimitsShape(
        low=box_low,
        high=box_high,
        inner_low=at(low + doubt) if low is not None else box_low,
        inner_high=at(high - doubt) if high is not None else box_high,
        value=at(value),
        value_low=at(value - doubt),
        value_high=at(value + doubt),
    )


def _view(low: Fraction | None, high: Fraction | None, value: Fraction, doubt: Fraction) -> tuple[Fraction, Fraction]:
    """The range drawn: the limits with a quarter of their span on either side, widened to hold the value."""
    known = [x for x in (low, high) if x is not None]
    span = max(known) - min(known) if len(known) == 2 else 2 * max(abs(value - known[0]), 4 * doubt)
    span = span or max(abs(known[0]) / 10, Fraction(1))
    aside = span / 4 if len(known) == 2 else span * Fraction(5, 8)
    start, end = min(known) - aside, max(known) + aside
    margin = (end - start) * _MARGIN
    return min(start, value - doubt - margin), max(end, value + doubt + margin)


def _svg(shape: LimitsShape) -> str:
    inner = shape.inner_high - shape.inner_low
    filled = (
        f'<rect x="{per_cent(shape.inner_low)}" width="{per_cent(inner)}" y="9" height="10"'
        ' class="f-green" fill-opacity=".3"/>'
        if inner > 0
        else ""
    )
    return (
        '<svg width="100%" height="26" aria-hidden="true">'
        '<line class="l-edge" x1="0" x2="100%" y1="18.5" y2="18.5"/>'
        f'<rect x="{per_cent(shape.low)}" width="{per_cent(shape.high - shape.low)}" y="9" height="10" class="w-open"/>'
        f"{filled}"
        f'<line class="l-ink" x1="{per_cent(shape.value_low)}" x2="{per_cent(shape.value_high)}" y1="14" y2="14"'
        ' stroke-width="1.5"/>'
        f'<circle cx="{per_cent(shape.value)}" cy="14" r="4.5" class="f-ink"/></svg>'
    )
