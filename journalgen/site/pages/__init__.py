"""The pages of a site, in the order of its contents: matter in, files out.

A new page is one module with a `PAGE`, one template of the theme, and its line in the list below.
"""

from __future__ import annotations

from collections.abc import Iterator
from gettext import NullTranslations
from typing import Final

from journalgen.site.desk import Desk, Index
from journalgen.site.formats import Formats
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
from journalgen.site.pages.shape import Page, Sheet
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
    """Every page of one edition; each is filled and rendered only when it is asked for."""

    def __init__(self, matter: Matter, theme: Theme, words: Words | None = None) -> None:
        words = words or NullTranslations()
        formats = Formats(matter.journal.settings, words)
        self._desk = Desk(matter, words, formats, Templates(theme, words, formats), Index(matter))
        self._pages = [page for page in PAGES if page.shown(self._desk)]
        self._sheets = {sheet.file: (page, sheet) for page in self._pages for sheet in page.sheets(self._desk)}

    @property
    def files(self) -> tuple[str, ...]:
        """Every HTML file of the edition, from the site's root."""
        return tuple(self._sheets)

    def render(self, file: str) -> bytes:
        """One of the files. Raises KeyError for one that this edition does not have."""
        page, sheet = self._sheets[file]
        return self._render(page, sheet).encode()

    def more(self) -> Iterator[tuple[str, bytes]]:
        """The files that pages fetch when they are used: name from the site's root, and contents."""
        for page in self._pages:
            yield from page.files(self._desk)

    def _render(self, page: Page, sheet: Sheet) -> str:
        content = sheet.fill()
        framed = frame_page(self._desk, self._pages, page, sheet.file, content)
        return self._desk.templates.render(page.template, {"page": framed, **content.fields})


def render_pages(matter: Matter, theme: Theme, words: Words | None = None) -> Iterator[tuple[str, bytes]]:
    """Every page of the edition with the files that they and the theme bring: relative file name and contents.

    Raises ThemeFault where a template of the theme cannot be used.
    """
    pages = Pages(matter, theme, words)
    for file in pages.files:
        yield file, pages.render(file)
    yield from pages.more()
    yield from theme.copied()
