"""What the trade and the standards know, as data files beside this one; read once, on first need."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from msgspec import Struct


def _text(name: str) -> str:
    return files(__name__).joinpath(name).read_text(encoding="utf-8")


def _rows(name: str) -> list[dict[str, str]]:
    lines = [line for line in _text(name).splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def steps_text() -> str:
    """The built-in steps and routes, in the form of a journal's own register/steps.yaml."""
    return _text("steps.yaml")


@cache
def currencies() -> Mapping[str, int]:
    """The minor unit (decimals) of every currency code of ISO 4217, historic ones included."""
    return MappingProxyType({row["code"]: int(row["decimals"]) for row in _rows("currencies.csv")})


@cache
def unit_factors() -> Mapping[str, tuple[str, Fraction, Fraction]]:
    """The units met most often: dimension, factor to its base unit, and offset."""
    rows = _rows("unit_factors.csv")
    return MappingProxyType(
        {row["word"]: (row["dimension"], Fraction(row["factor"]), Fraction(row["offset"])) for row in rows}
    )


class UnitSystem(Struct, frozen=True):
    """Where a unit belongs, and what it is shown beside."""

    system: str  # metric or imperial
    other: str  # a unit of the other system
    other_us: str | None  # the one used in the United States, where that differs


@cache
def unit_systems() -> Mapping[str, UnitSystem]:
    """The units that are shown in either system; what is counted, and anything else, is shown as written."""
    rows = _rows("unit_systems.csv")
    return MappingProxyType(
        {row["word"]: UnitSystem(row["system"], row["other"], row["other_us"] or None) for row in rows}
    )


class UnitWords(Struct, frozen=True):
    """How the trade spells units, and what it counts by."""

    spellings: Mapping[str, str]  # trade spelling -> expression in pint's names
    counted: frozenset[str]  # singular words that count things, whatever else they may measure


@cache
def unit_words() -> UnitWords:
    """The trade's spellings of units and its counting words."""
    rows = _rows("units.csv")
    spelt = {row["word"]: row["meaning"] for row in rows if row["meaning"] != "counted"}
    return UnitWords(MappingProxyType(spelt), frozenset(row["word"] for row in rows if row["meaning"] == "counted"))


@cache
def camera_files() -> Mapping[str, str]:
    """What the ending of a file from a camera stands for: photograph, film or raw."""
    return MappingProxyType({row["ending"]: row["kind"] for row in _rows("camera_files.csv")})
