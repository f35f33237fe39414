"""The photographs of a day that no entry names yet: by the date in their path, else by what the camera wrote."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path, PurePosixPath
from typing import Final

from journalgen.knowledge import camera_files
from journalgen.records import Journal

_DATE: Final = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?![0-9])")
_SLACK: Final = timedelta(days=1)


def unused_photos(journal: Journal, folder: Path, files: frozenset[str], day: date, now: datetime) -> tuple[str, ...]:
    """Those of `files`, which lie below photos/, that were taken on the day and that no entry names, in order.

    `now` is an aware time: no clock of a camera is believed that is ahead of it.
    """
    named = {photo.file for session in journal.sessions for photo in session.photos}
    named |= {r.target for session in journal.sessions for r in session.references if r.kind == "photo"}
    named |= {file for session in journal.sessions for block in session.blocks for file in block.files}
    left = (file for file in sorted(files - named) if _is_photograph(file))
    return tuple(file for file in left if _is_of(file, folder / "photos", day, journal, now))


def _is_photograph(file: str) -> bool:
    return camera_files().get(PurePosixPath(file).suffix.lower().lstrip(".")) == "photograph"


def _is_of(file: str, photos: Path, day: date, journal: Journal, now: datetime) -> bool:
    told = list(_days_in(file))
    if told:
        return told[-1] == day
    path = photos / file
    try:
        stamp = path.stat().st_mtime
        changed = datetime.fromtimestamp(stamp, journal.settings.time_zone).date()
    except (OSError, ValueError, OverflowError):
        return False
    if changed < day - _SLACK:  # it was there before the day: not worth opening
        return False
    from journalgen.intake import taken
    from journalgen.intake.model import CAMERA

    found = taken.tell(taken.see(path).tags, stamp, journal.settings.time_zone, now)
    return found.told_by == CAMERA and taken.session_day(found.at) == day


def _days_in(file: str) -> Iterator[date]:
    """The days that folders, or the file's name, begin with; the last of them counts."""
    for name in PurePosixPath(file).parts:
        found = _DATE.match(name)
        try:
            if found:
                yield date.fromisoformat(found.group(1))
        except ValueError:
            continue
