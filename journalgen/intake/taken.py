"""When a photograph was taken, in the journal's time zone, and the day of the session it belongs to.

The camera's own time comes first: DateTimeOriginal with its offset; without one, with the offset that the
satellites' time tells; without either, the camera is taken to keep the journal's time. Then the satellites' time
alone, the time at which the picture was last changed, and the file's. Tags are those of Exif 3.0, section 4.6.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

from msgspec import Struct

from journalgen.intake.model import CAMERA, CHANGED, FILE, NOBODY, Taken

NIGHT_ENDS: Final = time(4)
"""Until then a session past midnight belongs to the evening before."""

_FIRST_YEAR: Final = 1990
"""Before it there were no digital cameras: a clock that says so was never set."""

_AHEAD: Final = timedelta(days=1)
"""How far a clock may be ahead: it may be set for another zone."""

_QUARTER: Final = timedelta(minutes=15)
_APART: Final = timedelta(minutes=5)
"""How far the camera's clock may be from the satellites'; a fix of long ago tells nothing."""

_EXIF_IFD: Final = 0x8769
_GPS_IFD: Final = 0x8825

_STAMP: Final = re.compile(
    r"(\d{4})[:/.-](\d{2})[:/.-](\d{2})[ T](\d{2}):(\d{2}):(\d{2})(?:\.(\d+))? ?(Z|[+-]\d{2}:?\d{2})?"
)
_OFFSET: Final = re.compile(r"([+-])(\d{2}):?(\d{2})")


class Tags(Struct, frozen=True):
    """What a picture says of its time, as it is written there."""

    original: str = ""
    original_offset: str = ""
    original_fraction: str = ""
    digitized: str = ""
    digitized_offset: str = ""
    changed: str = ""
    changed_offset: str = ""
    gps_day: str = ""
    gps_time: tuple[float, ...] = ()  # hours, minutes, seconds of UTC


class Seen(Struct, frozen=True):
    """What the beginning of a picture tells."""

    tags: Tags = Tags()
    format: str | None = None  # None: it cannot be opened


def see(path: Path) -> Seen:
    """The tags of a picture; none where it cannot be opened, or says nothing."""
    from journalgen.pictures.model import Refused
    from journalgen.pictures.opening import decoding, open_original
    from journalgen.pictures.originals import opened

    try:
        with opened(path) as stream, decoding():
            image = open_original(stream)
            exif = image.getexif()
            return Seen(_tags(exif, exif.get_ifd(_EXIF_IFD), exif.get_ifd(_GPS_IFD)), image.format)
    except Refused:
        return Seen()


def _tags(main: Mapping[int, Any], exif: Mapping[int, Any], gps: Mapping[int, Any]) -> Tags:
    clock: tuple[float, ...] = ()
    with suppress(TypeError, ValueError, ZeroDivisionError, OverflowError):
        clock = tuple(float(number) for number in gps.get(7, ()))
    return Tags(
        original=_text(exif.get(0x9003)),
        original_offset=_text(exif.get(0x9011)),
        original_fraction=_text(exif.get(0x9291)),
        digitized=_text(exif.get(0x9004)),
        digitized_offset=_text(exif.get(0x9012)),
        changed=_text(main.get(0x0132)),
        changed_offset=_text(exif.get(0x9010)),
        gps_day=_text(gps.get(29)),
        gps_time=clock,
    )


def _text(value: object) -> str:
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return value.strip("\0 ") if isinstance(value, str) else ""


def tell(tags: Tags, file_time: float, zone: ZoneInfo, now: datetime) -> Taken:
    """When a picture of these tags was taken. `file_time` is in seconds since the epoch, `now` an aware time."""
    gps = _gps(tags)
    if gps and not _is_believed(gps, now):
        gps = None
    # Phones write one offset for all three times; some write only that of the last change.
    offset = tags.original_offset or (tags.changed_offset if tags.changed == tags.original else "")
    for stamp, its_offset in ((tags.original, offset), (tags.digitized, tags.digitized_offset)):
        at = _camera_time(stamp, its_offset, tags.original_fraction, gps, zone)
        if at and _is_believed(at, now):
            return Taken(at.astimezone(zone), CAMERA)
    if gps:
        return Taken(gps.astimezone(zone), CAMERA)
    changed = _camera_time(tags.changed, tags.changed_offset, "", None, zone)
    if changed and _is_believed(changed, now):
        return Taken(changed.astimezone(zone), CHANGED)
    with suppress(OverflowError, OSError, ValueError):
        at = datetime.fromtimestamp(file_time, zone)
        if _is_believed(at, now):
            return Taken(at, FILE)
    return Taken(now.astimezone(zone), NOBODY)


def session_day(at: datetime) -> date:
    """The day of the session that a moment belongs to, by the clock on the wall."""
    return at.date() - timedelta(days=at.time() < NIGHT_ENDS)


def _camera_time(stamp: str, offset: str, fraction: str, gps: datetime | None, zone: ZoneInfo) -> datetime | None:
    found = _STAMP.fullmatch(stamp)
    if not found:
        return None
    *numbers, own_fraction, own_offset = found.groups()
    digits = own_fraction or (fraction if fraction.isascii() and fraction.isdigit() else "")
    year, month, day, hour, minute, second = (int(number) for number in numbers)
    try:  # as if the clock kept UTC, until it is known what it keeps
        wall = datetime(year, month, day, hour, minute, second, int(f"{digits[:6]:0<6}"), UTC)
    except ValueError:
        return None
    known = _offset(own_offset or offset) or (_offset_by(wall, gps) if gps else None)
    return wall.replace(tzinfo=known or zone)


def _offset(text: str) -> timezone | None:
    if text == "Z":
        return UTC
    found = _OFFSET.fullmatch(text)
    if not found:
        return None
    span = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return _as_zone(-span if found[1] == "-" else span)


def _offset_by(wall: datetime, gps: datetime) -> timezone | None:
    """The camera's offset by the satellites, which tell UTC; None where the two have nothing to do with each other."""
    apart = wall - gps
    rounded = round(apart / _QUARTER) * _QUARTER
    return _as_zone(rounded) if abs(apart - rounded) <= _APART else None


def _as_zone(span: timedelta) -> timezone | None:
    return timezone(span) if timedelta(hours=-12) <= span <= timedelta(hours=14) else None


def _gps(tags: Tags) -> datetime | None:
    try:
        day = date(*(int(number) for number in re.split("[:/.-]", tags.gps_day)))
        hours, minutes, seconds = tags.gps_time
        if not (0 <= hours < 24 and 0 <= minutes < 60 and 0 <= seconds < 61):
            return None
        return datetime.combine(day, time(), UTC) + timedelta(hours=hours, minutes=minutes, seconds=seconds)
    except (TypeError, ValueError, OverflowError):
        return None


def _is_believed(at: datetime, now: datetime) -> bool:
    return at.year >= _FIRST_YEAR and at - now <= _AHEAD
