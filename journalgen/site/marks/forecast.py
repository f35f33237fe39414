"""What is still to do, and when it may be done: in hours, drawn, and in a sentence."""

from __future__ import annotations

from msgspec import Struct

from journalgen.ledgers.forecast import LEAST_WEEKS, NOT_KNOWN
from journalgen.site.desk import Teller
from journalgen.site.drawings.forecast import draw_forecast


class ForecastView(Struct, frozen=True):
    """The hours to do with their sentence."""

    minutes: int
    drawing: str | None  # None where there is no forecast
    said: str  # when it may be done, or why that is not known
    unknown: int  # parts of which the hours to do are not known


def lay_forecast(desk: Teller) -> ForecastView | None:
    """The forecast; None where there is nothing to forecast, or hours are hidden."""
    figures = desk.matter.figures
    if not desk.shows_hours or not figures.states:
        return None
    found, _ = figures.craft.forecast, desk._
    if figures.craft.progress.finished:
        return ForecastView(0, None, _("nothing: every part is fitted"), 0)
    if found.likely is None or found.safe is None:
        said = _(found.reason or NOT_KNOWN) % {
            "weeks": desk.formats.number(found.weeks),
            "least": desk.formats.number(LEAST_WEEKS),
        }
        return ForecastView(found.minutes_to_do, None, said, found.parts_unknown)
    days = {"likely": desk.formats.month(found.likely), "safe": desk.formats.month(found.safe)}
    label = _("Forecast: done by %(likely)s with an even chance, by %(safe)s in 85 of 100.") % days
    return ForecastView(
        found.minutes_to_do,
        draw_forecast(figures.on, found.likely, found.safe, label, desk.formats.month_short),
        _("At the pace of the weeks so far, done by %(likely)s (even chance) or %(safe)s (85 in 100)") % days,
        found.parts_unknown,
    )
