"""The craft ledgers of one journal at once: coats, conditions, waits, progress, forecast, origins, readiness."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from msgspec import Struct

from journalgen.ledgers.coats import Coat, keep_coats
from journalgen.ledgers.conditions import Conditions, check_conditions
from journalgen.ledgers.forecast import Forecast, forecast
from journalgen.ledgers.hours import Hours
from journalgen.ledgers.moments import day_begins
from journalgen.ledgers.nesting import check_cycles
from journalgen.ledgers.originality import Originality, keep_originality
from journalgen.ledgers.processes import PartProcess, keep_processes
from journalgen.ledgers.progress import Progress, keep_progress, learn_weights
from journalgen.ledgers.readiness import Readiness, find_readiness
from journalgen.ledgers.routes import check_order
from journalgen.ledgers.steps_done import steps_done
from journalgen.ledgers.stock import Stock
from journalgen.ledgers.timeliness import Missed, check_timeliness
from journalgen.ledgers.waits import Waits, keep_waits
from journalgen.problems import Problems
from journalgen.records import Journal, Session


class Craft(Struct, frozen=True):
    """What the craft ledgers say of a journal at the first instant of a day."""

    at: datetime  # UTC
    coats: dict[str, tuple[Coat, ...]]  # by part, laid and to come
    conditions: tuple[Conditions, ...]  # of every coat, in order of time
    waits: Waits
    weights: dict[str, int]  # minutes of each step that is known
    progress: Progress
    forecast: Forecast
    originality: Originality
    readiness: Readiness
    missed: dict[str, tuple[Missed, ...]]  # by part: waits, windows and limits that were not kept
    processes: dict[str, PartProcess]  # of every part on which a step was done


def keep_craft(
    journal: Journal, sessions: Sequence[Session], hours: Hours, stock: Stock, on: date, problems: Problems
) -> Craft:
    """Runs every craft ledger over `sessions`, those up to `on`; reports what does not add up.

    A day is looked at from its first instant in the journal's zone, so that nothing is ready too early.
    """
    at = day_begins(on, journal.settings.time_zone)
    check_cycles(journal.parts, problems)
    done = steps_done(sessions)
    check_order(journal, done, problems)
    missed = check_timeliness(journal, done, at, problems)
    waits, weights = keep_waits(journal, done), learn_weights(hours, journal.steps)
    progress = keep_progress(journal, sessions, done, waits, weights, at)
    coats = keep_coats(journal, done, {name: part.to_come for name, part in progress.parts.items()})
    readiness = find_readiness(journal, sessions, done, progress, waits, weights, stock, on, at)
    return Craft(
        at=at,
        coats=coats,
        conditions=check_conditions(sessions, journal.steps, journal.materials, problems),
        waits=waits,
        weights=weights,
        progress=progress,
        forecast=forecast(progress, hours, on),
        originality=keep_originality(sessions, journal.parts),
        readiness=readiness,
        missed=missed,
        processes=keep_processes(journal, done, waits, coats, progress, readiness, missed),
    )
