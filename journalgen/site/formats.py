"""How days, hours, money and quantities are written on a page: by the journal's locale, never by way of a float."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Final

from markupsafe import Markup, escape

from journalgen.ledgers.sharing import round_money
from journalgen.site.quantity_formats import QuantityFormats, places_of, trim
from journalgen.site.words import term
from journalgen.values import Duration, Money

if TYPE_CHECKING:
    from babel import Locale

_FALLBACK: Final = "en_GB"
_RATE_PLACES: Final = 6
_LONG_FRACTION: Final = 6


class Formats(QuantityFormats):
    """Writes values as the journal's owner reads them.

    >>> Formats(Settings("Trolley"), NullTranslations()).hours(195)
    '3 h 15 min'
    """

    @cached_property
    def locale(self) -> Locale:
        """The journal's locale; British English where its name means nothing."""
        from babel import Locale, UnknownLocaleError

        try:
            return Locale.parse(self._settings.locale, sep="-" if "-" in self._settings.locale else "_")
        except (ValueError, UnknownLocaleError):
            return Locale.parse(_FALLBACK)

    @property
    def language(self) -> str:
        """The tag for `html lang`: with its region where locale and interface agree."""
        if self.locale.language != self._settings.language:
            return self._settings.language
        return str(self.locale).replace("_", "-")

    @property
    def home_currency(self) -> str:
        """The home currency's code."""
        return self._settings.home_currency

    # days and times

    def long(self, day: date) -> str:
        """`26 April 2025`"""
        return _day(day, "long", self.locale)

    def short(self, day: date) -> str:
        """`26 Apr 2025`"""
        return _day(day, "medium", self.locale)

    def month(self, day: date | str) -> str:
        """`April 2025`, of a day or of `2025-04`."""
        return _skeleton(_first_of(day), "yMMMM", self.locale)

    def month_short(self, day: date | str) -> str:
        """`Apr 2025`"""
        return _skeleton(_first_of(day), "yMMM", self.locale)

    def day_of_month(self, day: date) -> str:
        """`26 Apr`"""
        return _skeleton(day, "MMMd", self.locale)

    def near(self, day: date, on: date) -> str:
        """`26 Apr`, with its year where that is not the year of `on`."""
        return self.day_of_month(day) if day.year == on.year else self.short(day)

    def weekday(self, day: date) -> str:
        """`Saturday`"""
        return _day(day, "EEEE", self.locale)

    def clock(self, moment: time) -> str:
        """The time of day: `17:30`."""
        from babel.dates import format_time

        return format_time(moment, "short", locale=self.locale)

    # spans of time

    def hours(self, minutes: int) -> str:
        """`3 h 15 min`"""
        hours, rest = divmod(abs(minutes), 60)
        _ = self._words.gettext
        shown = {"hours": self.number(hours), "minutes": str(rest)}
        if hours and rest:
            return _("%(hours)s h %(minutes)s min") % shown
        return (_("%(hours)s h") if hours else _("%(minutes)s min")) % shown

    def hours_in_column(self, minutes: int) -> str:
        """`3:15`, for columns of figures."""
        hours, rest = divmod(minutes, 60)
        return f"{self.number(hours)}:{rest:02}"

    def span(self, span: Duration) -> str:
        """`24 months`, `7 days`, `1 h 30 min`"""
        ngettext = self._words.ngettext
        if span.months:
            return ngettext("%(n)s month", "%(n)s months", span.months) % {"n": self.number(span.months)}
        days, rest = divmod(span.minutes, 24 * 60)
        if days >= 2 and not rest:
            return ngettext("%(n)s day", "%(n)s days", days) % {"n": self.number(days)}
        return self.hours(span.minutes)

    def days(self, days: int) -> str:
        """`12 days`"""
        return self._words.ngettext("%(n)s day", "%(n)s days", days) % {"n": self.number(days)}

    # numbers and quantities

    def number(self, number: int | Decimal | Fraction, places: int | None = None) -> str:
        """In the locale's figures: with so many decimals, else with those it was written with."""
        exact = _as_decimal(number, places)
        return _number(exact, places_of(exact), self.locale)

    def per_cent(self, number: Decimal) -> str:
        """`55 %`"""
        return f"{self.number(number)} %"

    def term(self, text: str) -> str:
        """A fixed term in the page's language."""
        return term(text, self._words)

    # money

    def home(self, amount: Decimal | Fraction) -> str:
        """An amount of home currency, rounded half-even to its minor unit: `£1,578.29`."""
        places = self._settings.home_decimals
        return _home(round_money(amount, places), places, self._settings.home_currency, self.locale)

    def money(self, money: Money) -> str:
        """As billed: home money as `home`, any other with its code, no decimal lost: `SEK 1,480.00`."""
        settings, places = self._settings, places_of(money.amount.normalize())
        if money.currency == settings.home_currency and places <= settings.home_decimals:
            return self.home(money.amount)
        return _foreign(money.amount, money.currency, self.locale)

    def rate(self, rate: Fraction) -> str:
        """A rate to six decimals, to six figures where it is small; noughts at its end left off."""
        places = _RATE_PLACES
        while rate and abs(rate) * 10 ** (places - 5) < 1:
            places += 1
        return self.number(trim(rate, places))

    # lists

    def listing(self, items: Iterable[str]) -> Markup:
        """Texts or links as one list in a sentence: `a, b and c`."""
        escaped = (str(escape(item)) for item in items)
        return Markup(self.sentence(escaped))  # noqa: S704 - the locale's own words hold no markup

    def sentence(self, items: Iterable[str]) -> str:
        """The same of plain texts, as a plain text."""
        from babel.lists import format_list

        return str(format_list(list(items), locale=self.locale))


def _first_of(day: date | str) -> date:
    return date.fromisoformat(f"{day}-01") if isinstance(day, str) else day


def _as_decimal(number: int | Decimal | Fraction, places: int | None) -> Decimal:
    if places is not None:
        return round_money(Fraction(number), places)
    return trim(number, _LONG_FRACTION) if isinstance(number, Fraction) else Decimal(number)


@lru_cache(maxsize=4096)
def _day(day: date, form: str, locale: Locale) -> str:
    from babel.dates import format_date

    return format_date(day, form, locale=locale)


@lru_cache(maxsize=4096)
def _skeleton(day: date, skeleton: str, locale: Locale) -> str:
    from babel.dates import format_skeleton

    try:
        return format_skeleton(skeleton, day, locale=locale)
    except KeyError:  # the locale knows no such pattern
        return _day(day, "medium", locale)


def _grouped(places: int, locale: Locale) -> str:
    """The locale's pattern for a number, with exactly so many decimals."""
    whole = locale.decimal_formats[None].pattern.split(";")[0].split(".")[0]
    return f"{whole}.{'0' * places}" if places else whole


@lru_cache(maxsize=4096)
def _number(number: Decimal, places: int, locale: Locale) -> str:
    """`places` is asked for beside the number because 1 and 1.0 are one key to a cache."""
    from babel.numbers import format_decimal

    return _minus(format_decimal(number, _grouped(places, locale), locale=locale))


@lru_cache(maxsize=4096)
def _home(amount: Decimal, places: int, currency: str, locale: Locale) -> str:
    from babel.numbers import format_currency

    form = _money_form(locale, places, "¤")
    return _minus(format_currency(amount, currency, locale=locale, currency_digits=False, format=form))


@lru_cache(maxsize=1024)
def _foreign(amount: Decimal, currency: str, locale: Locale) -> str:
    from babel.numbers import format_currency, get_currency_precision

    places = max(get_currency_precision(currency), places_of(amount.normalize()))
    form = _money_form(locale, places, "¤¤")
    return _minus(format_currency(amount, currency, locale=locale, currency_digits=False, format=form))


def _money_form(locale: Locale, places: int, sign: str) -> str:
    """The locale's pattern for money with exactly so many decimals; a code is kept apart from its figures."""
    form = str(locale.currency_formats["standard"].pattern).split(";")[0]
    form = form.replace(".00", f".{'0' * places}" if places else "")
    if sign != "¤" and form.startswith("¤") and not form[1:2].isspace():
        form = form.replace("¤", "¤\N{NO-BREAK SPACE}", 1)
    return form.replace("¤", sign)


def _minus(text: str) -> str:
    """A hyphen before a figure becomes the sign that lines up with the figures."""
    return text.replace("-", "\N{MINUS SIGN}")
