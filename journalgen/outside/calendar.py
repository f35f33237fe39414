"""Waits and windows as iCalendar (RFC 5545), for the calendar a person already looks at.

No clock is asked: every stamp is that of the session an event stems from, and the identifiers are
made from what the event is about, so that two runs over one journal give the same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Final
from uuid import UUID, uuid5

from journalgen.ledgers.waits import Wait, Waits
from journalgen.records import Step
from journalgen.site.sitemap import page_address
from journalgen.terminal import CONTROL

_NAMESPACE: Final = UUID("6f0f3a52-5f2c-5b7e-9d0e-3d1c7a4be811")
_OCTETS: Final = 75  # of a line, without its end: RFC 5545, 3.1
_NOT_TEXT: Final = re.compile(f"[\t]|{CONTROL}")
_READY: Final = "ready"
_CLOSES: Final = "closes"


def render_calendar(waits: Waits, steps: Mapping[str, Step], title: str, address: str | None = None) -> bytes:
    """An event with an alarm for the end of each wait, and for the close of each window that no coat has met.

    `address` is where the public edition lives; an event of a session that is told of there leads to its page.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//journalgen//waits and windows//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{escape(title)}",  # RFC 7986
        f"X-WR-CALNAME:{escape(title)}",  # for calendars that do not know the name above
        *(line for wait, turn in _numbered(waits) for line in _events(wait, turn, steps, address)),
        "END:VCALENDAR",
    ]
    return b"".join(fold(line) for line in lines)


def _numbered(waits: Waits) -> Iterator[tuple[Wait, int]]:
    """Each wait in order of time; those that one session says alike are told apart by their turn in it."""
    every = [wait for part in sorted(waits.by_part) for wait in waits.by_part[part]]
    seen: dict[tuple[str, ...], int] = {}
    for wait in sorted(every, key=lambda wait: wait.ends):
        alike = _identity(wait)
        seen[alike] = seen.get(alike, 0) + 1
        yield wait, seen[alike]


def _identity(wait: Wait) -> tuple[str, ...]:
    return wait.part, wait.step, str(wait.number or ""), wait.session.page


def _events(wait: Wait, turn: int, steps: Mapping[str, Step], address: str | None) -> Iterable[str]:
    row = steps.get(wait.step)
    coat = f", coat {wait.number}" if wait.number else ""
    after = f"{row.label if row else wait.step}{coat}, session {wait.session.page}"
    told = [f"DESCRIPTION:{escape(f'After {after}.')}"]
    if address and not wait.session.private:
        told.append(f"URL:{page_address(address, f'sessions/{wait.session.page}.html')}")
    if wait.ready_at and not wait.bared:
        yield from _event(wait, turn, _READY, wait.ready_at, f"{wait.part}: ready for the next step", told, "PT0S")
    if wait.closes_at and not wait.followed:
        yield from _event(wait, turn, _CLOSES, wait.closes_at, f"{wait.part}: window closes", told, "-P1D")


def _event(
    wait: Wait, turn: int, kind: str, moment: datetime, summary: str, told: Iterable[str], trigger: str
) -> Iterable[str]:
    name = "\n".join((*_identity(wait), kind, *([str(turn)] if turn > 1 else [])))
    return (
        "BEGIN:VEVENT",
        f"UID:{uuid5(_NAMESPACE, name)}",
        f"DTSTAMP:{_utc(wait.ends)}",
        f"DTSTART:{_utc(moment)}",
        f"SUMMARY:{escape(summary)}",
        *told,
        "TRANSP:TRANSPARENT",  # it fills no time of the person's
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{escape(summary)}",
        f"TRIGGER:{trigger}",
        "END:VALARM",
        "END:VEVENT",
    )


def _utc(moment: datetime) -> str:
    return f"{moment.year:04}{moment:%m%dT%H%M%SZ}"  # %Y drops leading noughts on some systems


def escape(text: str) -> str:
    """A text as a TEXT value (RFC 5545, 3.3.11); what drives a screen has no place in one and is left out."""
    escaped = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
    return _NOT_TEXT.sub("", escaped)


def fold(line: str) -> bytes:
    """A content line in UTF-8 with its CRLF, folded so that no line is over 75 octets and no letter is cut."""
    pieces, piece = [], b""
    for sign in line:
        octets = sign.encode("utf-8", "replace")
        if len(piece) + len(octets) > _OCTETS:
            pieces.append(piece)
            piece = b" "
        piece += octets
    return b"\r\n".join([*pieces, piece]) + b"\r\n"
