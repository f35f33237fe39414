"""All ledgers of one journal at once: what the pages and the commands show."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from journalgen.ledgers.craft import Craft, keep_craft
from journalgen.ledgers.hours import Hours, keep_hours
from journalgen.ledgers.money import MoneyLedger, ReferenceRates, keep_money, rules_of
from journalgen.ledgers.pairs import Pair, Shot, find_pairs, shots_of
from journalgen.ledgers.stock import Stock, keep_stock
from journalgen.ledgers.timeline import Event, part_events
from journalgen.problems import Problems
from journalgen.records import Journal, Session


class Figures(Struct, frozen=True):
    """What the ledgers say of a journal as it stood on a day."""

    on: date
    sessions: tuple[Session, ...]  # those that count: not after `on`
    hours: Hours
    money: MoneyLedger
    stock: Stock
    pairs: dict[str, Pair]
    shots: dict[str, list[Shot]]
    events: dict[str, list[Event]]
    states: dict[str, str]
    craft: Craft

    @property
    def first_day(self) -> date | None:
        """The day of the first session that counts."""
        return self.sessions[0].day if self.sessions else None

    @property
    def last_day(self) -> date | None:
        """The day of the last one."""
        return self.sessions[-1].day if self.sessions else None

    @property
    def count(self) -> int:
        """How many count."""
        return len(self.sessions)

    @property
    def any_measured(self) -> bool:
        """Whether anything was measured."""
        return any(session.measures for session in self.sessions)


def compute(journal: Journal, reference: ReferenceRates, on: date, problems: Problems) -> Figures:
    """Runs every ledger over the sessions up to and including `on`; reports what does not add up."""
    sessions = tuple(session for session in journal.sessions if session.day <= on)
    money = keep_money(sessions, rules_of(journal, reference), problems)
    hours = keep_hours(sessions, problems)
    stock = keep_stock(sessions, money.costs, journal.materials, on, problems)
    shots = shots_of(sessions)
    craft = keep_craft(journal, sessions, hours, stock, on, problems)
    return Figures(
        on=on,
        sessions=sessions,
        hours=hours,
        money=money,
        stock=stock,
        pairs=find_pairs(sessions, shots),
        shots=shots,
        events=part_events(sessions),
        states=craft.progress.states,
        craft=craft,
    )
