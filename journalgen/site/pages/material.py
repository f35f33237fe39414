"""`materials/<slug>.html`: one material, its register's figures, its stock over time, and what can hurt."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from journalgen.ledgers.cautions import gather, signal_word
from journalgen.ledgers.shelf import Move, keep_shelf, uses_by_part
from journalgen.ledgers.stock import MaterialStock
from journalgen.records import Material
from journalgen.site.desk import Desk, Link
from journalgen.site.marks.shelf import lay_shelf
from journalgen.site.pages.shape import Content, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh
from journalgen.values import Window


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One page a material, of the register or used, with a file for each year of one that was used often."""
    figures = desk.matter.figures
    for material in desk.matter.journal.materials.values():
        file = desk.matter.material_page(material.name)
        if file:
            stock = figures.stock.materials.get(material.name)
            moves = keep_shelf(stock, figures.money.costs, figures.on) if stock else ()
            yield from list_files(file, divide(moves, _day, _weigh), fill, material, moves)


def fill(desk: Desk, material: Material, moves: Sequence[Move], stretch: Stretch[Move]) -> Content:
    """All that the journal holds on one material."""
    matter = desk.matter
    stock, lore = matter.figures.stock.materials.get(material.name), matter.lore
    return Content(
        title=material.name,
        description=desk._("%(material)s: what it is, what was bought and used of it, and what is left.")
        % {"material": material.name},
        fields={
            "material": material,
            "facts": _facts(desk, material),
            "stock": _stock(desk, stock, moves, stretch.rows) if stock else None,
            "money": desk.shows_money,
            "suppliers": "suppliers" not in matter.hidden,
            "signal": signal_word(material, lore) if lore else None,
            "cautions": lore and gather([], [material.name], [], matter.journal, lore),
        },
        trail=(Link(desk._("Materials"), desk.root + "materials.html"),),
    )


def _stock(desk: Desk, stock: MaterialStock, moves: Sequence[Move], listed: Sequence[Move]) -> dict[str, object]:
    unit = stock.unit.name
    return {
        "shelf": lay_shelf(desk, stock, moves, listed),
        "bought": desk.formats.quantity(stock.bought, unit),
        "used": desk.formats.quantity(stock.used, unit),
        "left": desk.formats.quantity(stock.left, unit),
        "short": stock.left < 0,
        "total_used": stock.used,
        "cost_bought": stock.cost_bought,
        "cost_used": stock.cost_used,
        "uses": [
            {
                "part": desk.part(row.part),
                "amount": desk.formats.quantity(row.amount, unit),
                "bare": row.amount,
                "cost": row.cost,
                "complete": row.complete,
                "estimated": row.estimated,
            }
            for row in uses_by_part(stock)
        ],
    }


def _day(move: Move) -> date:
    return move.day


def _weigh(move: Move) -> int:
    purchase = move.lot.cost.purchase if move.lot else move.returned
    return weigh(2, move.session.title, purchase.party if purchase else None)


def _facts(desk: Desk, material: Material) -> list[tuple[str, str]]:
    """The register's figures, in the order in which a person at the bench asks for them."""
    _, formats, limits = desk._, desk.formats, material.limits
    per_cent = formats.per_cent
    facts = [
        (_("Kind"), material.kind),
        (_("Also called"), str(formats.listing(material.also_called).unescape()) if material.also_called else None),
        (_("Solids"), material.solids is not None and _("%(share)s by volume") % {"share": per_cent(material.solids)}),
        (
            _("Dry film"),
            material.film is not None and _("%(film)s a coat") % {"film": formats.film(material.film, None)},
        ),
        (_("Loss"), material.loss is not None and per_cent(material.loss)),
        (_("Thinner"), material.thinner is not None and per_cent(material.thinner)),
        (_("Density"), material.density is not None and formats.quantity(material.density, "kg/L")),
        (_("Next coat"), material.recoat and _window(desk, material.recoat)),
        (_("Cured after"), material.cure and formats.span(material.cure)),
        (_("Humidity"), limits.humidity and formats.limits(limits.humidity)),
        (_("Surface"), limits.surface and formats.limits(limits.surface)),
        (_("Air"), limits.air and formats.limits(limits.air)),
        (
            _("Dew point"),
            limits.above_dew_point
            and _("surface %(margin)s above it") % {"margin": formats.difference(limits.above_dew_point)},
        ),
        (_("Keeps"), material.keeps and formats.span(material.keeps)),
        (_("Safety data sheet"), material.safety_sheet),
        (_("Note"), material.note),
    ]
    return [(name, said) for name, said in facts if said]


def _window(desk: Desk, window: Window) -> str | None:
    """`from 4 h to 7 days`"""
    opens = desk.formats.span(window.opens) if window.opens else None
    closes = desk.formats.span(window.closes) if window.closes else None
    if opens and closes:
        return desk._("from %(opens)s to %(closes)s") % {"opens": opens, "closes": closes}
    if opens:
        return desk._("after %(opens)s") % {"opens": opens}
    return desk._("within %(closes)s") % {"closes": closes} if closes else None


PAGE = Page("material.html", "materials.html", list_sheets, folder="materials/")
