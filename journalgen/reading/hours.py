"""Hours at the bench, and spans of time, as people write them."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Final

from journalgen.reading.numbers import NUMBER, parse_decimal
from journalgen.reading.unreadable import Unreadable
from journalgen.values import Duration, Window

_CLOCK: Final = re.compile(r"(-?[0-9]+):([0-9]{1,2})")
_SPELT: Final = re.compile(
    rf"(?:({NUMBER})\s*(?:h|hr|hrs|hour|hours))?\s*(?:({NUMBER})\s*(?:m|min|mins|minute|minutes)?)?"
)
_REMEDY: Final = "Write 2.5, 2:30, 2 h 30 min or 150 min."
_SPAN: Final = re.compile(rf"({NUMBER})\s*([a-z]+)")
_MINUTES: Final = {"min": 1, "minute": 1, "h": 60, "hr": 60, "hour": 60, "d": 1440, "day": 1440, "week": 10080}
_MONTHS: Final = {"month": 1, "year": 12}
_DAY: Final = 24 * 60
_LONGEST: Final = 100 * 372 * _DAY


def parse_hours(text: str) -> int:
    """Whole minutes of `2.5`, `2:30`, `2 h 30 min` or `150 min`; part minutes round half-even."""
    minutes = _minutes(text.strip().lower())
    if minutes < 0:
        raise Unreadable("hours-negative", f'"{text}" is less than nothing.', "Leave the minus sign out.")
    return int(minutes.to_integral_value(ROUND_HALF_EVEN))


def spell_clock(minutes: int) -> str:
    """Whole minutes as they are read: `2:05`."""
    return f"{minutes // 60}:{minutes % 60:02}"


def parse_session_hours(text: str) -> int:
    """Like `parse_hours`, and not over 24 h: a session is one sitting."""
    minutes = parse_hours(text)
    if minutes > _DAY:
        raise Unreadable(
            "hours-over-a-day", f'"{text}" is more than 24 h.', "One entry is one sitting; write an entry for each day."
        )
    return minutes


def _minutes(text: str) -> Decimal:
    if clock := _CLOCK.fullmatch(text):
        hours, minutes = clock.groups()
        if int(minutes) > 59:
            raise Unreadable(
                "hours",
                f'"{text}" has more than 59 minutes.',
                f"Write {_carried(hours, minutes)} or {hours}.{minutes}.",
            )
        whole = abs(int(hours)) * 60 + int(minutes)
        return Decimal(-whole if hours.startswith("-") else whole)
    spelt = _SPELT.fullmatch(text)
    if not text or spelt is None:
        point = text.replace(",", ".", 1)
        remedy = f"With a point: {point}." if _SPELT.fullmatch(point) else _REMEDY
        raise Unreadable("hours", f'"{text}" is not a time at the bench.', remedy)
    hours, minutes = spelt.groups()
    if hours is None and minutes is not None and text[-1].isdigit():  # a bare number is hours
        return parse_decimal(minutes) * 60
    if hours is not None and minutes is not None and not 0 <= parse_decimal(minutes) < 60:
        raise Unreadable("hours", f'"{text}" does not have 0 to 59 minutes.', _REMEDY)
    return parse_decimal(hours or "0") * 60 + parse_decimal(minutes or "0")


def _carried(hours: str, minutes: str) -> str:
    """The same with whole hours taken out of the minutes."""
    sign = "-" if hours.startswith("-") else ""
    return f"{sign}{spell_clock(abs(int(hours)) * 60 + int(minutes))}"


def parse_duration(text: str) -> Duration:
    """A wait or a keeping time: `48 h`, `7 d`, `2 weeks`, `24 months`."""
    found = _SPAN.fullmatch(text.strip().lower())
    word = found.group(2).removesuffix("s") if found else ""
    if found is None or (word not in _MINUTES and word not in _MONTHS):
        raise Unreadable("duration", f'"{text}" is not a span of time.', "Write 30 min, 48 h, 7 d or 24 months.")
    number = parse_decimal(found.group(1))
    if number < 0:
        raise Unreadable("duration", f'"{text}" is less than nothing.', "Leave the minus sign out.")
    if number * _MINUTES.get(word, _MONTHS.get(word, 1) * 31 * _DAY) > _LONGEST:
        raise Unreadable("duration", f'"{text}" is more than a hundred years.', "Look at the figure and the unit.")
    if word in _MONTHS:
        months = number * _MONTHS[word]
        if months != months.to_integral_value():
            raise Unreadable("duration", f'"{text}" is not a whole number of months.', "Write it in days.")
        return Duration(0, int(months))
    return Duration(int((number * _MINUTES[word]).to_integral_value(ROUND_HALF_EVEN)))


def parse_window(text: str) -> Window:
    """When the next coat may go on: `4 h .. 7 d`, `at least 4 h`, `at most 7 d`, or `4 h` for the first."""
    text = text.strip()
    if ".." in text:
        opens, _, closes = text.partition("..")
        return Window(parse_duration(opens), parse_duration(closes))
    if text.startswith("at most "):
        return Window(None, parse_duration(text.removeprefix("at most ")))
    return Window(parse_duration(text.removeprefix("at least ")), None)
