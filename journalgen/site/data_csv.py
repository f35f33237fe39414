"""Tables as CSV (RFC 4180) that no spreadsheet takes for a program."""

from __future__ import annotations

import csv
import io
import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from journalgen.ledgers.quantities import plain
from journalgen.site.data_tables import Cell, Table

# The wide signs are taken for the narrow ones where East Asian languages are set. Where a comma parts decimals, a
# semicolon parts cells, and a quote within a line counts for nothing: what follows it, or a line end, begins a cell.
_BEGINS: Final = frozenset("=+-@\uff1d\uff0b\uff0d\uff20")
_PARTS: Final = frozenset(";\t\r\n")
_FORMULA: Final = re.compile(
    f"^(?=[\t\r\n])|(?:^|(?<=[{''.join(sorted(_PARTS))}]))(?=[{re.escape(''.join(sorted(_BEGINS)))}])"
)
_PLACES: Final = 6


def table_csv(table: Table) -> bytes:
    """A table in UTF-8 with CRLF line ends, its column names first."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(table.columns)
    writer.writerows([write_cell(cell) for cell in row] for row in table.rows)
    return out.getvalue().encode("utf-8", "backslashreplace")


def write_cell(cell: Cell) -> str:
    """A cell as it stands in the file.

    What a spreadsheet would run as a formula in a text gets an apostrophe before it. Numbers stay
    numbers, negative ones too: decimals as they were written, fractions to at most six places.
    """
    if cell is None:
        return ""
    if isinstance(cell, str):
        # Most texts have nothing that the expression looks for, and it looks at every letter.
        return cell if _PARTS.isdisjoint(cell) and cell[:1] not in _BEGINS else _FORMULA.sub("'", cell)
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, Decimal):
        return f"{cell:f}" if cell else f"{abs(cell):f}"  # a refund of nothing is no negative nought
    return plain(Fraction(cell), _PLACES)
