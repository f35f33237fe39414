"""How far each part is, from the steps that were done on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from journalgen.ledgers.steps_done import is_apart, is_fit
from journalgen.records import Part, Session, Step

AS_FOUND: Final = "as found"
IN_WORK: Final = "in work"
FITTED: Final = "fitted"
STATES: Final = ("fitted", "ready to fit", "waiting", "in work", "as found")
"""Furthest on first."""


def find_states(sessions: Sequence[Session], parts: dict[str, Part], steps: Mapping[str, Step]) -> dict[str, str]:
    """The state of every part as its steps alone tell it: fitted, until it is taken off or apart again."""
    states = dict.fromkeys(parts, AS_FOUND)
    for session in sessions:
        for part in session.parts:
            if states.get(part) == AS_FOUND:
                states[part] = IN_WORK
        for line in session.work:
            for part in line.parts:
                if is_fit(line.step or "", steps):
                    states[part] = FITTED
                elif is_apart(line.step or "", steps) or states.get(part) == AS_FOUND:
                    states[part] = IN_WORK
    return states
