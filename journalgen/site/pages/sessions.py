"""`sessions.html`: every session as a card, newest first."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import groupby
from typing import Final

from journalgen.ledgers.part_records import worked_on
from journalgen.ledgers.session_records import SessionRecord
from journalgen.records import Session
from journalgen.site.desk import Desk
from journalgen.site.marks.card import write_card
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh
from journalgen.site.words import mark

FILE: Final = "sessions.html"


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One file, or one for each year of many."""

    def weigh_row(session: Session) -> int:
        return weigh(len(worked_on(session)), session.title, *desk.index.sessions[session.page].used)

    return list_files(FILE, divide(desk.matter.figures.sessions, _day, weigh_row), fill)


def fill(desk: Desk, stretch: Stretch[Session]) -> Content:
    """The sessions of every year that the file holds."""
    records = [desk.index.sessions[session.page] for session in reversed(stretch.rows)]
    years = []
    for year, group in groupby(records, key=lambda record: record.session.day.year):
        of_year = list(group)
        years.append(
            {
                "year": year,
                "name": stretch.name(year),
                "cards": [write_card(desk, record) for record in of_year],
                "minutes": sum(record.minutes for record in of_year) if desk.shows_hours else None,
            }
        )
    return Content(
        title=desk._("Sessions"),
        description=desk._("Every session at the bench, newest first."),
        fields={
            "years": years,
            "count": len(desk.index.sessions) if stretch.itself else len(records),
            "minutes": _minutes(desk, stretch, records) if desk.shows_hours else None,
        },
    )


def _minutes(desk: Desk, stretch: Stretch[Session], records: Iterable[SessionRecord]) -> int:
    if stretch.itself:
        return desk.matter.figures.hours.minutes
    return sum(record.minutes for record in records)


def _day(session: Session) -> date:
    return session.day


PAGE = Page(
    "sessions.html",
    FILE,
    list_sheets,
    Entry(RECORD, mark("Sessions")),
    kind="CollectionPage",
)
