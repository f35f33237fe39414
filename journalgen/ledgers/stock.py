"""The stock ledger: purchases open lots, uses consume them first in, first out, at landed cost.

Everything is kept as exact fractions (a third of a tin has no finite decimal) and rounded only
where it is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.ledgers.calendar import after
from journalgen.ledgers.money import Cost
from journalgen.ledgers.quantities import Unit, convert, is_counted, plain, unit_of
from journalgen.ledgers.sharing import add_up
from journalgen.problems import Problems
from journalgen.records import GENERAL, Material, Session
from journalgen.values import COUNTED, Amount, Place


class UseCost(Struct, frozen=True):
    """Material one part consumed in one session; a line of several parts gives several of these."""

    session: Session
    place: Place
    material: str
    part: str  # or (general)
    amount: Fraction  # in the material's unit
    cost: Fraction | None  # home currency; None: the cost of its lot is not known
    estimated: bool  # some of it was never bought, and is costed at the last known price


class Lot(Struct, frozen=True):
    """One purchase of a material."""

    cost: Cost
    day: date  # arrived, else the session's
    amount: Fraction  # in the material's unit
    landed: Fraction | None  # home currency with postage, duty and tax; None: not converted


class MaterialStock(Struct, frozen=True):
    """What was bought, used and left of one material, in the unit of its first purchase."""

    material: Material
    unit: Unit
    lots: tuple[Lot, ...]
    uses: tuple[UseCost, ...]
    returned: Fraction  # refunded or sold
    returned_cost: Fraction
    left_in_lots: tuple[Fraction, ...]  # beside `lots`
    left: Fraction  # bought less used; negative where more was used than was bought

    @property
    def bought(self) -> Fraction:
        return sum((lot.amount for lot in self.lots), Fraction(0)) - self.returned

    @property
    def used(self) -> Fraction:
        return sum((use.amount for use in self.uses), Fraction(0))

    @property
    def cost_bought(self) -> Fraction | None:
        """Of the lots whose cost is known, less refunds; None if there is no such lot."""
        known = [lot.landed for lot in self.lots if lot.landed is not None]
        return sum(known, Fraction(0)) - self.returned_cost if known else None

    @property
    def cost_used(self) -> Fraction | None:
        """Of the uses whose cost is known; None where that of none is."""
        known = [use.cost for use in self.uses if use.cost is not None]
        nothing_used = not self.uses and self.cost_bought is not None
        return sum(known, Fraction(0)) if known or nothing_used else None

    @property
    def estimated(self) -> bool:
        return any(use.estimated for use in self.uses)

    @property
    def unknown(self) -> tuple[UseCost, ...]:
        """The uses whose cost is not known."""
        return tuple(use for use in self.uses if use.cost is None)


class Stock(Struct, frozen=True):
    """Every material that was bought or used."""

    materials: dict[str, MaterialStock]

    def of_part(self, part: str) -> Stock:
        """The materials one part used, with its own uses; lots and what is left stay the shelf's."""
        rows = {
            name: replace(row, uses=tuple(use for use in row.uses if use.part == part))
            for name, row in self.materials.items()
        }
        return Stock({name: row for name, row in rows.items() if row.uses})

    def consumed_by_part(self) -> dict[str, Fraction]:
        """Known cost of the materials each part consumed, exact."""
        uses = (use for stock in self.materials.values() for use in stock.uses if use.cost is not None)
        return add_up(uses, lambda use: use.part, lambda use: use.cost or Fraction(0))


class _Taking(Struct, frozen=True):
    """A use as written, before it is shared among the parts."""

    session: Session
    place: Place
    amount: Amount
    parts: tuple[str, ...]

    @property
    def day(self) -> date:
        return self.session.day


class _OpenLot(Struct):
    lot: Lot
    left: Fraction
    price: Fraction | None  # home currency for one unit; None: its cost is not known


class _Shelf(Struct):
    """One material's lots as the days go by."""

    open: list[_OpenLot] = field(default_factory=list)
    spent: int = 0  # lots from the oldest on that nothing is left of
    last_price: Fraction | None = None  # home currency for one unit, of the last lot whose cost is known
    returned: Fraction = Fraction(0)
    returned_cost: Fraction = Fraction(0)

    def put(self, lot: Lot) -> None:
        price = lot.landed / lot.amount if lot.landed is not None and lot.amount else None
        self.open.append(_OpenLot(lot, lot.amount, price))
        if price is not None:
            self.last_price = price

    def give_back(self, amount: Fraction, cost: Fraction) -> None:
        """Takes what was refunded or sold from the newest lots; the others keep their price."""
        self.returned += amount
        self.returned_cost += cost
        for held in reversed(self.open):
            taken = min(held.left, amount)
            held.left -= taken
            amount -= taken

    def take(self, amount: Fraction) -> Iterator[tuple[_OpenLot, Fraction]]:
        """The oldest lots with what each gives; ends early when the shelf is empty."""
        while amount > 0 and self.spent < len(self.open):
            held = self.open[self.spent]
            given = min(held.left, amount)
            if given > 0:
                held.left -= given
                amount -= given
                yield held, given
            if held.left > 0:
                return
            self.spent += 1


def keep_stock(
    sessions: Sequence[Session], costs: Iterable[Cost], materials: dict[str, Material], on: date, problems: Problems
) -> Stock:
    """Lots and uses of every material as they stood at the end of the day `on`."""
    takings = _takings([session for session in sessions if session.day <= on])
    bought: dict[str, list[Cost]] = {}
    for cost in costs:
        purchase = cost.purchase
        if purchase.material and _day_of_lot(cost) <= on and cost.session.day <= on:
            if purchase.amount:
                bought.setdefault(purchase.material, []).append(cost)
            elif purchase.sign > 0:
                problems.warning(
                    purchase.place,
                    "amount-missing",
                    f"It is not said how much {purchase.material} was bought, so it is not in stock.",
                    "Add `amount:`, for example `amount: 500 mL`.",
                )
    for name, material in materials.items():
        if name in takings and name not in bought and not _is_a_stranger(material, materials):
            _report_never_bought(material, takings[name][0], problems)
    names = [name for name in materials if name in bought or name in takings]
    return Stock(
        {
            name: _keep_material(materials[name], bought.get(name, []), takings.get(name, []), on, problems)
            for name in names
        }
    )


def _takings(sessions: Iterable[Session]) -> dict[str, list[_Taking]]:
    takings: dict[str, list[_Taking]] = {}
    for session in sessions:
        for line in session.work:
            if line.material and line.amount:
                takings.setdefault(line.material, []).append(_Taking(session, line.place, line.amount, line.parts))
        for use in session.uses:
            if use.amount:
                takings.setdefault(use.material, []).append(_Taking(session, use.place, use.amount, use.parts))
    return takings


def _day_of_lot(cost: Cost) -> date:
    return cost.purchase.arrived or cost.session.day


def _keep_material(
    material: Material, bought: list[Cost], takings: list[_Taking], on: date, problems: Problems
) -> MaterialStock:
    """Runs through one material's purchases and uses in order of time, purchases first on one day."""
    events: list[tuple[date, int, Place, Cost | _Taking]] = [
        *((_day_of_lot(cost), 0, cost.purchase.place, cost) for cost in bought),
        *((taking.day, 1, taking.place, taking) for taking in takings),
    ]
    events.sort(key=lambda event: event[:3])
    amounts = [cost.purchase.amount for _, _, _, cost in events if isinstance(cost, Cost) and cost.purchase.amount]
    unit = unit_of((amounts or [taking.amount for taking in takings])[0])
    shelf, uses = _Shelf(), list[UseCost]()
    for day, _, _, event in events:
        if isinstance(event, Cost):
            _move(shelf, event, day, unit, material, problems)
        else:
            uses.extend(_consume(shelf, event, unit, material, problems if bought else Problems()))
    _report_old_lots(shelf, material, on, problems)
    return MaterialStock(
        material=material,
        unit=unit,
        lots=tuple(held.lot for held in shelf.open),
        uses=tuple(uses),
        returned=shelf.returned,
        returned_cost=shelf.returned_cost,
        left_in_lots=tuple(held.left for held in shelf.open),
        left=sum((h.lot.amount for h in shelf.open), -shelf.returned) - sum((use.amount for use in uses), Fraction(0)),
    )


def _move(shelf: _Shelf, cost: Cost, day: date, unit: Unit, material: Material, problems: Problems) -> None:
    purchase = cost.purchase
    one = _in_unit(purchase.amount, unit, material, purchase.place, problems) if purchase.amount else None
    if one is None:
        return
    amount = one * purchase.count
    if purchase.sign < 0:
        shelf.give_back(amount, -Fraction(cost.home))
    else:
        shelf.put(Lot(cost, day, amount, Fraction(cost.home) if cost.complete and cost.conversions else None))


def _consume(shelf: _Shelf, taking: _Taking, unit: Unit, material: Material, problems: Problems) -> Iterator[UseCost]:
    amount = _in_unit(taking.amount, unit, material, taking.place, problems)
    if amount is None:
        return
    cost: Fraction | None = Fraction(0)
    missing = amount
    for held, given in shelf.take(amount):
        missing -= given
        cost = None if cost is None or held.price is None else cost + held.price * given
        _report_use_of_old_lot(held.lot, material, taking, problems)
    if missing:
        problems.warning(
            taking.place,
            "stock-short",
            f"On {taking.day} {plain(missing)} {unit.name} more {material.name} was used than had been bought.",
            "Enter the missing purchase, or mend the amount.",
        )
        cost = None if cost is None or shelf.last_price is None else cost + shelf.last_price * missing
    parts = taking.parts or (GENERAL,)
    among = len(parts)
    each = amount / among if among > 1 else amount
    share = cost / among if cost is not None and among > 1 else cost
    estimated = bool(missing) and share is not None
    for part in parts:
        yield UseCost(taking.session, taking.place, material.name, part, each, share, estimated)


def _is_a_stranger(material: Material, materials: dict[str, Material]) -> bool:
    """Whether its name is in no register though others are: it was reported for that, and is likely a slip."""
    return not material.registered and any(row.registered for row in materials.values())


def _report_never_bought(material: Material, first: _Taking, problems: Problems) -> None:
    """One warning for all its uses: who keeps no purchases of a thing need not read it at every use."""
    amount = f"{first.amount.number} {first.amount.unit}".strip()
    problems.warning(
        first.place,
        "stock-short",
        f"{material.name} is used from {first.day} on, {amount} that day, but no purchase of it was entered.",
        "Enter what you had, even at a price of 0, or bear with uses of unknown cost.",
    )


def _in_unit(amount: Amount, unit: Unit, material: Material, place: Place, problems: Problems) -> Fraction | None:
    found = convert(amount, unit, material.density)
    if found is None:
        problems.error(
            place,
            "unit-mismatch",
            f"{material.name} is kept in {unit.name}; {amount.number} {amount.unit} cannot be turned into that.",
            "Write the amount in the same unit."
            if is_counted(amount) or unit.dimension.startswith(COUNTED)
            else "Write it in the same kind of unit, or give the material's `density` in register/materials.yaml.",
        )
    return found


def _report_use_of_old_lot(lot: Lot, material: Material, taking: _Taking, problems: Problems) -> None:
    if material.keeps and taking.day > (end := after(lot.day, material.keeps)):
        problems.warning(
            taking.place,
            "used-past-keeping",
            f"The {material.name} used on {taking.day} was bought on {lot.day} and keeps until {end}.",
            "Try it on scrap, and enter a fresh purchase when you open one.",
        )


def _report_old_lots(shelf: _Shelf, material: Material, on: date, problems: Problems) -> None:
    for held in shelf.open:
        if material.keeps and held.left > 0 and on > (end := after(held.lot.day, material.keeps)):
            problems.warning(
                held.lot.cost.purchase.place,
                "lot-past-keeping",
                f"The {material.name} bought on {held.lot.day} keeps until {end}, and some of it is left.",
                "Try it on scrap before use, or dispose of it as its safety data sheet says.",
            )
