"""Catches a session while it is fresh: what was said by options, what is asked, and the entry that comes of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TypeVar
from zoneinfo import ZoneInfo

from msgspec import Struct

from journalgen import answers
from journalgen.answers import Known, Row
from journalgen.arguments import read_as
from journalgen.beginning import CannotBegin, NewEntry, entry_path, entry_text, write_new
from journalgen.filling import Waiting, fill_in, find_waiting
from journalgen.intake.taken import session_day
from journalgen.ledgers.figures import Figures
from journalgen.ledgers.money import ReferenceRates
from journalgen.ledgers.readiness import Start
from journalgen.problems import Problem, Problems
from journalgen.reading.journal import Reading, read_journal, recall
from journalgen.reading.remembered import Remembered
from journalgen.reading.texts import list_plain_files
from journalgen.ready import find_ready
from journalgen.trying import try_entry
from journalgen.unused_photos import unused_photos
from journalgen.whole import Changed, replace_unchanged

Value = TypeVar("Value")


class Said(Struct, frozen=True):
    """What the options of a session hold, as typed; None or nothing where they were left out."""

    title: str | None = None
    parts: str | None = None
    hours: str | None = None
    day: date | None = None
    start: str | None = None
    work: Sequence[str] = ()
    materials: str | None = None
    photos: Sequence[str] = ()
    text: str | None = None

    @property
    def fields(self) -> frozenset[str]:
        """Those of the entry that were said, about which nothing need be asked."""
        return frozenset(name for name in self.__struct_fields__ if getattr(self, name) not in (None, ()))


class Sitting(Struct, frozen=True):
    """The journal as it stands when a new session is written down."""

    folder: Path
    reading: Reading
    memory: Remembered
    reference: ReferenceRates
    now: datetime  # in the journal's zone
    known: Known
    starts: Sequence[Start]  # the work that could be done on the day
    waiting: Waiting | None = None  # the entry of the day that this session fills in


class Refused(Exception):
    """The options together make no sound entry; nothing was written."""


def sit_down(
    folder: Path,
    day: date | None,
    clock: Callable[[ZoneInfo], datetime],
    reference: ReferenceRates,
    *,
    another: bool = False,
) -> Sitting:
    """Reads the journal for a session of a day, today where None. Raises NoJournal.

    With `another` it will have an entry of its own, even if one of the day waits to be filled in.
    """
    memory = recall(folder)
    reading = read_journal(folder, memory=memory)
    journal = reading.journal
    now = clock(journal.settings.time_zone)
    day = day or session_day(now)
    figures = Figures(journal, reference, day, Problems())
    files = frozenset(list_plain_files(folder / "photos"))
    known = Known(
        journal, reading.registers, figures.stock, day, files, unused_photos(journal, folder, files, day, now)
    )  # fmt: skip
    starts = find_ready(journal, figures).readiness.can_start
    waiting = None if another else find_waiting(folder, reading, day)
    return Sitting(folder, reading, memory, reference, now, known, starts, waiting)


def read_said(said: Said, sitting: Sitting) -> NewEntry:
    """The entry of the options alone. Raises BadParameter for one that cannot be read."""
    known = sitting.known
    work: list[Row] = [read_as(lambda t: answers.read_work(t, known), line, "--work") for line in said.work]
    named = _read(said.parts, lambda text: answers.read_parts(text, known.registers), "--parts") or []
    parts = list(dict.fromkeys([*answers.parts_of(work), *named]))
    files = [
        file for text in said.photos for file in read_as(lambda t: answers.read_photos(t, known), text, "--photos")
    ]
    return NewEntry(
        day=known.day,
        title=_read(said.title, lambda text: answers.read_title(text, known), "--title"),
        parts=parts,
        hours=_read(said.hours, lambda text: answers.read_hours(text, work), "--hours"),
        start=_read(said.start, answers.read_start, "--start"),
        work=work,
        materials=_read(said.materials, lambda text: answers.read_materials(text, known), "--materials") or (),
        photos=answers.photo_rows(dict.fromkeys(files), parts),
        text=_read(said.text, answers.read_body, "--text") or "",
    )


def _read(text: str | None, parse: Callable[[str], Value], option: str) -> Value | None:
    return None if text is None else read_as(parse, text, option)


def ask_for_rest(entry: NewEntry, said: Said, sitting: Sitting, *, editing: bool) -> NewEntry:
    """The entry with what a person at a terminal answers; as it is where nobody sits there."""
    from journalgen.asking.asker import find_asker, on_terminal
    from journalgen.asking.session_questions import FIELDS, ask_session

    if said.fields >= set(FIELDS) or not on_terminal():
        return entry
    asker = find_asker()
    if sitting.waiting:
        asker.tell(_fills_in(sitting.waiting))
    return ask_session(asker, entry, sitting.known, sitting.starts, said.fields, editing=editing)


def _fills_in(waiting: Waiting) -> str:
    return f"This fills in {waiting.file}, which holds the photographs of the day."


def remarks(entry: NewEntry, said: Said, sitting: Sitting, *, asked: bool = False) -> Iterator[str]:
    """What a person may not expect of the entry. One who was `asked` has been told which one is filled in."""
    if said.day is None and entry.day != sitting.now.date():
        clock = f"{sitting.now:%H:%M}"
        yield f"It is {clock}: this is the session of the evening before, {entry.day}. --date names another."
    if said.title and entry.title and entry.title != answers.read_line(said.title):
        yield f'That day has a session of this title already; this one is called "{entry.title}".'
    elif sitting.waiting:
        if not asked:
            yield f"{_fills_in(sitting.waiting)} For another entry: --another"
    elif others := [s.place.file for s in sitting.known.journal.sessions if s.day == entry.day]:
        yield f"That day has an entry already, {', '.join(others)}; this is another."


def unsound(entry: NewEntry, folder: Path) -> Iterator[str]:
    """Which of its photographs cannot be shown, a line each: their originals may still be had."""
    from journalgen.intake.soundness import fault_of

    for row in entry.photos:
        file = folder / "photos" / str(row["file"])
        if fault := fault_of(file):
            yield f"{file} cannot be shown: {fault} Put a sound copy in its place; its page has a gap until then."


def write_entry(entry: NewEntry, sitting: Sitting, *, whatever: bool) -> tuple[Path, tuple[Problem, ...]]:
    """Writes the entry; gives its path, and what an inspection will have to say about it.

    Raises Refused where that is an error, unless it is to be written `whatever` comes of it, and
    CannotBegin or OSError where there is no place for it.
    """
    waiting = sitting.waiting
    path = sitting.folder / waiting.file if waiting else entry_path(sitting.folder, entry)
    text = written_text(entry, sitting)
    file = path.relative_to(sitting.folder).as_posix()
    found = try_entry(
        sitting.reading, sitting.memory, sitting.folder, file, text, sitting.reference, sitting.now.date()
    )  # fmt: skip
    errors = [problem for problem in found if problem.is_error]
    if errors and not whatever:
        raise Refused(f"{errors[0].message} {errors[0].remedy} Nothing was written.")
    if waiting is None:
        write_new(path, text)
        return path, found
    try:
        replace_unchanged(path, waiting.before, text.encode())
    except Changed:
        raise CannotBegin(f"{path} was changed in the meantime, so it was left as it is.") from None
    return path, found


def written_text(entry: NewEntry, sitting: Sitting) -> str:
    """What the entry's file will hold."""
    return fill_in(sitting.waiting, entry) if sitting.waiting else entry_text(entry)
