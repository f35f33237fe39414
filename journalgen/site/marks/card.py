"""The session card."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from markupsafe import Markup
from msgspec import Struct

from journalgen.ledgers.part_records import worked_on
from journalgen.ledgers.session_records import SessionRecord
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.blocks import blocks
from journalgen.site.marks.photograph import Photograph, show, telling
from journalgen.values import Money


class Card(Struct, frozen=True):
    """What a card tells of its session; hours and money are None where the edition does not show them."""

    day: date
    title: Link
    minutes: int | None
    blocks: str
    parts: tuple[Link, ...]
    used: tuple[str, ...]
    money: bool  # whether money is shown at all
    spent: Decimal | None
    not_converted: tuple[Money, ...]
    photograph: Photograph | None


def write_card(desk: Desk, record: SessionRecord) -> Card:
    """The card of one session."""
    session = record.session
    shot = telling(desk, session)
    return Card(
        day=session.day,
        title=desk.session(session),
        minutes=record.minutes if desk.shows_hours else None,
        blocks=blocks(record.minutes) if desk.shows_hours else "",
        parts=tuple(desk.part(part) for part in worked_on(session)),
        used=_used(desk, record),
        money=desk.shows_money,
        spent=record.spent if desk.shows_money else None,
        not_converted=record.not_converted if desk.shows_money else (),
        photograph=show(desk, shot) if shot else None,
    )


def _used(desk: Desk, record: SessionRecord) -> tuple[str, ...]:
    return tuple(
        Markup("{} {}").format(material, desk.formats.listing(map(desk.formats.amount, amounts))).rstrip()
        for material, amounts in record.used.items()
    )
