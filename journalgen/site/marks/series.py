"""A measure of one part over time: the drawing and its table."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from journalgen.ledgers.series import Series, find_series
from journalgen.records import Measure, Session
from journalgen.site.desk import Desk
from journalgen.site.drawings.series import draw_series
from journalgen.site.marks.measure import MeasureRow, list_measures


class SeriesView(Struct, frozen=True):
    """One series; the rows keep the unit each value was measured in."""

    what: str
    drawing: str
    limits: bool
    rows: tuple[MeasureRow, ...]


def list_series(desk: Desk, measures: Iterable[tuple[Session, Measure]]) -> list[SeriesView]:
    """The series among one part's measures."""
    return [_view(desk, series) for series in find_series(measures)]


def _view(desk: Desk, series: Series) -> SeriesView:
    formats, readings = desk.formats, series.readings

    def say(figure: Decimal) -> str:
        return f"{formats.number(figure)} {formats.unit(series.unit)}"

    label = desk._("%(what)s: %(n)s values from %(first)s to %(last)s, the first %(from)s, the last %(to)s.") % {
        "what": series.what,
        "n": formats.number(len(readings)),
        "first": formats.long(readings[0].day),
        "last": formats.long(readings[-1].day),
        "from": _value(desk, readings[0].value, series.unit),
        "to": _value(desk, readings[-1].value, series.unit),
    }
    return SeriesView(
        what=series.what,
        drawing=draw_series(series, label, say, formats.short),
        limits=series.low is not None or series.high is not None,
        rows=tuple(list_measures(desk, ((reading.session, reading.measure) for reading in readings))),
    )


def _value(desk: Desk, value: Fraction, unit: str) -> str:
    return desk.formats.quantity(value, unit)
