"""What a coating covers: spreading rate, wet film, volume, and the dry film that a volume leaves.

The formulas are the common practice of paint data sheets, where the volume solids are those
measured after ISO 3233 and the theoretical spreading rate is defined as in ISO 23811 (both cited
from memory). One litre of solids spread over one square metre is a film of one millimetre.

Units: film um, area m2, volume L, shares per cent. All figures are exact.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

Number = Fraction | Decimal | int


def spreading_rate(solids: Number, film: Number) -> Fraction:
    """Area that a litre covers without loss, m2/L: 10 x solids% / film um.

    Raises ValueError for solids or a film that are not more than nothing.
    """
    if solids <= 0 or film <= 0:
        raise ValueError("solids and film must be more than nothing")
    return 10 * Fraction(solids) / Fraction(film)


def wet_film(film: Number, solids: Number, thinner: Number = 0) -> Fraction:
    """Film to lay wet, um, for a dry film: film x (100 + thinner%) / solids%.

    Raises ValueError for solids that are not more than nothing.
    """
    if solids <= 0:
        raise ValueError("solids must be more than nothing")
    return Fraction(film) * (100 + Fraction(thinner)) / Fraction(solids)


def theoretical_volume(area: Number, coats: int, rate: Number) -> Fraction:
    """Volume as supplied, L, that covers an area in so many coats if nothing is lost."""
    return Fraction(area) * coats / Fraction(rate)


def practical_volume(theoretical: Number, loss: Number) -> Fraction:
    """Volume as supplied, L, with what is lost on the way: theoretical / (1 - loss).

    Raises ValueError where all of it would be lost.
    """
    if not 0 <= loss < 100:
        raise ValueError("a loss must be under 100 %")
    return Fraction(theoretical) * 100 / (100 - Fraction(loss))


def film_built(volume: Number, loss: Number, solids: Number, area: Number) -> Fraction:
    """Dry film, um, that a volume as supplied (L) leaves on an area (m2) after the loss.

    Raises ValueError for an area that is not more than nothing.
    """
    if area <= 0:
        raise ValueError("an area must be more than nothing")
    laid = Fraction(volume) * (100 - Fraction(loss)) / 100 * Fraction(solids) / 100
    return laid / Fraction(area) * 1000
