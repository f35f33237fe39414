"""Money as people write it: an amount and an ISO 4217 code."""

from __future__ import annotations

import re
from typing import Final

from journalgen.knowledge import currencies
from journalgen.reading.numbers import NUMBER, parse_decimal
from journalgen.reading.unreadable import Unreadable
from journalgen.values import Money

_AFTER: Final = re.compile(rf"({NUMBER})\s*([A-Za-z]{{3}})")
_BEFORE: Final = re.compile(rf"([A-Za-z]{{3}})\s*({NUMBER})")
_CODED: Final = re.compile(r".*[^\s0-9.,' +-].*", re.DOTALL)


def parse_money(text: str, home: str) -> Money:
    """An amount with its currency: `18.50 EUR` or `EUR 18.50`; a bare number is home currency."""
    text = text.strip()
    if found := _AFTER.fullmatch(text):
        amount, code = found.groups()
    elif found := _BEFORE.fullmatch(text):
        code, amount = found.groups()
    elif _CODED.fullmatch(text):
        raise Unreadable(
            "money",
            f'"{text}" is not an amount of money.',
            f"Write the amount and the currency's code, such as 18.50 {home}; without a code it is {home}.",
        )
    else:
        amount, code = text, home
    money = Money(parse_decimal(amount), parse_currency(code))
    if money.amount < 0:
        raise Unreadable(
            "money-negative",
            f'"{text}" is less than nothing.',
            "For money that came back write `kind: refund` or `sold:`.",
        )
    return money


def parse_currency(text: str) -> str:
    """An ISO 4217 code, of today or of a currency that has gone."""
    code = text.strip().upper()
    if code not in currencies():
        raise Unreadable(
            "currency", f'"{text}" is not the code of a currency.', "Write its three letters, such as EUR, GBP or USD."
        )
    return code
