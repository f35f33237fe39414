"""Findings about the journal: what is wrong, where, under which rule, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct, field

from journalgen.values import Place

ERROR: Final = "error"
"""Unreadable, contradictory, or able to falsify a figure or to leak what is private."""

WARNING: Final = "warning"
"""Odd but readable, or a matter of craft."""


class Problem(Struct, frozen=True):
    """One finding, worded as to a tired person."""

    place: Place
    severity: str
    rule: str  # a stable name with hyphens: hours-exceed-session
    message: str
    remedy: str

    @property
    def is_error(self) -> bool:
        return self.severity == ERROR


class Problems(Struct):
    """Gathers findings while something is read or added up; the one way by which anything is reported."""

    found: list[Problem] = field(default_factory=list)

    def error(self, place: Place, rule: str, message: str, remedy: str) -> None:
        self.found.append(Problem(place, ERROR, rule, message, remedy))

    def warning(self, place: Place, rule: str, message: str, remedy: str) -> None:
        self.found.append(Problem(place, WARNING, rule, message, remedy))

    def in_order(self) -> tuple[Problem, ...]:
        """Every finding once, by file, line and column."""
        return in_order(self.found)


def in_order(found: Iterable[Problem]) -> tuple[Problem, ...]:
    """Each finding once, sorted by place, errors before warnings of one place."""
    return tuple(sorted(set(found), key=lambda p: (p.place, not p.is_error, p.rule, p.message)))
