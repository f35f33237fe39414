"""How a whole is divided among several, so that the shares always add up to it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from typing import TypeVar

Item = TypeVar("Item")
Key = TypeVar("Key", bound=Hashable)
Number = TypeVar("Number", int, Decimal, Fraction)


def share_whole(total: int, among: int) -> list[int]:
    """Divides whole units equally; the odd units go one each to the first."""
    each, odd = divmod(abs(total), among)
    sign = -1 if total < 0 else 1
    return [sign * (each + (1 if i < odd else 0)) for i in range(among)]


def share_money(total: Decimal, among: int, decimals: int) -> list[Decimal]:
    """Divides money equally to the minor unit (`decimals` places); the odd units go to the first."""
    units = int(total.scaleb(decimals).to_integral_exact(ROUND_HALF_EVEN))
    return [Decimal(share).scaleb(-decimals) for share in share_whole(units, among)]


def round_money(amount: Decimal | Fraction, decimals: int) -> Decimal:
    """Rounds half-even to the minor unit.

    Fractions are rounded as the exact numbers they are, never by way of a shortened decimal.
    """
    exact = amount if isinstance(amount, Fraction) else Fraction(amount)
    return Decimal(round(exact * 10**decimals)).scaleb(-decimals)  # round() of a Fraction is half-even


def add_up(items: Iterable[Item], key: Callable[[Item], Key], value: Callable[[Item], Number]) -> dict[Key, Number]:
    """Totals by key, in the order in which the keys first appear."""
    totals: dict[Key, Number] = {}
    for item in items:
        k = key(item)
        totals[k] = totals[k] + value(item) if k in totals else value(item)
    return totals


def month_of(day: object) -> str:
    """`2024-03` of a date."""
    return str(day)[:7]
