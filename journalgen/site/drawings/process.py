"""A part's process timeline as SVG: a row a step, in order of time, idle gaps folded away."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from journalgen.records import Duration
from journalgen.site.drawings.axis import MOST_IDLE, Axis, busy_stretches
from journalgen.site.drawings.svg import per_cent, text

_FIRST_ROW: Final = 51
_ROW: Final = 34
_TICK_ROOM: Final = Fraction(17, 100)  # a date's lettering, on the narrowest page
_MIDDLE: Final = Fraction(1, 2)
_LABEL_ROOM: Final = Fraction(38, 100)  # what a row's label may need before its first mark


@dataclass(frozen=True, slots=True)
class Mark:
    """A step done on a day; a coat carries its number, a wait its length."""

    day: date
    coat: int | None = None
    wait: Duration | None = None

    @property
    def start(self) -> Fraction:
        return Fraction(self.day.toordinal())

    @property
    def end(self) -> Fraction:
        """The end of its wait, if it has one: months as thirty days, since this is only a drawing."""
        if not self.wait:
            return self.start
        return self.start + Fraction(self.wait.minutes, 24 * 60) + 30 * self.wait.months


@dataclass(frozen=True, slots=True)
class Row:
    """One step with every day it was done."""

    label: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Process:
    """The drawing with what its caption must say."""

    svg: str
    folds: int
    folded_days: int
    waits: bool
    coats: bool
    steps: bool  # marks without a number
    today: bool  # the day of assembly is in view


@dataclass(frozen=True, slots=True)
class Lettering:
    """How the drawing writes its days."""

    month: Callable[[date], str]  # with the year
    day: Callable[[date], str]  # without


def draw_process(rows: Sequence[Row], on: date, label: str, lettering: Lettering) -> Process:
    """Draws the rows in the order given; the day of assembly is shown where it is not long after the last mark."""
    marks = [mark for row in rows for mark in row.marks]
    spans = [(mark.start, mark.end) for mark in marks]
    today = Fraction(on.toordinal())
    last, done = max(mark.start for mark in marks), max(mark.end for mark in marks)
    shows_today = last <= today <= done + MOST_IDLE
    if shows_today:
        spans.append((today, today))
    axis = Axis(busy_stretches(spans))
    height = _FIRST_ROW + _ROW * (len(rows) - 1) + 23
    body = [_ticks(axis, lettering, height), _folds(axis, height)]
    if shows_today:
        x = per_cent(axis.at(today))
        body.append(f'<line class="l-red" x1="{x}" x2="{x}" y1="24" y2="{height}" stroke-width="1.5"/>')
    body += [_row(row, axis, _FIRST_ROW + _ROW * i) for i, row in enumerate(rows)]
    svg = (
        f'<svg width="100%" height="{height}" paint-order="stroke" font-size="14"'
        f' role="img" aria-label="{text(label)}">'
        '<defs><pattern id="hatch-wait" width="5" height="5" patternUnits="userSpaceOnUse"'
        ' patternTransform="rotate(45)"><path d="M0 0V5" class="l-ochre" stroke-width="2.4"/></pattern></defs>'
        + "".join(body)
        + "</svg>"
    )
    return Process(
        svg,
        folds=len(axis.folds),
        folded_days=axis.folded_days,
        waits=any(mark.wait for mark in marks),
        coats=any(mark.coat for mark in marks),
        steps=any(not mark.coat for mark in marks),
        today=shows_today,
    )


def _row(row: Row, axis: Axis, y: int) -> str:
    waits = [
        f'<rect x="{per_cent(axis.at(mark.start))}" width="{per_cent(axis.at(mark.end) - axis.at(mark.start))}"'
        f' y="{y - 6}" height="12" fill="url(#hatch-wait)" class="l-ochre"/>'
        for mark in row.marks
        if mark.end > mark.start
    ]
    return "".join([*waits, *(_dot(mark, axis, y) for mark in row.marks), _label(row, axis, y)])


def _dot(mark: Mark, axis: Axis, y: int) -> str:
    x = per_cent(axis.at(mark.start))
    if not mark.coat:
        return f'<circle cx="{x}" cy="{y}" r="5.5" class="f-ink"/>'
    return (
        f'<circle cx="{x}" cy="{y}" r="8" class="f-ink"/><text x="{x}" y="{y + 4.2}" text-anchor="middle"'
        f' class="on-ink" font-size="12" font-weight="700">{mark.coat}</text>'
    )


def _label(row: Row, axis: Axis, y: int) -> str:
    first = axis.at(row.marks[0].start)
    last = max(axis.at(mark.end) for mark in row.marks)
    side = label_side(first, last)
    if side == "after":
        return f'<text x="{per_cent(last)}" y="{y + 4.5}" dx="14">{text(row.label)}</text>'
    if side == "before":
        return f'<text x="{per_cent(first)}" y="{y + 4.5}" dx="-14" text-anchor="end">{text(row.label)}</text>'
    return f'<text x="{per_cent(first)}" y="{y - 11}" dx="-5">{text(row.label)}</text>'


def label_side(first: Fraction, last: Fraction) -> str:
    """Where a row's label goes: after its last mark, before its first, or above a row too wide for either.

    >>> label_side(Fraction(1, 10), Fraction(4, 10))
    'after'
    """
    if last < _MIDDLE:
        return "after"
    return "before" if first >= _LABEL_ROOM else "above"


def _folds(axis: Axis, height: int) -> str:
    """The line along the top, broken at each fold by a double stroke."""
    edges = [Fraction(0), *(edge for fold in axis.folds for edge in fold), Fraction(1)]
    lines = "".join(
        f'<line class="l-edge" x1="{per_cent(start)}" x2="{per_cent(end)}" y1="24.5" y2="24.5"/>'
        for start, end in zip(edges[::2], edges[1::2], strict=True)
    )
    strokes = "".join(
        f'<svg x="{per_cent((start + end) / 2)}" y="0"><path class="l-edge" d="M-4 19L-7 30M4 19L1 30"/>'
        f'<path class="l-edge" stroke-dasharray="1 4" d="M-5.5 34V{height}M2.5 34V{height}"/></svg>'
        for start, end in axis.folds
    )
    return lines + strokes


def _ticks(axis: Axis, lettering: Lettering, height: int) -> str:
    return "".join(
        f'<line class="l-rule" x1="{per_cent(x)}" x2="{per_cent(x)}" y1="24" y2="{height}"/>'
        f'<text class="t-quiet" x="{per_cent(x)}" y="16"{_anchor(x)}>{text(said)}</text>'
        for x, said in place_ticks(axis, lettering)
    )


def _anchor(x: Fraction) -> str:
    """A date at either edge of the drawing is kept inside it."""
    if x < Fraction(8, 100):
        return ""
    return ' text-anchor="end"' if x > Fraction(92, 100) else ' text-anchor="middle"'


def place_ticks(axis: Axis, lettering: Lettering) -> list[tuple[Fraction, str]]:
    """Dates along the top that do not run into each other: where each stretch begins, then firsts, then fifteenths."""
    starts = [(date.fromordinal(int(stretch.start)), lettering.month) for stretch in axis.stretches]
    days = [date.fromordinal(int(s.start) + n) for s in axis.stretches for n in range(int(s.end - s.start) + 1)]
    firsts = [(day, lettering.month if day.month == 1 else lettering.day) for day in days if day.day == 1]
    fifteenths = [(day, lettering.day) for day in days if day.day == 15]
    taken: list[tuple[Fraction, str]] = []
    for day, say in [*starts, *firsts, *fifteenths]:
        x = axis.at(Fraction(day.toordinal()))
        if all(abs(x - other) >= _TICK_ROOM for other, _ in taken):
            taken.append((x, say(day)))
    return sorted(taken)
