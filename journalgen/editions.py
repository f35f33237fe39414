"""The editions: the public one is computed from what is public, not masked afterwards."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Protocol, TypeVar

from msgspec.structs import replace

from journalgen.records import Decision, Found, Journal, Measure, Part, Photo, Purchase, Session, Statement, Supplier

PRICES: Final = "prices"
SUPPLIERS: Final = "suppliers"
STORAGE: Final = "storage"
NUMBERS: Final = "numbers"
HOURS: Final = "hours"
_KEPT_OF_A_NUMBER: Final = 2


class _Line(Protocol):
    @property
    def private(self) -> bool: ...


Line = TypeVar("Line", bound=_Line)


def public_edition(journal: Journal) -> Journal:
    """The journal as strangers may see it.

    Private sessions and lines are gone as if they had never been written, and so are the kinds of
    fact that the settings hide. A photograph that any line calls private is gone from every line.
    Parts, materials and suppliers that only private lines name are gone too.
    """
    secret = private_photos(journal)
    sessions = tuple(
        _public_session(session, journal.settings.hide, secret) for session in journal.sessions if not session.private
    )
    public = replace(journal, sessions=sessions)
    return _hide(_without_unnamed(public), journal.settings.hide)


LINES: Final = ("work", "uses", "purchases", "measures", "decisions", "found", "photos", "pairs")
"""The fields of a session that hold lines, each of which may be private."""


def private_photos(journal: Journal) -> frozenset[str]:
    """Files that a line calls private, or that only private sessions show."""
    shown = {p.file for s in journal.sessions if not s.private for p in s.photos}
    return frozenset(
        photo.file
        for session in journal.sessions
        for photo in session.photos
        if photo.private or (session.private and photo.file not in shown)
    )


def _public(lines: Iterable[Line]) -> tuple[Line, ...]:
    return tuple(line for line in lines if not line.private)


def without_private_lines(session: Session) -> Session:
    """The session as if its private lines had never been written; itself where it has none."""
    rows = {name: getattr(session, name) for name in LINES}
    if not any(line.private for lines in rows.values() for line in lines):
        return session
    return replace(session, **{name: _public(lines) for name, lines in rows.items()})


def with_private_lines(session: Session, public: Session, whole: Session) -> Session:
    """The session `whole`, of which the public lines are those of `public`; `session` says which lines are."""

    def lines(name: str) -> tuple[object, ...]:
        shown = iter(getattr(public, name))
        rows = zip(getattr(session, name), getattr(whole, name), strict=True)
        return tuple(line if row.private else next(shown) for row, line in rows)

    return replace(whole, blocks=public.blocks, **{name: lines(name) for name in LINES})


def _public_session(session: Session, hide: frozenset[str], secret: frozenset[str]) -> Session:
    shown = without_private_lines(session)
    shown = replace(
        shown,
        purchases=tuple(_public_purchase(purchase, hide) for purchase in shown.purchases),
        photos=tuple(photo for photo in shown.photos if photo.file not in secret),
    )
    if HOURS not in hide:
        return shown
    return replace(shown, minutes=None, start=None, work=tuple(replace(line, minutes=None) for line in shown.work))


def _public_purchase(purchase: Purchase, hide: frozenset[str]) -> Purchase:
    if PRICES in hide:
        purchase = replace(purchase, price=None, postage=None, duty=None, tax=None, paid=None, rate=None)
    return replace(purchase, party=None) if SUPPLIERS in hide else purchase


def _without_unnamed(journal: Journal) -> Journal:
    """Drops what no register has and no public line names: only a private line can have named it."""
    named = {name for session in journal.sessions for name in _named_in(session)}
    named |= {need for part in journal.parts.values() if part.registered for need in part.needs}
    return replace(
        journal,
        parts={name: row for name, row in journal.parts.items() if row.registered or name in named},
        materials={name: row for name, row in journal.materials.items() if row.registered or name in named},
        suppliers={name: row for name, row in journal.suppliers.items() if row.place or name in named},
    )


def _named_in(session: Session) -> Iterable[str]:
    yield from session.parts
    for line in session.work:
        yield from (*line.parts, *line.fitted_with, line.material or "")
    for use in session.uses:
        yield from (*use.parts, use.material)
    for purchase in session.purchases:
        seller = purchase.party if purchase.kind != "sale" else None  # who bought something is in no register
        yield from (*purchase.parts, purchase.material or "", seller or "")
    rows: tuple[Measure | Decision | Found | Photo, ...] = (
        *session.measures, *session.decisions, *session.found, *session.photos,
    )  # fmt: skip
    for row in rows:
        yield from row.parts
    for pair in session.pairs:
        yield pair.part


def _hide(journal: Journal, hide: frozenset[str]) -> Journal:
    settings = journal.settings
    secret = {name for name, row in journal.suppliers.items() if row.private}
    suppliers: dict[str, Supplier] = (
        {} if SUPPLIERS in hide else {name: row for name, row in journal.suppliers.items() if name not in secret}
    )
    machine = settings.machine
    if NUMBERS in hide and machine.identity_number:
        machine = replace(machine, identity_number=masked(machine.identity_number))
    rates = () if PRICES in hide else settings.rates
    return replace(
        journal,
        settings=replace(settings, machine=machine, statement=_unnamed(settings.statement), rates=rates, targets=()),
        suppliers=suppliers,
        parts={name: _hide_part(part, hide) for name, part in journal.parts.items()},
        sessions=tuple(
            replace(s, purchases=tuple(replace(p, party=None) if p.party in secret else p for p in s.purchases))
            for s in journal.sessions
        ),
    )


def _unnamed(statement: Statement) -> Statement:
    """Persons are named to those only whom the owner hands the owner's own edition."""
    return replace(statement, keeper=None, owner=None, costs=True)


def _hide_part(part: Part, hide: frozenset[str]) -> Part:
    if STORAGE in hide:
        part = replace(part, stored=None)
    return replace(part, number=None) if NUMBERS in hide else part


def masked(number: str) -> str:
    """An identity number of which only the last two characters can be read: `...31`."""
    return "..." + number[-_KEPT_OF_A_NUMBER:] if len(number) > _KEPT_OF_A_NUMBER else "..."
