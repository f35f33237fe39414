"""Adds photographs to the entry of their day, or opens one; an entry that cannot be added to is left as it is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from datetime import date, time
from glob import escape
from pathlib import Path, PurePosixPath
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import fields

from journalgen.beginning import CannotBegin, NewEntry, Plain, entry_path, one_or_list, open_entry, yaml_flow
from journalgen.front_matter import CannotAdd, add_to_list
from journalgen.intake.model import Listing, Row
from journalgen.problems import Problems
from journalgen.reading.dates import from_file_name
from journalgen.reading.entries import parse_entry
from journalgen.reading.journal import Reading
from journalgen.reading.texts import decode
from journalgen.records import Photo, Session
from journalgen.slugs import key
from journalgen.values import Place
from journalgen.whole import UNFINISHED, Changed, replace_unchanged

_TRIES: Final = 3
"""How often an entry is read again that someone changes in the same moment."""


class Entry(Struct, frozen=True):
    """An entry of some day, as far as it takes to choose it."""

    file: str  # relative to the journal
    day: date
    start: time | None = None
    parts: frozenset[str] = frozenset()  # their keys
    is_sound: bool = True


def list_rows(folder: Path, reading: Reading, rows: Sequence[Row], *, write: bool) -> list[Listing]:
    """Puts every photograph under `photos:` of an entry, by day; with `write` off says what that would do.

    Entries with errors, and those that cannot be added to without changing what stands there, are left alone: the
    listing then says why, and holds the lines.
    """
    entries = _entries_by_day(reading)
    made = []
    for day in sorted({row.day for row in rows}):
        of_day, wanted = entries.get(day, []), [row for row in rows if row.day == day]
        if not of_day:
            made.append(_open(folder, day, wanted, write=write))
            continue
        chosen: dict[str, list[Row]] = {}
        for row in wanted:
            chosen.setdefault(choose_entry(row, of_day).file, []).append(row)
        for entry in of_day:
            if entry.file in chosen:
                others = tuple(other.file for other in of_day if other.file != entry.file)
                home = reading.journal.settings.home_currency
                made.append(_add(folder, entry, chosen[entry.file], others, home, write=write))
    return made


def choose_entry(row: Row, entries: Sequence[Entry]) -> Entry:
    """The entry of a day that a photograph belongs to; `entries` are in the journal's order.

    One without errors before one with; among several, one that names the part; then the last that had begun
    when the photograph was taken; then the first that does not say when it began.
    """
    entries = [entry for entry in entries if entry.is_sound] or entries
    parts = {key(part) for part in row.parts}
    entries = [entry for entry in entries if entry.parts & parts] or entries
    night = row.at.date() > row.day
    begun = [entry for entry in entries if entry.start and (night or entry.start <= row.at.time())]
    if begun:
        return max(begun, key=lambda entry: entry.start or time())
    return next((entry for entry in entries if entry.start is None), entries[0])


def line_of(row: Row) -> str:
    """The photograph as a line under `photos:`."""
    return yaml_flow(_keys_of(row))


def _keys_of(row: Row) -> dict[str, Plain]:
    about: dict[str, Plain] = {"part": one_or_list(row.parts)} if row.parts else {}
    return {"file": row.file, **about} | ({"shows": row.shows} if row.shows else {})


def _entries_by_day(reading: Reading) -> dict[date, list[Entry]]:
    faulty = {problem.place.file for problem in reading.problems if problem.is_error}
    made: dict[date, list[Entry]] = {}
    read = set()
    for session in reading.journal.sessions:
        file = session.place.file
        read.add(file)
        parts = frozenset(key(part) for part in [*session.parts, *(p for line in session.work for p in line.parts)])
        made.setdefault(session.day, []).append(Entry(file, session.day, session.start, parts, file not in faulty))
    for file in sorted(faulty - read):
        day, _ = from_file_name(PurePosixPath(file).stem)
        if file.startswith("entries/") and day:
            made.setdefault(day, []).append(Entry(file, day, is_sound=False))
    return made


def _open(folder: Path, day: date, rows: list[Row], *, write: bool) -> Listing:
    lines = tuple(line_of(row) for row in rows)
    of_all = {row.parts for row in rows}
    new = NewEntry(day, parts=of_all.pop() if len(of_all) == 1 else (), photos=tuple(_keys_of(row) for row in rows))
    path = folder / "entries" / str(day.year) / f"{day}.md"
    try:
        path = entry_path(folder, new)
        if write:
            _sweep(path)
            path = open_entry(folder, new)
    except (CannotBegin, OSError) as fault:
        why = str(fault) if isinstance(fault, CannotBegin) else f"It could not be written: {fault.strerror}."
        return Listing(_name(path, folder), day, tuple(rows), lines, opened=True, fault=why)
    return Listing(_name(path, folder), day, tuple(rows), lines, opened=True)


def _name(path: Path, folder: Path) -> str:
    return path.relative_to(folder).as_posix()


def _add(
    folder: Path, entry: Entry, rows: list[Row], others: tuple[str, ...], home: str, *, write: bool
) -> Listing:  # fmt: skip
    lines = tuple(line_of(row) for row in rows)
    fault = None if entry.is_sound else "It has errors, so it was left as it is."
    if entry.is_sound:
        try:
            _edit(folder, entry.file, rows, lines, home, write=write)
        except CannotAdd as cannot:
            fault = f"It was left as it is. {cannot}"
        except Changed:
            fault = "It was left as it is: someone is changing it just now."
        except OSError as error:
            fault = f"It could not be written: {error.strerror}."
    return Listing(entry.file, entry.day, tuple(rows), lines, others=others, fault=fault)


def _edit(folder: Path, file: str, rows: list[Row], lines: tuple[str, ...], home: str, *, write: bool) -> None:
    path = folder / file
    _sweep(path) if write else None
    for n in range(_TRIES):
        before = path.read_bytes()
        after = add_to_list(before, "photos", lines)
        _check(before, after, file, rows, home)
        if not write:
            return
        try:
            replace_unchanged(path, before, after)
        except Changed:
            if n == _TRIES - 1:
                raise
        else:
            return


def _check(before: bytes, after: bytes, file: str, rows: list[Row], home: str) -> None:
    """Raises CannotAdd unless the session reads as before but for the photographs, with no problem more."""
    old, old_problems = _read(before, file, home)
    new, new_problems = _read(after, file, home)
    if old is None or new is None or new_problems != old_problems:
        raise CannotAdd("It would not read as it should.")
    added = [Photo(Place(file), row.file, row.parts, row.shows or "during") for row in rows]
    wanted = {**_facts(old), "photos": _facts([*old.photos, *added])}
    if _facts(new) != wanted:
        raise CannotAdd("It would not read as it should.")


def _read(data: bytes, file: str, home: str) -> tuple[Session | None, list[tuple[str, str, str]]]:
    problems = Problems()
    text = decode(data, file, problems)
    session = parse_entry(text, file, home, problems) if text is not None else None
    return session, sorted((found.severity, found.rule, found.message) for found in problems.found)


def _facts(value: Any) -> Any:
    """A record without the places it stands at."""
    if isinstance(value, Place):
        return None
    if isinstance(value, Struct):
        return {row.name: _facts(getattr(value, row.name)) for row in fields(value) if row.name != "body_line"}
    if isinstance(value, (list, tuple)):
        return [_facts(item) for item in value]
    return value


def _sweep(path: Path) -> None:
    """Removes what an intake that was killed left half-written of an entry."""
    for half in path.parent.glob(f".{escape(path.name)}.*{UNFINISHED}"):
        with suppress(OSError):
            half.unlink()


def still_unlisted(reading: Reading, rows: Iterable[Row]) -> list[Row]:
    """The rows that no entry lists yet."""
    listed = {photo.file for session in reading.journal.sessions for photo in session.photos}
    return [row for row in rows if row.file not in listed]
