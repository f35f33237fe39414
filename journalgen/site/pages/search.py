"""`search.html`: everything that can be found, with the index that the theme's script searches."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Final

from markupsafe import Markup

from journalgen.site.desk import Desk
from journalgen.site.marks.found import write_row
from journalgen.site.pages.shape import FIND, Content, Page, single
from journalgen.site.pages.shape import Entry as ContentsEntry
from journalgen.site.search import Entry, list_entries
from journalgen.site.search_index import encode, index_texts, script
from journalgen.site.words import mark

SCRIPT: Final = "search.js"
"""The theme's file that searches; of a theme without it the page is a list."""

INDEX: Final = "search-index.js"
LIST: Final = "search-list.js"

MOST: Final = 600
"""Entries that the page lists by itself; of more, the list is fetched when the search is first used."""

HEAVIEST: Final = 95_000
"""Bytes of the list in the page, so that with style and scripts it stays below 150 kB before its pictures."""

_KINDS: Final = {
    "part": mark("parts"),
    "session": mark("sessions"),
    "step": mark("steps"),
    "material": mark("materials"),
    "photograph": mark("photographs"),
}


def fill(desk: Desk) -> Content:
    """The list of all that can be found; a long one is left to its file."""
    entries = list_entries(desk)
    listed = _short_list(desk, entries)
    present = {entry.kind for entry in entries}
    return Content(
        title=desk._("Search"),
        description=desk._("Every session, part, step, material and photograph of the record, by its words."),
        fields={
            "count": len(entries),
            "kinds": [(kind, desk._(label)) for kind, label in _KINDS.items() if kind in present],
            "rows": Markup("\n").join(listed) if listed is not None else None,
            "script": SCRIPT in desk.templates.files,
            "index": INDEX,
            "list": LIST,
        },
    )


def write_files(desk: Desk) -> Iterator[tuple[str, bytes]]:
    """The index, and the list where the page does not hold it; neither without anything to find or to find it with."""
    entries = list_entries(desk)
    if not entries or SCRIPT not in desk.templates.files:
        return
    index = index_texts(entry.searched for entry in entries)
    yield INDEX, script(encode(index, len(entries))).encode()
    if _short_list(desk, entries) is None:
        rows = json.dumps("".join(_rows(desk, entries)), ensure_ascii=False)
        yield LIST, f"journalList({rows});\n".encode()


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
