"""A row of the search: one thing that can be found, with a small picture of it."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from journalgen.pictures.model import Picture
from journalgen.site.desk import Desk, Link
from journalgen.site.search import Entry


class Small(Struct, frozen=True):
    """The smallest picture of a photograph."""

    src: str
    width: int
    height: int


class FoundRow(Struct, frozen=True):
    """One entry as the list shows it."""

    kind: str
    title: Link
    day: date | None
    note: str
    also: tuple[str, ...]
    small: Small | None


def write_row(desk: Desk, entry: Entry) -> FoundRow:
    """The row of one entry."""
    link = Link(entry.title, desk.root + entry.href, entry.private)
    return FoundRow(entry.kind, link, entry.day, entry.note, entry.also, _small(desk, entry))


def _small(desk: Desk, entry: Entry) -> Small | None:
    found = desk.matter.pictures.get(entry.shot.photo.file) if entry.shot else None
    if not isinstance(found, Picture):
        return None
    least = min(found.variants, key=lambda variant: variant.width)
    return Small(f"{desk.root}pictures/{least.jpeg}", least.width, least.height)
