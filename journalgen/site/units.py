"""Every file of one edition's site, as pieces of work that can each be done, or left, by itself."""

from __future__ import annotations

from collections.abc import Iterator, Set
from functools import partial
from typing import Final

from msgspec.structs import replace

from journalgen import keeping
from journalgen.languages import load_words
from journalgen.pictures.model import Picture
from journalgen.plain_data import digest, encode
from journalgen.site.data import RECORD, amend_record, render_record, render_schema, render_tables
from journalgen.site.data_tables import list_tables
from journalgen.site.depending import Marks, On
from journalgen.site.desk import Desk
from journalgen.site.feed import FEED, render_feed
from journalgen.site.matter import Matter
from journalgen.site.pages import Pages
from journalgen.site.renewing import Unit
from journalgen.site.sitemap import render_sitemap
from journalgen.site.themes import Theme

_SITEMAP: Final = "sitemap"

PICTURES: Final = "pictures"
"""The folder of pictures in a site, and in the cache."""


class EditionUnits:
    """Every file of one edition's site except the pictures."""

    def __init__(self, pages: Pages, matter: Matter, theme: Theme) -> None:
        self._pages = pages
        self._matter = matter
        self._theme = theme

    def all(self) -> Iterator[Unit]:
        """Every piece of it."""
        yield from self._pages.units()
        yield from self._beside_pages()
        yield from self._sitemap()

    def named(self, names: Set[str]) -> Iterator[Unit]:
        """The pieces of some names; no others are thought of."""
        yield from self._pages.units_named(names)
        yield from (unit for unit in self._beside_pages() if unit.name in names)
        if _SITEMAP in names:
            yield from self._sitemap()

    def _beside_pages(self) -> Iterator[Unit]:
        matter, theme = self._matter, self._theme
        words = load_words(matter.journal.settings.language)
        yield Unit("theme", lambda desk: theme.copied())
        yield Unit("feed", lambda desk: [(FEED, render_feed(desk.matter, words, desk.index))])
        yield Unit(
            "record",
            lambda desk: render_record(desk.matter),
            hangs=On.WORDS,
            amend=lambda desk, read, same: amend_record(desk.matter, read(RECORD), On.FIGURES not in same),
        )
        yield Unit("tables of hours", partial(_tables, timed=True), hangs=On.FIGURES)
        yield Unit("other tables", partial(_tables, timed=False), hangs=On.UNTIMED)
        yield Unit("schema", lambda desk: [render_schema()])

    def _sitemap(self) -> Iterator[Unit]:
        """None without an address, which only the public edition has; to know it, every page must be listed."""
        address = None if self._matter.owner else self._matter.journal.settings.address
        sitemap = render_sitemap(list(self._pages.files), address)
        if sitemap is not None:
            yield Unit(_SITEMAP, lambda desk: [("sitemap.xml", sitemap)], (sitemap,))


def _tables(desk: Desk, *, timed: bool) -> Iterator[tuple[str, bytes]]:
    return render_tables(table for table in list_tables(desk.matter) if table.timed is timed)


def _mark_of(pages: Pages, matter: Matter, theme: Theme) -> bytes:
    """Stands for what every file of an edition depends on."""
    settings = matter.journal.settings
    seen = (
        matter.edition,
        replace(settings, hide=frozenset(), theme_place=None),
        sorted(settings.hide),
        sorted(matter.hidden),
        pages.kinds,
        theme.mark,
    )
    return digest(keeping.program_mark(), encode(seen))


def marks_of(pages: Pages, matter: Matter, theme: Theme) -> Marks:
    """Stand for what the files of an edition are made from.

    How long a body is decides in which file of the search it stands, so that lengths count.
    """
    figures = matter.figures
    pictures = digest(encode(matter.pictures))
    slugs = (matter.part_slugs, matter.material_slugs, matter.step_slugs)
    files = encode((*slugs, pages.desk.index.lengths))  # what they are called, and how many there are
    beside = encode((matter.problems, matter.left_out))
    return Marks(
        all=_mark_of(pages, matter, theme),
        pictures=pictures,
        untimed=digest(figures.untimed, pictures, files),
        pace=digest(figures.pace, pictures, files),
        figures=digest(figures.basis, pictures, files, beside),
    )


def list_pictures(matter: Matter, theme: Theme) -> Iterator[str]:
    for picture in matter.pictures.values():
        if isinstance(picture, Picture):
            for variant in picture.variants:
                if "avif" in theme.pictures:
                    yield f"{PICTURES}/{variant.avif}"
                yield f"{PICTURES}/{variant.jpeg}"
