"""Money by assembly, and what the materials bought and used up came to."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from journalgen.ledgers.hours import assembly_of
from journalgen.ledgers.money import MoneyLedger
from journalgen.ledgers.sharing import add_up
from journalgen.ledgers.stock import Stock
from journalgen.records import GENERAL, Part


def money_by_assembly(money: MoneyLedger, parts: dict[str, Part]) -> dict[str, Decimal]:
    """Purchases by the own assembly of the part they were for; adds up to the ledger's total.

    What was bought for no part stands under `(general)`, apart from parts that belong to no assembly.
    """
    shares = [share for cost in money.costs for share in cost.shares]
    return add_up(shares, lambda s: GENERAL if s[0] == GENERAL else assembly_of(s[0], parts), lambda s: s[1])


def cost_of_materials_bought(stock: Stock) -> Fraction:
    """What the lots of known cost came to, less what was given back."""
    return sum((material.cost_bought or Fraction(0) for material in stock.materials.values()), Fraction(0))


def cost_of_materials_used(stock: Stock) -> Fraction:
    """What the uses of known cost came to, exact; the same as all of `consumed_by_part`."""
    return sum((material.cost_used or Fraction(0) for material in stock.materials.values()), Fraction(0))
