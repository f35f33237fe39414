"""A tally: a sortable table of one figure by name, with bars and a total row."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from msgspec import Struct

from journalgen.ledgers.quantities import plain
from journalgen.site.desk import Desk, Link

Figure = TypeVar("Figure", int, Decimal, Fraction)
Sum = TypeVar("Sum", Decimal, Fraction)


class TallyRow(Struct, frozen=True):
    """One name with its figure."""

    name: Link
    sorts_as: str  # what the name's column sorts by; empty: its text
    figure: str
    value: str  # the bare number, for sorting
    share: str  # of the greatest figure, 0 to 1
    estimated: bool = False


class Tally(Struct, frozen=True):
    """The table; `sorted_by` tells which column it is sorted by as written."""

    caption: str
    head: str
    figure_head: str
    rows: tuple[TallyRow, ...]
    total: str
    by_name: bool = False


class Heads(Struct, frozen=True):
    """What a tally is called."""

    caption: str
    name: str
    figure: str


def tally_hours(
    desk: Desk,
    heads: Heads,
    minutes: Mapping[str, int],
    total: int,
    name: Callable[[str], Link],
    in_order: bool = False,
) -> Tally:
    """Hours by name, most first, or in the order given."""
    rows = _rows(minutes, name, desk.formats.hours, frozenset(), in_order)
    return Tally(heads.caption, heads.name, heads.figure, rows, desk.formats.hours(total), in_order)


def tally_money(
    desk: Desk,
    heads: Heads,
    sums: Mapping[str, Sum],
    total: Sum,
    name: Callable[[str], Link],
    estimated: Iterable[str] = (),
    in_order: bool = False,
) -> Tally:
    """Home money by name, most first, or in the order given."""
    rows = _rows(sums, name, desk.formats.home, frozenset(estimated), in_order)
    return Tally(heads.caption, heads.name, heads.figure, rows, desk.formats.home(total), in_order)


def _rows(
    figures: Mapping[str, Figure],
    name: Callable[[str], Link],
    show: Callable[[Figure], str],
    estimated: frozenset[str],
    in_order: bool,
) -> tuple[TallyRow, ...]:
    greatest = max(figures.values(), default=0)
    order = list(figures) if in_order else sorted(figures, key=lambda key: -figures[key])
    return tuple(
        TallyRow(
            name=name(key),
            sorts_as=key if in_order else "",
            figure=show(figures[key]),
            value=plain(Fraction(figures[key])),
            share=bar_share(figures[key], greatest),
            estimated=key in estimated,
        )
        for key in order
    )


def bar_share(figure: int | Decimal | Fraction, greatest: int | Decimal | Fraction) -> str:
    """The length of a bar, 0 to 1; what is below nought has none.

    >>> bar_share(30, 120)
    '0.250'
    """
    if greatest <= 0 or figure <= 0:
        return "0.000"
    return f"{float(Fraction(figure) / Fraction(greatest)):.3f}"
