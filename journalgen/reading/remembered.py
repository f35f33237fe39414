"""What was read of each file before, so that a file that did not change is not read again."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Generic, TypeVar

from msgspec import Struct, field

from journalgen.problems import Problem, Problems
from journalgen.records import Material, Part, Route, Session, Step, Supplier
from journalgen.stamps import settled

T = TypeVar("T")

Stamp = tuple[int, int, int]
"""Length, time of change in nanoseconds, and number on the disk."""


class Read(Struct, Generic[T]):
    """What came of one file."""

    stamp: Stamp
    given: str  # what else it was read with: the home currency
    made: T
    problems: tuple[Problem, ...]


class Remembered(Struct):
    """What came of every text file of a journal when it was last read, by its name in the journal."""

    entries: dict[str, Read[Session | None]] = field(default_factory=dict)
    parts: dict[str, Read[list[Part]]] = field(default_factory=dict)
    materials: dict[str, Read[list[Material]]] = field(default_factory=dict)
    suppliers: dict[str, Read[list[Supplier]]] = field(default_factory=dict)
    steps: dict[str, Read[tuple[list[Step], list[Route]]]] = field(default_factory=dict)
    changed: bool = False  # since it was kept

    def forget_entries_but(self, files: set[str]) -> None:
        """Drops what is known of entries that are gone."""
        for gone in self.entries.keys() - files:
            del self.entries[gone]
            self.changed = True


def remember(
    rows: dict[str, Read[T]],
    path: Path,
    file: str,
    given: str,
    make: Callable[[Problems], T],
    problems: Problems,
    memory: Remembered,
) -> T:
    """What `make` gives of a file; what it gave before, with the same problems, where the file is unchanged."""
    stamp = _stamp(path)
    before = rows.get(file)
    if before is not None and before.stamp == stamp and before.given == given:
        problems.found += before.problems
        return before.made
    own = Problems()
    made = make(own)
    problems.found += own.found
    if stamp is not None and settled(stamp[1], time.time_ns()) and _stamp(path) == stamp:
        rows[file] = Read(stamp, given, made, tuple(own.found))
        memory.changed = True
    else:
        rows.pop(file, None)
    return made


def _stamp(path: Path) -> Stamp | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns, found.st_ino
