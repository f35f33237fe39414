"""What has a known form: addresses, numbers, positions, amounts of money."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from functools import cache
from pathlib import Path
from typing import Any, Final

from journalgen.knowledge import currencies
from journalgen.outside.revealing.model import Hit
from journalgen.values import Money

_DATA: Final = Path(__file__).with_name("patterns.toml")
_SIGNS: Final = {"€": "EUR", "£": "GBP", "$": "USD", "¥": "JPY"}


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(_DATA.read_text(encoding="utf-8"))


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((row["kind"], re.compile(row["regex"])) for row in _data()["pattern"])


@cache
def labels() -> dict[str, str]:
    """What people call each kind."""
    return {row["kind"]: row["label"] for row in _data()["pattern"]}


def sizes() -> dict[str, int]:
    """From how many bytes on a page, a picture or another file is too large."""
    return dict(_data()["sizes"])


def find_patterns(text: str) -> Iterator[Hit]:
    """What a text holds of such things."""
    for kind, pattern in _patterns():
        for found in pattern.finditer(text):
            yield Hit(kind, " ".join(found.group().split()))


@cache
def _money() -> re.Pattern[str]:
    code = "[A-Z]{3}"
    sign = "[" + "".join(_SIGNS) + "]"
    number = r"\d{1,3}(?:[ .,'\u2019\u202f\u00a0]\d{3})+(?:[.,]\d{1,2})?|\d+(?:[.,]\d{1,2})?"
    return re.compile(
        rf"(?:(?P<before>{sign}|\b(?:{code}))[ \u00a0]?(?P<first>{number})(?![\w.,]\d)"
        rf"|(?<![\w.,-])(?P<second>{number})[ \u00a0]?(?P<after>{sign}|(?:{code})\b))"
    )


def find_money(text: str) -> Iterator[tuple[str, Money]]:
    """Amounts of money in a text, as they stand there and as they are meant."""
    for found in _money().finditer(text):
        unit = found["before"] or found["after"]
        amount = _amount(found["first"] or found["second"])
        if amount is not None and (unit in _SIGNS or unit in currencies()):
            yield " ".join(found.group().split()), Money(amount, _SIGNS.get(unit, unit))


def _amount(written: str) -> Decimal | None:
    """A figure, whichever sign parts its thousands: the last sign counts as the point if one or two digits follow."""
    pieces = re.split(r"\D", written)
    decimals = pieces.pop() if len(pieces) > 1 and len(pieces[-1]) < 3 else ""
    try:
        return Decimal("".join(pieces) + (f".{decimals}" if decimals else ""))
    except InvalidOperation:
        return None
