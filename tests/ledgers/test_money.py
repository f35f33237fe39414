"""What each purchase came to, at which rate, and for whom."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.ledgers.money import MoneyLedger, MoneyRules, cost_of, keep_money
from journalgen.ledgers.sharing import round_money, share_money
from journalgen.problems import Problems
from journalgen.records import Purchase
from journalgen.values import Money
from tests.journals import PLACE, FixedRates, entry, rules

RATES = FixedRates({("EUR", "GBP"): Fraction(85, 100), ("USD", "GBP"): Fraction(79, 100)})
RULES = MoneyRules("GBP", 2, RATES, {"ITL": Decimal("0.0004")})


def ledger(bought: str, problems: Problems | None = None, rates: MoneyRules = RULES) -> MoneyLedger:
    session = entry(f"---\nbought:\n  - {{{bought}}}\n---\n", Problems())
    found = Problems() if problems is None else problems
    kept = keep_money([session], rates, found)
    assert problems is not None or not found.found
    return kept


@pytest.mark.parametrize(
    ("bought", "total"),
    [
        ("part: axle, price: 10, count: 3", "30.00"),
        ("part: axle, price: 10, count: 3, postage: 4.50, duty: 1, tax: 6.10", "41.60"),
        ("part: axle, price: 18.50 EUR, postage: 6 EUR", "20.82"),  # 24.50 x 0.85 = 20.825, half-even
        ("part: axle, price: 10 EUR, postage: 3 GBP", "11.50"),
        ("part: axle, price: 10 EUR, postage: 3 USD", "10.87"),
        ("part: axle, price: 10 EUR, paid: 9.13 GBP", "9.13"),  # what was paid wins over any conversion
        ("part: axle, paid: 9.13", "9.13"),
        ("part: axle, price: 10 EUR, rate: 0.9", "9.00"),  # the purchase's own rate wins over the reference
        ("part: axle, price: 120000 ITL", "48.00"),  # the journal's table
        ("part: axle, price: 10, kind: refund", "-10.00"),
        ("part: axle, price: 10 EUR, kind: refund", "-8.50"),
        ("part: axle, price: 0.333, count: 3", "1.00"),
    ],
)
def test_a_purchase_costs_what_the_rules_say(bought: str, total: str) -> None:
    assert str(ledger(bought).total) == total


def test_the_amounts_of_one_currency_are_added_before_they_are_converted() -> None:
    # 0.01 EUR is 0.0085 GBP: rounded one by one, three of them would be 0.03
    assert str(ledger("part: axle, price: 0.01 EUR, postage: 0.01 EUR, duty: 0.01 EUR").total) == "0.03"
    assert str(ledger("part: axle, price: 0.005 EUR, postage: 0.005 EUR").total) == "0.01"


def test_without_a_rate_an_amount_stays_in_its_currency_and_in_view() -> None:
    problems = Problems()
    kept = ledger("part: axle, price: 100 CHF, postage: 2", problems)
    assert rules(problems) == ["not-converted"]
    assert kept.not_converted() == {"CHF": Decimal(100)}
    assert kept.by_currency() == {"CHF": Decimal(100), "GBP": Decimal(2)}
    assert str(kept.total) == "2.00"


def test_an_old_reference_rate_is_used_with_a_warning() -> None:
    problems = Problems()
    old = FixedRates({("EUR", "GBP"): Fraction(85, 100)}, date(2024, 2, 23))
    kept = ledger("part: axle, price: 10 EUR", problems, MoneyRules("GBP", 2, old))
    assert rules(problems) == ["old-rate"]
    assert str(kept.total) == "8.50"
    two_weeks = FixedRates({("EUR", "GBP"): Fraction(85, 100)}, date(2024, 2, 24))
    ledger("part: axle, price: 10 EUR", None, MoneyRules("GBP", 2, two_weeks))


def test_the_rate_its_day_and_its_origin_are_kept() -> None:
    (cost,) = ledger("part: axle, price: 10 EUR, ordered: 2024-02-11").costs
    (conversion,) = cost.conversions
    assert (conversion.rate, conversion.rate_day, conversion.origin) == (
        Fraction(85, 100),
        date(2024, 2, 11),
        "reference",
    )
    assert cost.day == date(2024, 2, 11)


def test_money_counts_in_the_month_of_the_day_paid() -> None:
    assert ledger("part: axle, price: 10, ordered: 2024-02-11, arrived: 2024-03-04").by_month() == {
        "2024-02": Decimal(10)
    }
    assert ledger("part: axle, price: 10").by_month() == {"2024-03": Decimal(10)}


def test_several_parts_share_a_purchase_to_the_penny_the_odd_ones_to_the_first() -> None:
    kept = ledger("part: [axle, hub, wheel], price: 10")
    assert kept.by_part() == {"axle": Decimal("3.34"), "hub": Decimal("3.33"), "wheel": Decimal("3.33")}
    refund = ledger("part: [axle, hub, wheel], price: 10, kind: refund")
    assert refund.by_part() == {"axle": Decimal("-3.34"), "hub": Decimal("-3.33"), "wheel": Decimal("-3.33")}


def test_kinds_follow_from_what_was_bought() -> None:
    session = entry(
        """
        ---
        bought:
          - {material: paint, amount: 1 L, price: 1}
          - {part: axle, price: 2}
          - {part: axle, kind: outside work, what: turning, price: 4}
          - {material: paint, kind: refund, price: 8}
        sold:
          - {what: spare wheel, price: 16}
        ---
        """
    )
    kept = keep_money([session], RULES, Problems())
    assert kept.by_kind() == {"material": 1, "part": 2, "outside work": 4, "refund": -8, "sale": -16}
    assert str(kept.total) == "-17.00"


def test_a_home_currency_without_minor_units_has_whole_amounts() -> None:
    yen = MoneyRules("JPY", 0, FixedRates({("EUR", "JPY"): Fraction(1605, 10)}))
    session = entry("---\nbought:\n  - {part: [a, b], price: 10.01 EUR}\n---\n")
    kept = keep_money([session], yen, Problems())
    assert (str(kept.total), list(kept.by_part().values())) == ("1607", [804, 803])


amounts = st.decimals(0, 10**5, places=2)
purchases = st.builds(
    lambda price, currency, count, kind, parts: Purchase(
        PLACE, kind, parts=tuple(parts), price=Money(price, currency), count=count
    ),
    amounts,
    st.sampled_from(["GBP", "EUR", "USD", "ITL", "CHF"]),
    st.integers(1, 9),
    st.sampled_from(["part", "material", "refund", "sale", "tool"]),
    st.lists(st.sampled_from(["axle", "hub", "wheel"]), unique=True, max_size=3),
)


@given(st.lists(purchases, max_size=8))
def test_every_breakdown_adds_up_to_the_total(bought: list[Purchase]) -> None:
    session = entry("---\n---\n")
    costs = tuple(cost_of(purchase, session, RULES, Problems()) for purchase in bought)
    kept = MoneyLedger(costs, 2)
    for breakdown in (kept.by_part(), kept.by_kind(), kept.by_month()):
        assert sum(breakdown.values()) == kept.total


@given(amounts, st.integers(1, 12))
def test_shares_of_money_add_up_and_differ_by_a_minor_unit_at_most(amount: Decimal, among: int) -> None:
    found = share_money(amount, among, 2)
    assert sum(found) == amount
    assert max(found) - min(found) <= Decimal("0.01")
    assert found == sorted(found, reverse=True)


@given(amounts, st.fractions(Fraction(1, 1000), 1000))
def test_conversion_goes_and_comes_back(amount: Decimal, rate: Fraction) -> None:
    """There and back, exactly but for one rounding there and one back."""
    there = round_money(Fraction(amount) * rate, 2)
    back = Fraction(there) / rate
    assert abs(back - Fraction(amount)) <= Fraction(1, 200) / rate


@pytest.mark.parametrize(
    ("amount", "rounded"), [("0.005", "0.00"), ("0.015", "0.02"), ("-0.015", "-0.02"), ("2.675", "2.68")]
)
def test_halves_go_to_the_even_minor_unit(amount: str, rounded: str) -> None:
    assert round_money(Decimal(amount), 2) == Decimal(rounded)
