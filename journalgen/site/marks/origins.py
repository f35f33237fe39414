"""What of the machine is what left the works: the table of shares, and the parts by origin."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from journalgen.ledgers.originality import ORIGINS, Shares
from journalgen.site.desk import Desk, Link, Teller


class OriginCell(Struct, frozen=True):
    """Pieces of one origin."""

    count: int
    share: str  # per cent, whole


class OriginRow(Struct, frozen=True):
    """One assembly, or the whole machine."""

    name: Link | None
    pieces: int
    cells: tuple[OriginCell, ...]


class OriginsView(Struct, frozen=True):
    """The table, with a column for every origin, and the parts of those that occur."""

    origins: tuple[str, ...]
    rows: tuple[OriginRow, ...]
    machine: OriginRow
    parts: tuple[tuple[str, tuple[Link, ...]], ...]  # by origin


def lay_origins(desk: Desk) -> OriginsView | None:
    """None where no part is in the register."""
    found = desk.matter.figures.craft.originality
    if not found.machine.pieces:
        return None
    by_origin = {
        origin: tuple(desk.part(part) for part, own in found.origins.items() if own == origin) for origin in ORIGINS
    }
    return OriginsView(
        origins=ORIGINS,
        rows=tuple(_row(desk, desk.assembly(name), shares) for name, shares in found.assemblies.items()),
        machine=_row(desk, None, found.machine),
        parts=tuple((origin, parts) for origin, parts in by_origin.items() if parts),
    )


def _row(desk: Desk, name: Link | None, shares: Shares) -> OriginRow:
    return OriginRow(
        name,
        shares.pieces,
        tuple(OriginCell(shares.counts[origin], per_cent(desk, shares.share(origin))) for origin in ORIGINS),
    )


def per_cent(desk: Teller, share: Fraction) -> str:
    """A share in whole hundredths."""
    return desk.formats.per_cent(Decimal(round(share * 100)))
