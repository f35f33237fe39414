"""A part's process timeline as SVG: a row a step, in order of time, idle gaps folded away.

Waits are hatched, windows are open boxes that end in a bar where they close, metal that stood bare
too long is dashed in red, and coats to come are dashed dots.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.site.drawings.axis import MOST_IDLE, Axis, Stretch, busy_stretches
from journalgen.site.drawings.svg import per_cent, text

_FIRST_ROW: Final = 51
_ROW: Final = 34
_TICK_ROOM: Final = Fraction(17, 100)  # a date's lettering, on the narrowest page
_NEAR_LEFT: Final = Fraction(8, 100)
_NEAR_RIGHT: Final = Fraction(92, 100)
_MIDDLE: Final = Fraction(1, 2)
_NARROWEST: Final = 300  # px that the drawing has on the smallest telephone
_LETTER: Final = Fraction(62, 10)  # px, the mean width of one
_BESIDE: Final = 20  # px between a mark and its label, and to spare


class Mark(Struct, frozen=True):
    """A step done, or a coat to come, with the time that belongs to it; all in days as ordinals."""

    start: Fraction
    coat: int | None = None  # its number
    wait: Stretch | None = None
    window: Stretch | None = None
    closes: bool = False  # the window ends because it closed
    bare: Stretch | None = None
    bare_for: str = ""  # how long, in words
    to_come: bool = False

    @property
    def busy(self) -> Fraction:
        """The end of its wait, if it has one."""
        return max(self.start, self.wait.end) if self.wait else self.start

    @property
    def end(self) -> Fraction:
        """Where its last line ends."""
        return max(self.busy, *(span.end for span in (self.window, self.bare) if span), self.start)

    @property
    def spans(self) -> list[tuple[Fraction, Fraction]]:
        """What must be in view: a window is idle time and may be folded, but its closing shows."""
        shuts = [(self.window.end, self.window.end)] if self.window and self.closes else []
        return [(self.start, self.busy), *shuts]


class Row(Struct, frozen=True):
    """One step with every day it was done."""

    label: str
    marks: tuple[Mark, ...]


class Process(Struct, frozen=True):
    """The drawing with what its caption must say."""

    svg: str
    folds: int
    folded_days: int
    waits: bool
    coats: bool
    steps: bool  # marks without a number
    windows: bool  # met while they were open
    closings: bool  # windows that closed, or will
    bare: bool  # metal stood too long
    to_come: bool
    today: bool  # the day of assembly is in view


class Lettering(Struct, frozen=True):
    """How the drawing writes its days."""

    month: Callable[[date], str]  # with the year
    day: Callable[[date], str]  # without


def draw_process(rows: Sequence[Row], on: date, label: str, lettering: Lettering) -> Process:
    """Draws the rows in the order given.

    The day of assembly is shown where something is still to come, or where it is not long after the last mark.
    """
    marks = [mark for row in rows for mark in row.marks]
    spans = [span for mark in marks for span in mark.spans]
    today = Fraction(on.toordinal())
    last = max((mark.start for mark in marks if not mark.to_come), default=today)
    coming = any(mark.to_come for mark in marks)
    shows_today = last <= today and (coming or today <= max(mark.end for mark in marks) + MOST_IDLE)
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
        coats=any(mark.coat and not mark.to_come for mark in marks),
        steps=any(not mark.coat for mark in marks),
        windows=any(mark.window and not mark.closes for mark in marks),
        closings=any(mark.window and mark.closes for mark in marks),
        bare=any(mark.bare for mark in marks),
        to_come=coming,
        today=shows_today,
    )


def _row(row: Row, axis: Axis, y: int) -> str:
    lines = [_lines(mark, axis, y) for mark in row.marks]
    return "".join([*lines, *(_dot(mark, axis, y) for mark in row.marks), _label(row, axis, y)])


def _lines(mark: Mark, axis: Axis, y: int) -> str:
    """What follows from one mark, before the dots are laid on it."""
    parts = []
    if mark.bare:
        left, right = axis.at(mark.bare.start), axis.at(mark.bare.end)
        parts.append(
            f'<line class="l-red" x1="{per_cent(left)}" x2="{per_cent(right)}" y1="{y}" y2="{y}"'
            ' stroke-width="2" stroke-dasharray="3 3"/>'
        )
    if mark.window:
        parts.append(f'<rect {_box(mark.window, axis, y)} class="w-open"/>')
        if mark.closes:
            x = per_cent(axis.at(mark.window.end))
            parts.append(f'<line class="l-green" x1="{x}" x2="{x}" y1="{y - 9}" y2="{y + 9}" stroke-width="2"/>')
    if mark.wait:
        parts.append(f'<rect {_box(mark.wait, axis, y)} fill="url(#hatch-wait)" class="l-ochre"/>')
    return "".join(parts)


def _box(span: Stretch, axis: Axis, y: int) -> str:
    left, right = axis.at(span.start), axis.at(span.end)
    return f'x="{per_cent(left)}" width="{per_cent(right - left)}" y="{y - 6}" height="12"'


def _dot(mark: Mark, axis: Axis, y: int) -> str:
    x = per_cent(axis.at(mark.start))
    if mark.to_come:
        return (
            f'<circle cx="{x}" cy="{y}" r="8" class="f-sheet l-ink" stroke-dasharray="3 2"/>'
            f'<text x="{x}" y="{y + 4.2}" text-anchor="middle" font-size="12">{mark.coat}</text>'
        )
    if not mark.coat:
        return f'<circle cx="{x}" cy="{y}" r="5.5" class="f-ink"/>'
    return (
        f'<circle cx="{x}" cy="{y}" r="8" class="f-ink"/><text x="{x}" y="{y + 4.2}" text-anchor="middle"'
        f' class="on-ink" font-size="12" font-weight="700">{mark.coat}</text>'
    )


def _label(row: Row, axis: Axis, y: int) -> str:
    first = axis.at(row.marks[0].start)
    last = max(axis.at(mark.end) for mark in row.marks)
    side = label_side(first, last, label_room(row))
    said = text(row.label) + "".join(
        f'<tspan class="t-red" dx="6">{text(mark.bare_for)}</tspan>' for mark in row.marks if mark.bare_for
    )
    if side == "after":
        return f'<text x="{per_cent(last)}" y="{y + 4.5}" dx="14">{said}</text>'
    if side == "before":
        return f'<text x="{per_cent(first)}" y="{y + 4.5}" dx="-14" text-anchor="end">{said}</text>'
    if side == "above":
        return f'<text x="{per_cent(first)}" y="{y - 11}" dx="-5">{said}</text>'
    return f'<text x="100%" y="{y - 11}" text-anchor="end">{said}</text>'


def label_room(row: Row) -> Fraction:
    """The share of the narrowest drawing that a row's label takes."""
    letters = len(row.label) + sum(len(mark.bare_for) + 1 for mark in row.marks if mark.bare_for)
    return (letters * _LETTER + _BESIDE) / _NARROWEST


def label_side(first: Fraction, last: Fraction, room: Fraction) -> str:
    """Where a row's label goes: after its last mark, before its first, or above a row too wide for either.

    `above` begins at the first mark, `above right` ends at the drawing's edge.

    >>> label_side(Fraction(1, 10), Fraction(4, 10), Fraction(3, 10))
    'after'
    """
    fits_after = last + room <= 1
    if last < _MIDDLE and fits_after:
        return "after"
    if first >= room:
        return "before"
    if fits_after:
        return "after"
    return "above" if first + room <= 1 else "above right"


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
    if x < _NEAR_LEFT:
        return ""
    return ' text-anchor="end"' if x > _NEAR_RIGHT else ' text-anchor="middle"'


def _extent(x: Fraction) -> tuple[Fraction, Fraction]:
    """The room that a date's lettering takes, by the side on which it is anchored."""
    left = x if x < _NEAR_LEFT else x - _TICK_ROOM if x > _NEAR_RIGHT else x - _TICK_ROOM / 2
    return left, left + _TICK_ROOM


def place_ticks(axis: Axis, lettering: Lettering) -> list[tuple[Fraction, str]]:
    """Dates along the top that do not run into each other: where each stretch begins, then firsts, then fifteenths."""
    starts = [(date.fromordinal(int(stretch.start)), lettering.month) for stretch in axis.stretches]
    days = [date.fromordinal(int(s.start) + n) for s in axis.stretches for n in range(int(s.end - s.start) + 1)]
    firsts = [(day, lettering.month if day.month == 1 else lettering.day) for day in days if day.day == 1]
    fifteenths = [(day, lettering.day) for day in days if day.day == 15]
    taken: list[tuple[Fraction, str]] = []
    room: list[tuple[Fraction, Fraction]] = []
    for day, say in [*starts, *firsts, *fifteenths]:
        x = axis.at(Fraction(day.toordinal()))
        left, right = _extent(x)
        if all(right <= begins or ends <= left for begins, ends in room):
            taken.append((x, say(day)))
            room.append((left, right))
    return sorted(taken)
