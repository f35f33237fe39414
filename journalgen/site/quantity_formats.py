"""How quantities are written: in the journal's own system of units, with the other system's figure beside it.

A quantity that was written in the journal's system stays exactly as it was written. Any other is
converted: never more coarsely than it was written, and to at least three figures, so that turning
it back and rounding gives what was written.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from decimal import Decimal
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Final, TypeVar

from markupsafe import Markup

from journalgen.knowledge import unit_factors, unit_systems
from journalgen.ledgers.sharing import round_money
from journalgen.records import Measure, Settings
from journalgen.site.words import Words
from journalgen.values import Amount, Limits

if TYPE_CHECKING:
    from babel import Locale

UNITS: Final = {
    "um": "µm", "degC": "°C", "degF": "°F", "mm2": "mm²", "cm2": "cm²", "m2": "m²", "ft2": "ft²", "in2": "in²",
    "cm3": "cm³", "m3": "m³", "in3": "in³",
}  # fmt: skip
"""Units that are typed plainly and set properly."""

_PLACES: Final = 3
_LONG_FRACTION: Final = 6
_FIGURES: Final = 3
_SAID: Final = Markup('<span class="q" title="{0}" data-other="{0}">{1}</span>')


class Shown(str):
    """A quantity in words; where a template writes it as text of a page, the other system's comes with it."""

    __slots__ = ("other",)

    other: str

    def __new__(cls, text: str, other: str) -> Shown:
        made = super().__new__(cls, text)
        made.other = other
        return made

    def __html__(self) -> str:
        return _SAID.format(self.other, str(self))


Row = TypeVar("Row")
Spelt = tuple[str, str]
"""A figure and its unit."""


class QuantityFormats(ABC):
    """Writes quantities. `number` and the locale are the whole formats'."""

    def __init__(self, settings: Settings, words: Words) -> None:
        self._settings = settings
        self._words = words

    @cached_property
    @abstractmethod
    def locale(self) -> Locale:
        """The journal's locale."""

    @abstractmethod
    def number(self, number: int | Decimal | Fraction, places: int | None = None) -> str:
        """In the locale's figures."""

    def amount(self, amount: Amount) -> str:
        """`120 mL`, with the decimals it was written with."""
        return _said(self._spell(amount), " ".join)

    def difference(self, amount: Amount) -> str:
        """As `amount`, of a span rather than a point: three degrees of one scale above another."""
        return _said(self._spell(amount, span=True), " ".join)

    def quantity(self, number: Fraction, unit: str) -> str:
        """`1.38 L`, to at most three decimals; a smaller amount keeps two figures."""
        places = _PLACES
        while number and abs(number) * 10**places < 10 and places < _LONG_FRACTION:
            places += 1
        trimmed = trim(number, places)
        return _said(self._both(Fraction(trimmed), unit, self.number(trimmed), trimmed), " ".join)

    def temperature(self, celsius: Decimal) -> str:
        """Of air or a surface."""
        return _said(self._both(Fraction(celsius), "degC", self.number(celsius), celsius), " ".join)

    def film(self, micrometres: Fraction | Decimal, places: int | None = 0) -> str:
        """Of a coat: `42 µm`, in whole micrometres, or with the decimals it was written with."""
        exact = Decimal(round(micrometres)) if places == 0 else Decimal(micrometres)  # type: ignore[arg-type]
        return _said(self._both(Fraction(micrometres), "um", self.number(micrometres, places), exact), " ".join)

    def unit(self, unit: str) -> str:
        """The unit as it is set in print."""
        return UNITS.get(unit, unit)

    def measured(self, measure: Measure) -> str:
        """`34.981 ± 0.004 mm`; each side keeps its unit where they differ."""
        if not measure.uncertainty:
            return self.amount(measure.value)
        rows = zip(self._spell(measure.value), self._spell(measure.uncertainty, span=True), strict=False)
        return _said(rows, lambda row: _joined(row, "{} \N{PLUS-MINUS SIGN} {}"))

    def limits(self, limits: Limits) -> str:
        """`34.975 to 35.000 mm`, `at least 1.0 mm`"""
        _ = self._words.gettext
        low, high = limits.low, limits.high
        if low and high:
            between = _("%(low)s to %(high)s") % {"low": "{}", "high": "{}"}
            return _said(zip(self._spell(low), self._spell(high), strict=False), lambda row: _joined(row, between))
        if low:
            return _said(self._spell(low), lambda spelt: _("at least %(low)s") % {"low": " ".join(spelt)})
        if high:
            return _said(self._spell(high), lambda spelt: _("at most %(high)s") % {"high": " ".join(spelt)})
        return limits.text

    def _spell(self, amount: Amount, *, span: bool = False) -> list[Spelt]:
        number = self.number(amount.number)
        return self._both(Fraction(amount.number), amount.unit, number, Decimal(amount.number), span=span)

    def _both(self, value: Fraction, unit: str, number: str, exact: Decimal, *, span: bool = False) -> list[Spelt]:
        """The quantity as it is shown, then as the other system has it, if it has."""
        written = (number, self.unit(unit))
        known = unit_systems().get(unit)
        if known is None:
            return [written]
        other = known.other_us if known.other_us and self.locale.territory == "US" else known.other
        there, places = convert(value, unit, other, places_of(exact), span)
        converted = (self.number(there, places), self.unit(other))
        return [written, converted] if known.system == self._settings.units else [converted, written]


def _said(rows: Iterable[Row], write: Callable[[Row], str]) -> str:
    """The first row in words, with the second beside it where there are two."""
    texts = [write(row) for row in rows]
    return Shown(*texts) if len(texts) > 1 else texts[0]


def _joined(row: tuple[Spelt, Spelt], form: str) -> str:
    """Two quantities in one phrase; the unit stands once where it is the same."""
    (first, unit), (last, last_unit) = row
    return form.format(first if unit == last_unit else f"{first} {unit}", f"{last} {last_unit}")


@lru_cache(maxsize=4096)
def convert(value: Fraction, unit: str, other: str, places: int, span: bool = False) -> tuple[Fraction, int]:
    """The value in another unit of its kind, and the decimals it is worth: `places` are those it was written with.

    A step in the last of them is never coarser than the step as written.

    >>> convert(Fraction("34.981"), "mm", "in", 3)[1]
    5
    """
    _, factor, offset = unit_factors()[unit]
    _, other_factor, other_offset = unit_factors()[other]
    base = value * factor + (0 if span else offset)
    there = (base - (0 if span else other_offset)) / other_factor
    step = factor / other_factor / 10**places
    worth = 0
    while Fraction(1, 10**worth) > step:
        worth += 1
    while there and abs(there) * 10**worth < 10 ** (_FIGURES - 1):
        worth += 1
    return there, worth


def places_of(number: Decimal) -> int:
    """The decimals that a number was written with."""
    exponent = number.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def trim(number: Fraction, places: int) -> Decimal:
    """Rounded half-even to so many decimals, without noughts at the end."""
    rounded = round_money(number, places)
    return rounded.quantize(Decimal(1)) if rounded == rounded.to_integral_value() else rounded.normalize()
