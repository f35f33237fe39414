"""Spreading rate and wet film against worked examples as paint data sheets and handbooks print them.

The theoretical spreading rate is that of ISO 23811; in United States units it is printed with the
constant 1604 (square feet that a gallon covers at one mil), which is rounded. The examples are
written from memory of those sheets.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from journalgen.ledgers.coating import spreading_rate, wet_film
from journalgen.reading.amounts import parse_measured


def test_65_per_cent_at_125_um_covers_5_2_square_metres_a_litre() -> None:
    assert spreading_rate(65, 125) == Fraction(52, 10)


def test_65_per_cent_at_5_mil_covers_208_52_square_feet_a_us_gallon() -> None:
    film = parse_measured("5 thou").base * 10**6  # um
    gallon, square_foot = parse_measured("1 US gal").base, parse_measured("1 ft2").base  # L, m2
    found = spreading_rate(65, film) * gallon / square_foot
    assert Decimal(1604) * Decimal("0.65") / 5 == Decimal("208.52")
    assert float(found) == pytest.approx(208.52, rel=2e-4)  # the constant is exact to one part in 9,000


def test_71_per_cent_at_125_um_is_laid_176_um_wet() -> None:
    assert round(wet_film(125, 71)) == 176
