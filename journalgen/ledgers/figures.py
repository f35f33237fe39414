"""All ledgers of one journal at once: what the pages and the commands show."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from datetime import date
from functools import cached_property

from msgspec.structs import replace

from journalgen.ledgers.craft import Craft
from journalgen.ledgers.hours import Hours, keep_hours
from journalgen.ledgers.money import MoneyLedger, ReferenceRates, keep_money, rules_of
from journalgen.ledgers.pairs import Pair, Shot, find_pairs, shots_of
from journalgen.ledgers.stock import Stock, keep_stock
from journalgen.ledgers.timeline import Event, part_events
from journalgen.plain_data import digest, encode
from journalgen.problems import Problems
from journalgen.records import Journal, Session


class Figures:
    """What the ledgers say of a journal as it stood on a day.

    Each ledger is kept when it is first asked for, and then reports what does not add up; `compute` asks for all.
    """

    def __init__(self, journal: Journal, reference: ReferenceRates, on: date, problems: Problems) -> None:
        self.on = on
        self.sessions = tuple(session for session in journal.sessions if session.day <= on)
        """Those that count: not after `on`."""
        self._journal = journal
        self._reference = reference
        self._problems = problems

    @cached_property
    def money(self) -> MoneyLedger:
        return keep_money(self.sessions, rules_of(self._journal, self._reference), self._problems)

    @cached_property
    def hours(self) -> Hours:
        return keep_hours(self.sessions, self._problems)

    @cached_property
    def stock(self) -> Stock:
        return keep_stock(self.sessions, self.money.costs, self._journal.materials, self.on, self._problems)

    @cached_property
    def shots(self) -> dict[str, list[Shot]]:
        return shots_of(self.sessions)

    @cached_property
    def pairs(self) -> dict[str, Pair]:
        return find_pairs(self.sessions, self.shots)

    @cached_property
    def events(self) -> dict[str, list[Event]]:
        return part_events(self.sessions)

    @cached_property
    def craft(self) -> Craft:
        return Craft(self._journal, self.sessions, lambda: self.hours, lambda: self.stock, self.on, self._problems)

    @cached_property
    def untimed(self) -> bytes:
        """A digest of all that they are computed from but the bodies and the hours that sessions state; the same in
        every process."""
        journal, settings = self._journal, self._journal.settings
        return digest(
            encode(
                (
                    self.on,
                    type(self._reference).__qualname__,
                    replace(settings, hide=frozenset()),
                    sorted(settings.hide),
                    [replace(session, body=None, minutes=None) for session in journal.sessions],
                    (journal.parts, journal.materials, journal.suppliers, journal.steps, journal.routes),
                )
            )
        )

    @cached_property
    def pace(self) -> bytes:
        """A digest of what all but the hours themselves and the forecast are computed from, likewise."""
        return digest(self.untimed, self.craft.pace)

    @cached_property
    def basis(self) -> bytes:
        """A digest of all that they are computed from, which is all but the bodies, likewise."""
        return digest(self.untimed, encode([session.minutes for session in self._journal.sessions]))

    @property
    def states(self) -> Mapping[str, str]:
        """The state of every part."""
        return self.craft.progress.states

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

    def newest(self, count: int) -> tuple[Session, ...]:
        """At most so many of the last ones, the last first."""
        return self.sessions[: -count - 1 : -1]

    @property
    def any_measured(self) -> bool:
        """Whether anything was measured."""
        return any(session.measures for session in self.sessions)

    def retold(self, sessions: tuple[Session, ...]) -> Figures:
        """The same figures of the same sessions, which only say something else by now."""
        same = copy(self)
        for kept in ("untimed", "pace", "basis"):  # what they refer to counts as well
            vars(same).pop(kept, None)
        same.sessions = sessions
        same.hours = keep_hours(sessions, Problems())  # its shares are found by their lines, which were read anew
        return same

    def after(self, journal: Journal, old: Session, new: Session, problems: Problems) -> Figures:
        """The figures of a journal in which one session has become another of the same day and page.

        Money and stock in which nothing differs stay as they are. Those ledgers are kept at once in which one
        session can be wrong; the others report their warnings when they are asked for.
        """
        now = Figures(journal, self._reference, self.on, problems)
        if old.purchases == new.purchases:
            now.money = self.money
            if old.uses == new.uses and _materials_of(old) == _materials_of(new):
                now.stock = self.stock
        now._keep("money", "hours", "stock")
        return now

    def keep_timed(self) -> None:
        """Keeps the ledgers that report something for which the hours count that sessions state."""
        self._keep("hours")
        self.craft.keep_timed()

    def keep_all(self) -> None:
        """Keeps every ledger."""
        self._keep("money", "hours", "stock", "shots", "pairs", "events", "craft")
        self.craft.keep_all()

    def _keep(self, *ledgers: str) -> None:
        for ledger in ledgers:
            getattr(self, ledger)


def _materials_of(session: Session) -> list[object]:
    return [(line.place, line.material, line.amount, line.parts) for line in session.work if line.material]


def compute(journal: Journal, reference: ReferenceRates, on: date, problems: Problems) -> Figures:
    """Runs every ledger over the sessions up to and including `on`; reports what does not add up."""
    figures = Figures(journal, reference, on, problems)
    figures.keep_all()
    return figures
