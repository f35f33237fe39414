"""The money ledger: what each purchase cost in home currency, at which rate, and for which part.

The amounts of one purchase are added per currency, and each such sum is converted and rounded
once. What was paid in home currency wins over any conversion; then the purchase's own rate, the
journal's table, and the reference rate of the day paid. Without a rate an amount stays in its own
currency and is listed as not converted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final, Protocol

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.ledgers.sharing import add_up, month_of, round_money, share_money
from journalgen.problems import Problems
from journalgen.records import GENERAL, Journal, Purchase, Session
from journalgen.values import Money

RATE_AGE_LIMIT: Final = timedelta(days=14)
"""A reference rate older than this, on the day it stands for, is used with a warning."""


class ReferenceRate(Struct, frozen=True):
    """Home units for one foreign unit, as published or crossed for `day`."""

    rate: Fraction  # exact: a crossed rate has no finite decimal
    day: date


class ReferenceRates(Protocol):
    """Where reference rates come from; the command hands one in."""

    def find(self, currency: str, home: str, day: date) -> ReferenceRate | None:
        """The rate of `day`, or of the last earlier day that has one; None where there is none."""


class Conversion(Struct, frozen=True):
    """One currency's sum of one purchase, and how it became home currency."""

    billed: Money  # signed: negative for a refund or a sale
    home: Decimal | None  # signed and rounded; None: not converted
    rate: Fraction | None  # home units for one foreign unit; None for home currency and what was paid
    rate_day: date | None  # of a reference rate
    origin: str  # home, paid, purchase, journal, reference, none

    def of_share(self, amount: Decimal) -> Conversion:
        """The same conversion for a share of the sum as billed."""
        return replace(self, billed=Money(amount, self.billed.currency))


class Cost(Struct, frozen=True):
    """What one purchase came to."""

    session: Session
    purchase: Purchase
    day: date  # the day paid
    conversions: tuple[Conversion, ...]
    home: Decimal  # signed, the sum of what could be converted or what was paid
    shares: tuple[tuple[str, Decimal], ...]  # by part, adding up to `home`

    @property
    def complete(self) -> bool:
        """Whether all of it is known in home currency."""
        return all(c.home is not None or c.origin == "paid" for c in self.conversions)

    @property
    def not_converted(self) -> tuple[Money, ...]:
        return tuple(c.billed for c in self.conversions if c.home is None and c.origin == "none")


class MoneyLedger(Struct, frozen=True):
    """Every purchase with its cost. Each `by_` total of home money adds up to `total`."""

    costs: tuple[Cost, ...]
    decimals: int  # of the home currency, ISO 4217

    @property
    def total(self) -> Decimal:
        return sum((cost.home for cost in self.costs), self.zero)

    @property
    def zero(self) -> Decimal:
        return Decimal(0).scaleb(-self.decimals)

    def by_kind(self) -> dict[str, Decimal]:
        return add_up(self.costs, lambda cost: cost.purchase.kind, lambda cost: cost.home)

    def by_part(self) -> dict[str, Decimal]:
        """Purchases for each part, `(general)` for the rest; materials consumed are not in it."""
        shares = [share for cost in self.costs for share in cost.shares]
        return add_up(shares, lambda share: share[0], lambda share: share[1])

    def by_month(self) -> dict[str, Decimal]:
        """By the month of the day paid, in order of time."""
        return dict(sorted(add_up(self.costs, lambda c: month_of(c.day), lambda c: c.home).items()))

    def by_currency(self) -> dict[str, Decimal]:
        """Amounts as billed, before conversion, with those that were not converted."""
        return _by_currency(c.billed for cost in self.costs for c in cost.conversions)

    def not_converted(self) -> dict[str, Decimal]:
        return _by_currency(money for cost in self.costs for money in cost.not_converted)

    def only(self, wanted: Callable[[Cost], bool]) -> MoneyLedger:
        """The ledger narrowed to the purchases that are wanted."""
        return MoneyLedger(tuple(cost for cost in self.costs if wanted(cost)), self.decimals)


def _by_currency(sums: Iterable[Money]) -> dict[str, Decimal]:
    return dict(sorted(add_up(sums, lambda m: m.currency, lambda m: m.amount).items()))


class MoneyRules(Struct, frozen=True):
    """What conversion needs to know beside the purchases."""

    home: str  # ISO 4217 code
    decimals: int  # its minor unit
    reference: ReferenceRates
    table: Mapping[str, Decimal] = field(default_factory=dict)  # the journal's own rates


def rules_of(journal: Journal, reference: ReferenceRates) -> MoneyRules:
    """How this journal converts money."""
    settings = journal.settings
    return MoneyRules(settings.home_currency, settings.home_decimals, reference, dict(settings.rates))


def keep_money(sessions: Iterable[Session], rules: MoneyRules, problems: Problems) -> MoneyLedger:
    """The cost of every purchase, sale and refund, in the sessions' order."""
    costs = (cost_of(purchase, session, rules, problems) for session in sessions for purchase in session.purchases)
    return MoneyLedger(tuple(costs), rules.decimals)


def day_paid(purchase: Purchase, session: Session) -> date:
    """The day ordered, else the session's."""
    return purchase.ordered or session.day


def billed_sums(purchase: Purchase, home: str) -> list[Money]:
    """count x price + postage + duty + tax, signed, added per currency, in the order written.

    What was paid, with nothing billed, is what was billed.
    """
    amounts = [
        Money(purchase.price.amount * purchase.count, purchase.price.currency) if purchase.price else None,
        purchase.postage,
        purchase.duty,
        purchase.tax,
    ]
    billed = [money for money in amounts if money] or ([purchase.paid] if purchase.paid else [])
    sums = add_up(billed, lambda m: m.currency, lambda m: m.amount)
    return [Money(purchase.sign * amount, currency) for currency, amount in sums.items()]


def cost_of(purchase: Purchase, session: Session, rules: MoneyRules, problems: Problems) -> Cost:
    """Converts one purchase and shares it equally among its parts."""
    day = day_paid(purchase, session)
    sums = billed_sums(purchase, rules.home)
    if purchase.paid:
        conversions = [Conversion(money, None, None, None, "paid") for money in sums]
        home = purchase.sign * round_money(purchase.paid.amount, rules.decimals)
    else:
        conversions = [_convert(money, purchase, day, rules, problems) for money in sums]
        home = sum((c.home for c in conversions if c.home is not None), Decimal(0).scaleb(-rules.decimals))
    parts = purchase.parts or (GENERAL,)
    shares = zip(parts, share_money(home, len(parts), rules.decimals), strict=True)
    return Cost(session, purchase, day, tuple(conversions), home, tuple(shares))


def _convert(money: Money, purchase: Purchase, day: date, rules: MoneyRules, problems: Problems) -> Conversion:
    if money.currency == rules.home:
        return Conversion(money, round_money(money.amount, rules.decimals), None, None, "home")
    if purchase.rate is not None:
        return _at(money, Fraction(purchase.rate), None, "purchase", rules)
    if money.currency in rules.table:
        return _at(money, Fraction(rules.table[money.currency]), None, "journal", rules)
    found = rules.reference.find(money.currency, rules.home, day)
    if found is None:
        problems.warning(
            purchase.place,
            "not-converted",
            f"There is no rate from {money.currency} to {rules.home} for {day}; "
            f"{abs(money.amount)} {money.currency} is listed as not converted.",
            f"Add `paid:` in {rules.home}, `rate:` to the line, or {money.currency} under [rates] in journal.toml.",
        )
        return Conversion(money, None, None, None, "none")
    if day - found.day > RATE_AGE_LIMIT:
        problems.warning(
            purchase.place,
            "old-rate",
            f"The newest rate from {money.currency} to {rules.home} before {day} is of {found.day}.",
            f"Add `paid:` in {rules.home} or `rate:` to the line if you know better.",
        )
    return _at(money, found.rate, found.day, "reference", rules)


def _at(money: Money, rate: Fraction, rate_day: date | None, origin: str, rules: MoneyRules) -> Conversion:
    return Conversion(money, round_money(Fraction(money.amount) * rate, rules.decimals), rate, rate_day, origin)
