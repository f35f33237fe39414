"""What stands around every page: its head, the plate, the contents, and the foot."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from markupsafe import Markup
from msgspec import Struct

from journalgen.pictures.model import Picture
from journalgen.site.data import DATA
from journalgen.site.desk import Desk, Link
from journalgen.site.linked_data import describe_page, describe_picture, write_script
from journalgen.site.marks.photograph import show
from journalgen.site.matter import PUBLIC
from journalgen.site.pages.shape import GROUPS, Content, Page


class ContentsEntry(Struct, frozen=True):
    """One page in the contents; `current` is `page`, `true` (a page under it) or empty."""

    label: str
    href: str
    current: str


class PagePicture(Struct, frozen=True):
    """The picture that stands for a page where its address is passed on."""

    address: str
    width: int
    height: int
    alt: str


class Frame(Struct, frozen=True):
    """The page but for its own matter."""

    file: str
    root: str
    language: str
    title: str
    site_title: str
    description: str
    canonical: str | None  # its full address, where the journal says where it lives
    trail: tuple[Link, ...]  # the pages above it, from the top
    picture: PagePicture | None  # of the public edition that has an address
    linked_data: Markup | None  # JSON-LD of the public edition
    owner: bool
    maker: str  # the line under the machine's name on the plate
    contents: tuple[tuple[str, tuple[ContentsEntry, ...]], ...]
    data: tuple[Link, ...]
    on: date
    at_home: bool  # the plate is this page's own heading


def frame_page(desk: Desk, pages: Sequence[Page], page: Page, file: str, content: Content) -> Frame:
    """The frame of one file of a page."""
    settings = desk.matter.journal.settings
    root = content.root or "../" * file.count("/")
    machine = settings.machine
    made = machine.maker or machine.name
    public = desk.matter.edition == PUBLIC
    return Frame(
        file=file,
        root=root,
        language=desk.formats.language,
        title=content.title,
        site_title=settings.title,
        description=content.description,
        canonical=desk.absolute(file),
        trail=content.trail,
        picture=_picture(desk, content) if public else None,
        linked_data=_linked_data(desk, page, file, content) if public else None,
        owner=desk.matter.owner,
        maker=", ".join(filter(None, (None if made == settings.title else made, machine.year))),
        contents=_contents(desk, pages, page, file, root),
        data=tuple(
            Link(name.removeprefix("data/"), root + name) for name, kind in DATA if kind not in desk.matter.hidden
        ),
        on=desk.matter.figures.on,
        at_home=file == "index.html",
    )


def _picture(desk: Desk, content: Content) -> PagePicture | None:
    shot = content.shot or desk.index.opening
    found = desk.matter.pictures.get(shot.photo.file) if shot else None
    if shot is None or not isinstance(found, Picture):
        return None
    largest = found.variants[-1]
    address = desk.absolute(f"pictures/{largest.jpeg}")
    return PagePicture(address, largest.width, largest.height, show(desk, shot).alt) if address else None


def _linked_data(desk: Desk, page: Page, file: str, content: Content) -> Markup:
    """The page's own facts; what a page does not say of itself are its title and its description."""
    facts: dict[str, object] = {"name": content.title, "description": content.description, **content.facts}
    image = describe_picture(desk, content.shot) if content.shot else None
    if image:
        facts.setdefault("image", image)
    return write_script(describe_page(desk, file, page.kind, facts, content.trail))


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
