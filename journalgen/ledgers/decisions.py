"""What shall become of each part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from journalgen.records import Part, Session


def keep_decisions(sessions: Iterable[Session], parts: Mapping[str, Part]) -> dict[str, str]:
    """What shall become of each part of which that is known: as the register has it, else as last decided."""
    decided = {part: row.do for session in sessions for row in session.decisions for part in row.parts}
    return decided | {name: part.decision for name, part in parts.items() if part.decision}
