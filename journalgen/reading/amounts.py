"""Quantities, limits and rectangles as people write them."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Final

from journalgen.reading.numbers import NUMBER, parse_decimal
from journalgen.reading.units import UnitMeaning, material_unit, measuring_unit
from journalgen.reading.unreadable import Unreadable
from journalgen.values import Amount, Limits, Rectangle

_AMOUNT: Final = re.compile(rf"({NUMBER})\s*(.*)", re.DOTALL)
_USE: Final = re.compile(rf"(.*\S)\s+({NUMBER})\s*([^\W\d_][^\d]*|)", re.DOTALL)
_DECIMAL_COMMA: Final = re.compile(r"[0-9]+,[0-9]+")
_KELVIN: Final = Fraction(27315, 100)


def parse_amount(text: str) -> Amount:
    """How much of a material: `120 mL`, `2 sheets`, `1 US fl oz`."""
    amount = _parse(text, material_unit)
    if amount.number < 0:
        raise Unreadable("amount-negative", f'"{text}" is less than nothing.', "Leave the minus sign out.")
    return amount


def parse_measured(text: str) -> Amount:
    """A measured value in any unit: `34.981 mm`, `1.2 kgf m`, `18 degC`."""
    return _parse(text, measuring_unit)


def _parse(text: str, meaning: Callable[[str], UnitMeaning | None]) -> Amount:
    found = _AMOUNT.fullmatch(text.strip())
    if not found or re.match(r"[,'][0-9]", found.group(2)):
        parse_decimal(text.split()[0] if text.split() else text)  # says what is wrong with the number, if it is that
        raise Unreadable(
            "amount", f'"{text}" is not an amount.', "Write a number and a unit, such as 120 mL or 2 sheets."
        )
    number, unit = parse_decimal(found.group(1)), found.group(2).strip()
    known = meaning(unit)
    if known is None:
        raise Unreadable(
            "unit", f'"{unit}" is not a unit.', "Write a unit such as mL, kg or mm, or a plain word such as sheets."
        )
    return Amount(number, unit, known.dimension, known.factor, known.offset)


def split_uses(text: str) -> list[str]:
    """The plain forms in a text with commas. Raises Unreadable where a comma may stand within a number."""
    if found := _DECIMAL_COMMA.search(text):
        raise Unreadable(
            "number",
            f'"{found.group()}" may be one number or two.',
            "Write a decimal with a point, and put a space after a comma between two materials.",
        )
    return [piece.strip() for piece in text.split(",") if piece.strip()]


def split_use(text: str) -> tuple[str, Amount | None]:
    """A material and how much of it, from the plain form `rust converter 120 mL`.

    The last number with words after it is the amount, so that `320 grit paper 2 sheets` is two
    sheets. A name without an amount is taken as it is.
    """
    found = _USE.fullmatch(text.strip())
    if not found:
        return text.strip(), None
    name, number, unit = found.groups()
    return name, parse_amount(f"{number} {unit}")


def parse_limits(text: str) -> Limits:
    """`34.975 .. 35.000 mm`, `at most 0.05 mm`, `at least 3 mm`, `12 +/- 0.1 mm`."""
    text = text.strip()
    if ".." in text:
        low_text, _, high_text = text.partition("..")
        high = parse_measured(high_text)
        low = _with_unit_of(high, low_text)
    elif text.startswith("at most "):
        low, high = None, parse_measured(text.removeprefix("at most "))
    elif text.startswith("at least "):
        low, high = parse_measured(text.removeprefix("at least ")), None
    elif re.search(r"\+/-|±", text):
        middle_text, half_text = re.split(r"\+/-|±", text, maxsplit=1)
        half = parse_measured(half_text)
        middle = _with_unit_of(half, middle_text)
        low, high = _moved(middle, half, -1), _moved(middle, half, 1)
    else:
        raise Unreadable(
            "limits",
            f'"{text}" is not a pair of limits.',
            "Write 3 .. 5 mm, at most 5 mm, at least 3 mm or 4 +/- 1 mm.",
        )
    _check_order(low, high, text)
    return Limits(low, high, text)


def _check_order(low: Amount | None, high: Amount | None, text: str) -> None:
    if low and high and low.dimension != high.dimension:
        raise Unreadable("limits", f'The ends of "{text}" are not of one kind.', "Give both in the same unit.")
    if low and high and low.base > high.base:
        raise Unreadable("limits", f'"{text}" begins above where it ends.', "Write the lower limit first.")


def _with_unit_of(other: Amount, text: str) -> Amount:
    """A number that borrows the other end's unit where it has none of its own."""
    text = text.strip()
    return parse_measured(f"{text} {other.unit}" if re.fullmatch(NUMBER, text) else text)


def _moved(middle: Amount, half: Amount, sign: int) -> Amount:
    if middle.dimension != half.dimension:
        raise Unreadable("limits", "The two figures are not of one kind.", "Give both in the same unit.")
    step = half.span / middle.factor * sign
    return Amount(
        middle.number + Decimal(step.numerator) / Decimal(step.denominator),
        middle.unit,
        middle.dimension,
        middle.factor,
        middle.offset,
    )


def parse_celsius(text: str) -> Decimal:
    """A temperature in degC, from degC or degF; a bare number is degC."""
    amount = parse_measured(text if not re.fullmatch(NUMBER, text.strip()) else f"{text} degC")
    if amount.dimension != "temperature":
        raise Unreadable("temperature", f'"{text}" is not a temperature.', "Write 18 degC or 64 degF.")
    degrees = amount.base - _KELVIN
    return Decimal(round(degrees * 10**6)).scaleb(-6).normalize() + 0


def in_unit(text: str, unit: str, expected: str) -> Decimal:
    """The number of `unit` in a quantity; a bare number is of that unit. Used for film (um)."""
    amount = parse_measured(text if not re.fullmatch(NUMBER, text.strip()) else f"{text} {unit}")
    one = parse_measured(f"1 {unit}")
    if amount.dimension != one.dimension or amount.number < 0:
        raise Unreadable("quantity", f'"{text}" is not {expected}.', f"Write it in {unit}.")
    exact = amount.base / one.base
    return Decimal(round(exact * 10**6)).scaleb(-6).normalize() + 0


def parse_film(text: str) -> Decimal:
    """A film thickness in um: `40 um`, `2 mil`; a bare number is um."""
    return in_unit(text, "um", "a film thickness")


def parse_density(text: str) -> Fraction:
    """Mass for volume, in kg/L: `1.42 kg/L`, `1420 kg/m3`; a bare number is kg/L."""
    amount = parse_measured(text if not re.fullmatch(NUMBER, text.strip()) else f"{text} kg/L")
    one = parse_measured("1 kg/L")
    if amount.dimension != one.dimension or amount.number <= 0:
        raise Unreadable("density", f'"{text}" is not a density.', "Write it in kg/L, such as 1.42 kg/L.")
    return amount.base / one.base


def parse_rectangle(items: object) -> Rectangle:
    """`[x, y, width, height]` in pixels of the upright picture, or all four in per cent."""
    wrong = Unreadable(
        "hide",
        "A region to hide is not four numbers.",
        "Write [x, y, width, height], in pixels or all four in per cent.",
    )
    if not isinstance(items, list) or len(items) != 4 or not all(isinstance(item, str) for item in items):
        raise wrong
    shares = [item.strip().endswith("%") for item in items]
    if any(shares) and not all(shares):
        raise wrong
    x, y, width, height = (parse_decimal(item.strip().removesuffix("%")) for item in items)
    if x < 0 or y < 0 or width <= 0 or height <= 0:
        raise wrong
    return Rectangle(x, y, width, height, all(shares))
