"""Remembers which content each original had, so that a run in which nothing changed opens no original.

An original is taken to be unchanged while its path, length and time of change are. The index is
only ever a saving: rubbish in it, or its absence, costs time and nothing else.
"""

from __future__ import annotations

import time
from contextlib import suppress
from pathlib import Path
from typing import Final

from journalgen.pictures.originals import digest_original, find_original
from journalgen.pictures.storing import Stored, from_row, is_whole, read_json, read_stored, to_row, write_json

INDEX: Final = "index.json"
_SETTLED: Final = 2_000_000_000
"""Nanoseconds. A file that changed less than this ago may change again without its time telling:
the coarsest clock of a file system in use counts in steps of two seconds."""

_Seen = tuple[int, int, str]


class Index:
    """The digests of originals and the records of pictures, as the last run left them."""

    def __init__(self, cache: Path) -> None:
        self._cache = cache
        self._seen: dict[str, _Seen] = {}  # length, time of change in ns and digest by path
        self._rows: dict[str, object] = {}  # by key
        self._changed = False
        table = read_json(cache / INDEX)
        if isinstance(table, dict):
            self._seen = _sound_originals(table.get("originals"))
            rows = table.get("pictures")
            self._rows = rows if isinstance(rows, dict) else {}

    def digest(self, file: Path) -> str:
        """The SHA-256 of an original, in hex, read only if it changed. Raises Refused if it cannot be read."""
        found = find_original(file)
        length, changed = found.st_size, found.st_mtime_ns
        known = self._seen.get(str(file))
        if known and known[:2] == (length, changed):
            return known[2]
        digest = digest_original(file)
        if time.time_ns() - changed > _SETTLED:
            self._seen[str(file)] = (length, changed, digest)
            self._changed = True
        return digest

    def forget(self, file: Path) -> None:
        """Drops what is known of an original that turned out to be another by now."""
        self._changed |= self._seen.pop(str(file), None) is not None

    def find(self, key: str) -> Stored | None:
        """The picture of a key, if it is in the cache with all its files."""
        stored = from_row(key, self._rows.get(key))
        if stored is None:
            stored = read_stored(self._cache, key)
            if stored is not None:
                self.add(key, stored)
        return stored if stored is not None and is_whole(self._cache, stored) else None

    def add(self, key: str, stored: Stored) -> None:
        """Remembers a picture that is in the cache."""
        self._rows[key] = to_row(stored)
        self._changed = True

    def save(self) -> None:
        """Writes the index if it changed; a cache that cannot be written keeps the old one."""
        if self._changed:
            with suppress(OSError):  # it only saves time, and the pictures themselves are there
                self._cache.mkdir(parents=True, exist_ok=True)
                write_json(self._cache / INDEX, {"originals": self._seen, "pictures": self._rows})


def _sound_originals(table: object) -> dict[str, _Seen]:
    if not isinstance(table, dict):
        return {}
    sound = {}
    for file, row in table.items():
        with suppress(TypeError, ValueError, OverflowError):
            length, changed, digest = row
            sound[file] = (int(length), int(changed), str(digest))
    return sound
