"""Converts quantities of one material between units, through its density where it has to."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from journalgen.values import COUNTED, Amount


class Unit(Struct, frozen=True):
    """A unit that a material is reported in."""

    name: str  # as written
    dimension: str
    factor: Fraction  # one unit in the base unit of its dimension


def unit_of(amount: Amount) -> Unit:
    """The unit an amount was written in."""
    return Unit(amount.unit, amount.dimension, amount.factor)


def convert(amount: Amount, unit: Unit, density: Fraction | None) -> Fraction | None:
    """The amount in another unit, exactly; None where it cannot be converted.

    Mass and volume convert through the density (kg/L); counted things convert to nothing else.
    """
    if amount.dimension == unit.dimension:
        return amount.base / unit.factor
    if density and (amount.dimension, unit.dimension) == ("volume", "mass"):
        return amount.base * density / unit.factor
    if density and (amount.dimension, unit.dimension) == ("mass", "volume"):
        return amount.base / density / unit.factor
    return None


def is_counted(amount: Amount) -> bool:
    """Whether the amount is of sheets, tins and the like."""
    return amount.dimension.startswith(COUNTED)


def plain(number: Fraction | Decimal, places: int = 6) -> str:
    """The number in decimals, at most so many places, half-even, no exponent, no trailing noughts."""
    rounded = Decimal(round(Fraction(number) * 10**places)).scaleb(-places)
    text = f"{rounded:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
