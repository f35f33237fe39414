"""The kinds of value a field may ask for: each turns the text a person typed into its type.

Types are for the shapes in `shapes.py`, which find in each how it is read; a text that cannot be
read raises Unreadable.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from pathlib import PurePosixPath
from typing import Annotated, Any, Final

from msgspec import Struct

from journalgen.reading import amounts, dates, hours, money, numbers
from journalgen.reading.names import nearest
from journalgen.reading.unreadable import Unreadable
from journalgen.slugs import key
from journalgen.values import Amount, Duration, Limits, Money, Rectangle, Window

_COLOUR: Final = re.compile(r"#[0-9a-fA-F]{6}")
_HAZARD: Final = re.compile(r"(?:EU)?[HP][0-9]{3}[A-Za-z]{0,3}(?:\s*\+\s*[HP][0-9]{3}[A-Za-z]{0,3})*")
LONGEST_NAME: Final = 200
LONGEST_TEXT: Final = 20_000


class Reads(Struct, frozen=True):
    """How a field's value is read: from what was written and the home currency. Raises Unreadable."""

    parse: Callable[[object, str], Any]


def as_text(value: object) -> str:
    """A text with single spaces at its ends removed. Raises Unreadable for a list or a mapping."""
    if not isinstance(value, str):
        kind = "a list" if isinstance(value, list) else "a mapping"
        raise Unreadable(
            "text", f"This is {kind}, where a plain text is meant.", "Write one text; use quotes if it holds commas."
        )
    text = value.strip()
    if len(text) > LONGEST_TEXT:
        raise Unreadable(
            "text-long", f"A text of {len(text):,} letters is too long here.", "Put most of it in the body."
        )
    return text


def as_name(value: object) -> str:
    """A name: one line, not endless."""
    name = " ".join(as_text(value).split())
    if len(name) > LONGEST_NAME:
        raise Unreadable(
            "name-long", f"A name of {len(name)} letters is too long.", "Shorten it and put the rest in a note."
        )
    if not key(name):
        raise Unreadable("name", f'"{name}" is no name.', "Write a word.")
    return name


def as_names(value: object) -> tuple[str, ...]:
    """A list of names, or one text with commas; each name once."""
    if isinstance(value, dict):
        raise Unreadable("list", "This is a mapping, where a list is meant.", "Write [one, two] or one, two.")
    items: Iterable[object] = value.split(",") if isinstance(value, str) else value if isinstance(value, list) else ()
    names = [as_name(item) for item in items if not (isinstance(item, str) and not item.strip())]
    kept: dict[str, str] = {}
    for name in names:
        kept.setdefault(key(name), name)
    return tuple(kept.values())


def as_yes_no(value: object) -> bool:
    """`yes` or `no`, and nothing that could be taken for either."""
    word = as_text(value).casefold()
    if word not in ("yes", "no", "true", "false"):
        raise Unreadable("yes-or-no", f'"{word}" is neither yes nor no.', "Write yes or no.")
    return word in ("yes", "true")


def as_photo_file(value: object) -> str:
    """A file below photos/, with forward slashes. Raises Unreadable if it leads anywhere else."""
    name = as_text(value).replace("\\", "/")
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or re.match(r"[A-Za-z]:", name) or not path.name or "\0" in name:
        raise Unreadable(
            "leads-out",
            f'"{name}" leads out of the folder photos/.',
            "Copy the photograph into photos/ and name it from there.",
        )
    return path.as_posix()


def one_of(what: str, *words: str) -> Callable[[object], str]:
    """One of a few words, matched as names are; any other is an error that offers the nearest."""
    known = {key(word): word for word in words}

    def parse(value: object) -> str:
        text = as_text(value)
        if key(text) not in known:
            near = nearest(text, words)
            hint = f"Did you mean {near}? " if near else ""
            raise Unreadable("word", f'"{text}" is not {what}.', f"{hint}Write one of: {', '.join(words)}.")
        return known[key(text)]

    return parse


def _of(parse: Callable[[object], Any]) -> Reads:
    return Reads(lambda value, home: parse(value))


def _of_text(parse: Callable[[str], Any]) -> Reads:
    return Reads(lambda value, home: parse(as_text(value)))


def _as_money(value: object, home: str) -> Money:
    return money.parse_money(as_text(value), home)


def _as_rectangles(value: object) -> tuple[Rectangle, ...]:
    if not isinstance(value, list):
        raise Unreadable("hide", "This is not a list of regions.", "Write [[x, y, width, height]].")
    rows = value if value and isinstance(value[0], list) else [value]
    return tuple(amounts.parse_rectangle(row) for row in rows)


def _as_colour(value: object) -> str:
    text = as_text(value)
    if not _COLOUR.fullmatch(text):
        raise Unreadable("colour", f'"{text}" is not a colour.', 'Write it as "#8a8f92", with the quotes.')
    return text.lower()


def _as_hazards(value: object) -> tuple[str, ...]:
    codes = as_names(value)
    for code in codes:
        if not _HAZARD.fullmatch(code):
            raise Unreadable(
                "hazard", f'"{code}" is not a GHS statement.', "Write codes such as H226, from the safety data sheet."
            )
    return codes


def _as_rate(value: object) -> Decimal:
    rate = numbers.parse_decimal(as_text(value))
    if rate <= 0:
        raise Unreadable("rate", "A rate must be more than nothing.", "Write home units for one foreign unit.")
    return rate


def _as_percentage(most: int) -> Callable[[str], Decimal]:
    def parse(text: str) -> Decimal:
        share = numbers.parse_share(text)
        if not 0 <= share <= most:
            raise Unreadable("per-cent", f'"{text}" is not between 0 and {most} %.', "Look at the figure again.")
        return share

    return parse


# The types of the fields. What they hold is said in records.py.
Word = Annotated[str, _of(as_text)]
Name = Annotated[str, _of(as_name)]
Names = Annotated[tuple[str, ...], _of(as_names)]
YesNo = Annotated[bool, _of(as_yes_no)]
PhotoFile = Annotated[str, _of(as_photo_file)]
Hours = Annotated[int, _of_text(hours.parse_hours)]
SessionHours = Annotated[int, _of_text(hours.parse_session_hours)]
Count = Annotated[int, _of_text(numbers.parse_count)]
Share = Annotated[Decimal, _of_text(_as_percentage(100))]
Thinning = Annotated[Decimal, _of_text(_as_percentage(1000))]
Day = Annotated[date, _of_text(dates.parse_day)]
Clock = Annotated[time, _of_text(dates.parse_time)]
Wait = Annotated[Duration, _of_text(hours.parse_duration)]
Recoat = Annotated[Window, _of_text(hours.parse_window)]
Quantity = Annotated[Amount, _of_text(amounts.parse_amount)]
Measured = Annotated[Amount, _of_text(amounts.parse_measured)]
Range = Annotated[Limits, _of_text(amounts.parse_limits)]
Celsius = Annotated[Decimal, _of_text(amounts.parse_celsius)]
Film = Annotated[Decimal, _of_text(amounts.parse_film)]
Density = Annotated[Fraction, _of_text(amounts.parse_density)]
Cash = Annotated[Money, Reads(_as_money)]
Rate = Annotated[Decimal, _of(_as_rate)]
Rectangles = Annotated[tuple[Rectangle, ...], _of(_as_rectangles)]
Colour = Annotated[str, _of(_as_colour)]
Hazards = Annotated[tuple[str, ...], _of(_as_hazards)]
Kind = Annotated[
    str,
    _of(
        one_of(
            "a kind of purchase",
            "part", "reproduction", "used spare", "material", "tool", "outside work", "document", "refund",
        )
    ),
]  # fmt: skip
Shows = Annotated[str, _of(one_of("what a photograph shows", "before", "during", "after"))]
Severity = Annotated[str, _of(one_of("a severity", "light", "moderate", "bad", "unsafe"))]
Choice = Annotated[str, _of(one_of("a decision", "reuse", "repair", "replace", "make"))]
Safety = Annotated[
    str,
    _of(one_of("a safety class", "brakes", "steering", "fuel", "lifting", "electrical", "pressure")),
]
