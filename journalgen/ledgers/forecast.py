"""When the work may be done: the hours still to do against the journal's own weeks, idle ones included."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import accumulate
from math import ceil
from random import Random
from typing import Final

from msgspec import Struct

from journalgen.ledgers.hours import Hours
from journalgen.ledgers.progress import Progress
from journalgen.ledgers.states import FITTED

LEAST_WEEKS: Final = 8
NO_ROUTE: Final = "No part has a route, so it is not known what is still to do."
NONE_LEFT: Final = "Everything with a route is done."
NOT_KNOWN: Final = "Some parts have no route."
TOO_SHORT: Final = "The record is %(weeks)s weeks long; a forecast needs at least %(least)s."
NO_HOURS: Final = "No hours were entered."
TOO_LONG: Final = "At this pace it would take more than fifty years."
_DRAWS: Final = 1000
_SEED: Final = 1956
_MOST_WEEKS: Final = 52 * 50
_WEEK: Final = timedelta(days=7)


class Forecast(Struct, frozen=True):
    """The hours still to do, and the days by which they are done in half and in 85 of 100 trials."""

    minutes_to_do: int  # of parts with a route
    weeks: int  # of record, from the first session's to that of `on`
    parts_unknown: int  # not fitted and without a route: what they still ask is not in the figure
    likely: date | None  # 50 of 100 trials
    safe: date | None  # 85 of 100 trials
    reason: str | None  # why there are no days, a sentence with gaps for `weeks` and `least`; None where there are

    @property
    def why_not(self) -> str | None:
        """Why there are no days, in a sentence."""
        return self.reason % {"weeks": self.weeks, "least": LEAST_WEEKS} if self.reason else None


def weekly_minutes(hours: Hours, on: date) -> list[int]:
    """Minutes of every week, Monday to Sunday, from that of the first session to that of `on`; empty without any."""
    days = [share.session.day for share in hours.shares]
    if not days or min(days) > on:
        return []
    first = _monday(min(days))
    weeks = [0] * ((_monday(on) - first).days // 7 + 1)
    for share in hours.shares:
        if share.session.day <= on:
            weeks[(share.session.day - first).days // 7] += share.minutes
    return weeks


def _monday(day: date) -> date:
    return date.fromordinal(max(1, day.toordinal() - day.weekday()))


def forecast(progress: Progress, hours: Hours, on: date) -> Forecast:
    """A date range by drawing weeks at random, with replacement, from the record until the hours to do are spent.

    The draws are the same on every run. Under eight weeks of record there is no forecast.
    """
    to_do = progress.minutes_to_do
    unknown = sum(not part.steps and part.state != FITTED for part in progress.parts.values())
    weeks = weekly_minutes(hours, on)
    reason = _why_not(progress, to_do, unknown, weeks)
    likely = safe = None
    if reason is None:
        trials = sorted(_draw(weeks, to_do, Random(_SEED)))  # noqa: S311 - a forecast, not a secret
        likely, safe = (_day(on, quantile(trials, share)) for share in (0.5, 0.85))
        if safe is None:
            likely, reason = None, TOO_LONG
    return Forecast(to_do, len(weeks), unknown, likely, safe, reason)


def _why_not(progress: Progress, to_do: int, unknown: int, weeks: Sequence[int]) -> str | None:
    if not any(part.steps for part in progress.parts.values()):
        return NO_ROUTE
    if not to_do:
        return NOT_KNOWN if unknown else NONE_LEFT
    if len(weeks) < LEAST_WEEKS:
        return TOO_SHORT
    return None if any(weeks) else NO_HOURS


def _draw(weeks: Sequence[int], to_do: int, chance: Random) -> list[int]:
    """Weeks that each trial took, at most fifty years of them."""
    mean = sum(weeks) / len(weeks)
    batch = min(_MOST_WEEKS, ceil(to_do / mean * 1.5) + 8)
    trials = []
    for _ in range(_DRAWS):
        spent = taken = 0
        while spent < to_do and taken < _MOST_WEEKS:
            reached = list(accumulate(chance.choices(weeks, k=batch)))
            enough = bisect_left(reached, to_do - spent)
            taken += min(enough + 1, batch)
            spent += reached[min(enough, batch - 1)]
        trials.append(taken)
    return trials


def quantile(ordered: Sequence[int], share: float) -> int:
    """The least value that so large a share of the values does not exceed."""
    return ordered[max(0, ceil(share * len(ordered)) - 1)]


def _day(on: date, weeks: int) -> date | None:
    try:
        return on + weeks * _WEEK if weeks < _MOST_WEEKS else None
    except OverflowError:
        return None
