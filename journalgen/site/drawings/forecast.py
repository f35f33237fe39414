"""When the work may be done, as SVG: a bar to the day of an even chance, an open box to that of 85 in 100."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.site.drawings.svg import per_cent, text

MOST_TICKS: Final = 4
_STEPS: Final = (1, 2, 3, 6, 12, 24, 60, 120, 300)  # months
_WORDS_UNTIL: Final = Fraction(78, 100)  # words that begin later would leave the drawing
_YEAR: Final = 12


class ForecastShape(Struct, frozen=True):
    """Places from 0 to 1, in order of time."""

    start: Fraction  # the day of assembly
    likely: Fraction
    safe: Fraction
    ticks: tuple[tuple[Fraction, date], ...]  # firsts of months


def place_forecast(on: date, likely: date, safe: date) -> ForecastShape:
    """Places the days between the first of this month and the end of the last, months taken as equal."""
    first = on.year * _YEAR + on.month - 1
    last = safe.year * _YEAR + safe.month
    step = next(step for step in _STEPS if (last - first) <= step * MOST_TICKS or step == _STEPS[-1])
    whole = last - first

    def at(day: date) -> Fraction:
        return (day.year * _YEAR + day.month - 1 - first + Fraction(day.day - 1, 31)) / whole

    months = [month for month in range(first, last, step) if month < date.max.year * _YEAR]
    ticks = tuple((Fraction(month - first, whole), date(month // _YEAR, month % _YEAR + 1, 1)) for month in months)
    return ForecastShape(at(on), at(likely), at(safe), ticks)


def draw_forecast(on: date, likely: date, safe: date, label: str, say: Callable[[date], str]) -> str:
    """The drawing; the sentence beneath says the same."""
    shape = place_forecast(on, likely, safe)
    ticks = "".join(
        f'<line class="l-edge" x1="{per_cent(x)}" x2="{per_cent(x)}" y1="26" y2="33"/>'
        + (
            f'<text class="t-quiet" x="{per_cent(x + Fraction(1, 100))}" y="47">{text(say(day))}</text>'
            if x <= _WORDS_UNTIL
            else ""
        )
        for x, day in shape.ticks
    )
    return (
        f'<svg width="100%" height="52" role="img" aria-label="{text(label)}" font-size="13">{ticks}'
        '<line class="l-ink" x1="0" x2="100%" y1="26.5" y2="26.5"/>'
        f'<rect x="{per_cent(shape.start)}" width="{per_cent(shape.safe - shape.start)}" y="12" height="5"'
        ' class="w-open"/>'
        f'<rect x="{per_cent(shape.start)}" width="{per_cent(shape.likely - shape.start)}" y="7" height="15"'
        ' class="f-green"/></svg>'
    )
