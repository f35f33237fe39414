"""What stands around every page: its head, the plate, the contents, and the foot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from journalgen.site.desk import Desk, Link
from journalgen.site.matter import PUBLIC
from journalgen.site.pages.shape import GROUPS, Content, Page
from journalgen.site.sitemap import page_address

DATA: Final = (
    ("data/journal.json", None),
    ("data/hours.csv", "hours"),
    ("data/purchases.csv", "prices"),
    ("data/stock.csv", None),
    ("data/measures.csv", None),
    ("data/steps.csv", None),
)
"""The data files, each with the kind of fact that takes it away where it is hidden."""


@dataclass(frozen=True, slots=True)
class ContentsEntry:
    """One page in the contents; `current` is `page`, `true` (a page under it) or empty."""

    label: str
    href: str
    current: str


@dataclass(frozen=True, slots=True)
class Frame:
    """The page but for its own matter."""

    file: str
    root: str
    language: str
    title: str
    site_title: str
    description: str
    canonical: str | None
    owner: bool
    maker: str  # the line under the machine's name on the plate
    contents: tuple[tuple[str, tuple[ContentsEntry, ...]], ...]
    data: tuple[Link, ...]
    on: date
    at_home: bool  # the plate is this page's own heading


def frame_page(desk: Desk, pages: Sequence[Page], page: Page, file: str, content: Content) -> Frame:
    """The frame of one file of a page."""
    settings = desk.matter.journal.settings
    root = "../" * file.count("/")
    machine = settings.machine
    return Frame(
        file=file,
        root=root,
        language=desk.formats.language,
        title=content.title,
        site_title=settings.title,
        description=content.description,
        canonical=_canonical(desk, file),
        owner=desk.matter.owner,
        maker=", ".join(filter(None, (machine.maker or machine.name, machine.year))),
        contents=_contents(desk, pages, page, file, root),
        data=tuple(
            Link(name.removeprefix("data/"), root + name) for name, kind in DATA if kind not in desk.matter.hidden
        ),
        on=desk.matter.figures.on,
        at_home=file == "index.html",
    )


def _canonical(desk: Desk, file: str) -> str | None:
    base = desk.matter.journal.settings.address
    return page_address(base, file) if base and desk.matter.edition == PUBLIC else None


def _contents(
    desk: Desk, pages: Sequence[Page], page: Page, file: str, root: str
) -> tuple[tuple[str, tuple[ContentsEntry, ...]], ...]:
    groups = []
    for group in GROUPS:
        entries = tuple(
            ContentsEntry(desk._(other.entry.label), root + other.home, _current(other, page, file))
            for other in pages
            if other.entry and other.entry.group == group
        )
        if entries:
            groups.append((desk._(group), entries))
    return tuple(groups)


def _current(other: Page, page: Page, file: str) -> str:
    if other.home == file:
        return "page"
    return "true" if other.home == page.home else ""
