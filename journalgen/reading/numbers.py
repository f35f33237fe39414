"""Numbers as people write them: digits with a decimal point."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from journalgen.reading.unreadable import Unreadable

NUMBER: Final = r"[+-]?[0-9]+(?:\.[0-9]+)?"
_WHOLE: Final = re.compile(NUMBER)
_WITH_COMMA: Final = re.compile(r"[+-]?[0-9]+(?:[,.' ][0-9]+)+")
_LONGEST: Final = 24


def parse_decimal(text: str) -> Decimal:
    """An exact decimal. Raises Unreadable for anything but digits with at most one point."""
    text = text.strip()
    if not _WHOLE.fullmatch(text):
        if _WITH_COMMA.fullmatch(text):
            raise Unreadable(
                "number", f'"{text}" has a comma or a space in it.', "Write 1200.50: a point, and no other mark."
            )
        raise Unreadable("number", f'"{text}" is not a number.', "Write digits, such as 2 or 2.5.")
    if len(text) > _LONGEST:
        raise Unreadable("number", f"A number of {len(text)} digits is longer than can be meant.", "Shorten it.")
    return Decimal(text)


def parse_share(text: str) -> Decimal:
    """A share in per cent: `52 %` or `52`."""
    return parse_decimal(text.strip().removesuffix("%"))


def parse_count(text: str) -> int:
    """A whole number of at least one."""
    number = parse_decimal(text)
    if number != number.to_integral_value() or number < 1 or number > 1_000_000:
        raise Unreadable("count", f'"{text}" is not a whole number of at least 1.', "Write 1, 2, 3 ...")
    return int(number)
