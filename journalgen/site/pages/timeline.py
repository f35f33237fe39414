"""`timeline.html`: the whole project in order of time."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter

from journalgen.ledgers.sharing import month_of
from journalgen.site.desk import Desk
from journalgen.site.marks.years import lay_years
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """The years at the bench, then month by month the sessions and what was reached in them."""
    return Content(
        title=desk._("Timeline"),
        description=desk._("Every session and every fitting in order of time."),
        fields={
            "years": lay_years(desk) if desk.shows_hours else None,
            "months": _months(desk),
            "hours": desk.shows_hours,
        },
    )


def _months(desk: Desk) -> list[dict[str, object]]:
    fitted: dict[str, list[str]] = {}
    for fitting in desk.index.fittings:
        fitted.setdefault(fitting.session.page, []).append(fitting.part)
    completed: dict[str, list[str]] = {}
    for completion in desk.index.completions:
        completed.setdefault(month_of(completion.day), []).append(completion.assembly)
    rows = [(month_of(record.session.day), record) for record in desk.index.sessions.values()]
    months: list[dict[str, object]] = []
    for month, group in groupby(rows, key=itemgetter(0)):
        records = [record for _, record in group]
        months.append(
            {
                "month": month,
                "minutes": sum(record.minutes for record in records),
                "completed": [desk.assembly(name) for name in completed.get(month, [])],
                "rows": [
                    {
                        "day": record.session.day,
                        "session": desk.session(record.session),
                        "minutes": record.minutes,
                        "fitted": [desk.part(part) for part in fitted.get(record.session.page, [])],
                    }
                    for record in records
                ],
            }
        )
    return months


PAGE = Page(
    "timeline.html",
    "timeline.html",
    single("timeline.html", fill),
    Entry(RECORD, mark("Timeline")),
    kind="CollectionPage",
)
