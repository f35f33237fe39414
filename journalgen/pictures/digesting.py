"""The digests of originals, by which it can be told for ever whether a photograph is still the one that was shown."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from journalgen.pictures.index import Index
from journalgen.pictures.model import Fault, Refused
from journalgen.pictures.preparing import Progress


def digest_originals(files: Iterable[Path], cache: Path, progress: Progress | None = None) -> dict[Path, str | Fault]:
    """The SHA-256 of each original, in hex, or the fault for which it has none; read only where it changed."""
    index, wanted = Index(cache), list(dict.fromkeys(files))
    found: dict[Path, str | Fault] = {}
    try:
        for file in wanted:
            try:
                found[file] = index.digest(file)
            except Refused as refused:
                found[file] = refused.fault
            if progress:
                progress(len(found), len(wanted))
    finally:
        index.save()
    return found
