"""Fills in an entry that holds nothing yet but photographs of its day, as `intake` opens it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from journalgen.beginning import NewEntry, Plain, entry_text, one_or_list, yaml_flow
from journalgen.problems import Problems
from journalgen.reading.journal import Reading
from journalgen.reading.texts import decode
from journalgen.reading.trees import Table, parse_tree, plain_table

_PLACE: Final = "\n# photos:\n"
"""Where an entry without photographs tells how they are written."""

_PHOTOS: Final = "\nphotos:\n"
_ROW: Final = re.compile(r"  - (\{.*\})")


class Waiting(Struct, frozen=True):
    """An entry in which only the photographs stand."""

    file: str  # relative to the journal
    day: date
    parts: Sequence[str]
    rows: Sequence[str]  # the lines below `photos:`, as they stand
    before: bytes  # the whole entry


def find_waiting(folder: Path, reading: Reading, day: date) -> Waiting | None:
    """The entry of a day that waits to be filled in; None unless there is exactly one.

    One in which a person wrote anything but about a photograph waits no more.
    """
    found = []
    for session in reading.journal.sessions:
        if session.day == day and session.photos and not session.body.strip():
            waiting = _read(folder, session.place.file, day, session.parts)
            found += [waiting] if waiting else []
    return found[0] if len(found) == 1 else None


def _read(folder: Path, file: str, day: date, parts: Sequence[str]) -> Waiting | None:
    try:
        before = (folder / file).read_bytes()
    except OSError:
        return None
    text = decode(before, file, Problems())
    head, _, _ = entry_text(NewEntry(day, parts=parts)).partition(_PLACE)
    if text is None or text.encode() != before or not text.startswith(head + _PHOTOS):
        return None
    rows, mark, rest = text.removeprefix(head + _PHOTOS).partition("---\n")
    lines = rows.splitlines()
    if not mark or rest.strip() or not all(line.startswith("  ") for line in lines):
        return None
    return Waiting(file, day, tuple(parts), tuple(lines), before)


def fill_in(waiting: Waiting, new: NewEntry) -> str:
    """The entry's text with what a session says; what a person wrote about the photographs stays as it is.

    Photographs of which no part is told are of the session's part where it has only one.
    """
    parts = list(dict.fromkeys([*waiting.parts, *new.parts]))
    head, _, rest = entry_text(replace(new, parts=parts, photos=())).partition(_PLACE)
    body = rest.partition("\n---\n")[2]
    rows = [_about(line, parts) for line in waiting.rows]
    rows += [f"  - {yaml_flow(row)}" for row in new.photos]
    return "\n".join([head + _PHOTOS.rstrip("\n"), *rows, "---", body])


def _about(line: str, parts: Sequence[str]) -> str:
    """A photograph's line with its part, unless a person has changed the line or there are several parts."""
    plain = _ROW.fullmatch(line)
    tree = parse_tree(plain[1], "", 1, Problems()) if plain and len(parts) == 1 else None
    row: dict[str, Plain] = dict(plain_table(tree)) if isinstance(tree, Table) else {}
    if plain is None or "part" in row or yaml_flow(row) != plain[1]:
        return line
    file = row.pop("file")
    return f"  - {yaml_flow({'file': file, 'part': one_or_list(parts), **row})}"
