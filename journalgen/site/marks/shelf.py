"""What was on the shelf of a material over time: the drawing, and the lots and uses as a table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from journalgen.ledgers.shelf import Move
from journalgen.ledgers.stock import MaterialStock
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.stock import draw_stock


class MoveRow(Struct, frozen=True):
    """One lot, use or return; costs are not to be shown where money is not."""

    day: date
    kind: str  # bought, used, went back, sold
    part: Link | None  # of a use
    change: str
    left: str
    short: bool
    cost: Fraction | None
    flag: str  # why there is no cost, or that it is estimated
    party: Link | None
    session: Link
    private: bool


class ShelfView(Struct, frozen=True):
    """The drawing and its table."""

    drawing: str
    rows: tuple[MoveRow, ...]


def lay_shelf(desk: Desk, stock: MaterialStock, moves: Sequence[Move], listed: Sequence[Move]) -> ShelfView:
    """The moves of one material, which are in order of time: the drawing of all, and the rows of those listed."""
    unit, formats = stock.unit.name, desk.formats
    label = desk._("%(material)s on the shelf, %(first)s to %(last)s: at the most %(most)s, now %(left)s.") % {
        "material": stock.material.name,
        "first": formats.long(moves[0].day) if moves else "",
        "last": formats.long(desk.matter.figures.on),
        "most": formats.quantity(max((move.left for move in moves), default=Fraction(0)), unit),
        "left": formats.quantity(stock.left, unit),
    }

    def say(figure: Decimal) -> str:
        return formats.quantity(Fraction(figure), unit)

    points = [(move.day, move.left) for move in moves]
    drawing = draw_stock(points, desk.matter.figures.on, label, say, formats.short)
    return ShelfView(drawing, tuple(_row(desk, move, unit) for move in listed))


def _row(desk: Desk, move: Move, unit: str) -> MoveRow:
    purchase = move.lot.cost.purchase if move.lot else move.returned
    cost, flag = _cost(desk, move)
    return MoveRow(
        day=move.day,
        kind=_kind(desk, move),
        part=desk.part(move.use.part) if move.use else None,
        change=desk.formats.quantity(move.change, unit),
        left=desk.formats.quantity(move.left, unit),
        short=move.left < 0,
        cost=cost,
        flag=flag,
        party=desk.party(purchase.party) if purchase else None,
        session=desk.session(move.session),
        private=bool(purchase and purchase.private and not move.session.private),
    )


def _kind(desk: Desk, move: Move) -> str:
    if move.use:
        return desk._("used")
    if move.lot:
        return desk._("bought")
    return desk._("sold") if move.returned and move.returned.kind == "sale" else desk._("went back")


def _cost(desk: Desk, move: Move) -> tuple[Fraction | None, str]:
    if move.use:
        flag = desk._("not known") if move.use.cost is None else desk._("estimated") if move.use.estimated else ""
        return move.use.cost, flag
    if move.lot and move.lot.landed is None:
        return None, desk._("not converted") if move.lot.cost.conversions or move.lot.cost.not_converted else desk._(
            "not given"
        )
    return (move.lot.landed if move.lot else None), ""
