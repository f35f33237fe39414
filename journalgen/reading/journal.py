"""A journal folder to its records: the one place where the journal's text files are opened."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path, PurePosixPath
from typing import Final, TypeVar

from msgspec import Struct

from journalgen import keeping
from journalgen.problems import Problem, Problems
from journalgen.reading import checks
from journalgen.reading.entries import parse_entry
from journalgen.reading.names import nearest
from journalgen.reading.registers import (
    catalogue,
    parse_materials,
    parse_parts,
    parse_steps,
    parse_suppliers,
    with_built_in,
)
from journalgen.reading.remembered import Read, Remembered, remember
from journalgen.reading.resolve import Registers, resolve
from journalgen.reading.settings import FILE, parse_settings
from journalgen.reading.texts import find_files, read_text
from journalgen.records import Journal, Session, Settings
from journalgen.values import Place

T = TypeVar("T")

REGISTERS: Final = ("parts", "materials", "suppliers", "steps")
_REGISTER_FILES: Final = ", ".join(f"{name}.yaml" for name in REGISTERS)
_ENTRY: Final = ".md"
_LOOKS_LIKE_AN_ENTRY: Final = frozenset({".markdown", ".mdown", ".txt", ".mkd"})


class NoJournal(Exception):
    """The folder holds no journal.toml."""

    def __init__(self, folder: Path) -> None:
        super().__init__(f"{folder} is not a journal: it has no {FILE}.")
        self.folder = folder


class Reading(Struct, frozen=True):
    """What came of reading a journal folder."""

    journal: Journal
    problems: tuple[Problem, ...]
    registers: Registers  # with the names that entries brought


def read_journal(
    folder: Path,
    leave_out: frozenset[str] = frozenset(),
    memory: Remembered | None = None,
    unwritten: Mapping[str, str] | None = None,
) -> Reading:
    """Reads a journal folder whole, with every problem in it.

    What cannot be read is reported and left out. Entries named in `leave_out` (relative to the
    journal) are passed over. Of files that did not change since `memory` last saw them, what came
    of them then is taken; it is brought up to date. `unwritten` holds the texts of entries
    that are read as if they stood in their files, whatever stands there. Raises NoJournal where there is
    no journal.toml.
    """
    problems, memory, unwritten = Problems(), memory or Remembered(), unwritten or {}
    settings = _read_settings(folder, problems)
    registers = _read_registers(folder, problems, memory)
    entries = _read_entries(folder, settings, leave_out | unwritten.keys(), problems, memory)
    for file, text in unwritten.items():
        session = parse_entry(text, file, settings.home_currency, problems)
        entries += [session] if session else []
    sessions = checks.in_time_order(entries)
    sessions = checks.give_pages(resolve(sessions, registers, problems), problems)
    photos = checks.listed_photos(sessions)
    checks.check_references(sessions, registers.part_names, problems)
    checks.check_blocks(sessions, photos, problems)
    checks.check_photo_files(photos, folder, problems)
    checks.check_uses(sessions, problems)
    journal = Journal(
        settings=settings,
        sessions=tuple(sessions),
        parts=registers.parts,
        materials=registers.materials,
        suppliers=registers.suppliers,
        steps=registers.steps,
        routes=registers.routes,
    )
    return Reading(journal, problems.in_order(), registers)


def recall(folder: Path) -> Remembered:
    """What came of a journal's files when it was last assembled, as the cache has it; nothing where it has none."""
    return keeping.load(folder / keeping.CACHE / keeping.READ, Remembered) or Remembered()


def read_settings(folder: Path) -> Settings:
    """The settings alone; the defaults stand for what cannot be read. Raises NoJournal where there are none."""
    return _read_settings(folder, Problems())


def _read_settings(folder: Path, problems: Problems) -> Settings:
    if not (folder / FILE).is_file():
        raise NoJournal(folder)
    name = folder.resolve().name
    text = read_text(folder / FILE, FILE, problems)
    settings = parse_settings(text, name, problems) if text is not None else None
    return settings or Settings(title=name)


def _read_registers(folder: Path, problems: Problems, memory: Remembered) -> Registers:
    for _, file in find_files(folder, "register", problems):
        if PurePosixPath(file).name not in {f"{name}.yaml" for name in REGISTERS}:
            near = nearest(PurePosixPath(file).stem, REGISTERS)
            problems.warning(
                Place(file), "unknown-register", "This file is not a register, so it is not read.",
                f"Did you mean register/{near}.yaml?" if near else f"The registers are {_REGISTER_FILES}.",
            )  # fmt: skip

    def register(rows: dict[str, Read[T]], name: str, parse: Callable[[str, str, Problems], T]) -> T:
        file = f"register/{name}.yaml"
        path = folder / file

        def read(own: Problems) -> T:
            return parse(*_register(folder, name, own), own)

        return remember(rows, path, file, "", read, problems, memory)

    part_names, parts = catalogue(register(memory.parts, "parts", parse_parts), problems)
    material_names, materials = catalogue(register(memory.materials, "materials", parse_materials), problems)
    supplier_names, suppliers = catalogue(register(memory.suppliers, "suppliers", parse_suppliers), problems)
    step_rows, routes = with_built_in(*register(memory.steps, "steps", parse_steps))
    step_names, steps = catalogue(step_rows, problems)
    return Registers(
        parts=parts,
        materials=materials,
        suppliers=suppliers,
        steps=steps,
        routes=routes,
        part_names=part_names,
        material_names=material_names,
        supplier_names=supplier_names,
        step_names=step_names,
    )


def _register(folder: Path, name: str, problems: Problems) -> tuple[str, str]:
    """A register's text and file name; no text where there is none.

    A link that leads out is reported by the walk.
    """
    file = f"register/{name}.yaml"
    path = folder / file
    if not path.is_file() or not path.resolve().is_relative_to(folder.resolve()):
        return "", file
    return read_text(path, file, problems) or "", file


def _read_entries(
    folder: Path, settings: Settings, leave_out: frozenset[str], problems: Problems, memory: Remembered
) -> list[Session]:
    sessions, seen = [], set()
    for path, file in find_files(folder, "entries", problems):
        ending = PurePosixPath(file).suffix.lower()
        if ending in _LOOKS_LIKE_AN_ENTRY:
            problems.warning(
                Place(file), "not-an-entry", f"A {ending} file is not read as an entry.", "Give it the ending .md."
            )
        if ending != _ENTRY or file in leave_out:
            continue
        read = partial(_read_entry, path, file, settings.home_currency)
        session = remember(memory.entries, path, file, settings.home_currency, read, problems, memory)
        seen.add(file)
        if session is not None:
            sessions.append(session)
    memory.forget_entries_but(seen)
    return sessions


def _read_entry(path: Path, file: str, home: str, problems: Problems) -> Session | None:
    text = read_text(path, file, problems)
    return parse_entry(text, file, home, problems) if text is not None else None
