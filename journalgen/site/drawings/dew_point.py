"""How far a surface was above the dew point, as SVG: a scale of temperature with the range that is too near hatched."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import permutations, product
from typing import Final

from msgspec import Struct

from journalgen.site.drawings.svg import per_cent, round_step, text

_TICKS: Final = 6
_ROOM: Final = Fraction(30, 100)  # a label's width on the narrowest page
_ROW: Final = 17


class Sign(Struct, frozen=True):
    """One temperature on the scale, with its words."""

    x: Fraction  # 0 to 1
    words: str
    row: int  # from 0, the highest
    end: bool  # its words stand before it rather than after


class DewShape(Struct, frozen=True):
    """Places from 0 to 1 across the drawing."""

    near: tuple[Fraction, Fraction]  # the range that is too near the dew point
    ticks: tuple[tuple[Decimal, Fraction], ...]
    signs: tuple[Sign, ...]

    @property
    def rows(self) -> int:
        return 1 + max(sign.row for sign in self.signs)


def draw_dew_point(
    dew: Fraction,
    wanted: Fraction,
    signs: Sequence[tuple[str, Fraction]],
    label: str,
    say: Callable[[Decimal], str],
    number: int = 1,
) -> str:
    """The drawing; all figures are in one unit. `signs` are the words of each temperature, the dew point's first.

    `number` tells the drawings of one page apart, since each brings its own hatching.
    """
    shape = place_dew_point(dew, wanted, signs)
    top = _ROW * shape.rows + 3
    axis = top + 26
    ticks = "".join(
        f'<line class="l-edge" x1="{per_cent(x)}" x2="{per_cent(x)}" y1="{axis}" y2="{axis + 6}"/>'
        f'<text class="t-quiet" x="{per_cent(x)}" y="{axis + 20}" text-anchor="{_anchor(x)}">{text(say(figure))}</text>'
        for figure, x in shape.ticks
    )
    start, end = shape.near
    return (
        f'<svg width="100%" height="{axis + 24}" role="img" aria-label="{text(label)}" font-size="14">'
        f'<defs><pattern id="hatch-near-{number}" width="5" height="5" patternUnits="userSpaceOnUse"'
        ' patternTransform="rotate(45)"><path d="M0 0V5" class="l-red" stroke-width="1.5"/></pattern></defs>'
        f'<rect x="{per_cent(start)}" width="{per_cent(end - start)}" y="{axis - 12}" height="12"'
        f' fill="url(#hatch-near-{number})"/>{ticks}'
        f'<line class="l-ink" x1="0" x2="100%" y1="{axis}.5" y2="{axis}.5"/>'
        + "".join(_sign(sign, axis) for sign in shape.signs)
        + "</svg>"
    )


def place_dew_point(dew: Fraction, wanted: Fraction, signs: Sequence[tuple[str, Fraction]]) -> DewShape:
    """Lays out a scale from round figure to round figure that holds everything, and words that do not collide."""
    known = [dew, dew + wanted, *(value for _, value in signs)]
    step = round_step(max(known) - min(known) or Fraction(1), _TICKS - 1)
    unit = Fraction(step)
    first, last = min(known) // unit, -(-max(known) // unit)
    last = max(last, first + 1)

    def at(value: Fraction) -> Fraction:
        return (value - first * unit) / ((last - first) * unit)

    ticks = tuple((step * n, at(unit * n)) for n in range(first, last + 1))
    return DewShape((at(dew), at(dew + wanted)), ticks, _place([(words, at(value)) for words, value in signs]))


def _place(signs: Sequence[tuple[str, Fraction]]) -> tuple[Sign, ...]:
    """Each label in a row and on a side where it meets no other label and no other line; the fewer rows the better."""
    choices = [(row, end) for row in range(len(signs)) for end in (False, True)]
    best: tuple[Sign, ...] = ()
    fewest = len(signs) ** 3  # more clashes than there can be
    for chosen in sorted(product(choices, repeat=len(signs)), key=lambda rows: sum(row for row, _ in rows)):
        made = tuple(Sign(x, words, row, end) for (words, x), (row, end) in zip(signs, chosen, strict=True))
        clashes = _clashes(made)
        if clashes < fewest:
            best, fewest = made, clashes
        if not fewest:
            break
    return best


def _clashes(signs: Sequence[Sign]) -> int:
    """How often a label leaves the drawing, runs into another of its row, or is crossed by the line of a higher one."""
    found = sum(start < 0 or end > 1 for start, end in map(_span, signs))
    for one, other in permutations(signs, 2):
        start, end = _span(one)
        if other.row < one.row:
            found += start < other.x < end
        elif other.row == one.row:
            found += start < _span(other)[1] and _span(other)[0] < end
    return found


def _span(sign: Sign) -> tuple[Fraction, Fraction]:
    return (sign.x - _ROOM, sign.x) if sign.end else (sign.x, sign.x + _ROOM)


def _sign(sign: Sign, axis: int) -> str:
    x, y = per_cent(sign.x), 14 + _ROW * sign.row
    side = ' dx="-5" text-anchor="end"' if sign.end else ' dx="5"'
    return (
        f'<line class="l-ink" x1="{x}" x2="{x}" y1="{y - 10}" y2="{axis}" stroke-width="2"/>'
        f'<text x="{x}" y="{y}"{side}>{text(sign.words)}</text>'
    )


def _anchor(x: Fraction) -> str:
    """The first and last figure are kept inside the drawing."""
    return "start" if x == 0 else "end" if x == 1 else "middle"
