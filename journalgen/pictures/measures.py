"""Whole pixels: which widths a picture comes in, and which pixels a region to be hidden covers."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor
from typing import Final

from journalgen.values import Rectangle

WIDTHS: Final = (480, 960, 1600)
"""The widths of a page's pictures, in pixels, rising."""

_HEADROOM: Final = Fraction(5, 4)
"""A JPEG is decoded small only to at least this many times the largest width. What such decoding loses are detail
finer than the pictures can show, and the filter still has room to do the rest: a reduction of the whole decode is no
closer to a careful one than this is."""

TALLEST: Final = 6400
"""Pixels; no picture is higher. One that is very narrow is made narrower instead, as no screen could show it."""

_BLOCK: Final = 16
"""Pixels of a JPEG that are coded together, where its colours are kept at half the resolution. Decoding small draws on
all of them for each that is left, so what stood in a corner of a block can be told from the whole of it."""

Size = tuple[int, int]
Box = tuple[int, int, int, int]
"""Left, top, right, bottom in whole pixels; right and bottom lie just outside."""


class HidesNothing(ValueError):
    """A region that was to be hidden has no pixel in common with its picture."""

    def __init__(self, rectangle: Rectangle, size: Size) -> None:
        unit = " per cent" if rectangle.per_cent else ""
        sides = (rectangle.x, rectangle.y, rectangle.width, rectangle.height)
        listed = ", ".join(format(side, "f") for side in sides)
        super().__init__(
            f"The region [{listed}]{unit} that was to be hidden lies outside the upright picture "
            f"of {size[0]} by {size[1]} pixels."
        )


def choose_shrink(across: int) -> int:
    """How many times smaller a JPEG of this width is decoded: 1, 2, 4 or 8."""
    return next((shrink for shrink in (8, 4, 2) if across // shrink >= WIDTHS[-1] * _HEADROOM), 1)


def choose_sizes(size: Size) -> tuple[Size, ...]:
    """The sizes to make of an upright picture, in rising width and never larger than it."""
    width, height = size
    largest = max(1, min(width, WIDTHS[-1], TALLEST * width // height))
    widths = [step for step in WIDTHS if step < largest] + [largest]
    return tuple((step, _in_proportion(height, step, width)) for step in widths)


def _in_proportion(height: int, step: int, width: int) -> int:
    return max(1, floor(Fraction(height * step, width) + Fraction(1, 2)))


def boxes(rectangles: Iterable[Rectangle], size: Size, shrink: int = 1) -> tuple[Box, ...]:
    """The pixels to destroy in a picture that was decoded `shrink` times smaller than its upright `size`.

    Never less than what was asked: broken pixels count as whole ones, and a picture decoded small
    loses a block more on every side, and one pixel since its edge need not lie on the original's grid.
    Raises HidesNothing for a region that no pixel of the picture belongs to.
    """
    return tuple(_box(rectangle, size, shrink) for rectangle in rectangles)


def _box(rectangle: Rectangle, size: Size, shrink: int) -> Box:
    left, right = _span(rectangle.x, rectangle.width, size[0], rectangle.per_cent)
    top, bottom = _span(rectangle.y, rectangle.height, size[1], rectangle.per_cent)
    if left >= right or top >= bottom:
        raise HidesNothing(rectangle, size)
    if shrink == 1:
        return floor(left), floor(top), ceil(right), ceil(bottom)
    small = (ceil(Fraction(size[0], shrink)), ceil(Fraction(size[1], shrink)))
    margin = _BLOCK // shrink + 1
    return (
        max(0, floor(left / shrink) - margin),
        max(0, floor(top / shrink) - margin),
        min(small[0], ceil(right / shrink) + margin),
        min(small[1], ceil(bottom / shrink) + margin),
    )


def _span(start: Decimal, length: Decimal, side: int, per_cent: bool) -> tuple[Fraction, Fraction]:
    unit = Fraction(side, 100) if per_cent else Fraction(1)
    first = Fraction(start) * unit
    return max(Fraction(0), first), min(Fraction(side), first + Fraction(length) * unit)
