"""Days and times of day, in the extended form of ISO 8601 and no other."""

from __future__ import annotations

import re
from datetime import date, time
from typing import Final

from journalgen.reading.unreadable import Unreadable

_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_TIME: Final = re.compile(r"([0-9]{1,2})[:.]([0-9]{2})")
_IN_NAME: Final = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[-_ ]+(.*))?")


def parse_day(text: str) -> date:
    """A calendar day, `2024-03-09`."""
    text = text.strip()
    if not _DAY.fullmatch(text):
        raise Unreadable("date", f'"{text}" is not a date.', "Write year-month-day, such as 2024-03-09.")
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Unreadable("date", f"There is no such day as {text}.", "Look at the month and the day.") from None


def parse_time(text: str) -> time:
    """A time of day, `19:15`."""
    found = _TIME.fullmatch(text.strip())
    if not found or int(found.group(1)) > 23 or int(found.group(2)) > 59:
        raise Unreadable("time", f'"{text}" is not a time of day.', "Write hours and minutes, such as 19:15.")
    return time(int(found.group(1)), int(found.group(2)))


def from_file_name(stem: str) -> tuple[date | None, str | None]:
    """The day and the title that a file's name gives: `2024-03-09-first-etch-coat`."""
    found = _IN_NAME.fullmatch(stem)
    try:
        day = date.fromisoformat(found.group(1)) if found else None
    except ValueError:
        day = None
    words = (found.group(2) if found and day else stem) or ""
    title = re.sub(r"[-_\s]+", " ", words).strip()
    return day, title[:1].upper() + title[1:] if title else None
