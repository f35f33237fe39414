"""`sessions.html`: every session as a card, newest first."""

from __future__ import annotations

from itertools import groupby

from journalgen.site.desk import Desk
from journalgen.site.marks.card import write_card
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """The sessions of every year."""
    records = list(desk.index.sessions.values())[::-1]
    years = []
    for year, group in groupby(records, key=lambda record: record.session.day.year):
        of_year = list(group)
        years.append(
            {
                "year": year,
                "cards": [write_card(desk, record) for record in of_year],
                "minutes": sum(record.minutes for record in of_year) if desk.shows_hours else None,
            }
        )
    return Content(
        title=desk._("Sessions"),
        description=desk._("Every session at the bench, newest first."),
        fields={
            "years": years,
            "count": len(records),
            "minutes": desk.matter.figures.hours.minutes if desk.shows_hours else None,
        },
    )


PAGE = Page(
    "sessions.html",
    "sessions.html",
    single("sessions.html", fill),
    Entry(RECORD, mark("Sessions")),
    kind="CollectionPage",
)
