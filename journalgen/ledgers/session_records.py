"""What each session came to: its hours, its purchases, and what it used up."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.ledgers.hours import Hours, HoursShare
from journalgen.ledgers.money import Cost, MoneyLedger
from journalgen.records import Session
from journalgen.values import Amount, Money


class SessionRecord(Struct):
    """One session with its shares of the ledgers."""

    session: Session
    shares: list[HoursShare] = field(default_factory=list)
    costs: list[Cost] = field(default_factory=list)

    @property
    def minutes(self) -> int:
        return sum(share.minutes for share in self.shares)

    @property
    def spent(self) -> Decimal | None:
        """In home currency; None where no money changed hands, or none that is known."""
        priced = [cost.home for cost in self.costs if cost.conversions]
        return sum(priced, Decimal(0)) if priced else None

    @property
    def not_converted(self) -> tuple[Money, ...]:
        return tuple(money for cost in self.costs for money in cost.not_converted)

    @property
    def used(self) -> dict[str, list[Amount]]:
        """Every material used, in the entry's order, with its amounts added up unit by unit."""
        found: dict[str, list[Amount]] = {}
        for line in self.session.work:
            if line.material:
                _add(found.setdefault(line.material, []), line.amount)
        for use in self.session.uses:
            _add(found.setdefault(use.material, []), use.amount)
        return found


def _add(amounts: list[Amount], amount: Amount | None) -> None:
    """Adds to the amount of the same unit; amounts of different units stand side by side, as written."""
    if amount is None:
        return
    for i, held in enumerate(amounts):
        if (held.unit, held.dimension) == (amount.unit, amount.dimension):
            amounts[i] = replace(held, number=held.number + amount.number)
            return
    amounts.append(amount)


def session_records(sessions: Iterable[Session], hours: Hours, money: MoneyLedger) -> dict[str, SessionRecord]:
    """The record of every session, by its page, in order of time."""
    records = {session.page: SessionRecord(session) for session in sessions}
    for share in hours.shares:
        records[share.session.page].shares.append(share)
    for cost in money.costs:
        records[cost.session.page].costs.append(cost)
    return records
