"""An axis of time whose long idle gaps are folded away, so that a few busy weeks in three years can be seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final

from msgspec import Struct

MOST_IDLE: Final = 21
"""Days without work that are still drawn to scale."""

_FOLD: Final = Fraction(6, 100)  # of the width, for one fold
_ALL_FOLDS: Final = Fraction(40, 100)  # for all of them together
_EDGE: Final = Fraction(3, 100)  # on either side of a stretch, so that no mark lies on a fold
_ALL_EDGES: Final = Fraction(30, 100)


class Stretch(Struct, frozen=True):
    """Time drawn to scale, in days as ordinals."""

    start: Fraction
    end: Fraction

    @property
    def length(self) -> Fraction:
        return self.end - self.start


def busy_stretches(spans: Iterable[tuple[Fraction, Fraction]]) -> tuple[Stretch, ...]:
    """The spans joined wherever no more than the allowed idle time lies between them, in order of time."""
    joined: list[Stretch] = []
    for start, end in sorted(spans):
        if joined and start - joined[-1].end <= MOST_IDLE:
            joined[-1] = Stretch(joined[-1].start, max(joined[-1].end, end))
        else:
            joined.append(Stretch(start, end))
    return tuple(joined)


class Axis:
    """Turns days into places from 0 to 1, stretch by stretch."""

    def __init__(self, stretches: Sequence[Stretch]) -> None:
        self.stretches = tuple(stretches)
        count = len(self.stretches)
        fold = min(_FOLD, _ALL_FOLDS / (count - 1)) if count > 1 else Fraction(0)
        self._edge = min(_EDGE, _ALL_EDGES / (2 * count))
        room = 1 - fold * (count - 1) - 2 * self._edge * count
        whole = sum((stretch.length for stretch in self.stretches), Fraction(0))
        self._widths = [room * stretch.length / whole if whole else room / count for stretch in self.stretches]
        self._lefts: list[Fraction] = []
        left = Fraction(0)
        for width in self._widths:
            self._lefts.append(left)
            left += width + 2 * self._edge + fold
        self._fold = fold
        self._from_right = list(zip(self.stretches, self._lefts, self._widths, strict=True))[::-1]

    @property
    def folds(self) -> tuple[tuple[Fraction, Fraction], ...]:
        """The left and right end of every fold."""
        return tuple((left - self._fold, left) for left in self._lefts[1:])

    @property
    def folded_days(self) -> int:
        """The idle days that are not drawn."""
        gaps = zip(self.stretches, self.stretches[1:], strict=False)
        return sum(int(after.start - before.end) for before, after in gaps)

    def at(self, day: Fraction) -> Fraction:
        """The place of a day; one that lies in a fold is put at the end of the stretch before it."""
        for stretch, left, width in self._from_right:
            if day >= stretch.start:
                return left + self._edge + self._within(stretch, min(day, stretch.end), width)
        return Fraction(0)

    def _within(self, stretch: Stretch, day: Fraction, width: Fraction) -> Fraction:
        """How far into the stretch's width a day is; a stretch of one day has it in the middle."""
        return width * (day - stretch.start) / stretch.length if stretch.length else width / 2
