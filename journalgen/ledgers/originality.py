"""What of the machine is what left the works, part by part, and in shares by count."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.ledgers.decisions import keep_decisions
from journalgen.ledgers.hours import assembly_of
from journalgen.ledgers.nesting import headings
from journalgen.records import Part, Session

KEPT: Final = "original kept"
REPAIRED: Final = "original repaired"
USED_SPARE: Final = "used spare"
REPRODUCTION: Final = "reproduction"
MADE: Final = "made"
NOT_KNOWN: Final = "not known"
ORIGINS: Final = (KEPT, REPAIRED, USED_SPARE, REPRODUCTION, MADE, NOT_KNOWN)
"""Nearest to what left the works first."""

_OF_DECISION: Final = {"reuse": KEPT, "repair": REPAIRED, "make": MADE}
_OF_PURCHASE: Final = {"used spare": USED_SPARE, "reproduction": REPRODUCTION}


class Shares(Struct, frozen=True):
    """Pieces by origin, every origin with its count, nought included."""

    counts: dict[str, int]

    @property
    def pieces(self) -> int:
        return sum(self.counts.values())

    def share(self, origin: str) -> Fraction:
        """0 to 1, by count; nought where there are no pieces."""
        return Fraction(self.counts[origin], self.pieces) if self.pieces else Fraction(0)


class Originality(Struct, frozen=True):
    """The origin of every registered part, with shares by the part's own assembly and for the whole machine."""

    origins: dict[str, str]
    assemblies: dict[str, Shares]
    machine: Shares


def keep_originality(sessions: Iterable[Session], parts: dict[str, Part]) -> Originality:
    """The origin of each registered part; `quantity` counts every piece of it."""
    decided, bought = keep_decisions(sessions, parts), _kinds_bought(sessions)
    empty = headings(parts)
    counted = [part for part in parts.values() if part.registered and part.name not in empty]
    origins = {part.name: origin(decided.get(part.name), bought.get(part.name, ())) for part in counted}
    of_assembly: dict[str, list[Part]] = {}
    for part in counted:
        of_assembly.setdefault(assembly_of(part.name, parts), []).append(part)
    return Originality(
        origins,
        {name: _shares(row, origins) for name, row in of_assembly.items()},
        _shares(counted, origins),
    )


def origin(decision: str | None, bought: Sequence[str]) -> str:
    """One part's origin from what was decided and the kinds of what was bought for it, in order of time.

    A decision to keep, repair or make counts before any purchase: what was bought then went into the
    part. Where it is replaced, or nothing was decided, the last purchase of a used spare or a
    reproduction says what stands in its place. A plain `part` bought to replace one was made new,
    and counts as a reproduction; bought for no known end, it may be anything.
    """
    if decision in _OF_DECISION:
        return _OF_DECISION[decision]
    known = [_OF_PURCHASE[kind] for kind in bought if kind in _OF_PURCHASE]
    if known:
        return known[-1]
    return REPRODUCTION if decision == "replace" and "part" in bought else NOT_KNOWN


def _kinds_bought(sessions: Iterable[Session]) -> dict[str, list[str]]:
    bought: dict[str, list[str]] = {}
    for session in sessions:
        for purchase in session.purchases:
            for part in purchase.parts:
                bought.setdefault(part, []).append(purchase.kind)
    return bought


def _shares(parts: Iterable[Part], origins: Mapping[str, str]) -> Shares:
    counts = dict.fromkeys(ORIGINS, 0)
    for part in parts:
        counts[origins[part.name]] += part.quantity
    return Shares(counts)
