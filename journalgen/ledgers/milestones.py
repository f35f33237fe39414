"""What was reached and when: the day each part was fitted, and each assembly with its last part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct

from journalgen.ledgers.assemblies import Assembly
from journalgen.ledgers.states import FITTED
from journalgen.ledgers.steps_done import is_fit
from journalgen.ledgers.timeline import Event
from journalgen.records import NO_ASSEMBLY, Session, Step


class Fitting(Struct, frozen=True):
    """The session in which a part that is now fitted was last fitted."""

    part: str
    session: Session

    @property
    def day(self) -> date:
        return self.session.day


class Completion(Struct, frozen=True):
    """The day on which the last part of an assembly was fitted."""

    assembly: str
    day: date


def find_fittings(
    events: Mapping[str, Sequence[Event]], states: Mapping[str, str], steps: Mapping[str, Step]
) -> tuple[Fitting, ...]:
    """One for every part that is fitted now, in order of time."""
    found = [
        Fitting(part, last.session)
        for part, row in events.items()
        if states.get(part) == FITTED
        if (last := next((event for event in reversed(row) if event.line and is_fit(event.text, steps)), None))
    ]
    return tuple(sorted(found, key=lambda fitting: fitting.day))


def find_completions(assemblies: Iterable[Assembly], fittings: Iterable[Fitting]) -> tuple[Completion, ...]:
    """One for every assembly whose own parts are all fitted, in order of time."""
    days = {fitting.part: fitting.day for fitting in fittings}
    found = [
        Completion(assembly.name, max(days[part] for part in assembly.parts))
        for assembly in assemblies
        if assembly.parts and assembly.name != NO_ASSEMBLY and all(part in days for part in assembly.parts)
    ]
    return tuple(sorted(found, key=lambda completion: completion.day))
