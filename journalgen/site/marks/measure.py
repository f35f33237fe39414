"""A measure as a row: its value, its limits, where it lies, and the verdict."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from msgspec import Struct

from journalgen.ledgers.measures import OUTSIDE, verdict
from journalgen.records import Measure, Session
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.limits import draw_limits


class MeasureRow(Struct, frozen=True):
    """One measured value."""

    what: str
    parts: tuple[Link, ...]
    day: date
    session: Link
    value: str
    limits: str
    drawing: str  # SVG; empty where there are no limits
    verdict: str
    outside: bool
    note: str | None
    private: bool


def list_measures(desk: Desk, rows: Iterable[tuple[Session, Measure]]) -> list[MeasureRow]:
    """Rows in the order given."""
    return [_list_measure(desk, session, measure) for session, measure in rows]


def _list_measure(desk: Desk, session: Session, measure: Measure) -> MeasureRow:
    found = verdict(measure)
    return MeasureRow(
        what=measure.what,
        parts=tuple(desk.part(part) for part in measure.parts),
        day=session.day,
        session=desk.session(session),
        value=desk.formats.measured(measure),
        limits=desk.formats.limits(measure.limits) if measure.limits else "",
        drawing=draw_limits(measure),
        verdict=desk.term(found) if found else "",
        outside=found == OUTSIDE,
        note=measure.note,
        private=measure.private,
    )
