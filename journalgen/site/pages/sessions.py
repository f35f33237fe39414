"""`sessions.html`: every session as a card, newest first."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import groupby
from typing import Final

from journalgen.ledgers.part_records import worked_on
from journalgen.ledgers.session_records import SessionRecord
from journalgen.site.desk import Desk
from journalgen.site.marks.card import write_card
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh
from journalgen.site.words import mark

FILE: Final = "sessions.html"


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One file, or one for each year of many."""
    records = list(desk.index.sessions.values())
    return list_files(FILE, divide(records, _day, _weigh), fill)


def fill(desk: Desk, stretch: Stretch[SessionRecord]) -> Content:
    """The sessions of every year that the file holds."""
    records = stretch.rows[::-1]
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
            "minutes": _minutes(desk, stretch) if desk.shows_hours else None,
        },
    )


def _minutes(desk: Desk, stretch: Stretch[SessionRecord]) -> int:
    if stretch.itself:
        return desk.matter.figures.hours.minutes
    return sum(record.minutes for record in stretch.rows)


def _day(record: SessionRecord) -> date:
    return record.session.day


def _weigh(record: SessionRecord) -> int:
    return weigh(len(worked_on(record.session)), record.session.title, *record.used)


PAGE = Page(
    "sessions.html",
    FILE,
    list_sheets,
    Entry(RECORD, mark("Sessions")),
    kind="CollectionPage",
)
