"""`sources.html`: who things came from."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from decimal import Decimal
from typing import Final

from journalgen.editions import SUPPLIERS
from journalgen.ledgers.money import Cost
from journalgen.ledgers.sources import Source
from journalgen.markup import WEB_SCHEMES, scheme_of
from journalgen.site.desk import Desk, Link
from journalgen.site.marks.purchase import list_purchases
from journalgen.site.marks.tally import bar_share
from journalgen.site.pages.costs import day_paid, weigh_purchase
from journalgen.site.pages.shape import LEDGERS, Content, Entry, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files
from journalgen.site.words import mark

FILE: Final = "sources.html"


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One file, or one for each year of many purchases. The page itself has every supplier, as links to one expect."""
    costs = [cost for source in desk.index.sources if source.name for cost in source.costs]
    return list_files(FILE, divide(costs, day_paid, weigh_purchase), fill)


def fill(desk: Desk, stretch: Stretch[Cost]) -> Content:
    """Every supplier: where, what came from there, and what it came to."""
    listed = {id(cost) for cost in stretch.rows}
    sources = desk.index.sources
    most = max((source.spent for source in sources), default=Decimal(0))
    return Content(
        title=desk._("Sources"),
        description=desk._("Who sold what, made what or did work outside, and where they are."),
        fields={
            "sources": [_row(desk, source, most, listed) for source in sources],
            "money": desk.shows_money,
            "spent": sum((source.spent for source in sources), desk.matter.figures.money.zero),
            "not_converted": [money for source in sources for money in source.not_converted],
            "purchases": sum(len(source.costs) for source in sources),
        },
    )


def _row(desk: Desk, source: Source, most: Decimal, listed: Collection[int]) -> dict[str, object]:
    supplier = source.supplier
    costs = [cost for cost in source.costs if id(cost) in listed]
    return {
        "id": desk.index.source_ids.get(source.name or ""),
        "name": source.name,
        "registered": bool(supplier and supplier.place),
        "private": bool(supplier and supplier.private),
        "where": supplier and supplier.where,
        "site": _site(supplier.site) if supplier and supplier.site else None,
        "kind": supplier and supplier.kind,
        "also_called": supplier.also_called if supplier else (),
        "note": supplier and supplier.note,
        "kinds": [desk.term(kind) for kind in source.kinds],
        "last": source.last,
        "spent": source.spent,
        "share": bar_share(source.spent, most),
        "not_converted": source.not_converted,
        "count": len(source.costs),
        "purchases": list_purchases(desk, costs),
        "listed": sum((cost.home for cost in costs), desk.matter.figures.money.zero),
        "listed_not_converted": [money for cost in costs for money in cost.not_converted],
    }


def _site(site: str) -> Link:
    """The supplier's own site, linked only where a browser would open a page."""
    return Link(site, site if scheme_of(site) in WEB_SCHEMES else None)


def _shown(desk: Desk) -> bool:
    return SUPPLIERS not in desk.matter.hidden


PAGE = Page(
    "sources.html",
    FILE,
    list_sheets,
    Entry(LEDGERS, mark("Sources")),
    _shown,
    kind="CollectionPage",
)
