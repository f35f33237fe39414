"""Hours by assembly and month: the years at the bench."""

from __future__ import annotations

from journalgen.ledgers.hours import Hours, assembly_of
from journalgen.ledgers.sharing import month_of
from journalgen.records import Part


def hours_by_assembly_and_month(hours: Hours, parts: dict[str, Part]) -> dict[str, dict[str, int]]:
    """Minutes by assembly and then by month, `2024-03`; all of them add up to the ledger."""
    found: dict[str, dict[str, int]] = {}
    for share in hours.shares:
        months = found.setdefault(assembly_of(share.part, parts), {})
        month = month_of(share.session.day)
        months[month] = months.get(month, 0) + share.minutes
    return found
