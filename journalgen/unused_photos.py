"""The photographs of a day that no entry names yet: by the date in their path, else by what the camera wrote."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path, PurePosixPath
from typing import Final

from journalgen.records import Journal

ENDINGS: Final = frozenset({".jpg", ".jpeg", ".png", ".webp", ".avif", ".tif", ".tiff", ".heic", ".heif"})
_DATE: Final = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?![0-9])")
_EXIF: Final = 0x8769
_TAKEN: Final = 0x9003  # DateTimeOriginal, within the Exif block
_SLACK: Final = timedelta(days=1)


def unused_photos(journal: Journal, folder: Path, files: frozenset[str], day: date) -> tuple[str, ...]:
    """Those of `files`, which lie below photos/, that were taken on the day and that no entry names, in order."""
    named = {photo.file for session in journal.sessions for photo in session.photos}
    named |= {r.target for session in journal.sessions for r in session.references if r.kind == "photo"}
    named |= {file for session in journal.sessions for block in session.blocks for file in block.files}
    left = (file for file in sorted(files - named) if PurePosixPath(file).suffix.lower() in ENDINGS)
    return tuple(file for file in left if _is_of(file, folder / "photos", day))


def _is_of(file: str, photos: Path, day: date) -> bool:
    told = list(_days_in(file))
    if told:
        return told[-1] == day
    path = photos / file
    try:
        changed = datetime.fromtimestamp(path.stat().st_mtime).date()  # noqa: DTZ006 - only to spare the camera's data
    except (OSError, ValueError, OverflowError):
        return False
    return changed >= day - _SLACK and day_taken(path) == day


def _days_in(file: str) -> Iterator[date]:
    """The days that folders, or the file's name, begin with; the last of them counts."""
    for name in PurePosixPath(file).parts:
        found = _DATE.match(name)
        try:
            if found:
                yield date.fromisoformat(found.group(1))
        except ValueError:
            continue


def day_taken(path: Path) -> date | None:
    """The day on which the camera says it took the picture; None where it does not say."""
    from journalgen.pictures.model import Refused
    from journalgen.pictures.opening import decoding, open_original
    from journalgen.pictures.originals import find_original, opened

    try:
        find_original(path)
        with opened(path) as stream, open_original(stream) as image, decoding():
            taken = image.getexif().get_ifd(_EXIF).get(_TAKEN)
    except Refused:
        return None
    try:
        return datetime.strptime(str(taken)[:10], "%Y:%m:%d").date()  # noqa: DTZ007 - the camera's own day
    except ValueError:
        return None
