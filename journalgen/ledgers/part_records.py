"""Everything the journal holds on each part, gathered in one pass over the ledgers."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct, field

from journalgen.ledgers.hours import Hours, HoursShare
from journalgen.ledgers.money import Cost, MoneyLedger
from journalgen.ledgers.stock import Stock, UseCost
from journalgen.records import Decision, Found, Measure, Part, Session, WorkLine


class PartRecord(Struct):
    """What concerns one part, each list in order of time."""

    sessions: list[Session] = field(default_factory=list)  # those that name the part anywhere
    lines: list[tuple[Session, WorkLine]] = field(default_factory=list)
    shares: list[HoursShare] = field(default_factory=list)
    costs: list[tuple[Cost, Decimal]] = field(default_factory=list)  # with the part's share, in home currency
    uses: list[UseCost] = field(default_factory=list)
    measures: list[tuple[Session, Measure]] = field(default_factory=list)
    decisions: list[tuple[Session, Decision]] = field(default_factory=list)
    found: list[tuple[Session, Found]] = field(default_factory=list)

    @property
    def hours(self) -> Hours:
        """The hours ledger narrowed to this part."""
        return Hours(tuple(self.shares))

    @property
    def spent(self) -> Decimal:
        """Purchases for this part; materials consumed are not in it."""
        return sum((share for _, share in self.costs), Decimal(0))

    @property
    def consumed(self) -> Fraction:
        """Known cost of the materials this part consumed, exact."""
        return sum((use.cost for use in self.uses if use.cost is not None), Fraction(0))

    @property
    def estimated(self) -> bool:
        """Whether some of what it consumed was never bought, and is costed at the last known price."""
        return any(use.estimated for use in self.uses)

    def within(self, sessions: Iterable[Session]) -> PartRecord:
        """The record narrowed to some of its sessions."""
        pages = {session.page for session in sessions}
        return PartRecord(
            sessions=[session for session in self.sessions if session.page in pages],
            lines=[row for row in self.lines if row[0].page in pages],
            shares=[share for share in self.shares if share.session.page in pages],
            costs=[row for row in self.costs if row[0].session.page in pages],
            uses=[use for use in self.uses if use.session.page in pages],
            measures=[row for row in self.measures if row[0].page in pages],
            decisions=[row for row in self.decisions if row[0].page in pages],
            found=[row for row in self.found if row[0].page in pages],
        )


def part_records(sessions: Iterable[Session], hours: Hours, money: MoneyLedger, stock: Stock) -> dict[str, PartRecord]:
    """The record of every part that a session names; what belongs to no part stands under `(general)`."""
    records: dict[str, PartRecord] = {}

    def of(part: str) -> PartRecord:
        return records.setdefault(part, PartRecord())

    for session in sessions:
        for part in names_in(session):
            of(part).sessions.append(session)
        _gather(session, records)
    for share in hours.shares:
        of(share.part).shares.append(share)
    for cost in money.costs:
        for part, amount in cost.shares:
            of(part).costs.append((cost, amount))
    for material in stock.materials.values():
        for use in material.uses:
            of(use.part).uses.append(use)
    for record in records.values():
        record.uses.sort(key=lambda use: (use.session.day, use.place))
    return records


def _gather(session: Session, records: dict[str, PartRecord]) -> None:
    for line in session.work:
        for part in line.parts:
            records[part].lines.append((session, line))
    for measure in session.measures:
        for part in measure.parts:
            records[part].measures.append((session, measure))
    for decision in session.decisions:
        for part in decision.parts:
            records[part].decisions.append((session, decision))
    for found in session.found:
        for part in found.parts:
            records[part].found.append((session, found))


def names_in(session: Session) -> tuple[str, ...]:
    """Every part that a session names: those worked on first, then those otherwise spoken of."""
    named = [
        *(row.parts for row in session.uses),
        *(row.parts for row in session.purchases),
        *(row.parts for row in session.measures),
        *(row.parts for row in session.decisions),
        *(row.parts for row in session.found),
        *(row.parts for row in session.photos),
    ]
    return tuple(dict.fromkeys([*worked_on(session), *(part for parts in named for part in parts)]))


def worked_on(session: Session) -> tuple[str, ...]:
    """The parts a session lists or has a work line for, each once, in the entry's order."""
    return tuple(dict.fromkeys([*session.parts, *(part for line in session.work for part in line.parts)]))


def needed_by(parts: dict[str, Part]) -> dict[str, list[str]]:
    """For each part the parts that need it before they can be fitted."""
    found: dict[str, list[str]] = {}
    for part in parts.values():
        for need in part.needs:
            found.setdefault(need, []).append(part.name)
    return found
