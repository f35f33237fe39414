"""When the work may be done: the hours still to do against the journal's own weeks, idle ones included."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import date, timedelta
from functools import lru_cache
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
TOO_SHORT: Final = "Weeks of record so far: %(weeks)s; a forecast needs at least %(least)s."
NO_HOURS: Final = "No hours were entered."
TOO_LONG: Final = "At this pace it would take more than fifty years."
_TRIALS: Final = 1000
_RUN: Final = 1 << 17
"""Weeks of the run that trials are taken from."""

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
        trials = _draw(tuple(weeks), to_do)
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


@lru_cache(maxsize=8)  # both editions often ask the same
def _draw(weeks: tuple[int, ...], to_do: int) -> tuple[int, ...]:
    """Weeks that each trial took, ascending; at most fifty years of them.

    One long run of weeks is drawn, and closed to a ring; every trial begins somewhere on it. Trials
    overlap where the work to do is long, but the run still holds over two hundred that do not for ten
    years of it, and this takes a tenth of the time of drawing each by itself.
    """
    chance = Random(_SEED)  # noqa: S311 - a forecast, not a secret
    reached = list(accumulate(chance.choices(weeks, k=_RUN), initial=0))
    all_of_it = reached[-1]
    if not all_of_it:  # hardly any week had hours, and none of those was drawn
        return (_MOST_WEEKS,) * _TRIALS
    trials = []
    for start in chance.choices(range(_RUN), k=_TRIALS):
        rounds, rest = divmod(reached[start] + to_do - 1, all_of_it)
        trials.append(min(_MOST_WEEKS, rounds * _RUN + bisect_left(reached, rest + 1) - start))
    return tuple(sorted(trials))


def quantile(ordered: Sequence[int], share: float) -> int:
    """The least value that so large a share of the values does not exceed."""
    return ordered[max(0, ceil(share * len(ordered)) - 1)]


def _day(on: date, weeks: int) -> date | None:
    try:
        return on + weeks * _WEEK if weeks < _MOST_WEEKS else None
    except OverflowError:
        return None
