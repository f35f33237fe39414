"""`materials.html`: the stock of every material that was bought or used."""

from __future__ import annotations

from fractions import Fraction

from journalgen.ledgers.spending import cost_of_materials_bought, cost_of_materials_used
from journalgen.ledgers.stock import Lot, MaterialStock, UseCost
from journalgen.site.desk import Desk
from journalgen.site.pages.shape import LEDGERS, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """What was bought, used and left of each material."""
    stock = desk.matter.figures.stock
    rows = [_row(desk, material) for material in stock.materials.values()]
    return Content(
        title=desk._("Materials"),
        description=desk._("What was bought, used and left of every material."),
        fields={
            "materials": rows,
            "money": desk.shows_money,
            "bought": cost_of_materials_bought(stock),
            "used": cost_of_materials_used(stock),
            "unknown": [_use(desk, use, material) for material in stock.materials.values() for use in material.unknown],
            "estimated": any(material.estimated for material in stock.materials.values()),
        },
    )


def _row(desk: Desk, stock: MaterialStock) -> dict[str, object]:
    material, unit = stock.material, stock.unit.name

    def amount(number: Fraction) -> str:
        return desk.formats.quantity(number, unit)

    return {
        "id": desk.index.material_ids[material.name],
        "name": material.name,
        "link": desk.material(material.name),
        "kind": material.kind,
        "colour": material.colour,
        "note": material.note,
        "unit": desk.formats.unit(unit),
        "bought": amount(stock.bought),
        "used": amount(stock.used),
        "left": amount(stock.left),
        "short": stock.left < 0,
        "figures": (stock.bought, stock.used, stock.left),
        "cost_bought": stock.cost_bought,
        "cost_used": stock.cost_used,
        "estimated": stock.estimated,
        "lots": [
            _lot(desk, lot, amount(lot.amount), amount(left))
            for lot, left in zip(stock.lots, stock.left_in_lots, strict=True)
        ],
        "returned": amount(stock.returned) if stock.returned else None,
    }


def _lot(desk: Desk, lot: Lot, amount: str, left: str) -> dict[str, object]:
    purchase = lot.cost.purchase
    return {
        "day": lot.day,
        "amount": amount,
        "left": left,
        "landed": lot.landed,
        "priced": bool(lot.cost.conversions),
        "party": desk.party(purchase.party),
        "session": desk.session(lot.cost.session),
        "private": purchase.private,
    }


def _use(desk: Desk, use: UseCost, stock: MaterialStock) -> dict[str, object]:
    return {
        "day": use.session.day,
        "material": desk.material(use.material),
        "amount": desk.formats.quantity(use.amount, stock.unit.name),
        "part": desk.part(use.part),
        "session": desk.session(use.session),
    }


PAGE = Page(
    "materials.html",
    "materials.html",
    single("materials.html", fill),
    Entry(LEDGERS, mark("Materials")),
    kind="CollectionPage",
)
