"""Money by month as bars over one line, with round figures behind them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.site.drawings.svg import per_cent, round_step, text

_TOP: Final = 20
_BOTTOM: Final = 126
_HEIGHT: Final = 150
_GRID_LINES: Final = 5
_YEAR_ROOM: Final = Fraction(8, 100)  # a year's lettering, on the narrowest page


class MonthBar(Struct, frozen=True):
    """One month that has money: its left edge and width from 0 to 1, its top and height in px."""

    month: str
    x: Fraction
    width: Fraction
    y: Fraction
    height: Fraction
    below: bool  # more came back than was spent


class MonthsShape(Struct, frozen=True):
    """The whole drawing."""

    base: Fraction  # y of nought
    bars: tuple[MonthBar, ...]
    grid: tuple[tuple[Decimal, Fraction], ...]  # round figure and its y
    years: tuple[tuple[str, Fraction], ...]  # with the place where each begins


def draw_months(sums: Mapping[str, Decimal], label: str, say: Callable[[Decimal], str]) -> str:
    """The drawing of all months from the first to the last; empty if there is none."""
    if not sums:
        return ""
    shape = place_months(sums)
    grid = "".join(
        f'<line class="l-rule" x1="0" x2="100%" y1="{float(y):.1f}" y2="{float(y):.1f}"/>'
        f'<text class="t-quiet" x="100%" y="{float(y) - 4:.1f}" text-anchor="end">{text(say(figure))}</text>'
        for figure, y in shape.grid
    )
    bars = "".join(
        f'<rect x="{per_cent(bar.x)}" y="{float(bar.y):.1f}" width="{per_cent(bar.width)}"'
        f' height="{float(bar.height):.1f}" class="{"w-open" if bar.below else "f-green"}"/>'
        for bar in shape.bars
    )
    years = "".join(
        f'<line class="l-edge" x1="{per_cent(x)}" x2="{per_cent(x)}" y1="{_BOTTOM}" y2="{_BOTTOM + 8}"/>'
        f'<text class="t-quiet" x="{per_cent(x)}" dx="5" y="143">{year}</text>'
        for year, x in shape.years
    )
    base = f"{float(shape.base) + 0.5:.1f}"
    return (
        f'<svg width="100%" height="{_HEIGHT}" role="img" aria-label="{text(label)}" font-size="13">'
        f'{grid}{bars}{years}<line class="l-ink" x1="0" x2="100%" y1="{base}" y2="{base}"/></svg>'
    )


def place_months(sums: Mapping[str, Decimal]) -> MonthsShape:
    """Lays out one bar a month on a common scale; months without money keep their place."""
    months = months_between(min(sums), max(sums))
    high = max(max(sums.values()), Decimal(0))
    low = min(min(sums.values()), Decimal(0))
    span = Fraction(high - low) or Fraction(1)
    scale = Fraction(_BOTTOM - _TOP) / span
    base = _BOTTOM + Fraction(low) * scale
    each = Fraction(1, len(months))
    bars = tuple(
        MonthBar(
            month,
            x=each * (i + Fraction(1, 6)),
            width=min(each * Fraction(2, 3), Fraction(5, 100)),
            y=base - max(Fraction(sums[month]), Fraction(0)) * scale,
            height=abs(Fraction(sums[month])) * scale,
            below=sums[month] < 0,
        )
        for i, month in enumerate(months)
        if sums.get(month)
    )
    step = round_step(span, _GRID_LINES)
    figures = [step * n for n in range(1, int(Fraction(high) / Fraction(step)) + 1)]
    return MonthsShape(
        base, bars, tuple((figure, base - Fraction(figure) * scale) for figure in figures), _years(months, each)
    )


def _years(months: list[str], each: Fraction) -> tuple[tuple[str, Fraction], ...]:
    """Where each year begins; one that would run into the next is left out."""
    starts = [(month[:4], each * i) for i, month in enumerate(months) if i == 0 or month.endswith("-01")]
    after = [x for _, x in starts[1:]] + [Fraction(2)]
    return tuple(start for start, following in zip(starts, after, strict=True) if following - start[1] >= _YEAR_ROOM)


def months_between(first: str, last: str) -> list[str]:
    """Every month from the first to the last, `2024-03`.

    >>> months_between("2023-11", "2024-02")
    ['2023-11', '2023-12', '2024-01', '2024-02']
    """
    start, end = (int(month[:4]) * 12 + int(month[5:7]) - 1 for month in (first, last))
    return [f"{n // 12:04}-{n % 12 + 1:02}" for n in range(start, end + 1)]
