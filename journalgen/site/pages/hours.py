"""`hours.html`: the hours ledger by part, step, assembly and month."""

from __future__ import annotations

from journalgen.site.desk import Desk, Link
from journalgen.site.marks.tally import Heads, tally_hours
from journalgen.site.pages.shape import LEDGERS, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """The same minutes, added up four ways."""
    _, hours = desk._, desk.matter.figures.hours
    total, figure = hours.minutes, _("Hours")
    return Content(
        title=_("Hours"),
        description=_("Hours at the bench by part, by step, by assembly and by month."),
        fields={
            "minutes": total,
            "sessions": desk.matter.figures.count,
            "by_part": tally_hours(
                desk, Heads(_("Hours by part"), _("Part"), figure), desk.index.minutes_by_part, total, desk.part
            ),
            "by_step": tally_hours(
                desk, Heads(_("Hours by step"), _("Step"), figure), hours.by_step(), total, desk.step_link
            ),
            "by_assembly": tally_hours(
                desk,
                Heads(_("Hours by assembly"), _("Assembly"), figure),
                desk.index.minutes_by_assembly,
                total,
                desk.assembly,
            ),
            "by_month": tally_hours(
                desk,
                Heads(_("Hours by month"), _("Month"), figure),
                hours.by_month(),
                total,
                lambda month: Link(desk.formats.month(month)),
                in_order=True,
            ),
        },
    )


PAGE = Page(
    "hours.html",
    "hours.html",
    single("hours.html", fill),
    Entry(LEDGERS, mark("Hours")),
    lambda desk: desk.shows_hours,
    kind="CollectionPage",
)
