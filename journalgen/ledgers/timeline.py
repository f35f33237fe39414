"""What happened to each part, in order of time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from journalgen.records import Session, WorkLine


class Event(Struct, frozen=True):
    """One thing that happened to one part: a step, a finding, a decision, a purchase or a measure."""

    day: date
    session: Session
    part: str
    kind: str  # step, found, decision, purchase, measure
    text: str  # the step, the condition, what was decided, bought or measured
    line: WorkLine | None = None


def part_events(sessions: Sequence[Session]) -> dict[str, list[Event]]:
    """Every part's events, in order of time and, on one day, of the entry."""
    events: dict[str, list[Event]] = {}
    for session in sessions:
        for event in _session_events(session):
            events.setdefault(event.part, []).append(event)
    return events


def _session_events(session: Session) -> list[Event]:
    def at(parts: tuple[str, ...], kind: str, text: str, line: WorkLine | None = None) -> list[Event]:
        return [Event(session.day, session, part, kind, text, line) for part in parts]

    rows = [
        *(at(found.parts, "found", found.condition) for found in session.found),
        *(at(decision.parts, "decision", decision.do) for decision in session.decisions),
        *(at(line.parts, "step", line.step or "", line) for line in session.work if line.step),
        *(at(measure.parts, "measure", measure.what) for measure in session.measures),
        *(at(p.parts, "purchase", p.what or p.kind) for p in session.purchases),
    ]
    return [event for row in rows for event in row]
