"""The record of one edition as data for other programs: one JSON file and a table for each ledger."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib.resources import files
from typing import Final

from journalgen.site.data_csv import table_csv
from journalgen.site.data_json import amended_json, journal_json
from journalgen.site.data_tables import Table
from journalgen.site.matter import Matter

FOLDER: Final = "data/"
RECORD: Final = f"{FOLDER}journal.json"

DATA: Final = (
    (RECORD, None),
    ("data/hours.csv", "hours"),
    ("data/purchases.csv", "prices"),
    ("data/stock.csv", None),
    ("data/measures.csv", None),
    ("data/steps.csv", None),
)
"""The data files, each with the kind of fact that takes it away where it is hidden."""


SCHEMA: Final = "journal.schema.json"
"""What journal.json holds, key by key, in JSON Schema 2020-12; the file beside this module, published as it is."""


def render_schema() -> tuple[str, bytes]:
    """The schema's name from the site's root, and its bytes; the same for every journal and edition."""
    return f"{FOLDER}{SCHEMA}", files(__package__).joinpath(SCHEMA).read_bytes()


def render_record(matter: Matter) -> Iterator[tuple[str, bytes]]:
    """The whole edition as JSON: its name from the site's root, and its bytes. What is hidden has no key there."""
    yield RECORD, journal_json(matter)


def amend_record(matter: Matter, before: bytes | None, hours: bool) -> Iterator[tuple[str, bytes]]:
    """The same, where nothing but what sessions say, and their hours with `hours`, can be other than `before`."""
    yield RECORD, (amended_json(matter, before, hours) if before else None) or journal_json(matter)


def render_tables(tables: Iterable[Table]) -> Iterator[tuple[str, bytes]]:
    """Each of the tables of an edition, likewise. One whose whole kind of fact is hidden is left out; what is hidden
    within a table has no column there."""
    for table in tables:
        yield f"{FOLDER}{table.name}.csv", table_csv(table)
