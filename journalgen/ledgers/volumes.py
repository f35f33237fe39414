"""Volumes of a coating in the unit a person keeps it in, and what is on the shelf."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from journalgen.ledgers.quantities import Unit
from journalgen.ledgers.stock import MaterialStock

LITRE: Final = Unit("L", "volume", Fraction(1))
MILLILITRE: Final = Unit("mL", "volume", Fraction(1, 1000))
IMPERIAL_PINT: Final = Unit("imp pint", "volume", Fraction(56826125, 10**8))
"""Exact since 1985: an eighth of 4.54609 L (NIST SP 811, appendix B)."""


def volume_unit(units: str) -> Unit:
    """The unit for volumes of a journal's `units`: L, or imp pint where they are imperial."""
    return IMPERIAL_PINT if units == "imperial" else LITRE


def from_litres(litres: Fraction, unit: Unit, density: Fraction | None) -> Fraction | None:
    """A volume in another unit, through the density (kg/L) where that is of mass; None where it cannot be."""
    if unit.dimension == "volume":
        return litres / unit.factor
    return litres * density / unit.factor if density and unit.dimension == "mass" else None


def shelf(row: MaterialStock) -> Fraction:
    """What is there of a material, in its unit: never less than nothing, whatever the entries add up to."""
    return sum(row.left_in_lots, Fraction(0))
