"""A page whose list grows with the years is divided: a file for each year, so that none weighs more than a phone bears.

The page itself keeps what it says in sum and the newest rows; the other years are files beside it,
`sessions-2022.html`, `steps/prime--2022.html` (a slug holds no two hyphens). Rows that came to an
earlier year change that year's file alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from functools import partial
from itertools import groupby
from typing import Any, Final, Generic, TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.site.desk import Desk, Link
from journalgen.site.pages.shape import Content, Sheet

Row = TypeVar("Row")

MOST: Final = 250
"""Rows of one file. One of a table has about half a kilobyte, a card with its photograph one and a half."""

_LINE: Final = 450
"""Bytes of text and links beyond which a row counts once more."""

_LINK: Final = 70
"""Bytes of a link without its text."""


class Stretch(Generic[Row], Struct, frozen=True):
    """The rows of one file, in the list's order."""

    rows: tuple[Row, ...]
    label: str = ""  # 2022, 2024–2025, or 2022 (1/2) where a year fills several; empty: the list is not divided
    suffix: str = ""  # of the file's name; empty: the page itself
    names: Mapping[int, str] = field(default_factory=dict)  # what each of its years is called on it

    @property
    def itself(self) -> bool:
        """Whether this is the page itself, which keeps the sums, rather than one year of it."""
        return not self.suffix

    @property
    def year(self) -> str:
        """What the file of one year is called; empty for the page itself."""
        return "" if self.itself else self.label

    def name(self, year: int) -> str:
        """What a year is called on this file: 2022, or 2022 (1/2) where there is more of it on another."""
        return self.names.get(year, str(year))


class FileLink(Struct, frozen=True):
    """One file of a divided page, as the row of links to all of them has it."""

    text: str
    href: str
    current: bool


class _Piece(Generic[Row], Struct, frozen=True):
    """A year, or one of several stretches of it."""

    year: int
    place: int  # among those of its year, from 1
    of: int
    rows: tuple[tuple[int, Row], ...]  # with their places in the list
    weight: int

    @property
    def label(self) -> str:
        return str(self.year) if self.of == 1 else f"{self.year} ({self.place}/{self.of})"

    @property
    def suffix(self) -> str:
        return str(self.year) if self.of == 1 else f"{self.year}-{self.place}"


def weigh(links: int = 0, *texts: str | None) -> int:
    """How many rows a row counts for that holds so many links and these texts.

    >>> weigh(2, "a note")
    1
    >>> weigh(30, "a note")
    5
    """
    size = links * _LINK
    for text in texts:  # it is asked of every photograph and line of the journal
        if text:
            size += len(text)
    return 1 + size // _LINE


def divide(
    rows: Sequence[Row], day: Callable[[Row], date], weight: Callable[[Row], int] = lambda row: 1, most: int = MOST
) -> tuple[Stretch[Row], ...]:
    """The list's files, the page itself first and then from the newest; one where all rows fit in a file.

    The page itself holds as many of the newest years as fit. A year that does not fit in a file is divided between
    months, and a month that does not, between rows.
    """
    if sum(map(weight, rows)) <= most:
        return (Stretch(tuple(rows)),)
    pieces = [piece for year in _years(rows, day) for piece in _pieces(year, day, weight, most)][::-1]
    if len(pieces) == 1:
        return (Stretch(tuple(rows)),)
    kept = 1
    while sum(piece.weight for piece in pieces[: kept + 1]) <= most:
        kept += 1
    newest = pieces[:kept]
    label = newest[0].label if kept == 1 else f"{newest[-1].label}\N{EN DASH}{newest[0].label}"
    return (
        _stretch(newest, label),
        *(_stretch([piece], piece.label, piece.suffix) for piece in pieces[kept:]),
    )


def list_files(
    file: str, stretches: Sequence[Stretch[Row]], fill: Callable[..., Content], *given: object
) -> Iterator[Sheet]:
    """The files of a page; `file` is the page itself, from the site's root.

    `fill` is given the desk, then what is `given`, and last the stretch of one file.
    """
    named = tuple((stretch.label, _name(file, stretch)) for stretch in stretches)
    for stretch in stretches:
        links = named if len(named) > 1 else ()
        yield Sheet(_name(file, stretch), partial(_fill, fill), (file, links, *given, stretch))


def _fill(
    fill: Callable[..., Content], desk: Desk, file: str, links: Sequence[tuple[str, str]], *given: Any
) -> Content:
    """What the file holds, with the links to the others; that of a year says so wherever the page says what it is."""
    stretch: Stretch[Any] = given[-1]
    content = fill(desk, *given)
    here = _name(file, stretch)
    files = [FileLink(label, desk.root + other, other == here) for label, other in links]
    fields = {**content.fields, "files": files, "year": stretch.year}
    if stretch.itself:
        return replace(content, fields=fields)
    shown = {"page": content.title, "year": stretch.year}
    on_this_page = desk._("On this page: %(year)s.") % shown
    return replace(
        content,
        title=desk._("%(page)s, %(year)s") % shown,
        description=f"{content.description} {on_this_page}",
        trail=(*content.trail, Link(content.title, desk.root + file)),
        fields=fields,
    )


def _name(file: str, stretch: Stretch[Row]) -> str:
    if stretch.itself:
        return file
    hyphens = "--" if "/" in file else "-"
    return f"{file.removesuffix('.html')}{hyphens}{stretch.suffix}.html"


def _years(rows: Sequence[Row], day: Callable[[Row], date]) -> list[list[tuple[int, Row]]]:
    """The rows year by year, months in order, with their places in the list."""
    placed = sorted(enumerate(rows), key=lambda row: _month(day(row[1])))
    return [list(group) for _, group in groupby(placed, key=lambda row: day(row[1]).year)]


def _pieces(
    year: list[tuple[int, Row]], day: Callable[[Row], date], weight: Callable[[Row], int], most: int
) -> list[_Piece[Row]]:
    """A year whole, or in as few stretches of months as will do, none much longer than another."""
    months = [(sum(weight(row) for _, row in month), month) for month in _months(year, day, weight, most)]
    few = len(_filled(months, most))
    least = min(sum(heft for heft, _ in months) // few, most)
    filled = next(found for cap in range(least, most + 1) if len(found := _filled(months, cap)) == few)
    return [_Piece(day(rows[0][1]).year, n, few, tuple(rows), heft) for n, (heft, rows) in enumerate(filled, start=1)]


def _filled(months: Sequence[tuple[int, list[tuple[int, Row]]]], cap: int) -> list[tuple[int, list[tuple[int, Row]]]]:
    """The months in stretches, each filled up to a weight before the next is begun."""
    filled: list[tuple[int, list[tuple[int, Row]]]] = []
    for heft, month in months:
        if filled and filled[-1][0] + heft <= cap:
            filled[-1] = (filled[-1][0] + heft, [*filled[-1][1], *month])
        else:
            filled.append((heft, month))
    return filled


def _months(
    year: list[tuple[int, Row]], day: Callable[[Row], date], weight: Callable[[Row], int], most: int
) -> Iterator[list[tuple[int, Row]]]:
    """Month by month; one that does not fit in a file comes in lots that do, a row heavier than that alone."""
    for _, month in groupby(year, key=lambda row: day(row[1]).month):
        lot: list[tuple[int, Row]] = []
        heft = 0
        for row in month:
            if lot and heft + weight(row[1]) > most:
                yield lot
                lot, heft = [], 0
            lot.append(row)
            heft += weight(row[1])
        yield lot


def _month(day: date) -> tuple[int, int]:
    return day.year, day.month


def _stretch(pieces: Sequence[_Piece[Row]], label: str, suffix: str = "") -> Stretch[Row]:
    placed = sorted((row for piece in pieces for row in piece.rows), key=lambda row: row[0])
    return Stretch(tuple(row for _, row in placed), label, suffix, {piece.year: piece.label for piece in pieces})
