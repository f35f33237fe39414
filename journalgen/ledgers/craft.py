"""The craft ledgers of one journal at once: coats, conditions, waits, progress, forecast, origins, readiness."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import cached_property

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
from journalgen.ledgers.steps_done import StepsDone, steps_done
from journalgen.ledgers.stock import Stock
from journalgen.ledgers.timeliness import Missed, check_timeliness
from journalgen.ledgers.waits import Waits, keep_waits
from journalgen.plain_data import digest, encode
from journalgen.problems import Problems
from journalgen.records import Journal, Session


class Craft:
    """What the craft ledgers say of a journal at the first instant of a day, in UTC `at`.

    A day is looked at from its first instant in the journal's zone, so that nothing is ready too early.
    Each ledger is kept when it is first asked for, and then reports what does not add up.
    """

    def __init__(
        self,
        journal: Journal,
        sessions: Sequence[Session],
        hours: Callable[[], Hours],
        stock: Callable[[], Stock],
        on: date,
        problems: Problems,
    ) -> None:
        """`sessions` are those up to `on`; `hours` and `stock`, their ledgers, are asked for only where needed."""
        self.at = day_begins(on, journal.settings.time_zone)
        self._journal = journal
        self._sessions = sessions
        self._hours = hours
        self._stock = stock
        self._on = on
        self._problems = problems

    def keep_all(self) -> None:
        """Keeps every ledger, and reports rings of needs and steps out of order as well."""
        check_cycles(self._journal.parts, self._problems)
        check_order(self._journal, self._done, self._problems)
        self._keep("missed", "conditions", "forecast", "originality", "processes")

    def keep_timed(self) -> None:
        """Keeps the ledgers that report something for which the hours count that sessions state."""
        self._keep("missed")

    def _keep(self, *ledgers: str) -> None:
        for ledger in ledgers:
            getattr(self, ledger)

    @cached_property
    def pace(self) -> bytes:
        """A digest of all that the ledgers but the forecast draw from the hours that sessions state."""
        ends = [session.minutes for session in self._sessions if session.start is not None]
        missed = {part: list(map(_plain, row)) for part, row in self.missed.items()}
        return digest(encode((self.weights, ends, missed)))

    @cached_property
    def _done(self) -> StepsDone:
        return steps_done(self._sessions)

    @cached_property
    def missed(self) -> dict[str, tuple[Missed, ...]]:
        """By part: waits, windows and limits that were not kept."""
        return check_timeliness(self._journal, self._done, self.at, self._problems)

    @cached_property
    def conditions(self) -> tuple[Conditions, ...]:
        """Of every coat, in order of time."""
        return check_conditions(self._sessions, self._journal.steps, self._journal.materials, self._problems)

    @cached_property
    def waits(self) -> Waits:
        return keep_waits(self._journal, self._done)

    @cached_property
    def weights(self) -> dict[str, int]:
        """Minutes of each step that is known."""
        return learn_weights(self._hours(), self._journal.steps)

    @cached_property
    def progress(self) -> Progress:
        return keep_progress(self._journal, self._sessions, self._done, self.waits, self.weights, self.at)

    @cached_property
    def coats(self) -> dict[str, tuple[Coat, ...]]:
        """By part, laid and to come."""
        to_come = {name: part.to_come for name, part in self.progress.parts.items()}
        return keep_coats(self._journal, self._done, to_come)

    @cached_property
    def readiness(self) -> Readiness:
        return find_readiness(
            self._journal, self._sessions, self._done, self.progress, self.waits, self.weights, self._stock(),
            self._on, self.at,
        )  # fmt: skip

    @cached_property
    def forecast(self) -> Forecast:
        return forecast(self.progress, self._hours(), self._on)

    @cached_property
    def originality(self) -> Originality:
        return keep_originality(self._sessions, self._journal.parts)

    @cached_property
    def processes(self) -> dict[str, PartProcess]:
        """Of every part on which a step was done."""
        return keep_processes(
            self._journal, self._done, self.waits, self.coats, self.progress, self.readiness, self.missed
        )


def _plain(missed: Missed) -> tuple[object, ...]:
    steps = [(done.session.page, done.step, done.line) for done in (missed.earlier, missed.late) if done]
    return (missed.rule, missed.when, missed.days, steps)
