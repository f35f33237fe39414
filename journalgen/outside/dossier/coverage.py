"""What others ask of the record of a restoration, and in which section a dossier has it: data, read for the tests."""

from __future__ import annotations

import csv
from importlib.resources import files

from msgspec import Struct


class Item(Struct, frozen=True):
    """One thing that is asked for."""

    source: str
    item: str
    read: str  # published, or memory where the source's text was not at hand
    section: str  # its key
    shows: tuple[str, ...]  # what the example's dossier says there


def read_coverage() -> tuple[Item, ...]:
    """Every item, in the order of the sources."""
    text = files(__package__).joinpath("coverage.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return tuple(
        Item(row["source"], row["item"], row["read"], row["section"], tuple(row["shows"].split("|"))) for row in rows
    )
