"""A measure over time as SVG: each value with its doubt, and the limits as an open band."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.ledgers.series import Series
from journalgen.site.drawings.svg import per_cent, round_step, text

_TOP: Final = 14
_BOTTOM: Final = 126
_HEIGHT: Final = 152
_GRID_LINES: Final = 4
_EDGE: Final = Fraction(4, 100)  # so that no dot is cut
_FIGURES: Final = Fraction(18, 100)  # of the width, for the figures at the right
_MARGIN: Final = Fraction(1, 10)  # above and below what is drawn


class Dot(Struct, frozen=True):
    """One reading: x from 0 to 1, the rest in px."""

    x: Fraction
    y: Fraction
    top: Fraction  # of its doubt
    bottom: Fraction


class SeriesShape(Struct, frozen=True):
    """The whole drawing."""

    dots: tuple[Dot, ...]
    band: tuple[Fraction, Fraction] | None  # y of the upper and the lower limit; an open side lies at the edge
    grid: tuple[tuple[Decimal, Fraction], ...]  # round figure and its y


def draw_series(series: Series, label: str, say: Callable[[Decimal], str], say_day: Callable[[date], str]) -> str:
    """The drawing; the table beneath says the same."""
    shape = place_series(series)
    days = [reading.day for reading in series.readings]
    grid = "".join(
        f'<line class="l-rule" x1="0" x2="100%" y1="{float(y):.1f}" y2="{float(y):.1f}"/>'
        f'<text class="t-quiet" x="100%" y="{float(y) - 4:.1f}" text-anchor="end">{text(say(figure))}</text>'
        for figure, y in shape.grid
    )
    band = ""
    if shape.band:
        top, bottom = shape.band
        band = (
            f'<rect class="w-open" x="0" width="{per_cent(1 - _FIGURES)}" y="{float(top):.1f}"'
            f' height="{float(bottom - top):.1f}" fill-opacity=".5"/>'
        )
    lines = "".join(
        f'<line class="l-edge" x1="{per_cent(a.x)}" x2="{per_cent(b.x)}" y1="{float(a.y):.1f}" y2="{float(b.y):.1f}"/>'
        for a, b in zip(shape.dots, shape.dots[1:], strict=False)
    )
    dots = "".join(
        f'<line class="l-ink" x1="{per_cent(dot.x)}" x2="{per_cent(dot.x)}" y1="{float(dot.top):.1f}"'
        f' y2="{float(dot.bottom):.1f}" stroke-width="1.5"/>'
        f'<circle class="f-ink" cx="{per_cent(dot.x)}" cy="{float(dot.y):.1f}" r="4.5"/>'
        for dot in shape.dots
    )
    return (
        f'<svg width="100%" height="{_HEIGHT}" paint-order="stroke" role="img" aria-label="{text(label)}"'
        f' font-size="13">{grid}{band}{lines}{dots}'
        f'<text class="t-quiet" x="0" y="{_HEIGHT - 6}">{text(say_day(days[0]))}</text>'
        f'<text class="t-quiet" x="{per_cent(1 - _FIGURES)}" y="{_HEIGHT - 6}" text-anchor="end">'
        f"{text(say_day(days[-1]))}</text></svg>"
    )


def place_series(series: Series) -> SeriesShape:
    """Lays out the readings by day, and values, doubts and limits on one scale."""
    readings = series.readings
    limits = [limit for limit in (series.low, series.high) if limit is not None]
    known = [edge for r in readings for edge in (r.value - r.doubt, r.value + r.doubt)] + limits
    span = (max(known) - min(known)) or abs(max(known)) / 10 or Fraction(1)
    low, high = min(known) - span * _MARGIN, max(known) + span * _MARGIN
    first, last = readings[0].day, readings[-1].day

    def at(day: date) -> Fraction:
        return _EDGE + Fraction((day - first).days, (last - first).days) * (1 - _FIGURES - 2 * _EDGE)

    def y(value: Fraction) -> Fraction:
        return _BOTTOM - (value - low) / (high - low) * (_BOTTOM - _TOP)

    dots = tuple(Dot(at(r.day), y(r.value), y(r.value + r.doubt), y(r.value - r.doubt)) for r in readings)
    band = (y(series.high if series.high is not None else high), y(series.low if series.low is not None else low))
    step = round_step(high - low, _GRID_LINES)
    unit = Fraction(step)
    grid = tuple((step * n, y(unit * n)) for n in range(-(-low // unit), high // unit + 1))
    return SeriesShape(dots, band if limits else None, grid)
