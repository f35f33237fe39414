"""Who things came from: what was bought from each supplier, when, and what it came to."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from msgspec import Struct

from journalgen.ledgers.money import Cost, MoneyLedger
from journalgen.records import Supplier
from journalgen.values import Money


class Source(Struct, frozen=True):
    """One supplier with all that came from it; nothing where it is only in the register."""

    name: str | None  # None: purchases that name no supplier
    supplier: Supplier | None
    costs: tuple[Cost, ...]  # by the day paid; what was given back is among them
    spent: Decimal  # home currency; what was refunded is taken off

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of purchase, each once, in order of time."""
        return tuple(dict.fromkeys(cost.purchase.kind for cost in self.costs))

    @property
    def last(self) -> date | None:
        """The day of the last purchase."""
        return self.costs[-1].day if self.costs else None

    @property
    def not_converted(self) -> tuple[Money, ...]:
        return tuple(money for cost in self.costs for money in cost.not_converted)


def list_sources(money: MoneyLedger, suppliers: Mapping[str, Supplier]) -> tuple[Source, ...]:
    """Every supplier of the register, then those that only entries name, last what names none.

    What was sold is left out: whom it went to is no source. So the sums add up to the money ledger's
    total without its sales.
    """
    rows: dict[str | None, list[Cost]] = {name: [] for name in suppliers}
    unnamed: list[Cost] = []
    for cost in sorted(money.costs, key=lambda cost: cost.day):
        if cost.purchase.kind == "sale":
            continue
        kept = rows.setdefault(cost.purchase.party, []) if cost.purchase.party else unnamed
        kept.append(cost)
    if unnamed:
        rows[None] = unnamed
    return tuple(
        Source(
            name,
            suppliers.get(name) if name else None,
            tuple(costs),
            sum((cost.home for cost in costs), money.zero),
        )
        for name, costs in rows.items()
    )
