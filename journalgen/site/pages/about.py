"""`about.html`: the machine, and how the figures were made."""

from __future__ import annotations

from journalgen.site.desk import Desk
from journalgen.site.marks.origins import lay_origins
from journalgen.site.pages.shape import FIND, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """What a reader must know to rely on the figures."""
    matter = desk.matter
    settings, figures = matter.journal.settings, matter.figures
    origins = {conversion.origin for cost in figures.money.costs for conversion in cost.conversions}
    return Content(
        title=desk._("About"),
        description=desk._("The machine, and how the figures of this record were made."),
        fields={
            "machine": settings.machine,
            "hours": desk.shows_hours,
            "money": desk.shows_money,
            "origins": origins,
            "home_currency": settings.home_currency,
            "time_zone": settings.time_zone.key,
            "sessions": figures.count,
            "first": figures.first_day,
            "last": figures.last_day,
            "measures": figures.any_measured,
            "materials": bool(figures.stock.materials),
            "pairs": bool(figures.pairs),
            "hidden": sorted(matter.hidden),
            "originality": lay_origins(desk),
        },
    )


PAGE = Page("about.html", "about.html", single("about.html", fill), Entry(FIND, mark("About")), kind="AboutPage")
