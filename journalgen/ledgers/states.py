"""How far each part is, from the steps that were done on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from journalgen.records import Part, Session

AS_FOUND: Final = "as found"
IN_WORK: Final = "in work"
FITTED: Final = "fitted"
STATES: Final = ("fitted", "ready to fit", "waiting", "in work", "as found")
"""Furthest on first."""

_FIT: Final = "fit"
_APART: Final = frozenset({"take off", "strip", "remove"})


def find_states(sessions: Sequence[Session], parts: dict[str, Part]) -> dict[str, str]:
    """The state of every part: fitted once a `fit` was done and nothing took it off again."""
    states = dict.fromkeys(parts, AS_FOUND)
    for session in sessions:
        for part in session.parts:
            if states.get(part) == AS_FOUND:
                states[part] = IN_WORK
        for line in session.work:
            for part in line.parts:
                if line.step == _FIT:
                    states[part] = FITTED
                elif line.step in _APART or states.get(part) == AS_FOUND:
                    states[part] = IN_WORK
    return states
