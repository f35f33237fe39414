"""Hours, money and stock as the command gives them: the JSON of `totals --json` (journalgen-totals/1)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from msgspec import Struct

from journalgen.columns import wrap
from journalgen.knowledge import currencies
from journalgen.ledgers.hours import Hours, HoursShare, keep_hours
from journalgen.ledgers.money import Cost, MoneyLedger, ReferenceRates, keep_money, rules_of
from journalgen.ledgers.quantities import plain
from journalgen.ledgers.sharing import round_money, share_money
from journalgen.ledgers.stock import MaterialStock, Stock, keep_stock
from journalgen.problems import Problem, Problems
from journalgen.reading.hours import spell_clock
from journalgen.records import GENERAL, Journal, Session
from journalgen.terminal import WIDTH, one_line, table_lines

FORMAT: Final = "journalgen-totals/1"


class Choice(Struct, frozen=True):
    """What the totals are asked for. The days are inclusive; None leaves a side open."""

    on: date
    since: date | None = None
    until: date | None = None
    part: str | None = None  # in the register's spelling

    @property
    def end(self) -> date:
        return min(self.until, self.on) if self.until else self.on

    def has(self, day: date) -> bool:
        return (self.since is None or day >= self.since) and day <= self.end


class Totals(Struct, frozen=True):
    """The ledgers narrowed to what was asked for."""

    journal: Journal
    choice: Choice
    sessions: tuple[Session, ...]
    hours: Hours
    money: MoneyLedger
    stock: Stock


def total(journal: Journal, reference: ReferenceRates, choice: Choice) -> Totals:
    """Sessions and hours by their day, money by the day paid, stock always as at the end.

    Sessions after `on` do not count at all. Narrowed to a part, hours and money are that part's
    shares, and the materials are those it used, with what it used of each. What does not add up is
    reported by an inspection, over the whole journal, and not here.
    """
    problems = Problems()
    counted = tuple(session for session in journal.sessions if session.day <= choice.on)
    hours = keep_hours(counted, problems)
    money = keep_money(counted, rules_of(journal, reference), problems)
    stock = keep_stock(counted, money.costs, journal.materials, choice.end, problems)
    sessions = tuple(session for session in counted if choice.has(session.day))
    hours = hours.only(lambda share: choice.has(share.session.day))
    money = money.only(lambda cost: choice.has(cost.day))
    if choice.part is None:
        return Totals(journal, choice, sessions, hours, money, stock)
    return _of_part(Totals(journal, choice, sessions, hours, money, stock), choice.part)


def _of_part(totals: Totals, part: str) -> Totals:
    def mine(share: HoursShare) -> bool:
        return share.part == part

    hours = totals.hours.only(mine)
    money = MoneyLedger(
        tuple(_cost_of_part(cost, part) for cost in totals.money.costs if part in dict(cost.shares)),
        totals.money.decimals,
    )
    stock = totals.stock.of_part(part)
    named = {share.session.page for share in hours.shares} | {cost.session.page for cost in money.costs}
    named |= {use.session.page for row in stock.materials.values() for use in row.uses}
    sessions = tuple(s for s in totals.sessions if s.page in named or part in s.parts)
    return Totals(totals.journal, totals.choice, sessions, hours, money, stock)


def _cost_of_part(cost: Cost, part: str) -> Cost:
    """One part's share of a purchase that may be for several."""
    among = cost.purchase.parts or (GENERAL,)
    at = among.index(part)

    def mine(amount: Decimal, currency: str) -> Decimal:
        return share_money(amount, len(among), max(currencies()[currency], -_exponent(amount)))[at]

    conversions = tuple(
        conversion.of_share(mine(conversion.billed.amount, conversion.billed.currency))
        for conversion in cost.conversions
    )
    home = dict(cost.shares)[part]
    return Cost(cost.session, cost.purchase, cost.day, conversions, home, ((part, home),))


def _exponent(amount: Decimal) -> int:
    exponent = amount.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def totals_json(totals: Totals, found: Sequence[Problem]) -> dict[str, Any]:
    """The totals in the stable shape of journalgen-totals/1."""
    journal, money = totals.journal, totals.money
    days = [session.day for session in totals.sessions]
    home = journal.settings.home_currency
    consumed = {part: round_money(cost, money.decimals) for part, cost in totals.stock.consumed_by_part().items()}
    return {
        "format": FORMAT,
        "journal": {"title": journal.settings.title, "home_currency": home, "on": str(totals.choice.on)},
        "sessions": {
            "count": len(days),
            "first": str(min(days)) if days else None,
            "last": str(max(days)) if days else None,
        },
        "hours": {
            "minutes": totals.hours.minutes,
            "by_part": totals.hours.by_part(),
            "by_assembly": totals.hours.by_assembly(journal.parts),
            "by_step": totals.hours.by_step(),
            "by_month": totals.hours.by_month(),
        },
        "money": {
            "total": str(money.total),
            "by_kind": _home(money.by_kind()),
            "by_part": _home(money.by_part()),
            "by_currency": _billed(money.by_currency()),
            "by_month": _home(money.by_month()),
            "not_converted": _billed(money.not_converted()),
            "consumed_by_part": _home(consumed),
        },
        "materials": {name: _material(row, money.decimals) for name, row in totals.stock.materials.items()},
        "problems": {
            "errors": sum(problem.is_error for problem in found),
            "warnings": sum(not problem.is_error for problem in found),
        },
    }


def _home(amounts: Mapping[str, Decimal]) -> dict[str, str]:
    """Home money is rounded to its minor unit already; this only writes it."""
    return {name: f"{amount:f}" for name, amount in amounts.items()}


def _billed(amounts: Mapping[str, Decimal]) -> dict[str, str]:
    """Amounts as billed, with the decimals of their currency, or more where more were written."""
    return {currency: billed(amount, currency) for currency, amount in amounts.items()}


def billed(amount: Decimal, currency: str) -> str:
    """One amount of a currency with at least the decimals of its minor unit, at most six."""
    text = plain(amount)
    written = len(text.partition(".")[2])
    decimals = currencies()[currency]
    return text if written >= decimals else f"{Decimal(text):.{decimals}f}"


def _material(row: MaterialStock, decimals: int) -> dict[str, Any]:
    def money(amount: Fraction | None) -> str | None:
        return None if amount is None else f"{round_money(amount, decimals):f}"

    return {
        "unit": row.unit.name,
        "bought": plain(row.bought),
        "used": plain(row.used),
        "left": plain(row.left),
        "cost_bought": money(row.cost_bought),
        "cost_used": money(row.cost_used),
        "estimated": row.estimated,
    }


def totals_lines(totals: Totals) -> Iterator[str]:
    """The totals as tables of 80 columns for a person."""
    settings = totals.journal.settings
    days = [session.day for session in totals.sessions]
    yield from wrap(one_line(f"{settings.title}, as at {totals.choice.end}"), WIDTH)
    if totals.choice.part:
        yield from wrap(one_line(f"Only what belongs to {totals.choice.part}."), WIDTH)
    span = f" from {min(days)} to {max(days)}" if days else ""
    yield f"{len(days)} session{'' if len(days) == 1 else 's'}{span}"
    yield ""
    yield from _hours_table("By assembly", totals.hours.by_assembly(totals.journal.parts))
    yield from _hours_table("By part", totals.hours.by_part())
    yield from _hours_table("By step", totals.hours.by_step())
    yield from _money_tables(totals)
    yield from _stock_table(totals)


def _hours_table(head: str, minutes: Mapping[str, int]) -> Iterator[str]:
    if minutes:
        rows = [[name, spell_clock(spent)] for name, spent in sorted(minutes.items(), key=lambda item: -item[1])]
        yield from table_lines([head, "h:mm"], rows, ["Together", spell_clock(sum(minutes.values()))])
        yield ""


def _money_tables(totals: Totals) -> Iterator[str]:
    money, home = totals.money, totals.journal.settings.home_currency
    if not money.costs:
        return
    for head, amounts in (("By kind", money.by_kind()), ("Bought for", money.by_part())):
        rows = [[name, f"{amount:f}"] for name, amount in sorted(amounts.items(), key=lambda item: -item[1])]
        yield from table_lines([head, home], rows, ["Together", f"{money.total:f}"])
        yield ""
    for currency, amount in money.not_converted().items():
        yield f"Not converted, and not in these sums: {billed(amount, currency)} {currency}"
    if money.not_converted():
        yield ""


def _cost_used(row: MaterialStock, decimals: int) -> str:
    """`12.50`, with a star where some of it is estimated and a question mark where some is not known."""
    known = "" if row.cost_used is None else f"{round_money(row.cost_used, decimals):f}"
    return known + "*" * row.estimated + "?" * bool(row.unknown)


def _stock_table(totals: Totals) -> Iterator[str]:
    rows = [
        [
            name,
            row["unit"],
            row["bought"],
            row["used"],
            row["left"],
            _cost_used(totals.stock.materials[name], totals.money.decimals),
        ]
        for name, row in ((name, _material(row, totals.money.decimals)) for name, row in totals.stock.materials.items())
    ]
    if rows:
        yield from table_lines(["Material", "unit", "bought", "used", "left", "cost used"], rows, texts=2)
        if totals.choice.since:
            yield f"Stock counts from the first purchase on, up to {totals.choice.end}, whatever --since says."
        if any("*" in row[-1] for row in rows):
            yield "* more was used than bought; the rest is costed at the last known price"
        if any("?" in row[-1] for row in rows):
            yield "? the cost of some of it is not known"
