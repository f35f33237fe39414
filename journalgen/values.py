"""The values that records are made of: places, money, quantities, spans of time and regions of a picture.

They are frozen and compare by what they hold. Quantities carry their unit and what is needed to
convert it; nothing here converts money.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Final

from msgspec import Struct

COUNTED: Final = "counted"
"""The dimension of sheets, tins and other things that are counted and convert to nothing."""


class Body(str):
    """The Markdown text of an entry: long, and of no account to any ledger."""

    __slots__ = ()


class Place(Struct, frozen=True, order=True):
    """Where something stands in the journal."""

    file: str  # relative to the journal, with forward slashes
    line: int = 1  # from 1
    column: int = 1  # from 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Money(Struct, frozen=True):
    """An amount of one currency, as billed."""

    amount: Decimal
    currency: str  # ISO 4217 code


class Amount(Struct, frozen=True):
    """A quantity as the person wrote it, with what is needed to convert it."""

    number: Decimal
    unit: str  # as written: mL, US fl oz, sheets
    dimension: str  # mass, volume, length, area, pressure ... or `counted:sheet`
    factor: Fraction  # one unit in the base unit of its dimension (kg, L, m, m2); 1 for what is counted
    offset: Fraction = Fraction(0)  # where the unit's nought lies in the base unit: 273.15 for degC

    @property
    def base(self) -> Fraction:
        """The quantity in the base unit of its dimension."""
        return self.span + self.offset

    @property
    def span(self) -> Fraction:
        """The quantity as a difference, in the base unit: what an uncertainty or a margin is."""
        return Fraction(self.number) * self.factor


class Duration(Struct, frozen=True):
    """A span of time: elapsed minutes, or whole calendar months where those were written."""

    minutes: int
    months: int = 0


class Window(Struct, frozen=True):
    """The time from which, and until which, the next coat may go on."""

    opens: Duration | None
    closes: Duration | None


class Limits(Struct, frozen=True):
    """The range a measure must lie in; an open side is None."""

    low: Amount | None
    high: Amount | None
    text: str  # as written


class Rectangle(Struct, frozen=True):
    """A region of a photograph to be destroyed, in the upright picture."""

    x: Decimal
    y: Decimal
    width: Decimal
    height: Decimal
    per_cent: bool  # all four in per cent of the picture's sides, else in pixels
