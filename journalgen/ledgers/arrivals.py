"""Whether a part that has to come from elsewhere is there: bought, on its way, or not bought yet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from journalgen.ledgers.steps_done import StepDone, is_apart, is_quiet
from journalgen.records import Journal, Purchase, Session

ON_ITS_WAY: Final = "ordered, not arrived"
NOT_BOUGHT: Final = "not bought"

_KINDS: Final = frozenset({"part", "used spare", "reproduction"})


def bought_parts(sessions: Iterable[Session]) -> dict[str, list[tuple[Session, Purchase]]]:
    """What was bought in place of each part, or for it, in order of time."""
    found: dict[str, list[tuple[Session, Purchase]]] = {}
    for session in sessions:
        for purchase in session.purchases:
            for part in purchase.parts if purchase.kind in _KINDS else ():
                found.setdefault(part, []).append((session, purchase))
    return found


def missing(
    decision: str | None,
    bought: Sequence[tuple[Session, Purchase]],
    row: Sequence[StepDone],
    journal: Journal,
    on: date,
) -> str | None:
    """Why a part is not there on a day; None where it is, as far as is known.

    Without a day of arrival what has an order's day is still on its way, unless work was done on the
    part since: some never enter that it came. A part to be replaced that was not bought is missing.
    """
    if any(_has_come(session, purchase, on) or _worked_on_since(session, row, journal) for session, purchase in bought):
        return None
    if decision == "replace":
        return ON_ITS_WAY if bought else NOT_BOUGHT
    # What is bought for a part that is kept or mended goes into it; only an unknown part may be the thing itself.
    return ON_ITS_WAY if bought and decision is None else None


def _has_come(session: Session, purchase: Purchase, on: date) -> bool:
    arrived = purchase.arrived or (None if purchase.ordered else session.day)
    return arrived is not None and arrived <= on


def _worked_on_since(session: Session, row: Sequence[StepDone], journal: Journal) -> bool:
    return any(
        one.session.day > session.day
        and not is_apart(one.step, journal.steps)
        and not is_quiet(one.step, journal.steps)
        for one in row
    )
