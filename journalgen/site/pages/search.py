"""`search.html`: everything that can be found, with the index that the theme's script searches."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from markupsafe import Markup

from journalgen.site.desk import Desk
from journalgen.site.marks.found import write_row
from journalgen.site.pages.shape import FIND, Content, Page, single
from journalgen.site.pages.shape import Entry as ContentsEntry
from journalgen.site.pages.yearly import divide
from journalgen.site.search import Entry, list_entries
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

_TEXT: Final = 2000
"""Letters of an entry beyond which it counts once more; the index has a quarter of them."""

_KINDS: Final = {
    "part": mark("parts"),
    "session": mark("sessions"),
    "step": mark("steps"),
    "material": mark("materials"),
    "photograph": mark("photographs"),
}


@dataclass(frozen=True, slots=True)
class Share:
    """What one index file and one list file hold; they are made of these entries alone."""

    entries: tuple[Entry, ...]
    suffix: str = ""  # of their names

    @property
    def index(self) -> str:
        return INDEX.format(self.suffix)

    @property
    def list(self) -> str:
        return LIST.format(self.suffix)


def share_out(entries: Sequence[Entry], short: bool) -> list[Share]:
    """The entries in the order in which the script fetches them: what has no day, then the newest years first.

    A list that is `short` enough to stand in the page has one index.
    """
    if short or len(entries) <= LONGEST:
        return [Share(tuple(entries))]
    undated = [entry for entry in entries if entry.day is None]
    lots = [tuple(undated[start : start + LONGEST]) for start in range(0, len(undated), LONGEST)]
    stretches = divide([entry for entry in entries if entry.day], _day, _weigh, LONGEST)
    return [
        *(Share(lot, f"-parts-{n}" if n > 1 else "-parts") for n, lot in enumerate(lots, start=1)),
        *(Share(stretch.rows, f"-{stretch.suffix or 'newest'}") for stretch in stretches),
    ]


def _day(entry: Entry) -> date:
    return entry.day or date.min


def _weigh(entry: Entry) -> int:
    return 1 + sum(map(len, entry.searched)) // _TEXT


def fill(desk: Desk) -> Content:
    """The list of all that can be found; a long one is left to its files."""
    entries = list_entries(desk)
    listed = _short_list(desk, entries)
    shares = share_out(entries, listed is not None)
    present = {entry.kind for entry in entries}
    return Content(
        title=desk._("Search"),
        description=desk._("Every session, part, step, material and photograph of the record, by its words."),
        fields={
            "count": len(entries),
            "kinds": [(kind, desk._(label)) for kind, label in _KINDS.items() if kind in present],
            "rows": Markup("\n").join(listed) if listed is not None else None,
            "script": SCRIPT in desk.templates.files,
            "index": [share.index for share in shares],
            "list": [share.list for share in shares],
        },
    )


def write_files(desk: Desk) -> Iterator[tuple[str, bytes]]:
    """The index, and the list where the page does not hold it; neither without anything to find or to find it with."""
    entries = list_entries(desk)
    if not entries or SCRIPT not in desk.templates.files:
        return
    short = _short_list(desk, entries) is not None
    for share in share_out(entries, short):
        index = index_texts(entry.searched for entry in share.entries)
        yield share.index, script(encode(index, len(share.entries))).encode()
        if not short:
            rows = json.dumps("".join(_rows(desk, share.entries)), ensure_ascii=False)
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
    files=write_files,
)
