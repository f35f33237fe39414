"""The totals as the same CSV tables that a site carries, narrowed to what was asked for."""

from __future__ import annotations

from codecs import BOM_UTF8
from collections.abc import Iterator

from journalgen.ledgers.figures import Figures
from journalgen.ledgers.money import ReferenceRates
from journalgen.problems import Problems
from journalgen.site.data_csv import table_csv
from journalgen.site.data_tables import list_tables
from journalgen.site.matter import OWNER, Matter
from journalgen.totals import Totals


def render_totals(totals: Totals, reference: ReferenceRates, *, bom: bool = False) -> Iterator[tuple[str, bytes]]:
    """File names with their contents: hours, purchases, stock, measures and steps, all the owner's.

    With `bom` each begins with the byte order mark, by which some spreadsheets tell UTF-8 from older codes.
    """
    figures = Figures(totals.journal, reference, totals.choice.end, Problems())
    figures.sessions, figures.hours, figures.money = totals.sessions, totals.hours, totals.money
    figures.stock = totals.stock
    for table in list_tables(Matter(OWNER, totals.journal, figures, {})):
        yield f"{table.name}.csv", (BOM_UTF8 if bom else b"") + table_csv(table)
