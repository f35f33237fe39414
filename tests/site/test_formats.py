"""How values are written on a page."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from gettext import NullTranslations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.records import Settings
from journalgen.site.formats import Formats
from journalgen.values import Amount, Duration, Limits, Money

DAY = date(2025, 4, 26)


def formats(locale: str = "en_GB", **fields: object) -> Formats:
    settings = Settings("Trolley", **{"home_currency": "GBP", "locale": locale, **fields})  # type: ignore[arg-type]
    return Formats(settings, NullTranslations())


def mm(number: str, unit: str = "mm") -> Amount:
    return Amount(Decimal(number), unit, "length", Fraction(1, 1000))


@pytest.mark.parametrize(
    ("minutes", "said"), [(0, "0 min"), (45, "45 min"), (60, "1 h"), (195, "3 h 15 min"), (74_400, "1,240 h")]
)
def test_hours_are_written_as_a_person_says_them(minutes: int, said: str) -> None:
    assert formats().hours(minutes) == said


@given(st.integers(0, 10**7))
def test_hours_in_a_column_hold_every_minute(minutes: int) -> None:
    hours, rest = formats().hours_in_column(minutes).split(":")
    assert int(hours.replace(",", "")) * 60 + int(rest) == minutes
    assert len(rest) == 2


@pytest.mark.parametrize(
    ("locale", "long", "month", "total"),
    [
        ("en_GB", "26 April 2025", "April 2025", "£1,578.29"),
        ("de_DE", "26. April 2025", "April 2025", "1.578,29\N{NO-BREAK SPACE}£"),
        ("en-US", "April 26, 2025", "April 2025", "£1,578.29"),
        ("xx_YY", "26 April 2025", "April 2025", "£1,578.29"),
    ],
)
def test_days_and_money_follow_the_journals_locale(locale: str, long: str, month: str, total: str) -> None:
    made = formats(locale)
    assert made.long(DAY) == long
    assert made.month(DAY) == made.month("2025-04") == month
    assert made.home(Decimal("1578.29")) == total


def test_a_figure_below_nought_has_a_minus_sign_not_a_hyphen() -> None:
    assert formats().home(Decimal("-28.75")) == "−£28.75"
    assert formats().number(Decimal("-0.5")) == "−0.5"


@pytest.mark.parametrize(("amount", "said"), [("0.125", "£0.12"), ("0.135", "£0.14"), ("-0.125", "−£0.12")])
def test_home_money_is_rounded_half_even_to_its_minor_unit(amount: str, said: str) -> None:
    assert formats().home(Fraction(amount)) == said


def test_home_money_without_a_minor_unit_has_no_decimals() -> None:
    assert formats(home_currency="JPY", home_decimals=0).home(Decimal("1234.5")) == "JP¥1,234"


@pytest.mark.parametrize(
    ("amount", "currency", "said"),
    [("1480", "SEK", "SEK 1,480.00"), ("120000", "ITL", "ITL 120,000"), ("24.5", "EUR", "EUR 24.50"),
     ("0.125", "EUR", "EUR 0.125"), ("-5", "USD", "−USD 5.00"), ("12", "GBP", "£12.00")],
)  # fmt: skip
def test_money_as_billed_keeps_its_code_and_loses_no_decimal(amount: str, currency: str, said: str) -> None:
    assert formats().money(Money(Decimal(amount), currency)).replace("\N{NO-BREAK SPACE}", " ") == said


def test_a_number_keeps_the_decimals_it_was_written_with_whatever_was_shown_before() -> None:
    made = formats()
    assert [made.number(Decimal(n)) for n in ("1", "1.0", "1.00", "35.000")] == ["1", "1.0", "1.00", "35.000"]
    assert made.amount(mm("9.40")) == "9.40 mm"


@given(st.decimals(allow_nan=False, allow_infinity=False, places=4, min_value=-(10**9), max_value=10**9))
def test_a_number_is_written_without_a_loss(number: Decimal) -> None:
    shown = formats().number(number).replace(",", "").replace("−", "-")
    assert Decimal(shown) == number


def test_units_typed_plainly_are_set_properly() -> None:
    assert formats().amount(Amount(Decimal("0.42"), "m2", "area", Fraction(1))) == "0.42 m²"
    assert formats().quantity(Fraction(1, 3), "L") == "0.333 L"
    assert formats().quantity(Fraction(250), "um") == "250 µm"


@pytest.mark.parametrize(
    ("number", "said"),
    [("0.0002", "0.0002 L"), ("0.0125", "0.012 L"), ("0.000041666", "0.000042 L"), ("0", "0 L"), ("-0.02", "−0.02 L")],
)
def test_a_small_amount_is_not_rounded_away(number: str, said: str) -> None:
    assert formats().quantity(Fraction(number), "L") == said


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (mm("34.975"), mm("35.000"), "34.975 to 35.000 mm"),
        (mm("1.0"), None, "at least 1.0 mm"),
        (None, mm("2"), "at most 2 mm"),
        (mm("1", "in"), mm("30"), "25.4 to 30 mm"),  # both in the journal's own system
        (None, None, "as fitted"),
    ],
)
def test_limits_are_said_in_words(low: Amount | None, high: Amount | None, said: str) -> None:
    assert formats().limits(Limits(low, high, "as fitted")) == said


@pytest.mark.parametrize(
    ("rate", "said"),
    [(Fraction("0.84185"), "0.84185"), (Fraction(1, 3), "0.333333"), (Fraction("0.0004"), "0.0004"),
     (Fraction("0.000412345678"), "0.000412346"), (Fraction(2), "2"), (Fraction(0), "0")],
)  # fmt: skip
def test_a_rate_keeps_six_figures_where_it_is_small(rate: Fraction, said: str) -> None:
    assert formats().rate(rate) == said


def test_temperatures_follow_the_units_for_display() -> None:
    assert formats().temperature(Decimal("16.5")) == "16.5 °C"
    assert formats(units="imperial").temperature(Decimal("16.5")) == "61.7 °F"


@pytest.mark.parametrize(
    ("span", "said"),
    [(Duration(0, 1), "1 month"), (Duration(0, 24), "24 months"), (Duration(2 * 1440), "2 days"),
     (Duration(48 * 60 + 30), "48 h 30 min"), (Duration(240), "4 h")],
)  # fmt: skip
def test_spans_are_said_in_their_own_measure(span: Duration, said: str) -> None:
    assert formats().span(span) == said


def test_a_list_is_joined_as_in_a_sentence_and_its_items_are_escaped() -> None:
    assert formats().listing(["a", "b <i>", "c"]) == "a, b &lt;i&gt; and c"
    assert formats().listing(["{0}"]) == "{0}"
    assert formats().sentence(["a", "b <i>"]) == "a and b <i>"
    assert formats().listing([]) == ""


def test_the_language_of_a_page_has_its_region_where_the_locale_agrees() -> None:
    assert formats("en_GB").language == "en-GB"
    assert formats("de_AT", language="en").language == "en"


def test_the_time_of_day() -> None:
    assert formats().clock(time(17, 5)) == "17:05"
