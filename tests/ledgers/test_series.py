"""One measure of one part over time."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from journalgen.ledgers.series import find_series
from journalgen.records import Measure, Session
from journalgen.values import Amount, Limits
from tests.site.samples import at, length, session

INCH = Fraction(254, 10000)


def measured(day: str, what: str, value: Amount, **fields: object) -> tuple[Session, Measure]:
    return session(day, f"On {day}"), Measure(at(3), what, value, ("axle",), **fields)  # type: ignore[arg-type]


def test_two_days_of_one_name_are_a_series_and_one_day_is_none() -> None:
    rows = [
        measured("2024-01-01", "End float", length("0.40")),
        measured("2024-01-01", "bore", length("12")),
        measured("2024-01-01", "bore", length("13")),
        measured("2024-02-01", "end-float", length("0.25")),
    ]
    (found,) = find_series(rows)
    assert (found.what, found.unit) == ("end-float", "mm")
    assert [reading.value for reading in found.readings] == [Fraction(2, 5), Fraction(1, 4)]


def test_values_stand_in_the_unit_of_the_last_with_its_limits_and_their_own_doubts() -> None:
    inch = Amount(Decimal("1"), "in", "length", INCH)
    limits = Limits(length("25"), None, "at least 25 mm")
    (found,) = find_series([
        measured("2024-01-01", "width", inch, uncertainty=Amount(Decimal("0.1"), "in", "length", INCH)),
        measured("2024-02-01", "width", length("25.2"), limits=limits),
    ])  # fmt: skip
    assert [(r.value, r.doubt) for r in found.readings] == [(Fraction("25.4"), Fraction("2.54")), (Fraction("25.2"), 0)]
    assert (found.low, found.high) == (25, None)


def test_values_of_different_kinds_are_never_one_series() -> None:
    mass = Amount(Decimal("1"), "kg", "mass", Fraction(1))
    assert find_series([measured("2024-01-01", "size", mass), measured("2024-02-01", "size", length("1"))]) == ()


def test_temperatures_convert_by_their_nought() -> None:
    kelvin, celsius = (Amount(Decimal(n), u, "temperature", Fraction(1), o) for n, u, o in (
        ("300", "K", Fraction(0)), ("20", "degC", Fraction("273.15"))))  # fmt: skip
    (found,) = find_series([measured("2024-01-01", "oven", kelvin), measured("2024-02-01", "oven", celsius)])
    assert found.readings[0].value == Fraction("26.85")
