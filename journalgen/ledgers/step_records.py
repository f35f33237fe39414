"""Every kind of work that was done, with every time it was done."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import median

from msgspec import Struct

from journalgen.ledgers.hours import Hours
from journalgen.records import Session, WorkLine


class StepTurn(Struct, frozen=True):
    """One line of work that names the step."""

    session: Session
    line: WorkLine
    minutes: int  # on all the parts of the line


class StepRecord(Struct, frozen=True):
    """One step with every time it was done, in order of time and, within a session, of the entry."""

    step: str
    turns: tuple[StepTurn, ...]
    median: int | None  # minutes on one part; None where no time was given to it

    @property
    def minutes(self) -> int:
        return sum(turn.minutes for turn in self.turns)

    @property
    def parts(self) -> tuple[str, ...]:
        """Every part it was done on, each once."""
        return tuple(dict.fromkeys(part for turn in self.turns for part in turn.line.parts))


def step_records(sessions: Iterable[Session], hours: Hours) -> dict[str, StepRecord]:
    """The record of every step that was done, in the order in which each was first done."""
    of_line: dict[int, int] = {}
    of_part: dict[str, list[int]] = {}
    for share in hours.shares:
        if share.line is not None:
            of_line[id(share.line)] = of_line.get(id(share.line), 0) + share.minutes
            of_part.setdefault(share.step, []).append(share.minutes)
    turns: dict[str, list[StepTurn]] = {}
    for session in sessions:
        for line in session.work:
            if line.step:
                turns.setdefault(line.step, []).append(StepTurn(session, line, of_line.get(id(line), 0)))
    return {
        step: StepRecord(step, tuple(row), max(1, round(median(of_part[step]))) if step in of_part else None)
        for step, row in turns.items()
    }
