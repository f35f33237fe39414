"""The work of a session as rows: parts, steps, materials, hours, and the conditions it was done in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from journalgen.ledgers.session_records import SessionRecord
from journalgen.records import Amount, Session, WorkLine
from journalgen.site.desk import Desk, Link


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One work line, or the share of a part that no line names."""

    parts: tuple[Link, ...]
    step: str
    coat: int | None
    remarks: tuple[str, ...]  # what it was fitted with, its wait, result and note
    material: Link | None
    amount: Amount | None
    minutes: int
    private: bool


@dataclass(frozen=True, slots=True)
class UseRow:
    """Material used beside the work lines."""

    material: Link
    amount: Amount | None
    parts: tuple[Link, ...]
    private: bool


@dataclass(frozen=True, slots=True)
class Conditions:
    """Air and surface as they were for some of the lines, in words."""

    parts: tuple[Link, ...]
    facts: tuple[tuple[str, str], ...]


def list_work(desk: Desk, record: SessionRecord) -> list[WorkRow]:
    """The work lines in order, then the parts that none of them names; the minutes add up to the session's."""
    of_line: dict[int, int] = {}
    for share in record.shares:
        if share.line is not None:
            of_line[id(share.line)] = of_line.get(id(share.line), 0) + share.minutes
    rows = [_row(desk, line, of_line.get(id(line), 0)) for line in record.session.work]
    rest = [share for share in record.shares if share.line is None]
    rows += [
        WorkRow((desk.part(share.part),), desk.step(share.step), None, (), None, None, share.minutes, False)
        for share in rest
    ]
    return rows


def _row(desk: Desk, line: WorkLine, minutes: int) -> WorkRow:
    return WorkRow(
        parts=tuple(desk.part(part) for part in line.parts),
        step=desk.step(line.step),
        coat=line.coat,
        remarks=tuple(_remarks(desk, line)),
        material=desk.material(line.material) if line.material else None,
        amount=line.amount,
        minutes=minutes,
        private=line.private,
    )


def _remarks(desk: Desk, line: WorkLine) -> Iterable[str]:
    if line.fitted_with:
        yield desk._("with %(parts)s") % {"parts": desk.formats.listing(line.fitted_with).unescape()}
    if line.wait:
        yield desk._("to stand %(span)s") % {"span": desk.formats.span(line.wait)}
    yield from (remark for remark in (line.result, line.note) if remark)


def list_uses(desk: Desk, session: Session) -> list[UseRow]:
    """The material lines of a session, in order."""
    return [
        UseRow(desk.material(use.material), use.amount, tuple(desk.part(part) for part in use.parts), use.private)
        for use in session.uses
    ]


def find_conditions(desk: Desk, session: Session) -> list[Conditions]:
    """Each set of conditions once, with the parts that were worked on in it."""
    found: dict[tuple[tuple[str, str], ...], dict[str, None]] = {}
    for line in session.work:
        facts = tuple(_facts(desk, line))
        if facts:
            found.setdefault(facts, {}).update(dict.fromkeys(line.parts))
    return [Conditions(tuple(desk.part(part) for part in parts), facts) for facts, parts in found.items()]


def _facts(desk: Desk, line: WorkLine) -> Iterable[tuple[str, str]]:
    if line.air is not None:
        yield desk._("Air"), desk.formats.temperature(line.air)
    if line.surface is not None:
        yield desk._("Surface"), desk.formats.temperature(line.surface)
    if line.humidity is not None:
        yield desk._("Humidity"), desk.formats.per_cent(line.humidity)
