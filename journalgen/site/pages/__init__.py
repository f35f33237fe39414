"""The pages of a site, in the order of its contents: matter in, files out.

A new page is one module with a `PAGE`, one template of the theme, and its line in the list below.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set
from functools import cached_property, partial
from gettext import NullTranslations
from typing import Final

from journalgen.site.desk import Desk, Link
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.matter import Matter
from journalgen.site.pages import (
    about,
    costs,
    hours,
    index,
    material,
    materials,
    missing,
    pairs,
    part,
    parts,
    search,
    session,
    sessions,
    sources,
    step,
    steps,
    timeline,
)
from journalgen.site.pages.frame import frame_page
from journalgen.site.pages.shape import Extra, Page, Sheet
from journalgen.site.renewing import Unit
from journalgen.site.templates import Templates
from journalgen.site.themes import Theme
from journalgen.site.words import Words

PAGES: Final[tuple[Page, ...]] = tuple(
    module.PAGE
    for module in (
        index,
        sessions,
        session,
        parts,
        part,
        pairs,
        timeline,
        steps,
        step,
        hours,
        costs,
        materials,
        material,
        sources,
        search,
        about,
        missing,
    )
)


class Pages:
    """Every page of one edition; each is filled and rendered only when it is asked for.

    What is made of a page depends on nothing but the desk that it is given, and `given` of its unit.
    """

    def __init__(self, matter: Matter, theme: Theme, words: Words | None = None) -> None:
        words = words or NullTranslations()
        formats = Formats(matter.journal.settings, words)
        self._desk = Desk(matter, words, formats, Index(matter), Templates(theme, words, formats, (Link,)))
        self._pages = [page for page in PAGES if page.shown(self._desk)]

    @cached_property
    def _sheets(self) -> dict[str, tuple[Page, Sheet]]:
        return {sheet.file: (page, sheet) for page in self._pages for sheet in page.sheets(self._desk)}

    @property
    def files(self) -> tuple[str, ...]:
        """Every HTML file of the edition, from the site's root."""
        return tuple(self._sheets)

    def render(self, file: str) -> bytes:
        """One of the files. Raises KeyError for one that this edition does not have."""
        for page, sheet in self._sheets_named({file}):
            return self._render(page, sheet, self._desk).encode()
        raise KeyError(file)

    def _sheets_named(self, files: Set[str]) -> Iterator[tuple[Page, Sheet]]:
        """The sheets of some files; only pages that may have one of them are asked for theirs."""
        for page in self._pages:
            if any(map(page.may_have, files)):
                yield from ((page, sheet) for sheet in page.sheets(self._desk) if sheet.file in files)

    def more(self) -> Iterator[tuple[str, bytes]]:
        """The files that pages fetch when they are used: name from the site's root, and contents."""
        for page in self._pages:
            for extra in page.extras(self._desk):
                yield from extra.make(self._desk, *extra.given)

    @property
    def desk(self) -> Desk:
        """What all of them are made from."""
        return self._desk

    @property
    def kinds(self) -> tuple[str, ...]:
        """The pages that the edition has, which the contents of each of them name."""
        return tuple(page.home for page in self._pages)

    def units(self) -> Iterator[Unit]:
        """Every file, and the files that a page fetches, each as a piece of work by itself."""
        for page, sheet in self._sheets.values():
            yield self._unit(page, sheet)
        for page in self._pages:
            yield from _extra_units(page, self._desk)

    def units_named(self, names: Set[str]) -> Iterator[Unit]:
        """Those of some names."""
        for page, sheet in self._sheets_named(names):
            yield self._unit(page, sheet)
        for page in self._pages:
            if any(name.startswith(f"{page.home} ") for name in names):
                yield from (unit for unit in _extra_units(page, self._desk) if unit.name in names)

    def _unit(self, page: Page, sheet: Sheet) -> Unit:
        return Unit(sheet.file, partial(self._make, page, sheet), sheet.given)

    def _make(self, page: Page, sheet: Sheet, desk: Desk) -> Iterator[tuple[str, bytes]]:
        yield sheet.file, self._render(page, sheet, desk).encode()

    def _render(self, page: Page, sheet: Sheet, desk: Desk) -> str:
        content = sheet.fill(desk.below() if "/" in sheet.file else desk, *sheet.given)
        framed = frame_page(desk, self._pages, page, sheet.file, content)
        return desk.templates.render(page.template, {"page": framed, **content.fields})


def _extra_units(page: Page, desk: Desk) -> Iterator[Unit]:
    for extra in page.extras(desk):
        yield Unit(f"{page.home} {extra.name}", partial(_make_extra, extra), extra.given)


def _make_extra(extra: Extra, desk: Desk) -> Iterable[tuple[str, bytes]]:
    return extra.make(desk, *extra.given)


def render_pages(matter: Matter, theme: Theme, words: Words | None = None) -> Iterator[tuple[str, bytes]]:
    """Every page of the edition with the files that they and the theme bring: relative file name and contents.

    Raises ThemeFault where a template of the theme cannot be used.
    """
    pages = Pages(matter, theme, words)
    for unit in pages.units():
        yield from unit.make(pages.desk)
    yield from theme.copied()
