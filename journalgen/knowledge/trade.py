"""What can hurt and how it is said: cautions by kind of work, notices by safety class, statements by code."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Final

import yaml
from msgspec import Struct

from journalgen.knowledge import _rows, _text

HAZARD: Final = "hazard"
PRECAUTION: Final = "precaution"
STATEMENTS: Final = "GHS statements, Regulation (EC) 1272/2008, annexes III and IV"
"""Where the statements are from."""


class Caution(Struct, frozen=True):
    """A safety note; shown where the work is shown, never in its way."""

    key: str  # as steps and parts name it
    title: str
    text: tuple[str, ...]  # one sentence each
    source: str  # the publication that says more, or `common practice`
    defer: str  # the closing sentence: data sheet, codes and licensed practice come first


class Statement(Struct, frozen=True):
    """A hazard or precautionary statement in the regulation's own wording."""

    code: str  # H226, EUH066, P301+P330+P331
    kind: str  # HAZARD or PRECAUTION
    text: str
    signal: str | None  # danger or warning; None: it depends on the category, or there is none
    standing: str  # clp: in force; un: not taken into the regulation; withdrawn: no longer in it


class _Cautions(Struct, frozen=True):
    by_work: Mapping[str, Caution]
    by_class: Mapping[str, Caution]
    defer: str


@cache
def _cautions() -> _Cautions:
    # the base loader makes texts, lists and mappings and nothing else: no type is guessed, nothing is run
    tree = yaml.load(_text("cautions.yaml"), Loader=yaml.CBaseLoader)  # noqa: S506

    def read(part: str) -> Mapping[str, Caution]:
        return MappingProxyType(
            {
                key: Caution(key, row["title"], tuple(row["text"]), row["source"], row.get("defer", tree["defer"]))
                for key, row in tree[part].items()
            }
        )

    return _Cautions(read("cautions"), read("safety"), tree["defer"])


def cautions() -> Mapping[str, Caution]:
    """The safety notes that steps name, by key."""
    return _cautions().by_work


def deferring() -> str:
    """The sentence that closes a caution: data sheet, codes and licensed practice come first."""
    return _cautions().defer


def safety_notices() -> Mapping[str, Caution]:
    """The notice for the parts of each safety class."""
    return _cautions().by_class


@cache
def statements() -> Mapping[str, Statement]:
    """Every hazard and precautionary statement by its code, combined ones joined by `+` without spaces."""
    return MappingProxyType(
        {
            row["code"]: Statement(row["code"], row["kind"], row["text"], row["signal"] or None, row["list"])
            for row in _rows("ghs.csv")
        }
    )


def statements_of(code: str) -> tuple[Statement, ...]:
    """The statement of a code as a sheet spells it; for a combination that has no text of its own, that of each part.

    Spaces and square brackets do not count; case does, as it tells H360FD from H360Fd. A code that no list knows
    gives nothing.
    """
    spelt = "".join(code.split()).replace("[", "").replace("]", "")
    known = statements()
    if spelt in known:
        return (known[spelt],)
    return tuple(known[part] for part in spelt.split("+") if part in known)
