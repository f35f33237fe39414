"""Every file of one edition's site, as pieces of work that can each be done, or left, by itself."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Final

from msgspec.structs import replace

from journalgen import keeping
from journalgen.languages import load_words
from journalgen.ledgers.money import ReferenceRates
from journalgen.pictures.model import Picture
from journalgen.site.checked import basis_of
from journalgen.site.data import render_data, render_schema
from journalgen.site.feed import render_feed
from journalgen.site.matter import Matter
from journalgen.site.pages import Pages
from journalgen.site.renewing import Unit
from journalgen.site.sitemap import render_sitemap
from journalgen.site.themes import Theme

PICTURES: Final = "pictures"
"""The folder of pictures in a site, and in the cache."""


def list_units(pages: Pages, matter: Matter, theme: Theme) -> Iterator[Unit]:
    """Every file of one edition's site except the pictures."""
    yield from pages.units()
    words = load_words(matter.journal.settings.language)
    yield Unit("theme", lambda desk: theme.copied())
    yield Unit("feed", lambda desk: [("feed.atom", render_feed(matter, words))], always=True)
    yield Unit("data", lambda desk: render_data(matter), always=True)
    yield Unit("schema", lambda desk: [render_schema()])
    address = None if matter.owner else matter.journal.settings.address  # only the public edition has one
    sitemap = render_sitemap(list(pages.files), address)
    if sitemap is not None:
        yield Unit("sitemap", lambda desk: [("sitemap.xml", sitemap)], (sitemap,))


def mark_of(pages: Pages, matter: Matter, theme: Theme) -> bytes:
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
    return keeping.digest(keeping.program_mark(), keeping.encode(seen))


def basis_of_edition(matter: Matter, reference: ReferenceRates, on: date) -> bytes:
    """Stands for all that the files of an edition are made from beside what its sessions say."""
    seen = (
        matter.pictures, matter.problems, matter.left_out, matter.part_slugs, matter.material_slugs, matter.step_slugs,
    )  # fmt: skip
    return keeping.digest(basis_of(matter.journal, reference, on), keeping.encode(seen))


def list_pictures(matter: Matter, theme: Theme) -> Iterator[str]:
    for picture in matter.pictures.values():
        if isinstance(picture, Picture):
            for variant in picture.variants:
                if "avif" in theme.pictures:
                    yield f"{PICTURES}/{variant.avif}"
                yield f"{PICTURES}/{variant.jpeg}"
