"""A cell of the years at the bench: twelve month bars, rings for what was reached, a line for the day of assembly."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Final

from journalgen.site.drawings.svg import per_cent

_FLOOR: Final = 44
_TALLEST: Final = 34  # px of the busiest month of all; leaves room for the rings
_GAP: Final = Fraction(9, 1000)
_WIDTH: Final = Fraction(65, 1000)
_ACROSS: Final = 9999  # units of a path drawn out to the width of the cell


def draw_year(
    months: Mapping[int, int],
    greatest: int,
    rings: Iterable[tuple[int, date]] = (),
    today: date | None = None,
    short: bool = False,
) -> str:
    """The drawing of one assembly's year: minutes by month (1 to 12), on the scale of the busiest month anywhere.

    `rings` are numbers with the day each stands for. The printed hours and the list beneath say the same. A `short`
    drawing looks the same and is half as long, for a table of many.
    """
    heights = [(month, bar_height(minutes, greatest)) for month, minutes in sorted(months.items())]
    bars = [(Fraction(month - 1, 12) + _GAP, height) for month, height in heights if height]
    parts = [_one_path(bars)] if short and bars else [_bar(x, height) for x, height in bars]
    if today:
        x = per_cent(share_of_year(today))
        parts.append(f'<line class="l-red" x1="{x}" x2="{x}" y1="0" y2="45" stroke-width="1.5"/>')
    parts += [
        f'<svg x="{per_cent(share_of_year(day))}" y="0"><circle cx="0" cy="8" r="8" class="f-sheet l-ink"/>'
        f'<text x="0" y="12.2" text-anchor="middle" font-size="12" font-weight="700">{number}</text></svg>'
        for number, day in rings
    ]
    return (
        '<svg width="100%" height="45" aria-hidden="true">'
        '<line x1="0" x2="100%" y1="44.5" y2="44.5" class="l-edge"/>' + "".join(parts) + "</svg>"
    )


def _bar(x: Fraction, height: float) -> str:
    return (
        f'<rect x="{per_cent(x)}" y="{_FLOOR - height:.1f}" width="{per_cent(_WIDTH)}"'
        f' height="{height:.1f}" class="f-green"/>'
    )


def _one_path(bars: Iterable[tuple[Fraction, float]]) -> str:
    """All bars as one path, which knows no per cents: so it has a width of its own, drawn out to that of the cell."""
    width = round(_WIDTH * _ACROSS)
    drawn = "".join(f"M{round(x * _ACROSS)} {_FLOOR}v-{height:.3g}h{width}v{height:.3g}" for x, height in bars)
    return (
        f'<svg width="100%" height="45" viewBox="0 0 {_ACROSS} 45" preserveAspectRatio="none">'
        f'<path d="{drawn}" class="f-green"/></svg>'
    )


def bar_height(minutes: int, greatest: int) -> float:
    """In px; a month with any work at all can be seen.

    >>> bar_height(60, 120)
    17.0
    """
    if minutes <= 0 or greatest <= 0:
        return 0.0
    return max(1.5, _TALLEST * minutes / greatest)


def share_of_year(day: date) -> Fraction:
    """How far into its year a day is, months taken as equal, as the bars are.

    >>> share_of_year(date(2025, 4, 1))
    Fraction(1, 4)
    """
    return Fraction(day.month - 1, 12) + Fraction(day.day - 1, 12 * 31)
