"""How far each part, each assembly and the machine are, weighted by hours.

The weight of a step is the journal's own median for it, else its typical minutes, else an hour.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from fractions import Fraction
from functools import cached_property
from statistics import median
from typing import Final

from msgspec import Struct

from journalgen.ledgers.assemblies import list_assemblies
from journalgen.ledgers.hours import Hours
from journalgen.ledgers.nesting import Nesting
from journalgen.ledgers.routes import Routes
from journalgen.ledgers.rows import Rows
from journalgen.ledgers.states import AS_FOUND, FITTED, IN_WORK, find_states
from journalgen.ledgers.steps_done import FIT, StepDone, StepsDone, is_apart, is_coat, is_fit
from journalgen.ledgers.waits import Wait, Waits
from journalgen.records import NO_ASSEMBLY, UNSPECIFIED, Journal, Part, Route, Session, Step

WAITING: Final = "waiting"
READY_TO_FIT: Final = "ready to fit"
SETTLED: Final = frozenset({FITTED, READY_TO_FIT})
"""The states in which a part no longer keeps another from being fitted."""

DONE: Final = "done"
IN_HAND: Final = "in hand"
TO_DO: Final = "to do"
PASSED_OVER: Final = "passed over"

DEFAULT_MINUTES: Final = 60
USUAL_COATS: Final = 2
"""Coats of a repeatable step after which another is no longer offered, unless the journal shows more on some part."""


class StepProgress(Struct, frozen=True):
    """One step of a part's route."""

    step: str
    state: str  # done, in hand (another coat may follow), waiting, to do, or passed over
    coats: int  # times it was done
    minutes: int  # its weight


class PartProgress(Struct, frozen=True):
    """How far one part is."""

    part: str
    state: str  # as found, in work, waiting, ready to fit or fitted
    steps: tuple[StepProgress, ...]  # of its route, in order; none without a route
    share: Fraction  # done, 0 to 1
    weight: int  # minutes of what was done and what is to do
    next_step: str | None  # None: fitted, or it is not known
    repeat: str | None  # the step of which another coat may go on instead

    @property
    def to_come(self) -> tuple[str, ...]:
        """The steps still to do, in order."""
        return tuple(step.step for step in self.steps if step.state == TO_DO)

    @property
    def minutes_to_do(self) -> int:
        return sum(step.minutes for step in self.steps if step.state == TO_DO)

    @property
    def position(self) -> int | None:
        """The place in the route, from 1, of the step that waits or is in hand, else of the next; None: no such."""
        if self.state == FITTED:
            return None
        at = [i for i, step in enumerate(self.steps, 1) if step.state in (WAITING, IN_HAND)]
        ahead = [i for i, step in enumerate(self.steps, 1) if step.state == TO_DO and step.step == self.next_step]
        return next(iter((*at, *ahead)), None)


class AssemblyProgress(Struct, frozen=True):
    """How far one assembly is, with all assemblies in it."""

    name: str
    parts: tuple[str, ...]
    share: Fraction
    ready: bool  # all that it needs is ready to fit or fitted


class Progress:
    """How far everything is."""

    def __init__(self, parts: Mapping[str, PartProgress], registered: Mapping[str, Part]) -> None:
        self.parts = parts
        self._registered = registered

    @cached_property
    def _nesting(self) -> Nesting:
        return Nesting(self._registered)

    @cached_property
    def _counted(self) -> list[PartProgress]:
        """Rows that only stand for an assembly do not count."""
        return [part for name, part in self.parts.items() if self._nesting.is_part(name)]

    @cached_property
    def assemblies(self) -> dict[str, AssemblyProgress]:
        return _assemblies(self._registered, self.parts, self._nesting)

    @cached_property
    def share(self) -> Fraction:
        """Of the whole machine."""
        return _share(self._counted)

    @cached_property
    def finished(self) -> bool:
        """Whether every part is fitted."""
        return bool(self._counted) and all(part.state == FITTED for part in self._counted)

    @cached_property
    def states(self) -> Mapping[str, str]:
        """The state of every part, as `find_states` gives it where there are no routes."""
        return Rows(self.parts, lambda name: self.parts[name].state)

    @property
    def minutes_to_do(self) -> int:
        return sum(part.minutes_to_do for part in self.parts.values())


def learn_weights(hours: Hours, steps: Mapping[str, Step]) -> dict[str, int]:
    """Minutes that a step takes on one part: the median of the journal's own shares, else its typical minutes."""
    spent: dict[str, list[int]] = {}
    for share in hours.shares:
        if share.step != UNSPECIFIED:
            spent.setdefault(share.step, []).append(share.minutes)
    learnt = {step: max(1, round(median(minutes))) for step, minutes in spent.items()}
    return {key: step.typical for key, step in steps.items() if step.typical} | learnt


def keep_progress(
    journal: Journal,
    sessions: Sequence[Session],
    done: StepsDone,
    waits: Waits,
    weights: Mapping[str, int],
    at: datetime,
) -> Progress:
    """How far every part is at an instant, by the steps done in `sessions`, which are in order of time."""
    simple = find_states(sessions, journal.parts, journal.steps)
    routes = Routes(journal.routes, journal.steps)
    coats = {name: _count_coats(row) for name, row in done.items()}
    most = _most_coats(coats.values())

    def of(name: str) -> PartProgress:
        part, row = journal.parts[name], done.get(name, ())
        waiting, curing = waits.waiting(name, at), waits.curing(name, at)
        now = _Part(journal, routes, part, row, coats.get(name, {}), waiting, curing)
        return now.progress(routes.of(part), simple[name], weights, most)

    return Progress(Rows(journal.parts, of), journal.parts)


def _count_coats(row: Iterable[StepDone]) -> dict[str, int]:
    """How often each step was done on a part, or the highest coat that a line of it names."""
    times, highest = Counter[str](), dict[str, int]()
    for one in row:
        times[one.step] += 1
        highest[one.step] = max(highest.get(one.step, 0), one.line.coat or 0)
    return {step: max(count, highest[step]) for step, count in times.items()}


def _most_coats(counted: Iterable[Mapping[str, int]]) -> dict[str, int]:
    """The most coats of each step that any part has had."""
    most: dict[str, int] = {}
    for coats in counted:
        for step, count in coats.items():
            most[step] = max(most.get(step, 0), count)
    return most


class _Part(Struct, frozen=True):
    """One part at an instant, with what was done on it."""

    journal: Journal
    routes: Routes
    part: Part
    row: Sequence[StepDone]
    coats: Mapping[str, int]  # by step
    waiting: Wait | None
    curing: Wait | None

    def progress(
        self, route: Route | None, simple: str, weights: Mapping[str, int], most: Mapping[str, int]
    ) -> PartProgress:
        if route is None:
            return self._without_route(simple)
        done = self.routes.firsts(route, self.row)
        fitted = self._is_fitted()
        reached = self.routes.furthest(route, done)
        repeat = None if fitted else self._repeat(route, reached, most)
        steps = tuple(
            StepProgress(
                step=step,
                state=self._state_of(i, route, done, reached, repeat, fitted),
                coats=self.coats.get(step, 0),
                minutes=weights.get(step, DEFAULT_MINUTES),
            )
            for i, step in enumerate(route.steps)
        )
        ahead = [step.step for i, step in enumerate(steps) if step.state == TO_DO and i > reached]
        spent = sum(step.minutes for step in steps if step.state not in (TO_DO, PASSED_OVER))
        weight = spent + sum(step.minutes for step in steps if step.state == TO_DO)
        share = Fraction(1) if fitted else Fraction(spent, weight) if weight else Fraction(0)
        # A route need not say that a part is fitted at its end: it is all the same.
        following = None if fitted else ahead[0] if ahead else FIT
        return PartProgress(
            self.part.name, self._state(simple, fitted, following), steps, share, weight, following, repeat
        )

    def _without_route(self, simple: str) -> PartProgress:
        waiting = simple == IN_WORK and self.waiting
        share = Fraction(1 if simple == FITTED else 0)
        return PartProgress(self.part.name, WAITING if waiting else simple, (), share, DEFAULT_MINUTES, None, None)

    def _is_fitted(self) -> bool:
        """Fitted, and not taken off again since."""
        steps = self.journal.steps
        moves = [is_fit(one.step, steps) for one in self.row if is_fit(one.step, steps) or is_apart(one.step, steps)]
        return bool(moves) and moves[-1]

    def _repeat(self, route: Route, reached: int, most: Mapping[str, int]) -> str | None:
        """The step of which another coat may go on: a repeatable one, the last reached, with fewer coats than usual."""
        row = self.journal.steps.get(route.steps[reached]) if reached >= 0 else None
        last = next((one for one in reversed(self.row) if row and one.step == row.key), None)
        if row is None or last is None or not row.repeats:
            return None
        coat = is_coat(last.line, self.journal.steps, self.journal.materials)
        return row.key if coat and self.coats[row.key] < max(USUAL_COATS, most.get(row.key, 0)) else None

    def _state_of(
        self,
        position: int,
        route: Route,
        done: Mapping[int, tuple[int, StepDone]],
        reached: int,
        repeat: str | None,
        fitted: bool,
    ) -> str:
        step = route.steps[position]
        if position not in done or (is_fit(step, self.journal.steps) and not fitted):
            return PASSED_OVER if position < reached or fitted else TO_DO
        if self.waiting and not fitted and self.waiting.step == step:
            return WAITING
        return IN_HAND if step == repeat else DONE

    def _state(self, simple: str, fitted: bool, following: str | None) -> str:
        if fitted or following is None:
            return FITTED
        if self.waiting:
            return WAITING
        if not is_fit(following, self.journal.steps):
            # It was fitted and taken off again, or only named: the simple rule knows.
            return AS_FOUND if not self.row and simple == AS_FOUND else IN_WORK
        return WAITING if self.curing else READY_TO_FIT


def _assemblies(
    parts: Mapping[str, Part], progress: Mapping[str, PartProgress], nesting: Nesting
) -> dict[str, AssemblyProgress]:
    """Each assembly with all that lies in it; parts that belong to none are no assembly."""
    listed = [assembly for assembly in list_assemblies(dict(parts)) if assembly.name != NO_ASSEMBLY]
    within: dict[str, list[str]] = {assembly.name: list(assembly.parts) for assembly in listed}
    for assembly in reversed(listed):  # each stands after the one above it
        if assembly.above in within:
            within[assembly.above] += within[assembly.name]
    found = {}
    for assembly in listed:
        names = tuple(dict.fromkeys(name for name in within[assembly.name] if nesting.is_part(name)))
        row = parts.get(assembly.name)
        needs = {piece for need in (row.needs if row else ()) for piece in nesting.pieces(need)}
        ready = all(progress[name].state in SETTLED for name in (*names, *needs) if name in progress)
        share = _share([progress[name] for name in names])
        found[assembly.name] = AssemblyProgress(assembly.name, names, share, bool(names) and ready)
    return found


def _share(parts: Iterable[PartProgress]) -> Fraction:
    """What is done of several parts, each by its weight in hours."""
    parts = list(parts)
    weight = sum(part.weight for part in parts)
    return sum((part.share * part.weight for part in parts), Fraction(0)) / weight if weight else Fraction(0)
