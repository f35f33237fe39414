"""Units against NIST Special Publication 811 (2008 edition), appendix B.8.

The factors are written from memory of that table, to the seven digits it prints; those in bold
there are exact, and are marked exact here.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from journalgen.reading.amounts import parse_celsius, parse_measured

LITRE = Fraction(1, 1000)  # a cubic metre; volumes are kept in litres

EXACT = [
    ("1 inch", "0.0254"),
    ("1 ft", "0.3048"),
    ("1 yd", "0.9144"),
    ("1 thou", "0.0000254"),
    ("1 ft2", "0.09290304"),
    ("1 in2", "0.00064516"),
    ("1 kgf", "9.80665"),
    ("1 kgf m", "9.80665"),
    ("1 bar", "100000"),
    ("1 atm", "101325"),
]
ROUNDED = [
    ("1 oz", "0.02834952", Fraction(1)),
    ("1 lb", "0.4535924", Fraction(1)),
    ("1 US fl oz", "0.00002957353", LITRE),
    ("1 UK fl oz", "0.00002841306", LITRE),
    ("1 US pint", "0.0004731765", LITRE),
    ("1 imp pint", "0.0005682612", LITRE),  # printed 5.682 612 E-04
    ("1 US quart", "0.0009463529", LITRE),
    ("1 US gal", "0.003785412", LITRE),
    ("1 imp gal", "0.00454609", LITRE),
    ("1 in3", "0.00001638706", LITRE),
    ("1 psi", "6894.757", Fraction(1)),
    ("1 lbf ft", "1.355818", Fraction(1)),
    ("1 lbf in", "0.1129848", Fraction(1)),
]


@pytest.mark.parametrize(("one", "published"), EXACT)
def test_factors_that_are_exact_there_are_exact_here(one: str, published: str) -> None:
    assert parse_measured(one).base == Fraction(published)


@pytest.mark.parametrize(("one", "published", "base"), ROUNDED)
def test_factors_agree_to_the_digits_that_are_printed(one: str, published: str, base: Fraction) -> None:
    found = parse_measured(one).base * base
    assert abs(found - Fraction(published)) <= Fraction(published) * Fraction(6, 10**7)


def test_degrees_fahrenheit_follow_the_formula_of_the_table() -> None:
    for fahrenheit in (-40, 32, 64, 212):
        assert abs(
            Fraction(parse_celsius(f"{fahrenheit} degF")) - Fraction(fahrenheit - 32) / Fraction(9, 5)
        ) < Fraction(1, 10**6)
