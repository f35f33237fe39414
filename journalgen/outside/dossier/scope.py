"""Which parts and sessions a dossier is about: the whole machine, or some parts and assemblies."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from journalgen.ledgers.assemblies import Assembly, assemblies_above
from journalgen.ledgers.nesting import headings
from journalgen.ledgers.part_records import names_in
from journalgen.records import Journal, Session


class Scope(Struct, frozen=True):
    """What a dossier is about."""

    whole: bool  # the machine itself, with what belongs to no part
    named: tuple[str, ...]  # the parts and assemblies that were asked for
    assemblies: tuple[tuple[Assembly, tuple[str, ...]], ...]  # each with those of its own parts that are meant

    @property
    def parts(self) -> tuple[str, ...]:
        """In the order in which they are told of."""
        return tuple(part for _, parts in self.assemblies for part in parts)

    def sessions(self, sessions: Sequence[Session]) -> tuple[Session, ...]:
        """Those that name a part of it."""
        if self.whole:
            return tuple(sessions)
        meant = frozenset(self.parts)
        return tuple(session for session in sessions if not meant.isdisjoint(names_in(session)))


def find_scope(
    journal: Journal, assemblies: Iterable[Assembly], parts: Sequence[str] = (), of: Sequence[str] = ()
) -> Scope:
    """The parts that are named and those of the assemblies in `of`, nested ones too; with neither all there are.

    Rows of the register that only stand for an assembly are no parts.
    """
    whole = not parts and not of
    empty = headings(journal.parts)
    wanted = frozenset(parts)
    above = frozenset(of)

    def is_meant(part: str) -> bool:
        if whole:
            return part not in empty
        if part in wanted:
            return True
        return part not in empty and not above.isdisjoint(assemblies_above(part, journal.parts))

    rows = ((assembly, tuple(filter(is_meant, assembly.parts))) for assembly in assemblies)
    return Scope(whole, (*parts, *of), tuple((assembly, own) for assembly, own in rows if own))
