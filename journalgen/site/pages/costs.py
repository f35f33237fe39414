"""`costs.html`: the money ledger."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Final

from journalgen.ledgers.money import Cost, MoneyLedger
from journalgen.ledgers.spending import cost_of_materials_bought, cost_of_materials_used
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.months import draw_months
from journalgen.site.marks.purchase import list_purchases
from journalgen.site.marks.tally import Heads, Tally, tally_money
from journalgen.site.pages.shape import LEDGERS, Content, Entry, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh
from journalgen.site.words import mark
from journalgen.values import Money

FILE: Final = "costs.html"


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One file, or one for each year of many purchases, by the day paid."""
    costs = sorted(desk.matter.figures.money.costs, key=day_paid)
    return list_files(FILE, divide(costs, day_paid, weigh_purchase), fill)


def fill(desk: Desk, stretch: Stretch[Cost]) -> Content:
    """Every purchase, and what they add up to."""
    _, figures = desk._, desk.matter.figures
    money = figures.money
    by_month = money.by_month()
    listed = MoneyLedger(stretch.rows, money.decimals)
    return Content(
        title=_("Costs"),
        description=_("What was spent, by kind, by assembly, by part and by month, and every purchase."),
        fields={
            "total": money.total,
            "not_converted": _as_money(money.not_converted()),
            "bought": cost_of_materials_bought(figures.stock),
            "used": cost_of_materials_used(figures.stock),
            "estimated": any(stock.estimated for stock in figures.stock.materials.values()),
            "currencies": _as_money(money.by_currency()),
            "drawing": draw_months(by_month, _months_label(desk), desk.formats.home),
            "first": min(by_month, default=None),
            "last": max(by_month, default=None),
            "tallies": _tallies(desk),
            "consumed": _consumed(desk),
            "count": len(money.costs),
            "purchases": list_purchases(desk, stretch.rows),
            "listed": listed.total,
            "listed_not_converted": _as_money(listed.not_converted()),
            "suppliers": "suppliers" not in desk.matter.hidden,
        },
    )


def day_paid(cost: Cost) -> date:
    """What decides in which year's file a purchase stands."""
    return cost.day


def weigh_purchase(cost: Cost) -> int:
    """How many rows a purchase counts for on a page."""
    purchase = cost.purchase
    texts = (purchase.what, purchase.note, purchase.party, purchase.material, *purchase.parts)
    return weigh(len(purchase.parts) + 2, *texts)


def _as_money(sums: dict[str, Decimal]) -> list[Money]:
    return [Money(amount, code) for code, amount in sums.items()]


def _tallies(desk: Desk) -> dict[str, Tally]:
    _, money = desk._, desk.matter.figures.money
    total, figure = money.total, _("Spent")
    return {
        "kind": tally_money(
            desk,
            Heads(_("By kind of purchase"), _("Kind"), figure),
            money.by_kind(),
            total,
            lambda kind: Link(desk.term(kind)),
        ),
        "assembly": tally_money(
            desk,
            Heads(_("By assembly the purchase was for"), _("Assembly"), figure),
            desk.index.money_by_assembly,
            total,
            desk.assembly,
        ),
        "part": tally_money(
            desk, Heads(_("By part the purchase was for"), _("Part"), figure), money.by_part(), total, desk.part
        ),
        "month": tally_money(
            desk,
            Heads(_("Money spent by month, the day paid"), _("Month"), figure),
            money.by_month(),
            total,
            lambda month: Link(desk.formats.month(month)),
            in_order=True,
        ),
    }


def _consumed(desk: Desk) -> Tally:
    _, stock = desk._, desk.matter.figures.stock
    estimated = [use.part for material in stock.materials.values() for use in material.uses if use.estimated]
    return tally_money(
        desk,
        Heads(_("Materials used up, by part"), _("Part"), _("Materials")),
        stock.consumed_by_part(),
        cost_of_materials_used(stock),
        desk.part,
        estimated,
    )


def _months_label(desk: Desk) -> str:
    by_month = desk.matter.figures.money.by_month()
    if not by_month:
        return ""
    most = max(by_month, key=lambda month: by_month[month])
    return desk._("Money spent by month, %(first)s to %(last)s; most in %(most)s, %(sum)s") % {
        "first": desk.formats.month(min(by_month)),
        "last": desk.formats.month(max(by_month)),
        "most": desk.formats.month(most),
        "sum": desk.formats.home(by_month[most]),
    }


PAGE = Page(
    "costs.html",
    FILE,
    list_sheets,
    Entry(LEDGERS, mark("Costs")),
    lambda desk: desk.shows_money,
    kind="CollectionPage",
)
