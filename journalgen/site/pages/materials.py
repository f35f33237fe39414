"""`materials.html`: the stock of every material that was bought or used."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.ledgers.spending import cost_of_materials_bought, cost_of_materials_used
from journalgen.ledgers.stock import Lot, MaterialStock, Stock, UseCost
from journalgen.site.desk import Desk
from journalgen.site.pages.shape import LEDGERS, Content, Entry, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh
from journalgen.site.words import mark

FILE: Final = "materials.html"


class Line(Struct, frozen=True):
    """A lot with what is left of it, or a use of unknown cost."""

    stock: MaterialStock
    lot: Lot | None = None
    left: Fraction = Fraction(0)
    use: UseCost | None = None

    @property
    def day(self) -> date:
        return self.lot.day if self.lot else self.use.session.day if self.use else date.min


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One file, or one for each year of many lots and uses of unknown cost."""
    lines = tuple(_lines(desk.matter.figures.stock, desk.shows_money))
    return list_files(FILE, divide(lines, lambda line: line.day, _weigh), fill)


def _lines(stock: Stock, unknown: bool) -> Iterator[Line]:
    for material in stock.materials.values():
        for lot, left in zip(material.lots, material.left_in_lots, strict=True):
            yield Line(material, lot, left)
        for use in material.unknown if unknown else ():
            yield Line(material, use=use)


def _weigh(line: Line) -> int:
    session = line.lot.cost.session if line.lot else line.use.session if line.use else None
    return weigh(2, session.title if session else None)


def fill(desk: Desk, stretch: Stretch[Line]) -> Content:
    """What was bought, used and left of each material."""
    stock = desk.matter.figures.stock
    lots: dict[str, list[Line]] = {}
    for line in stretch.rows:
        if line.lot:
            lots.setdefault(line.stock.material.name, []).append(line)
    divided = bool(stretch.label)
    rows = [_row(desk, material, lots.get(name, []), divided) for name, material in stock.materials.items()]
    return Content(
        title=desk._("Materials"),
        description=desk._("What was bought, used and left of every material."),
        fields={
            "materials": rows,
            "money": desk.shows_money,
            "bought": cost_of_materials_bought(stock),
            "used": cost_of_materials_used(stock),
            "unknown": [_use(desk, line.use, line.stock) for line in stretch.rows if line.use],
            "estimated": any(material.estimated for material in stock.materials.values()),
        },
    )


def _row(desk: Desk, stock: MaterialStock, lines: list[Line], divided: bool) -> dict[str, object]:
    """One material with its lots on this file; `lots_left` is what is left of those."""
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
        "lots": [_lot(desk, line.lot, amount(line.lot.amount), amount(line.left)) for line in lines if line.lot],
        "lots_left": amount(sum((line.left for line in lines), Fraction(0)) if divided else stock.left),
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
    FILE,
    list_sheets,
    Entry(LEDGERS, mark("Materials")),
    kind="CollectionPage",
)
