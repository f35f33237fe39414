"""Units of measurement: what each word stands for. The one place that asks pint."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from journalgen.knowledge import unit_factors, unit_words
from journalgen.values import COUNTED

if TYPE_CHECKING:
    from pint import UnitRegistry

_WORD: Final = re.compile(r"[^\W\d_]+[23]?|[°%µμΩ][^\W\d_]*")
_EXPRESSION: Final = re.compile(r"(?:[^\W\d_]|[23²³°%µμΩ/*·. -])+")
_COUNTABLE: Final = re.compile(r"[^\W\d_]+(?:[ '-][^\W\d_]+)*")
_DIMENSIONS: Final = {
    "[mass]": "mass",
    "[length]": "length",
    "[length] ** 2": "area",
    "[length] ** 3": "volume",
    "[temperature]": "temperature",
    "dimensionless": "ratio",
}
_OF_MATERIAL: Final = frozenset({"mass", "volume", "length", "area"})
_PREFIXED: Final = frozenset(
    (
        "gram",
        "liter",
        "meter",
        "second",
        "pascal",
        "bar",
        "newton",
        "joule",
        "watt",
        "volt",
        "ampere",
        "ohm",
        "farad",
        "hertz",
    )
)
"""Units that take prefixes. Without this list pint reads `pin` as a picoinch."""


class UnitMeaning(Struct, frozen=True):
    """What a unit's word stands for."""

    dimension: str
    factor: Fraction  # to the base unit of the dimension
    offset: Fraction = Fraction(0)


@cache
def measuring_unit(words: str) -> UnitMeaning | None:
    """A physical unit, or a counted one for any other plain words; None for what is neither."""
    return _physical(words) or _counted(words)


@cache
def material_unit(words: str) -> UnitMeaning | None:
    """A unit that a material is bought and used in: mass, volume, length, area, or counted.

    Words the trade counts by (rod, bag, bar) are counted here, whatever else they may measure.
    """
    if _singular(words) in unit_words().counted:
        return _counted(words)
    found = _physical(words)
    return found if found and found.dimension in _OF_MATERIAL else _counted(words)


def _counted(words: str) -> UnitMeaning | None:
    if words and not _COUNTABLE.fullmatch(words):
        return None
    return UnitMeaning(f"{COUNTED}:{_singular(words)}", Fraction(1))


def _singular(words: str) -> str:
    """`sheets` as `sheet`: enough of a rule that both spellings of a counted unit meet."""
    word = " ".join(words.casefold().split())
    if word.endswith("ies") and len(word) > 4:
        return f"{word[:-3]}y"
    if re.search(r"(?:s|x|z|ch|sh)es$", word):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _physical(words: str) -> UnitMeaning | None:
    known = unit_factors().get(" ".join(words.split()))
    return UnitMeaning(*known) if known else ask_pint(words)


def ask_pint(words: str) -> UnitMeaning | None:
    """A physical unit as the library knows it; half a second goes before the first answer."""
    expression = _expression(words)
    if expression is None:
        return None
    registry = _registry()
    unit = registry.parse_units(expression)
    dimension = _DIMENSIONS.get(str(unit.dimensionality)) or _spell(unit.dimensionality)
    zero = registry.Quantity(Decimal(0), unit).to_base_units().magnitude
    one = registry.Quantity(Decimal(1), unit).to_base_units().magnitude
    litres = 1000 if dimension == "volume" else 1  # a volume's base unit here is the litre, not the cubic metre
    return UnitMeaning(dimension, _exact(one - zero) * litres, _exact(zero))


def _spell(dimensionality: Mapping[str, object]) -> str:
    """One spelling for each dimension; the library's own follows the order in which a unit was written."""
    return " ".join(f"{name}^{power}" for name, power in sorted(dimensionality.items()))


def _expression(words: str) -> str | None:
    """The words in the spelling pint knows, or None where one of them is no unit."""
    spellings: Mapping[str, str] = unit_words().spellings
    words = " ".join(words.split())
    if found := spellings.get(words) or spellings.get(words.casefold()):
        return found
    if not words or len(words) > 40 or not _EXPRESSION.fullmatch(words):
        return None
    plain = words.replace("²", "2").replace("³", "3")
    parts = [part for part in re.split(r"([/*·. -])", plain) if part and part != " "]
    spelt = [part if part in "/" else "*" if part in "*·.-" else _word(part, spellings) for part in parts]
    if any(part is None for part in spelt):
        return None
    text, after_sign = "", True
    for part in filter(None, spelt):
        sign = part in ("*", "/")
        if sign and after_sign:
            return None
        text += part if sign or after_sign else f" * {part}"
        after_sign = sign
    return None if after_sign else text


def _word(word: str, spellings: Mapping[str, str]) -> str | None:
    if word in spellings:
        return f"({spellings[word]})"
    stem, power = (word[:-1], word[-1]) if word[-1] in "23" else (word, "")
    if not _WORD.fullmatch(word):
        return None
    known = [(prefix, unit) for prefix, unit, _ in _registry().parse_unit_name(stem) if not prefix or unit in _PREFIXED]
    return (f"{stem}**{power}" if power else stem) if known else None


def _exact(number: object) -> Fraction:
    """Decimal division leaves noise in the 27th place; 20 significant digits are all that is meant."""
    return Fraction(Decimal(f"{Decimal(str(number)):.20g}"))


@cache
def _registry() -> UnitRegistry[Decimal]:
    import pint  # half a second; only who meets a unit beyond the table pays for it

    return pint.UnitRegistry(non_int_type=Decimal, autoconvert_offset_to_baseunit=True)
