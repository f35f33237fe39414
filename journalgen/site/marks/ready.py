"""What can be done on the day of assembly: what can start, what waits, what is held up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from msgspec import Struct

from journalgen.ledgers.arrivals import NOT_BOUGHT, ON_ITS_WAY
from journalgen.ledgers.readiness import NOT_READY, Blocked, Start
from journalgen.site.desk import Desk, Link

SHOWN = 6
"""Lines of one column; the rest is counted."""


class Item(Struct, frozen=True):
    """One line: a part or a material, what of it, and what presses."""

    link: Link
    text: str
    presses: str | None = None


class Column(Struct, frozen=True):
    """The first lines of one list, and how many more there are."""

    items: tuple[Item, ...]
    more: int


class ReadyView(Struct, frozen=True):
    """Three lists, any of which may be empty."""

    can_start: Column
    waiting: Column
    held_up: Column


def lay_ready(desk: Desk) -> ReadyView:
    """The answer to what can be done tonight, as the ledger gives it."""
    return ReadyView(_column(_starts(desk)), _column(_waiting(desk)), _column([*_blocked(desk), *_to_buy(desk)]))


def next_of(desk: Desk, parts: Iterable[str]) -> Item | None:
    """What comes next among some parts: what can start, else what waits, else what is held up; None for nothing."""
    found, names, _ = desk.matter.figures.craft.readiness, frozenset(parts), desk._
    for start in found.can_start:
        if start.part in names:
            return Item(desk.part(start.part), desk.step(start.step))
    for wait in found.waiting:
        until = desk.index.waiting_until.get(wait.part)
        if wait.part in names and until:
            return Item(desk.part(wait.part), _("until %(day)s") % {"day": desk.formats.near(until, _today(desk))})
    for row in found.blocked:
        if row.part in names:
            return Item(desk.part(row.part), _because(desk, row))
    return None


def _today(desk: Desk) -> date:
    return desk.matter.figures.on


def _column(items: Sequence[Item]) -> Column:
    return Column(tuple(items[:SHOWN]), max(0, len(items) - SHOWN))


def _starts(desk: Desk) -> list[Item]:
    """Each part once: with the first step that is offered for it."""
    first: dict[str, Start] = {}
    for start in desk.matter.figures.craft.readiness.can_start:
        first.setdefault(start.part, start)
    return [
        Item(
            desk.part(start.part),
            _about(desk, desk.step(start.step), start.typical_minutes),
            _closes(desk, start.window_closes),
        )
        for start in first.values()
    ]


def _closes(desk: Desk, moment: datetime | None) -> str | None:
    return desk._("window closes %(when)s") % {"when": desk.moment(moment)} if moment else None


def _about(desk: Desk, step: str, minutes: int | None) -> str:
    if minutes is None or not desk.shows_hours:
        return step
    return desk._("%(step)s, about %(hours)s") % {"step": step, "hours": desk.formats.hours(minutes)}


def _waiting(desk: Desk) -> list[Item]:
    found = desk.matter.figures.craft.readiness
    items = []
    for wait in found.waiting:
        until = found.until(wait)
        said = {"step": desk.step(wait.step), "when": desk.moment(until) if until else ""}
        text = desk._("%(step)s, until %(when)s") % said
        items.append(Item(desk.part(wait.part), text, _closes(desk, wait.closes_at)))
    return items


def _blocked(desk: Desk) -> list[Item]:
    return [Item(desk.part(row.part), _because(desk, row)) for row in desk.matter.figures.craft.readiness.blocked]


def _because(desk: Desk, row: Blocked) -> str:
    """Why a part cannot go on, with the parts it needs."""
    needs = ", ".join(row.needs)
    if row.because == NOT_READY:
        return desk._("needs %(parts)s") % {"parts": needs}
    said = {
        ON_ITS_WAY: desk._("ordered, not arrived"),
        NOT_BOUGHT: desk._("not bought yet"),
    }.get(row.because, row.because)
    return f"{needs}: {said}" if needs else said


def _to_buy(desk: Desk) -> list[Item]:
    quantity = desk.formats.quantity
    return [
        Item(
            desk.material(row.material),
            desk._("%(left)s left, %(needed)s needed")
            % {"left": quantity(row.left, row.unit.name), "needed": quantity(row.needed, row.unit.name)},
        )
        for row in desk.matter.figures.craft.readiness.to_buy
    ]
