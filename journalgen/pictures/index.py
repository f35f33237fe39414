"""Remembers which content each original had, so that a run in which nothing changed opens no picture at all.

An original is taken to be unchanged while its path, length and time of change are, and so is a derived
file. The index is only ever a saving: rubbish in it, or its absence, costs time and nothing else.

It is a text with a line for each original and each picture: a name, a tab, and JSON. Lines are understood
when they are asked for, and written as they were read if nothing changed, for there may be a hundred thousand.
"""

from __future__ import annotations

import json
import os
import time
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from journalgen.pictures.originals import digest_original, find_original
from journalgen.pictures.storing import PIPELINE, Stored, confirm, from_row, read_stored, to_row
from journalgen.stamps import settled
from journalgen.whole import write_whole

INDEX: Final = "index.txt"


class Index:
    """The digests of originals and the records of pictures, as the last run left them."""

    def __init__(self, cache: Path) -> None:
        self._cache = cache
        self._originals, self._pictures = _read(cache / INDEX)
        self._changed = False

    def digest(self, file: Path) -> str:
        """The SHA-256 of an original, in hex, read only if it changed. Raises Refused if it cannot be read."""
        found = find_original(file)
        known = self._known(file, found)
        if known is not None:
            return known
        digest = digest_original(file)
        if settled(found.st_mtime_ns, time.time_ns()):
            self._originals[_name_original(file)] = json.dumps([found.st_size, found.st_mtime_ns, digest])
            self._changed = True
        return digest

    def known_digest(self, file: Path) -> str | None:
        """The digest of an original as far as it is known without reading it. Raises Refused if it cannot be found."""
        return self._known(file, find_original(file))

    def _known(self, file: Path, found: os.stat_result) -> str | None:
        match _understand(self._originals.get(_name_original(file))):
            case [int(length), int(since), str(digest)] if (length, since) == (found.st_size, found.st_mtime_ns):
                return digest
        return None

    def forget(self, file: Path) -> None:
        """Drops what is known of an original that turned out to be another by now."""
        self._changed |= self._originals.pop(_name_original(file), None) is not None

    def find(self, key: str) -> Stored | None:
        """The picture of a key, if it is in the cache with all its files."""
        known = _to_stored(key, _understand(self._pictures.get(key)))
        found = confirm(self._cache, key, known) if known else read_stored(self._cache, key)
        if found is not None and found is not known:
            self.add(key, found)
        return found

    def add(self, key: str, stored: Stored) -> None:
        """Remembers a picture that is in the cache."""
        self._pictures[key] = json.dumps(to_row(stored.picture, stored.marks), separators=(",", ":"))
        self._changed = True

    def save(self) -> None:
        """Writes the index if it changed; a cache that cannot be written keeps the old one."""
        if not self._changed:
            return
        lines = [PIPELINE]
        for part in (self._originals, self._pictures):
            lines += map("\t".join, part.items())
        with suppress(OSError):  # it only saves time, and the pictures themselves are there
            self._cache.mkdir(parents=True, exist_ok=True)
            write_whole(self._cache / INDEX, "\n".join(lines).encode())


def _read(file: Path) -> tuple[dict[str, str], dict[str, str]]:
    """The lines of originals and those of pictures, by their names."""
    originals: dict[str, str] = {}
    pictures: dict[str, str] = {}
    try:
        pipeline, *lines = file.read_bytes().decode().split("\n")
    except (OSError, UnicodeDecodeError):
        return originals, pictures
    for line in lines:
        name, tab, row = line.partition("\t")
        if name.startswith('"'):
            originals[name] = row
        elif tab and pipeline == PIPELINE:  # no other will ever be asked for
            pictures[name] = row
    return originals, pictures


def _name_original(file: Path) -> str:
    return json.dumps(str(file))  # in one line, whatever the path holds


def _understand(row: str | None) -> Any:
    if row is None:
        return None
    try:
        return json.loads(row)
    except (ValueError, RecursionError):
        return None


def _to_stored(key: str, row: Any) -> Stored | None:
    found = from_row(key, row)
    if found is None:
        return None
    picture, marks = found
    try:
        return Stored(picture, tuple((int(length), int(changed)) for length, changed in marks))
    except (TypeError, ValueError, OverflowError):
        return None
