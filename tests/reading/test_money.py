"""Money as people write it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.reading.money import parse_money
from journalgen.reading.unreadable import Unreadable
from journalgen.values import Money


@pytest.mark.parametrize(
    ("text", "money"),
    [
        ("18.50 EUR", Money(Decimal("18.50"), "EUR")),
        ("EUR 18.50", Money(Decimal("18.50"), "EUR")),
        ("18.50eur", Money(Decimal("18.50"), "EUR")),
        ("240", Money(Decimal(240), "GBP")),
        ("120000 ITL", Money(Decimal(120000), "ITL")),  # a currency that is gone
    ],
)
def test_an_amount_names_its_currency_or_is_home_money(text: str, money: Money) -> None:
    assert parse_money(text, "GBP") == money


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("12 EURO", "money"),
        ("£12", "money"),
        ("12 QQQ", "currency"),
        ("-5 EUR", "money-negative"),
        ("1,200 EUR", "money"),
        ("1,200", "number"),
        ("", "number"),
        ("12 EUR 5 GBP", "money"),
    ],
)
def test_what_is_no_money_is_refused(text: str, rule: str) -> None:
    with pytest.raises(Unreadable) as refused:
        parse_money(text, "GBP")
    assert refused.value.rule == rule


@given(st.decimals(0, 10**9, places=2), st.sampled_from(["GBP", "EUR", "JPY", "KWD"]))
def test_money_written_again_is_read_the_same(amount: Decimal, currency: str) -> None:
    money = Money(amount, currency)
    assert parse_money(f"{money.amount} {money.currency}", "USD") == money
