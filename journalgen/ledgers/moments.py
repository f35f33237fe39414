"""When sessions begin and end, as instants in UTC, and how spans of time are added to them.

Everything here errs to the late side: where it cannot be known when a coat was laid, it was laid
as late as it can have been. Instants are kept in UTC, since two times of one zone compare by the
clock on the wall, which jumps twice a year.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from journalgen.ledgers.calendar import after
from journalgen.records import Session
from journalgen.values import Duration

FAR: Final = datetime(9999, 12, 1, tzinfo=UTC)
"""Stands for any instant too far off to be reckoned."""

NEAR: Final = datetime(1, 1, 3, tzinfo=UTC)
"""The earliest instant that every zone can write; a year typed wrong may come this far."""

_MIDNIGHT: Final = time()


def instants(day: date, clock: time, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The earliest and the latest instant that a time on the wall may stand for; nearly always the same.

    They differ in the hour that comes twice in autumn, and in the one that is left out in spring.
    """
    if not NEAR.date() < day < FAR.date():
        edge = NEAR if day <= NEAR.date() else FAR
        return edge, edge
    moment = datetime.combine(day, clock, zone)
    one, other = moment.astimezone(UTC), moment.replace(fold=1).astimezone(UTC)
    return min(one, other), max(one, other)


def day_begins(day: date, zone: ZoneInfo) -> datetime:
    """The first instant of a day."""
    return instants(day, _MIDNIGHT, zone)[0]


def day_ends(day: date, zone: ZoneInfo) -> datetime:
    """The local midnight at the end of a day."""
    return instants(day + timedelta(days=1), _MIDNIGHT, zone)[1] if day < FAR.date() else FAR


def minutes_of(session: Session) -> int:
    """How long a session lasted: its own figure or the sum of its lines, whichever is more; nought if not said."""
    return max(session.minutes or 0, sum(line.minutes or 0 for line in session.work))


def session_end(session: Session, zone: ZoneInfo) -> datetime:
    """The instant a session ended: its start and its minutes, else the local midnight at the end of its day."""
    if session.start is None or not minutes_of(session):
        return day_ends(session.day, zone)
    return instants(session.day, session.start, zone)[1] + timedelta(minutes=minutes_of(session))


def latest_begin(session: Session, zone: ZoneInfo) -> datetime:
    """The latest instant at which a session can have begun."""
    if session.start is not None:
        return instants(session.day, session.start, zone)[1]
    return day_ends(session.day, zone) - timedelta(minutes=max(minutes_of(session), 1))


def earliest_begin(session: Session, zone: ZoneInfo) -> datetime:
    """The earliest instant at which a session can have begun."""
    return instants(session.day, session.start or _MIDNIGHT, zone)[0]


def later(moment: datetime, span: Duration, zone: ZoneInfo) -> datetime:
    """The instant at which a span that begins at `moment` has fully passed.

    Whole months go by the calendar of the zone; the rest is elapsed time, whatever the clocks do.
    """
    try:
        if span.months:
            local = moment.astimezone(zone)
            day = after(local.date(), Duration(0, span.months))
            moment = instants(day, local.time(), zone)[1]
        return min(moment + timedelta(minutes=span.minutes), FAR)
    except (OverflowError, ValueError):
        return FAR
