"""`timeline.html`: the whole project in order of time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date
from itertools import groupby
from typing import Final

from journalgen.ledgers.session_records import SessionRecord
from journalgen.ledgers.sharing import month_of
from journalgen.records import Session
from journalgen.site.desk import Desk
from journalgen.site.marks.years import lay_years
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh
from journalgen.site.words import mark

FILE: Final = "timeline.html"


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One file, or one for each year of many sessions."""
    fitted = Counter(fitting.session.page for fitting in desk.index.fittings)

    def weigh_row(session: Session) -> int:
        return weigh(fitted[session.page], session.title)

    return list_files(FILE, divide(desk.matter.figures.sessions, _day, weigh_row), fill)


def fill(desk: Desk, stretch: Stretch[Session]) -> Content:
    """The years at the bench, then month by month the sessions and what was reached in them."""
    return Content(
        title=desk._("Timeline"),
        description=desk._("Every session and every fitting in order of time."),
        fields={
            "years": lay_years(desk) if desk.shows_hours and stretch.itself else None,
            "months": _months(desk, [desk.index.sessions[session.page] for session in stretch.rows]),
            "hours": desk.shows_hours,
        },
    )


def _months(desk: Desk, rows: Iterable[SessionRecord]) -> list[dict[str, object]]:
    fitted: dict[str, list[str]] = {}
    for fitting in desk.index.fittings:
        fitted.setdefault(fitting.session.page, []).append(fitting.part)
    completed: dict[str, list[str]] = {}
    for completion in desk.index.completions:
        completed.setdefault(month_of(completion.day), []).append(completion.assembly)
    months: list[dict[str, object]] = []
    for month, group in groupby(rows, key=lambda record: month_of(record.session.day)):
        records = list(group)
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


def _day(session: Session) -> date:
    return session.day


PAGE = Page(
    "timeline.html",
    FILE,
    list_sheets,
    Entry(RECORD, mark("Timeline")),
    kind="CollectionPage",
)
