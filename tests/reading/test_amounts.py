"""Amounts, units, limits and regions, as people write them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.reading.amounts import (
    parse_amount,
    parse_celsius,
    parse_density,
    parse_limits,
    parse_measured,
    parse_rectangle,
    split_use,
)
from journalgen.reading.unreadable import Unreadable


@pytest.mark.parametrize(
    ("text", "dimension", "base"),
    [
        ("120 mL", "volume", Fraction(12, 100)),
        ("120ml", "volume", Fraction(12, 100)),
        ("1 L", "volume", Fraction(1)),
        ("1 US fl oz", "volume", Fraction(295735295625, 10**13)),
        ("1 imp pint", "volume", Fraction(56826125, 10**8)),
        ("500 g", "mass", Fraction(1, 2)),
        ("2 sheets", "counted:sheet", Fraction(2)),
        ("2 Sheet", "counted:sheet", Fraction(2)),
        ("3 boxes", "counted:box", Fraction(3)),
        ("2 rods", "counted:rod", Fraction(2)),  # welding rods, not the length of 5 m
        ("1 bag", "counted:bag", Fraction(1)),
        ("4 pcs", "counted:pc", Fraction(4)),  # not parsecs
        ("4 pins", "counted:pin", Fraction(4)),  # not picoinches
        ("2 small tins", "counted:small tin", Fraction(2)),
        ("3", "counted:", Fraction(3)),
        ("2 m", "length", Fraction(2)),
        ("0.5 m2", "area", Fraction(1, 2)),
    ],
)
def test_amounts_keep_their_unit_and_know_their_size(text: str, dimension: str, base: Fraction) -> None:
    amount = parse_amount(text)
    assert (amount.dimension, amount.base) == (dimension, base)


@pytest.mark.parametrize(
    "text", ["", "mL", "1,5 L", "1.200,50 g", "-3 mL", "1e3 mL", "five mL", "3 m^^2", "1/2 L", "9" * 30]
)
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(Unreadable) as refused:
        parse_amount(text)
    assert refused.value.remedy


@pytest.mark.parametrize(
    ("text", "unit_in_base"),
    [
        ("1 thou", Fraction(254, 10**7)),
        ("1 mil", Fraction(254, 10**7)),  # in the paint trade a thousandth of an inch, never an angle
        ("1 um", Fraction(1, 10**6)),
        ("1 kgf m", Fraction(980665, 10**5)),
        ("1 %", Fraction(1, 100)),
    ],
)
def test_the_trades_units_have_their_published_size(text: str, unit_in_base: Fraction) -> None:
    assert parse_measured(text).base == unit_in_base


@given(st.sampled_from(["mL", "L", "g", "kg", "US fl oz", "imp gal", "mm", "sheets"]), st.decimals(0, 10**6, places=3))
def test_an_amount_written_again_is_read_the_same(unit: str, number: Decimal) -> None:
    first = parse_amount(f"{number} {unit}")
    assert parse_amount(f"{first.number} {first.unit}") == first


@pytest.mark.parametrize(
    ("text", "name", "number", "unit"),
    [
        ("rust converter 120 mL", "rust converter", "120", "mL"),
        ("320 grit paper 2 sheets", "320 grit paper", "2", "sheets"),
        ("M6 bolts 12", "M6 bolts", "12", ""),
        ("grease", "grease", None, None),
        ("320 grit paper", "320 grit paper", None, None),
    ],
)
def test_the_plain_form_ends_with_the_amount(text: str, name: str, number: str | None, unit: str | None) -> None:
    found, amount = split_use(text)
    assert found == name
    assert (str(amount.number), amount.unit) == (number, unit) if amount else number is None


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("34.975 .. 35.000 mm", "34.975", "35.000"),
        ("at most 0.05 mm", None, "0.05"),
        ("at least 3 mm", "3", None),
        ("12 +/- 0.1 mm", "11.9", "12.1"),
        ("12 mm +/- 0.1 mm", "11.9", "12.1"),
        ("12 ± 0.1 mm", "11.9", "12.1"),
    ],
)
def test_limits_are_read_in_all_their_forms(text: str, low: str | None, high: str | None) -> None:
    limits = parse_limits(text)
    ends = tuple(end.number if end else None for end in (limits.low, limits.high))
    assert ends == (Decimal(low) if low else None, Decimal(high) if high else None)


@pytest.mark.parametrize("text", ["3", "5 .. 3 mm", "3 mm .. 5 kg", "about 3 mm", ".. 3 mm", "12 mm +/- 1 kg"])
def test_what_is_no_pair_of_limits_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        parse_limits(text)


def test_temperatures_come_in_either_scale() -> None:
    assert parse_celsius("18 degC") == parse_celsius("18") == parse_celsius("18 °C") == Decimal(18)
    assert parse_celsius("64.4 degF") == Decimal(18)
    with pytest.raises(Unreadable):
        parse_celsius("18 mm")


def test_densities_come_in_any_unit() -> None:
    assert parse_density("1.42 kg/L") == parse_density("1420 kg/m3") == parse_density("1.42") == Fraction(142, 100)


@pytest.mark.parametrize(
    "items",
    [
        ["1", "2", "3"],
        ["1", "2", "3", "4", "5"],
        ["1", "2", "0", "4"],
        ["1 %", "2", "3", "4"],
        ["a", "2", "3", "4"],
        "x",
    ],
)
def test_a_region_that_is_not_four_sound_numbers_is_refused(items: object) -> None:
    with pytest.raises(Unreadable):
        parse_rectangle(items)


def test_a_region_is_in_pixels_or_in_per_cent() -> None:
    assert not parse_rectangle(["120", "80", "300", "90"]).per_cent
    assert parse_rectangle(["10 %", "8%", "30 %", "9 %"]).per_cent


@pytest.mark.parametrize("unit", ["u---m", "m--m", "*m", "m/", "m*/m", "m/-", "-", "m//m", "m * * m"])
def test_signs_that_stand_together_or_at_an_end_make_no_unit(unit: str) -> None:
    with pytest.raises(Unreadable):
        parse_measured(f"10 {unit}")
