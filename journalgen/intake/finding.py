"""Which files an intake is about: those named, and those below the folders named, by what their endings stand for."""

from __future__ import annotations

import os
import stat
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen.intake.model import PHOTOGRAPH, Refused, Source
from journalgen.keeping import SITES
from journalgen.knowledge import camera_files

_OWN: Final = ("entries", "photos", "register", SITES)
"""Folders of a journal that are not looked into on the way."""


class Found(Struct):
    """What the walk came upon."""

    sources: list[Source] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    passed_over: Counter[str] = field(default_factory=Counter)  # by ending


def find_sources(given: Sequence[Path], journal: Path) -> Found:
    """Every file from a camera among those given, each once, sorted folder by folder.

    Hidden files, links to folders, and the journal's own folders are passed over. An empty file, or one
    that was named and is nothing that can be taken in, is refused.
    """
    found, seen = Found(), set[tuple[int, int]]()
    own = {(journal / name).resolve() for name in _OWN}
    for path in given:
        if path.is_dir():
            for file in _walk(path, own, found):
                _look_at(file, found, seen, named=False)
        else:
            _look_at(path, found, seen, named=True)
    return found


def _walk(folder: Path, own: set[Path], found: Found) -> Iterator[Path]:
    try:
        with os.scandir(folder) as scanned:
            rows = sorted((row for row in scanned if not row.name.startswith(".")), key=lambda row: row.name)
        folders = [Path(row.path) for row in rows if row.is_dir(follow_symlinks=False)]
        files = [Path(row.path) for row in rows if row.is_file()]
    except OSError as fault:
        found.refused.append(Refused(folder, f"The folder cannot be opened: {fault.strerror}."))
        return
    yield from files
    for inner in folders:
        if inner.resolve() not in own:
            yield from _walk(inner, own, found)


def _look_at(path: Path, found: Found, seen: set[tuple[int, int]], *, named: bool) -> None:
    kind = camera_files().get(path.suffix.lower().lstrip("."))
    if kind is None and not named:
        found.passed_over[path.suffix.lower() or "(none)"] += 1
        return
    try:
        status = path.stat()
    except OSError as fault:
        found.refused.append(Refused(path, f"It cannot be read: {fault.strerror}."))
        return
    if (status.st_dev, status.st_ino) in seen and status.st_ino:
        return
    seen.add((status.st_dev, status.st_ino))
    why = None
    if not stat.S_ISREG(status.st_mode):
        why = "It is neither a file nor a folder."
    elif not status.st_size:
        why = "It is empty: the camera or the card did not finish it."
    elif kind is None and not _is_picture(path):
        why = "It is no photograph, film or raw file."
    if why:
        found.refused.append(Refused(path, why))
    else:
        found.sources.append(Source(path, kind or PHOTOGRAPH, status.st_size))


def _is_picture(path: Path) -> bool:
    from journalgen.pictures import look_at

    return look_at(path) is None
