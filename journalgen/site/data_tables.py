"""The ledgers as tables: which columns each has, and which of them an edition may show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final, TypeAlias

from msgspec import Struct

from journalgen.editions import HOURS, PRICES, SUPPLIERS
from journalgen.ledgers.hours import assembly_of
from journalgen.ledgers.measures import verdict
from journalgen.ledgers.money import Cost
from journalgen.ledgers.quantities import plain
from journalgen.ledgers.sharing import round_money
from journalgen.records import GENERAL, UNSPECIFIED, Measure, Session, WorkLine
from journalgen.site.matter import Matter
from journalgen.values import Amount, Money

Cell: TypeAlias = str | int | Decimal | Fraction | date | None
Row: TypeAlias = dict[str, Cell]

_RATE_FIGURES: Final = 6
_PRIVATE: Final = "private"
_HOURS: Final = ("date", "session", "part", "assembly", "step", "minutes", _PRIVATE)
_PURCHASES: Final = (
    "day_paid", "session", "kind", "parts", "material", "what", "count", "amount", "unit",
    "price", "price_currency", "postage", "postage_currency", "duty", "duty_currency", "tax", "tax_currency",
    "paid", "rate", "rate_day", "rate_origin", "cost", "cost_currency", "not_converted",
    "from", "ordered", "arrived", "note", _PRIVATE,
)  # fmt: skip
_STOCK: Final = ("material", "unit", "bought", "used", "left", "cost_bought", "cost_used", "cost_currency", "estimated")
_MEASURES: Final = (
    "date", "session", "parts", "what", "value", "unit", "low", "high", "uncertainty", "verdict", "limits", "note",
    _PRIVATE,
)  # fmt: skip
_STEPS: Final = (
    "date", "part", "step", "coat", "minutes", "material", "amount", "unit", "air", "humidity", "surface", "result",
    _PRIVATE,
)  # fmt: skip
_OF_KIND: Final = {
    PRICES: ("cost_bought", "cost_used", "cost_currency", "estimated"),
    SUPPLIERS: ("from",),
    HOURS: ("minutes",),
}
"""The columns that a hidden kind of fact takes away."""


class Table(Struct, frozen=True):
    """One table of data; every row has a cell for every column."""

    name: str
    columns: tuple[str, ...]
    rows: Iterable[list[Cell]]
    timed: bool  # whether it tells hours: another is the same however long a session took


def list_tables(matter: Matter) -> Iterator[Table]:
    """The tables of an edition. Purchases are left out where prices are hidden, hours where hours are."""
    if HOURS not in matter.hidden:
        yield _table(matter, "hours", _HOURS, _hours(matter))
    if PRICES not in matter.hidden:
        yield _table(matter, "purchases", _PURCHASES, _purchases(matter))
    yield _table(matter, "stock", _STOCK, _stock(matter))
    yield _table(matter, "measures", _MEASURES, _measures(matter))
    yield _table(matter, "steps", _STEPS, _steps(matter))


def _table(matter: Matter, name: str, columns: tuple[str, ...], rows: Iterable[Row]) -> Table:
    gone = {column for kind in matter.hidden for column in _OF_KIND.get(kind, ())}
    if not matter.owner:
        gone.add(_PRIVATE)  # the public edition has nothing private, and need not say so in every row
    shown = tuple(column for column in columns if column not in gone)
    timed = not set(_OF_KIND[HOURS]).isdisjoint(columns)
    return Table(name, shown, ([row[column] for column in shown] for row in rows), timed)


def _hours(matter: Matter) -> Iterator[Row]:
    """A row for each share of each session; the minutes add up to the ledger's."""
    for share in matter.figures.hours.shares:
        yield {
            "date": share.session.day,
            "session": share.session.page,
            "part": share.part,
            "assembly": assembly_of(share.part, matter.journal.parts),
            "step": share.step,
            "minutes": share.minutes,
            _PRIVATE: _yes(share.session.private or (share.line is not None and share.line.private)),
        }


def _purchases(matter: Matter) -> Iterator[Row]:
    """A row for each purchase, refund and sale; the costs add up to the ledger's total."""
    home = matter.journal.settings.home_currency
    for cost in matter.figures.money.costs:
        purchase = cost.purchase
        yield {
            "day_paid": cost.day,
            "session": cost.session.page,
            "kind": purchase.kind,
            "parts": _list(purchase.parts),
            "material": purchase.material,
            "what": purchase.what,
            "count": purchase.count,
            **_amount("amount", purchase.amount),
            **_money("price", purchase.price),
            **_money("postage", purchase.postage),
            **_money("duty", purchase.duty),
            **_money("tax", purchase.tax),
            "paid": purchase.paid.amount if purchase.paid else None,
            **_rates(cost),
            "cost": cost.home,
            "cost_currency": home,
            "not_converted": _list(f"{money.amount:f} {money.currency}" for money in cost.not_converted),
            "from": purchase.party,
            "ordered": purchase.ordered,
            "arrived": purchase.arrived,
            "note": purchase.note,
            _PRIVATE: _yes(purchase.private or cost.session.private),
        }


def _rates(cost: Cost) -> Row:
    """The rate with its day and origin; of several, which a bill in several currencies has, a list."""
    used = [c for c in cost.conversions if c.rate is not None]
    if len(used) == 1:
        rate = Decimal(write_rate(used[0].rate or Fraction(0)))
        return {"rate": rate, "rate_day": used[0].rate_day, "rate_origin": used[0].origin}
    return {
        "rate": _list(f"{write_rate(c.rate or Fraction(0))} {c.billed.currency}" for c in used),
        "rate_day": _list(str(c.rate_day or "") for c in used),
        "rate_origin": _list(c.origin for c in used),
    }


def write_rate(rate: Fraction) -> str:
    """A rate to six decimals, and to six figures where one foreign unit is worth very little."""
    places = _RATE_FIGURES
    while rate and abs(rate) * 10 ** (places - _RATE_FIGURES + 1) < 1:
        places += 1
    return plain(rate, places)


def _stock(matter: Matter) -> Iterator[Row]:
    decimals = matter.journal.settings.home_decimals
    for name, row in matter.figures.stock.materials.items():
        yield {
            "material": name,
            "unit": row.unit.name,
            "bought": row.bought,
            "used": row.used,
            "left": row.left,
            "cost_bought": None if row.cost_bought is None else round_money(row.cost_bought, decimals),
            "cost_used": None if row.cost_used is None else round_money(row.cost_used, decimals),
            "cost_currency": matter.journal.settings.home_currency,
            "estimated": _yes(row.estimated),
        }


def _measures(matter: Matter) -> Iterator[Row]:
    for session in matter.figures.sessions:
        for measure in session.measures:
            yield {
                "date": session.day,
                "session": session.page,
                "parts": _list(measure.parts),
                "what": measure.what,
                **_amount("value", measure.value),
                **_limits(measure),
                "verdict": verdict(measure),
                "note": measure.note,
                _PRIVATE: _yes(measure.private or session.private),
            }


def _limits(measure: Measure) -> Row:
    """The limits and the uncertainty in the unit of the value, so that the columns can be compared."""
    value, limits, doubt = measure.value, measure.limits, measure.uncertainty

    def in_its_unit(limit: Amount | None) -> Fraction | None:
        return (limit.base - value.offset) / value.factor if limit else None

    return {
        "low": in_its_unit(limits.low) if limits else None,
        "high": in_its_unit(limits.high) if limits else None,
        "uncertainty": doubt.span / value.factor if doubt else None,
        "limits": limits.text if limits else None,
    }


def _steps(matter: Matter) -> Iterator[Row]:
    """A row for each part of each work line, with the part's own share of the minutes and the material."""
    minutes: dict[tuple[int, str], int] = {}  # by the line itself: two lines of a session may read the same
    for share in matter.figures.hours.shares:
        if share.line is not None:
            minutes[id(share.line), share.part] = share.minutes
    for session in matter.figures.sessions:
        for line in session.work:
            for part in line.parts or (GENERAL,):
                yield _step(session, line, part, minutes.get((id(line), part)))


def _step(session: Session, line: WorkLine, part: str, minutes: int | None) -> Row:
    among = max(1, len(line.parts))
    return {
        "date": session.day,
        "part": part,
        "step": line.step or UNSPECIFIED,
        "coat": line.coat,
        "minutes": minutes,
        "material": line.material,
        "amount": Fraction(line.amount.number) / among if line.amount else None,
        "unit": line.amount.unit if line.amount else None,
        "air": line.air,
        "humidity": line.humidity,
        "surface": line.surface,
        "result": line.result,
        _PRIVATE: _yes(line.private or session.private),
    }


def _amount(name: str, amount: Amount | None) -> Row:
    return {name: amount.number if amount else None, "unit": amount.unit if amount else None}


def _money(name: str, money: Money | None) -> Row:
    return {name: money.amount if money else None, f"{name}_currency": money.currency if money else None}


def _list(items: Iterable[str]) -> str:
    return "; ".join(items)


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"
