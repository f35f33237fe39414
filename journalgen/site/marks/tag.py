"""The tie-on part tag."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from msgspec import Struct

from journalgen.ledgers.progress import WAITING
from journalgen.ledgers.states import IN_WORK
from journalgen.records import Part
from journalgen.site.desk import Desk, Link
from journalgen.site.words import DECISIONS


class Tag(Struct, frozen=True):
    """What a tag tells of its part; None for what the edition does not show."""

    name: Link
    number: str | None  # "" where the part has none
    quantity: int
    stored: str | None
    decision: str | None
    decisions: tuple[str, ...]
    state: str
    step: str | None  # the last one, of a part in work
    until: date | None  # of a waiting part
    on: date  # the day of assembly


def write_tag(desk: Desk, part: Part) -> Tag:
    """The tag of a part as it stands on the day of assembly."""
    hidden = desk.matter.hidden
    state = desk.matter.figures.states[part.name]
    step = desk.index.last_steps.get(part.name)
    return Tag(
        name=desk.part(part.name),
        number=None if "numbers" in hidden else part.number or "",
        quantity=part.quantity,
        stored=None if "storage" in hidden else part.stored,
        decision=desk.index.decisions.get(part.name),
        decisions=DECISIONS,
        state=state,
        step=desk.step(step) if step and state == IN_WORK else None,
        until=desk.index.waiting_until.get(part.name) if state == WAITING else None,
        on=desk.matter.figures.on,
    )


def write_tags(desk: Desk, names: Iterable[str]) -> list[Tag]:
    """The tags of those names that are parts."""
    parts = desk.matter.journal.parts
    return [write_tag(desk, parts[name]) for name in names if name in parts]
