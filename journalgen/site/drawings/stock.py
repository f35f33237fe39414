"""What was left of a material over time, as SVG: a line in steps, its x in per cent and its y in px."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from typing import Final

from msgspec import Struct

from journalgen.site.drawings.svg import per_cent, round_step, text

_TOP: Final = 22
_BOTTOM: Final = 126
_HEIGHT: Final = 150
_GRID_LINES: Final = 4
_MOST_LEVELS: Final = 250
"""No wider page can tell more of them apart, and each is three lines of the page's text."""


class Level(Struct, frozen=True):
    """What was left from one place to the next, both 0 to 1, at a height in px."""

    start: Fraction
    end: Fraction
    y: Fraction
    short: bool  # more used than bought


class StockShape(Struct, frozen=True):
    """The whole drawing."""

    base: Fraction  # y of nought
    levels: tuple[Level, ...]
    grid: tuple[tuple[Decimal, Fraction], ...]  # round figure and its y


def draw_stock(
    points: Sequence[tuple[date, Fraction]],
    on: date,
    label: str,
    say: Callable[[Decimal], str],
    say_day: Callable[[date], str],
) -> str:
    """The drawing of what was left after each move, from the first to the day of assembly; empty without a move."""
    if not points:
        return ""
    shape = place_stock(points, on)
    grid = "".join(
        f'<line class="l-rule" x1="0" x2="100%" y1="{float(y):.1f}" y2="{float(y):.1f}"/>' for _, y in shape.grid
    )
    figures = "".join(
        f'<text class="t-quiet" x="100%" y="{float(y) - 4:.1f}" text-anchor="end">{text(say(figure))}</text>'
        for figure, y in shape.grid
    )
    base = f"{float(shape.base):.1f}"
    first, last = points[0][0], max(points[-1][0], on)
    days = f'<text class="t-quiet" x="0" y="{_HEIGHT - 7}">{text(say_day(first))}</text>' + (
        f'<text class="t-quiet" x="100%" y="{_HEIGHT - 7}" text-anchor="end">{text(say_day(last))}</text>'
        if last > first
        else ""
    )
    return (
        f'<svg width="100%" height="{_HEIGHT}" paint-order="stroke" role="img" aria-label="{text(label)}"'
        f' font-size="13">{grid}{"".join(_areas(shape))}{"".join(_strokes(shape))}'
        f'<line class="l-ink" x1="0" x2="100%" y1="{base}" y2="{base}"/>{figures}{days}</svg>'
    )


def place_stock(points: Sequence[tuple[date, Fraction]], on: date) -> StockShape:
    """Lays out a level for each day on which something moved; what moved within a day shows as it ended."""
    ended = dict(sorted(points, key=lambda point: point[0]))  # the last of a day stands
    first, last = min(ended), max(max(ended), on)
    span = max((last - first).days, 1)
    if len(ended) > _MOST_LEVELS:
        ended = _thinned(ended, Fraction(span + 1, _MOST_LEVELS))
    days = list(ended)
    high = max(*(left for _, left in points), Fraction(0))
    low = min(*(left for _, left in points), Fraction(0))
    whole = high - low or Fraction(1)
    scale = Fraction(_BOTTOM - _TOP) / whole
    base = _BOTTOM + low * scale

    def at(day: date) -> Fraction:
        return Fraction((day - first).days, span)

    ends = [*(at(day) for day in days[1:]), Fraction(1)]
    levels = tuple(
        Level(at(day), end, base - left * scale, left < 0) for (day, left), end in zip(ended.items(), ends, strict=True)
    )
    step = round_step(whole, _GRID_LINES)
    figures = [step * n for n in range(1, int(high / Fraction(step)) + 1)]
    return StockShape(base, levels, tuple((figure, base - Fraction(figure) * scale) for figure in figures))


def _thinned(ended: Mapping[date, Fraction], width: Fraction) -> dict[date, Fraction]:
    """One level for so many days, as they ended; a shortfall within them is not lost."""
    first, thinned = min(ended), {}
    for _, group in groupby(ended.items(), key=lambda point: (point[0] - first).days // width):
        points = list(group)
        least = min(left for _, left in points)
        thinned[points[0][0]] = points[-1][1] if least >= 0 else least
    thinned[points[0][0]] = points[-1][1]  # what is left now is what is left now
    return thinned


def _areas(shape: StockShape) -> list[str]:
    """What is on the shelf, filled down to nought; a shortfall is left open."""
    return [
        f'<rect x="{per_cent(level.start)}" width="{per_cent(level.end - level.start)}" y="{float(level.y):.1f}"'
        f' height="{float(shape.base - level.y):.1f}" class="f-green" fill-opacity=".3"/>'
        for level in shape.levels
        if level.end > level.start and level.y < shape.base
    ]


def _strokes(shape: StockShape) -> list[str]:
    """The line itself: up or down where something moved, level between."""
    strokes, before = [], shape.base
    for level in shape.levels:
        ink = "l-red" if level.short else "l-green"
        x, y = per_cent(level.start), f"{float(level.y):.1f}"
        strokes.append(_line(ink, x, x, f"{float(before):.1f}", y))
        strokes.append(_line(ink, x, per_cent(level.end), y, y))
        before = level.y
    return strokes


def _line(ink: str, x1: str, x2: str, y1: str, y2: str) -> str:
    return f'<line class="{ink}" x1="{x1}" x2="{x2}" y1="{y1}" y2="{y2}" stroke-width="2" stroke-linecap="square"/>'
