"""The years at the bench: a row an assembly, a column a year, twelve month bars in each cell."""

from __future__ import annotations

from datetime import date
from typing import Final

from msgspec import Struct

from journalgen.records import NO_ASSEMBLY
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.years import draw_year

SHORT_FROM: Final = 60
"""Cells of a table beyond which each is drawn as shortly as can be: a hundred would weigh more than a page should."""


class YearCell(Struct, frozen=True):
    """One assembly's year."""

    drawing: str  # SVG
    minutes: int


class YearsRow(Struct, frozen=True):
    """One assembly's years."""

    name: Link
    cells: tuple[YearCell, ...]
    minutes: int


class Milestone(Struct, frozen=True):
    """An assembly whose last part was fitted; the number is in its ring."""

    number: int
    name: Link
    day: date


class Years(Struct, frozen=True):
    """The whole table."""

    years: tuple[int, ...]
    rows: tuple[YearsRow, ...]
    totals: tuple[int, ...]  # beside `years`
    minutes: int
    milestones: tuple[Milestone, ...]


def lay_years(desk: Desk) -> Years | None:
    """The table of all years from the first to the last with any hours; None while there are none."""
    hours = desk.matter.figures.hours
    by_assembly = desk.index.minutes_by_assembly_and_month
    months = {month for row in by_assembly.values() for month in row}
    if not months:
        return None
    years = tuple(range(int(min(months)[:4]), int(max(months)[:4]) + 1))
    milestones = tuple(
        Milestone(number, desk.assembly(completion.assembly), completion.day)
        for number, completion in enumerate(desk.index.completions, 1)
    )
    rings = {completion.assembly: (n, completion.day) for n, completion in enumerate(desk.index.completions, 1)}
    greatest = max(minutes for row in by_assembly.values() for minutes in row.values())
    order = [a.name for a in desk.index.assemblies if a.name in by_assembly and a.name != NO_ASSEMBLY]
    order += [name for name in by_assembly if name not in order]
    short = len(order) * len(years) > SHORT_FROM
    rows = tuple(
        YearsRow(
            name=desk.assembly(name),
            cells=tuple(_cell(desk, by_assembly[name], year, greatest, rings.get(name), short) for year in years),
            minutes=sum(by_assembly[name].values()),
        )
        for name in order
    )
    totals = tuple(sum(row.cells[i].minutes for row in rows) for i in range(len(years)))
    return Years(years, rows, totals, hours.minutes, milestones)


def _cell(
    desk: Desk, months: dict[str, int], year: int, greatest: int, ring: tuple[int, date] | None, short: bool
) -> YearCell:
    own = {int(month[5:7]): minutes for month, minutes in months.items() if month.startswith(f"{year:04}-")}
    on = desk.matter.figures.on
    rings = [ring] if ring and ring[1].year == year else []
    return YearCell(draw_year(own, greatest, rings, on if on.year == year else None, short), sum(own.values()))
