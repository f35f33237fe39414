"""Adds spans of time to days: whole months by the calendar, the rest as elapsed time."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta

from journalgen.values import Duration


def after(day: date, span: Duration) -> date:
    """The day on which a span that begins on `day` has fully passed.

    Months go by the calendar, held to the month's last day: 31 January and one month is 28 or 29
    February. Minutes that do not fill a day count as a whole one, so nothing ends too early.
    """
    whole = day.year * 12 + day.month - 1 + span.months
    year, month = divmod(whole, 12)
    month += 1
    moved = date(year, month, min(day.day, monthrange(year, month)[1]))
    return moved + timedelta(days=-(-span.minutes // (24 * 60)))
