"""One measure of one part over time: the same name, measured on two days or more."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from msgspec import Struct

from journalgen.records import Measure, Session
from journalgen.slugs import key
from journalgen.values import Amount


class Reading(Struct, frozen=True):
    """One measured value of a series, its figures in the series' unit."""

    session: Session
    measure: Measure
    value: Fraction
    doubt: Fraction  # the uncertainty, nought where none was given

    @property
    def day(self) -> date:
        return self.session.day


class Series(Struct, frozen=True):
    """The readings in order of time, in the unit of the last of them, with the limits the last was held against."""

    what: str
    unit: str
    readings: tuple[Reading, ...]
    low: Fraction | None
    high: Fraction | None


def find_series(measures: Iterable[tuple[Session, Measure]]) -> tuple[Series, ...]:
    """The series among one part's measures, which are in order of time. Spelling counts as it does in all names."""
    found: dict[tuple[str, str], list[tuple[Session, Measure]]] = {}
    for session, measure in measures:
        found.setdefault((key(measure.what), measure.value.dimension), []).append((session, measure))
    return tuple(_series(rows) for rows in found.values() if len({session.day for session, _ in rows}) > 1)


def _series(rows: list[tuple[Session, Measure]]) -> Series:
    last = rows[-1][1]
    unit, limits = last.value, last.limits
    return Series(
        what=last.what,
        unit=unit.unit,
        readings=tuple(
            Reading(
                session,
                measure,
                _in(measure.value, unit),
                measure.uncertainty.span / unit.factor if measure.uncertainty else Fraction(0),
            )
            for session, measure in rows
        ),
        low=_in(limits.low, unit) if limits and limits.low else None,
        high=_in(limits.high, unit) if limits and limits.high else None,
    )


def _in(amount: Amount, unit: Amount) -> Fraction:
    """The quantity in the unit of another of the same dimension."""
    return (amount.base - unit.offset) / unit.factor
