"""What a module of a page declares: its files, its template, and its entry in the contents."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from msgspec import Struct, field

from journalgen.ledgers.pairs import Shot
from journalgen.site.desk import Desk, Link
from journalgen.site.words import mark

RECORD: Final = mark("Record")
LEDGERS: Final = mark("Ledgers")
FIND: Final = mark("Find")
GROUPS: Final = (RECORD, LEDGERS, FIND)
"""The lines of the contents, in order."""


class Entry(Struct, frozen=True):
    """A page's entry in the contents."""

    group: str
    label: str  # marked for the catalogue


class Content(Struct, frozen=True):
    """What one page says."""

    title: str
    description: str
    fields: Mapping[str, object] = field(default_factory=dict)
    trail: tuple[Link, ...] = ()  # the pages above this one, from the top
    shot: Shot | None = None  # the photograph that stands for the page; None: the one that stands for the machine
    root: str = ""  # where the site's root is, for a page that is shown at any address; empty: seen from its file
    facts: Mapping[str, object] = field(default_factory=dict)  # what it says to them beyond title and description


class Sheet(Struct, frozen=True):
    """One file of the site; it is filled only when it is rendered.

    `fill` is given the desk as seen from the file, and what is `given`. It must not know of anything
    else, since a file is made again only when what it looked at on the desk, or was given, has changed. What is
    given tells no hours: what does is looked up on the desk. So an edit of hours makes no file come or go.
    """

    file: str  # from the site's root
    fill: Callable[..., Content]
    given: tuple[object, ...] = ()


class Extra(Struct, frozen=True):
    """Files that a page fetches when it is used; as with a sheet, `make` knows of the desk and of what is given."""

    name: str  # of this piece of work among those of the page
    make: Callable[..., Iterable[tuple[str, bytes]]]  # names from the site's root, and contents
    given: tuple[object, ...] = ()


class Page(Struct, frozen=True):
    """One page, or one kind of page."""

    template: str
    home: str  # the file its entry in the contents leads to, or under which it stands there
    sheets: Callable[[Desk], Iterable[Sheet]]
    entry: Entry | None = None
    shown: Callable[[Desk], bool] = lambda desk: True
    extras: Callable[[Desk], Iterable[Extra]] = lambda desk: ()
    kind: str = "WebPage"  # what it is to machines, a type of schema.org
    folder: str = ""  # in which its sheets lie, with a slash; empty: at the site's root, named after its home

    def may_have(self, file: str) -> bool:
        """Whether a file can be one of its sheets."""
        if self.folder:
            return file.startswith(self.folder)
        return file == self.home or file.startswith(self.home.removesuffix(".html") + "-")


def single(file: str, fill: Callable[[Desk], Content]) -> Callable[[Desk], Iterable[Sheet]]:
    """The sheets of a page that is one file."""
    return lambda desk: [Sheet(file, fill)]
