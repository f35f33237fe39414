"""`steps.html`: every kind of work that was done."""

from __future__ import annotations

from journalgen.ledgers.step_records import StepRecord
from journalgen.site.desk import Desk
from journalgen.site.marks.tally import bar_share
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """The steps, those done most often first."""
    records = sorted(desk.index.steps.values(), key=lambda record: -len(record.turns))
    most = len(records[0].turns) if records else 0
    return Content(
        title=desk._("Steps"),
        description=desk._("Every kind of work that was done, how often, on how many parts and how long it took."),
        fields={
            "steps": [_row(desk, record, most) for record in records],
            "hours": desk.shows_hours,
        },
    )


def _row(desk: Desk, record: StepRecord, most: int) -> dict[str, object]:
    return {
        "step": desk.step_link(record.step),
        "times": len(record.turns),
        "share": bar_share(len(record.turns), most),
        "parts": len(record.parts),
        "minutes": record.minutes,
        "median": record.median,
    }


PAGE = Page("steps.html", "steps.html", single("steps.html", fill), Entry(RECORD, mark("Steps")), kind="CollectionPage")
