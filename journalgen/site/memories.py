"""What an assembly remembers of a journal, for the next one of the process, and left in the cache for the next process.

Each kind of memory knows by itself what of it can still be believed; the cache only tells whether this
very program wrote it. See `keeping`.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, TypeVar

from journalgen import keeping
from journalgen.keeping import CACHE, READ
from journalgen.pictures import Recalled
from journalgen.reading.remembered import Remembered
from journalgen.site.checked import Checked
from journalgen.site.said import Said

T = TypeVar("T", Remembered, Checked, Recalled, Said)

_FILES: Final[Mapping[type, str]] = {Remembered: READ, Checked: "checked", Recalled: "shown", Said: "said"}
"""The file of each in the cache: what was read of its texts, what the ledgers had to say against it, what pictures
there were of its photographs, and what its sessions say in plain text."""


class Memories:
    """Those of one journal; each is read when it is first asked for."""

    def __init__(self, folder: Path) -> None:
        self._cache = folder / CACHE
        self._held: dict[type, Any] = {}

    def has(self, kind: type) -> bool:
        """Whether one was asked for before, so that the process itself has seen to what it knows."""
        return kind in self._held

    def of(self, kind: type[T]) -> T:
        """The memory of a kind; an empty one where there is none."""
        held: T | None = self._held.get(kind)
        if held is None:
            held = self._held[kind] = keeping.load(self._cache / _FILES[kind], kind) or kind()
        return held

    def leave(self) -> None:
        """Leaves for the next process whatever has changed."""
        for kind, memory in self._held.items():
            if memory.changed:
                memory.changed = False  # which is kept with it
                try:
                    keeping.save(self._cache / _FILES[kind], memory)
                except BaseException:
                    memory.changed = True
                    raise
