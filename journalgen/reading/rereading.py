"""One entry read again after it was edited, where that can change nothing but its own session."""

from __future__ import annotations

from pathlib import Path

from msgspec.structs import replace

from journalgen.problems import Problems
from journalgen.reading.entries import parse_entry
from journalgen.reading.journal import Reading
from journalgen.reading.resolve import resolve_one
from journalgen.reading.texts import read_text
from journalgen.records import Session


def reread_entry(reading: Reading, folder: Path, file: str) -> Reading | None:
    """The journal with one entry as it is now, `file` being its name in the journal.

    None where more may have changed than that session: it is new or gone, moved to another day or
    page, became private, names what no register knew before, shows other photographs, or has an
    error. Then the journal has to be read as a whole. Problems are as they were.
    """
    old = next((session for session in reading.journal.sessions if session.place.file == file), None)
    problems = Problems()
    text = read_text(folder / file, file, problems) if old and (folder / file).is_file() else None
    if old is None or text is None:
        return None
    parsed = parse_entry(text, file, reading.journal.settings.home_currency, problems)
    new = resolve_one(parsed, reading.registers, problems) if parsed else None
    if new is None or any(problem.is_error for problem in problems.found) or not _is_alike(old, new):
        return None
    new = replace(new, page=old.page)
    sessions = tuple(new if session is old else session for session in reading.journal.sessions)
    return replace(reading, journal=replace(reading.journal, sessions=sessions))


def says_otherwise(old: Session, new: Session) -> bool:
    """Whether two readings of a session differ in nothing but what it says, of which no ledger knows."""
    return replace(new, body=old.body, references=old.references, blocks=old.blocks) == old


def _is_alike(old: Session, new: Session) -> bool:
    """Whether neither the order of sessions, nor any page's name, nor any picture can differ."""
    return (
        (old.day, old.start, old.title, old.private) == (new.day, new.start, new.title, new.private)
        and [(photo.file, photo.hide, photo.private) for photo in old.photos]
        == [(photo.file, photo.hide, photo.private) for photo in new.photos]
    )  # fmt: skip
