"""A purchase as a row: what it was, what it cost, and how that became home money."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from msgspec import Struct

from journalgen.ledgers.money import Conversion, Cost
from journalgen.records import Purchase
from journalgen.site.desk import Desk, Link, Teller
from journalgen.values import Money


class Billed(Struct, frozen=True):
    """One currency's sum, and the rate at which it was converted in words."""

    money: Money
    rate: str


class PurchaseRow(Struct, frozen=True):
    """One line of the purchases; money is left out by the template where it is not shown."""

    day: date
    what: str
    material: Link | None
    kind: str
    parts: tuple[Link, ...]  # those it was for
    party: Link | None
    billed: tuple[Billed, ...]
    home: Decimal
    priced: bool  # something was billed or paid
    complete: bool  # all of it is in `home`
    partial: bool  # some of it is
    details: tuple[str, ...]  # price, postage, duty, tax, dates, note
    session: Link
    private: bool
    share: Decimal | None = None  # of one part, where the row stands on that part's page


def list_purchases(desk: Desk, costs: Iterable[Cost]) -> list[PurchaseRow]:
    """Rows in the order given."""
    return [list_purchase(desk, cost) for cost in costs]


def list_purchase(desk: Desk, cost: Cost, share: Decimal | None = None) -> PurchaseRow:
    """One purchase as a row."""
    purchase = cost.purchase
    return PurchaseRow(
        day=cost.day,
        what=what_was_bought(desk, purchase),
        material=desk.material(purchase.material) if purchase.material else None,
        kind=desk.term(purchase.kind),
        parts=tuple(desk.part(part) for part in purchase.parts),
        party=desk.party(purchase.party),
        billed=tuple(Billed(c.billed, rate_in_words(desk, c)) for c in cost.conversions),
        home=cost.home,
        priced=bool(cost.conversions),
        complete=cost.complete,
        partial=any(c.home is not None for c in cost.conversions),
        details=tuple(details_of(desk, cost)),
        session=desk.session(cost.session),
        private=purchase.private,
        share=share if len(purchase.parts) > 1 else None,
    )


def what_was_bought(desk: Teller, purchase: Purchase) -> str:
    """What was bought in words; a material's own name is linked and stands before this."""
    words = [purchase.what] if purchase.what else []
    if purchase.amount:
        times = f"{desk.formats.number(purchase.count)} x " if purchase.count > 1 else ""
        words.append(times.replace("x", "\N{MULTIPLICATION SIGN}") + desk.formats.amount(purchase.amount))
    if not words and not purchase.material:
        words = [desk.formats.sentence(purchase.parts)] if purchase.parts else [desk.term(purchase.kind)]
    return ", ".join(words)


def rate_in_words(desk: Teller, conversion: Conversion) -> str:
    """How the sum became home money, in words; nothing for home money itself."""
    _ = desk._
    if conversion.origin == "paid":
        return _("as paid in home currency") if conversion.billed.currency != desk.home_currency else ""
    if conversion.rate is None:
        return "" if conversion.origin == "home" else _("no rate is known")
    rate = desk.formats.rate(conversion.rate)
    if conversion.origin == "purchase":
        return _("at %(rate)s, as the entry has it") % {"rate": rate}
    if conversion.rate_day is None:
        return _("at %(rate)s, from the journal's own table") % {"rate": rate}
    shown = {"rate": rate, "day": desk.formats.short(conversion.rate_day)}
    return _("at %(rate)s of %(day)s, European Central Bank") % shown


def details_of(desk: Teller, cost: Cost) -> Iterable[str]:
    """What the sum is made of and when the thing came, one phrase each."""
    _, purchase, formats = desk._, cost.purchase, desk.formats
    if desk.shows_money:
        extras = ((purchase.postage, _("postage")), (purchase.duty, _("duty")), (purchase.tax, _("tax")))
        added = [f"{name} {formats.money(money)}" for money, name in extras if money]
        if purchase.price and (purchase.count > 1 or added):
            times = f"{formats.number(purchase.count)} \N{MULTIPLICATION SIGN} " if purchase.count > 1 else ""
            yield times + formats.money(purchase.price)
        yield from added
    if purchase.ordered and purchase.ordered != cost.session.day:
        yield _("ordered %(day)s") % {"day": formats.short(purchase.ordered)}
    if purchase.arrived and purchase.arrived != cost.session.day:
        yield _("arrived %(day)s") % {"day": formats.short(purchase.arrived)}
    if purchase.note:
        yield purchase.note
