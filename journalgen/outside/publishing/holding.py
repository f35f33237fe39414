"""Keeps two from publishing to one target at once, as well as files can.

A lock at the target bears the mark of the run that holds it, which writes it anew from time to time. Whether one that
was left behind still lives is told by the target's own clock, by holding it against a file that was written
just now: so it does not matter what any other clock shows. One that this very journal left on this computer
is taken over at once.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from secrets import token_hex
from typing import Final

from journalgen import keeping
from journalgen.outside.publishing.faults import CannotPublish, Dropped
from journalgen.outside.publishing.store import Store

NAME: Final = "journalgen-publishing.lock"
_STALE: Final = 600.0
"""Seconds without a sign of life; far more than the slowest line needs for one file."""

_BEAT: Final = 60.0
"""Seconds between two signs of life."""


class Hold:
    """The lock of one run. `kept` is the file in which this computer remembers its last mark."""

    def __init__(self, store: Store, kept: Path, clock: Callable[[], float] = time.monotonic) -> None:
        self._store = store
        self._kept = kept
        self._clock = clock
        self._mark = token_hex(8)
        self._last = 0.0
        self.is_held = False

    def take(self) -> None:
        """Takes the lock. Raises CannotPublish where another run has it."""
        other = self._store.read(NAME)
        if other is not None and other not in (self._former(), self._mark.encode()):
            self._refuse_if_alive()
        keeping.save(self._kept, self._mark)
        self._write()
        if self._store.read(NAME) != self._mark.encode():
            raise CannotPublish("Another publish to this target began at this very moment. Wait until it has ended.")
        self.is_held = True

    def _former(self) -> bytes:
        return (keeping.load(self._kept, str) or "").encode()

    def _refuse_if_alive(self) -> None:
        probe = f"{NAME}.{self._mark}"
        self._store.write(probe, b"")
        try:
            now, then = self._store.changed_at(probe), self._store.changed_at(NAME)
        finally:
            self._store.remove(probe)
        if now is not None and then is not None and now - then < _STALE:
            minutes = max(1, round((_STALE - (now - then)) / 60))
            raise CannotPublish(
                "Another publish to this target is under way. Wait until it has ended; should it have been killed, "
                f"it counts as ended in {minutes} minute{'' if minutes == 1 else 's'}."
            )

    def _write(self) -> None:
        self._store.write(NAME, self._mark.encode())
        self._last = self._clock()

    def beat(self) -> None:
        """Gives a sign of life where the last is long ago. Raises CannotPublish where another run took the lock."""
        if self._clock() - self._last < _BEAT:
            return
        if self._store.read(NAME) != self._mark.encode():
            self.is_held = False
            raise CannotPublish("Another publish to this target has taken over. Publish again when it has ended.")
        self._write()

    def give_back(self) -> None:
        """Gives the lock back; where the line is lost it is left behind."""
        if self.is_held:
            with suppress(CannotPublish, Dropped):
                self._store.remove(NAME)
