"""`index.html`: the state of the machine."""

from __future__ import annotations

from collections.abc import Mapping

from journalgen.ledgers.assemblies import Assembly
from journalgen.ledgers.highlights import best_pairs
from journalgen.ledgers.states import FITTED
from journalgen.records import GENERAL, NO_ASSEMBLY
from journalgen.site.data import DATA
from journalgen.site.desk import Desk
from journalgen.site.linked_data import describe_data
from journalgen.site.marks.card import write_card
from journalgen.site.marks.forecast import lay_forecast
from journalgen.site.marks.pair import show_pair
from journalgen.site.marks.photograph import show
from journalgen.site.marks.problems import show_problems
from journalgen.site.marks.ready import lay_ready, next_of
from journalgen.site.marks.tray import lay_tray
from journalgen.site.marks.years import lay_years
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, single
from journalgen.site.words import mark
from journalgen.values import Money

LATEST_SESSIONS = 3
BEST_PAIRS = 2


def fill(desk: Desk) -> Content:
    """The state of the machine on the day of assembly."""
    matter = desk.matter
    settings, figures = matter.journal.settings, matter.figures
    records = list(desk.index.sessions.values())
    opening = desk.index.opening
    pairs = best_pairs(figures.pairs.values(), desk.index.minutes_by_part, desk.has_picture, BEST_PAIRS)
    return Content(
        title=desk._("State of the machine"),
        description=_description(desk),
        fields={
            "machine": settings.machine,
            "opening": show(desk, opening) if opening else None,
            "problems": show_problems(matter.problems, matter.left_out) if matter.owner else None,
            "minutes": figures.hours.minutes if desk.shows_hours else None,
            "sessions": len(records),
            "last": figures.last_day,
            "money": desk.shows_money,
            "spent": figures.money.total,
            "not_converted": [Money(amount, code) for code, amount in figures.money.not_converted().items()],
            "parts": len(matter.journal.parts),
            "tray": lay_tray(desk, desk._("All parts"), matter.journal.parts),
            "assemblies": _assembly_rows(desk),
            "ready": lay_ready(desk),
            "done": figures.craft.progress.share,
            "finished": figures.craft.progress.finished,
            "fitted": sum(state == FITTED for state in figures.states.values()),
            "forecast": lay_forecast(desk),
            "hours": desk.shows_hours,
            "years": lay_years(desk) if desk.shows_hours else None,
            "cards": [write_card(desk, record) for record in records[: -LATEST_SESSIONS - 1 : -1]],
            "pairs": [show_pair(desk, pair) for pair in pairs],
            "pairs_in_all": len(figures.pairs),
        },
        shot=opening,
        facts={"mainEntity": _data(desk)},
    )


def _data(desk: Desk) -> Mapping[str, object]:
    """The record as data, for whoever cites it or takes it away."""
    title = desk.matter.journal.settings.title
    files = [file for file, kind in DATA if kind not in desk.matter.hidden]
    return describe_data(desk, title, _description(desk), files)


def _description(desk: Desk) -> str:
    settings, figures = desk.matter.journal.settings, desk.matter.figures
    if figures.first_day is None or figures.last_day is None:
        return desk._("The record of a restoration: %(title)s.") % {"title": settings.title}
    return desk.words.ngettext(
        "The record of a restoration: %(title)s, one session, %(first)s.",
        "The record of a restoration: %(title)s, %(n)s sessions from %(first)s to %(last)s.",
        figures.count,
    ) % {
        "title": settings.title,
        "n": desk.formats.number(figures.count),
        "first": desk.formats.long(figures.first_day),
        "last": desk.formats.long(figures.last_day),
    }


def _assembly_rows(desk: Desk) -> list[dict[str, object]]:
    """One row an assembly; what belongs to none comes last, so that the rows add up to the ledgers."""
    rows = [_assembly_row(desk, assembly) for assembly in desk.index.assemblies]
    loose = any(assembly.name == NO_ASSEMBLY for assembly in desk.index.assemblies)
    if not loose and ({NO_ASSEMBLY, GENERAL} & {*desk.index.minutes_by_assembly, *desk.index.money_by_assembly}):
        rows.append(_assembly_row(desk, Assembly(NO_ASSEMBLY, ())))
    return rows


def _assembly_row(desk: Desk, assembly: Assembly) -> dict[str, object]:
    name, money = desk.assembly(assembly.name), desk.index.money_by_assembly
    progress = desk.matter.figures.craft.progress.assemblies.get(assembly.name)
    names = [NO_ASSEMBLY, GENERAL] if assembly.name == NO_ASSEMBLY else [assembly.name]
    return {
        "name": name,
        "depth": assembly.depth,
        "tray": lay_tray(desk, name.text, assembly.parts),
        "minutes": desk.index.minutes_by_assembly.get(assembly.name, 0),
        "done": progress.share if progress else None,
        "next": next_of(desk, progress.parts if progress else assembly.parts),
        "spent": sum((money[name] for name in names if name in money), desk.matter.figures.money.zero),
    }


PAGE = Page("index.html", "index.html", single("index.html", fill), Entry(RECORD, mark("Machine")))
