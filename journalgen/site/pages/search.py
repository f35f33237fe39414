"""`search.html`: everything that can be found, with the index that the theme's script searches."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from markupsafe import Markup
from msgspec import Struct

from journalgen.records import Session
from journalgen.site.desk import Desk
from journalgen.site.marks.found import write_row
from journalgen.site.pages.shape import FIND, Content, Extra, Page, single
from journalgen.site.pages.shape import Entry as ContentsEntry
from journalgen.site.pages.yearly import divide
from journalgen.site.search import Entry, count_captions, count_undated, list_dated, list_entries, list_undated
from journalgen.site.search_index import encode, index_texts, script
from journalgen.site.words import mark

SCRIPT: Final = "search.js"
"""The theme's file that searches; of a theme without it the page is a list."""

INDEX: Final = "search-index{}.js"
LIST: Final = "search-list{}.js"

MOST: Final = 600
"""Entries that the page lists by itself; of more, the list is fetched when the search is first used."""

HEAVIEST: Final = 95_000
"""Bytes of the list in the page, so that with style and scripts it stays below 150 kB before its pictures."""

LONGEST: Final = 800
"""Entries of one index and one list, so that neither is over 500 kB; more are divided by years, as pages are."""

_KINDS: Final = {
    "part": mark("parts"),
    "session": mark("sessions"),
    "step": mark("steps"),
    "material": mark("materials"),
    "photograph": mark("photographs"),
}


class Share(Struct, frozen=True):
    """What one index file and one list file hold; they are made of these entries alone."""

    sessions: tuple[Session, ...] | None = None  # whose entries they are; None: those of no day
    all: bool = False  # all entries there are
    suffix: str = ""  # of their names

    @property
    def index(self) -> str:
        return INDEX.format(self.suffix)

    @property
    def list(self) -> str:
        return LIST.format(self.suffix)


def share_out(desk: Desk) -> tuple[Share, ...]:
    """The shares in the order in which the script fetches them: what has no day, then the newest years first."""
    if _count(desk) <= LONGEST:
        return (Share(all=True),)

    def weigh(session: Session) -> int:
        return 1 + count_captions(desk, session) + desk.index.lengths.get(session.page, 0)

    stretches = divide(desk.matter.figures.sessions[::-1], _day, weigh, LONGEST)
    dated = (Share(stretch.rows, suffix=f"-{stretch.suffix or 'newest'}") for stretch in stretches)
    return (Share(suffix="-parts"), *dated)


def _count(desk: Desk) -> int:
    captions = sum(desk.index.captions.values())
    return sum(count_undated(desk).values()) + desk.matter.figures.count + captions


def _day(session: Session) -> date:
    return session.day


def _entries(desk: Desk, share: Share) -> list[Entry]:
    if share.all:
        return list_entries(desk)
    return list_undated(desk) if share.sessions is None else list_dated(desk, share.sessions)


def fill(desk: Desk) -> Content:
    """The list of all that can be found; a long one is left to its files."""
    shares = share_out(desk)
    listed = _short_list(desk, _entries(desk, shares[0])) if shares[0].all else None
    present = {kind for kind, count in count_undated(desk).items() if count}
    sessions = desk.matter.figures.sessions
    present |= {"session"} if sessions else set()
    present |= {"photograph"} if any(desk.index.captions.values()) else set()
    return Content(
        title=desk._("Search"),
        description=desk._("Every session, part, step, material and photograph of the record, by its words."),
        fields={
            "count": _count(desk),
            "kinds": [(kind, desk._(label)) for kind, label in _KINDS.items() if kind in present],
            "rows": Markup("\n").join(listed) if listed is not None else None,
            "script": SCRIPT in desk.templates.files,
            "index": [share.index for share in shares],
            "list": [share.list for share in shares],
        },
    )


def list_extras(desk: Desk) -> Iterator[Extra]:
    """The index and the list of every share; none without anything to find or to find it with."""
    if _count(desk) and SCRIPT in desk.templates.files:
        for share in share_out(desk):
            yield Extra(share.index, write_files, (share,))


def write_files(desk: Desk, share: Share) -> Iterator[tuple[str, bytes]]:
    """The index of a share, and its list where the page does not hold it."""
    entries = _entries(desk, share)
    index = index_texts(entry.searched for entry in entries)
    yield share.index, script(encode(index, len(entries))).encode()
    if not (share.all and _short_list(desk, entries) is not None):
        rows = json.dumps("".join(_rows(desk, entries)), ensure_ascii=False)
        yield share.list, f"journalList({rows});\n".encode()


def _short_list(desk: Desk, entries: Sequence[Entry]) -> list[Markup] | None:
    """The rows, unless they are too many or too heavy to stand in the page."""
    if len(entries) > MOST:
        return None
    rows = list(_rows(desk, entries))
    return rows if sum(len(row.encode()) for row in rows) <= HEAVIEST else None


def _rows(desk: Desk, entries: Sequence[Entry]) -> Iterator[Markup]:
    for entry in entries:
        yield desk.templates.macro("marks.html", "found", write_row(desk, entry)).strip()


PAGE = Page(
    "search.html",
    "search.html",
    single("search.html", fill),
    ContentsEntry(FIND, mark("Search")),
    extras=list_extras,
)
