"""The work of a session as rows: parts, steps, materials, hours, and when each may go on."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from msgspec import Struct

from journalgen.ledgers.session_records import SessionRecord
from journalgen.records import Session, WorkLine
from journalgen.site.desk import Desk, Link, Teller
from journalgen.values import Amount


class WorkRow(Struct, frozen=True):
    """One work line, or the share of a part that no line names."""

    parts: tuple[Link, ...]
    step: Link
    coat: int | None
    remarks: tuple[str, ...]  # what it was fitted with, its wait, result and note
    material: Link | None
    amount: Amount | None
    minutes: int
    ready: datetime | None  # when the next step may begin, in the journal's zone
    private: bool


class UseRow(Struct, frozen=True):
    """Material used beside the work lines."""

    material: Link
    amount: Amount | None
    parts: tuple[Link, ...]
    private: bool


def list_work(desk: Desk, record: SessionRecord) -> list[WorkRow]:
    """The work lines in order, then the parts that none of them names; the minutes add up to the session's."""
    of_line: dict[int, int] = {}
    for share in record.shares:
        if share.line is not None:
            of_line[id(share.line)] = of_line.get(id(share.line), 0) + share.minutes
    rows = [_row(desk, line, of_line.get(id(line), 0)) for line in record.session.work]
    rest = [share for share in record.shares if share.line is None]
    rows += [
        WorkRow((desk.part(share.part),), desk.step_link(share.step), None, (), None, None, share.minutes, None, False)
        for share in rest
    ]
    return rows


def _row(desk: Desk, line: WorkLine, minutes: int) -> WorkRow:
    return WorkRow(
        parts=tuple(desk.part(part) for part in line.parts),
        step=desk.step_link(line.step),
        coat=line.coat,
        remarks=tuple(remarks_of(desk, line)),
        material=desk.material(line.material) if line.material else None,
        amount=line.amount,
        minutes=minutes,
        ready=_ready(desk, line),
        private=line.private,
    )


def _ready(desk: Desk, line: WorkLine) -> datetime | None:
    waits, place = desk.matter.figures.craft.waits, str(line.place)  # on all parts of a line the wait is the same
    wait = next((waits.of_line(part, place) for part in line.parts), None)
    return wait.ready_at.astimezone(desk.matter.journal.settings.time_zone) if wait and wait.ready_at else None


def remarks_of(desk: Teller, line: WorkLine) -> Iterable[str]:
    """What a line says beside what was done with what, a phrase each."""
    if line.fitted_with:
        yield desk._("with %(parts)s") % {"parts": desk.formats.sentence(line.fitted_with)}
    if line.wait:
        yield desk._("to stand %(span)s") % {"span": desk.formats.span(line.wait)}
    yield from (remark for remark in (line.result, line.note) if remark)


def list_uses(desk: Desk, session: Session) -> list[UseRow]:
    """The material lines of a session, in order."""
    return [
        UseRow(desk.material(use.material), use.amount, tuple(desk.part(part) for part in use.parts), use.private)
        for use in session.uses
    ]
