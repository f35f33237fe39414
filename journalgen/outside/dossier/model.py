"""What a dossier consists of, before it has pages: texts, tables, pictures, in the order in which they are read.

All texts are plain. Nothing in them is ever taken for markup, by the template or anything else.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Literal

from msgspec import Struct


class Run(Struct, frozen=True):
    """A piece of running text in one style."""

    text: str
    style: Literal["", "strong", "emphasis", "code"] = ""


class Paragraph(Struct, frozen=True, tag="paragraph"):
    """Running text; `quiet` is set smaller, as a note to what stands by it."""

    runs: tuple[Run, ...]
    quiet: bool = False


class Heading(Struct, frozen=True, tag="heading"):
    """A heading within a section; the level is 2 to 4, and no level is left out."""

    text: str
    level: int
    contents: bool = False  # whether the table of contents lists it


class Label(Struct, frozen=True, tag="label"):
    """What stands over a table or list, and is no heading."""

    text: str


class Facts(Struct, frozen=True, tag="facts"):
    """Names with what stands beside them; `short` ones stand two to a line."""

    rows: tuple[tuple[str, str], ...]
    short: bool = False


class Table(Struct, frozen=True, tag="table"):
    """A table with a head; `widths` are shares of the line, and columns in `figures` stand to the right."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    figures: tuple[int, ...] = ()
    foot: tuple[str, ...] = ()


class Picture(Struct, frozen=True):
    """A photograph as it is shown; without a file a gap says why."""

    number: str  # in words: photograph 12
    caption: str
    alt: str
    file: str | None = None  # in the folder that the document is set from
    ratio: float = 1.5  # of its width to its height
    gap: str = ""


class Pictures(Struct, frozen=True, tag="pictures"):
    """Photographs side by side."""

    pictures: tuple[Picture, ...]


class Band(Struct, frozen=True):
    """One coat of a section."""

    colour: str  # #rrggbb
    film: float  # um, as drawn
    to_come: bool = False


class Coats(Struct, frozen=True, tag="coats"):
    """A section through coats, drawn to scale from the surface up, and the same as a table."""

    bands: tuple[Band, ...]
    alt: str
    surface: str  # what the coats lie on, in words
    table: Table


class Items(Struct, frozen=True, tag="items"):
    """A list; each entry holds blocks."""

    entries: tuple[tuple[Block, ...], ...]
    start: int | None = None  # the first number of a numbered list


class Code(Struct, frozen=True, tag="code"):
    """Text that keeps its lines and spaces."""

    text: str


class Quote(Struct, frozen=True, tag="quote"):
    """What someone else said."""

    blocks: tuple[Block, ...]


class Listed(Struct, frozen=True):
    """One photograph in the list of all of them."""

    number: str
    text: str
    digest: str  # SHA-256 in hex, or why there is none


class Catalogue(Struct, frozen=True, tag="catalogue"):
    """The list of photographs with their digests."""

    entries: tuple[Listed, ...]


Block = Paragraph | Heading | Label | Facts | Table | Pictures | Coats | Items | Code | Quote | Catalogue


class Section(Struct, frozen=True):
    """One numbered section."""

    key: str  # by which it is spoken of in the table of what a dossier must hold
    title: str
    blocks: tuple[Block, ...]


class Document(Struct, frozen=True):
    """The whole dossier."""

    title: str
    kind: str  # what it is, over the title
    head: str  # at the head of every page but the first
    edition: str
    day: tuple[int, int, int]  # year, month, day: as at which it stands, and its date
    language: str  # ISO 639
    region: str | None
    paper: Literal["a4", "us-letter"]
    author: str | None
    description: str
    mark: str  # by which the program knows its own dossiers
    contents: str  # over the table of contents
    page: str  # Page {page} of {pages}
    hero: Pictures | None
    facts: Facts  # on the first page
    sections: tuple[Section, ...]


def tabulate(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    widths: Sequence[float],
    figures: Collection[int] = (),
    foot: Sequence[str] = (),
) -> Table:
    """A table without those of its columns in which nothing stands."""
    every = [tuple(row) for row in rows]
    kept = [at for at in range(len(heads)) if any(row[at] for row in (*every, *((foot,) if foot else ())))]

    def cut(row: Sequence[str]) -> tuple[str, ...]:
        return tuple(row[at] for at in kept)

    return Table(
        heads=cut(heads),
        rows=tuple(map(cut, every)),
        widths=tuple(widths[at] for at in kept),
        figures=tuple(turn for turn, at in enumerate(kept) if at in figures),
        foot=cut(foot) if foot else (),
    )


def plain(text: str, *, quiet: bool = False) -> Paragraph:
    """A paragraph in one style."""
    return Paragraph((Run(text),), quiet)
