"""What was on the shelf of one material after each purchase, return and use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from journalgen.ledgers.money import Cost
from journalgen.ledgers.quantities import convert
from journalgen.ledgers.stock import Lot, MaterialStock, UseCost
from journalgen.records import Purchase, Session
from journalgen.values import Place


class Move(Struct, frozen=True):
    """One thing that changed what was on the shelf: a lot, a use, or a purchase that went back or was sold."""

    day: date
    place: Place
    session: Session
    change: Fraction  # in the material's unit; below nought for what left the shelf
    lot: Lot | None = None
    use: UseCost | None = None
    returned: Purchase | None = None
    left: Fraction = Fraction(0)  # after it; below nought where more was used than had been bought


def keep_shelf(stock: MaterialStock, costs: Iterable[Cost], on: date) -> tuple[Move, ...]:
    """Every move in order of time, on one day purchases first; the last one leaves what the stock has left."""
    moves = sorted(
        (*_lots(stock), *_returns(stock, costs, on), *_uses(stock)),
        key=lambda move: (move.day, move.use is not None, move.place),
    )
    left, found = Fraction(0), []
    for move in moves:
        left += move.change
        found.append(replace(move, left=left))
    return tuple(found)


def _lots(stock: MaterialStock) -> Iterator[Move]:
    for lot in stock.lots:
        yield Move(lot.day, lot.cost.purchase.place, lot.cost.session, lot.amount, lot=lot)


def _uses(stock: MaterialStock) -> Iterator[Move]:
    for use in stock.uses:
        yield Move(use.session.day, use.place, use.session, -use.amount, use=use)


def _returns(stock: MaterialStock, costs: Iterable[Cost], on: date) -> Iterator[Move]:
    for cost in costs:
        purchase = cost.purchase
        day = purchase.arrived or cost.session.day
        if purchase.material != stock.material.name or purchase.sign > 0 or not purchase.amount or day > on:
            continue
        one = convert(purchase.amount, stock.unit, stock.material.density)
        if one is not None:
            yield Move(day, purchase.place, cost.session, -one * purchase.count, returned=purchase)


class PartUse(Struct, frozen=True):
    """What one part used of the material."""

    part: str  # or (general)
    amount: Fraction
    cost: Fraction | None  # home currency, as far as it is known; None where nothing of it is
    complete: bool  # the cost of every use is known
    estimated: bool


def uses_by_part(stock: MaterialStock) -> tuple[PartUse, ...]:
    """The uses added up by part, the most first."""
    by_part: dict[str, list[UseCost]] = {}
    for use in stock.uses:
        by_part.setdefault(use.part, []).append(use)
    found = [_of_part(part, uses) for part, uses in by_part.items()]
    return tuple(sorted(found, key=lambda row: -row.amount))


def _of_part(part: str, uses: list[UseCost]) -> PartUse:
    known = [use.cost for use in uses if use.cost is not None]
    return PartUse(
        part=part,
        amount=sum((use.amount for use in uses), Fraction(0)),
        cost=sum(known, Fraction(0)) if known else None,
        complete=len(known) == len(uses),
        estimated=any(use.estimated for use in uses),
    )
