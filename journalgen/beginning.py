"""Lays out a new journal, and opens new entries in one."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import date
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Final

from msgspec import Struct

from journalgen.house import example_folder
from journalgen.keeping import MADE
from journalgen.knowledge import currencies
from journalgen.ledgers.sharing import round_money
from journalgen.reading.settings import FILE
from journalgen.slugs import slug
from journalgen.whole import UNFINISHED, place_new

_PLAIN: Final = re.compile(r"(?:[a-zA-Z0-9 \-()'./%+_]|(?<=[0-9]):(?=[0-9]))*")
_UNPRINTED: Final = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
"""What neither YAML nor TOML takes within quotes, or takes for the end of a line; the rest JSON has escaped."""

_RESERVED: Final = frozenset({"", "-"})
_PRICE: Final = Decimal("8.50")  # of the worked entry's purchase

HIDDEN: Final = ("prices", "suppliers", "storage", "numbers")
"""What the public edition of a new journal hides until its owner says otherwise."""

Plain = str | Sequence["Plain"] | Mapping[str, "Plain"]
"""What a key of an entry holds, as texts, lists and mappings."""


class CannotBegin(Exception):
    """Something is in the way; nothing was written."""


class NewJournal(Struct, frozen=True):
    """What a new journal is given."""

    title: str
    currency: str  # ISO 4217
    time_zone: str
    day: date
    machine: str | None = None  # its name; the title where None
    locale: str = "en_GB"
    language: str = "en"
    units: str = "metric"
    hide: Sequence[str] = HIDDEN


def begin(folder: Path, new: NewJournal) -> Path:
    """Lays out a journal with one worked entry and gives the entry's path. Raises CannotBegin where one is already."""
    with _laying_out(folder) as layout:
        return _lay_out(layout, folder, new)


def _lay_out(layout: _Layout, folder: Path, new: NewJournal) -> Path:
    title = " ".join(new.title.split()) or folder.resolve().name
    values = {
        "title": toml_text(title),
        "machine": toml_text(" ".join((new.machine or "").split()) or title),
        "currency": toml_text(new.currency),
        "locale": toml_text(new.locale),
        "language": toml_text(new.language),
        "time_zone": toml_text(new.time_zone),
        "units": toml_text(new.units),
        "hide": f"[{', '.join(toml_text(kind) for kind in new.hide)}]",
        "day": str(new.day),
        "price": f"{round_money(_PRICE, currencies()[new.currency]):f}",
    }
    entry = folder / "entries" / str(new.day.year) / f"{new.day}-the-first-session.md"
    texts = {
        folder / FILE: "journal.toml",
        entry: "entry.md",
        folder / "register" / "parts.yaml": "parts.yaml",
        folder / "register" / "materials.yaml": "materials.yaml",
    }
    layout.make(folder / "photos")
    for path, name in texts.items():
        template = files("journalgen.knowledge").joinpath("beginning", name).read_text(encoding="utf-8")
        text = template.format(**values) if name in ("journal.toml", "entry.md") else template
        layout.write(path, text.encode())
    return entry


def copy_example(folder: Path) -> None:
    """Copies the example journal that comes with the program. Raises CannotBegin where a journal is already."""
    source = example_folder()
    with _laying_out(folder) as layout:
        for path in sorted(source.rglob("*")):
            name = path.relative_to(source)
            if name.parts[0] not in MADE and path.is_file():
                layout.write(folder / name, path.read_bytes())


class _Layout:
    """What is laid out in a folder, so that it can be taken away again: this, and nothing that others put there."""

    def __init__(self) -> None:
        self._folders: list[Path] = []
        self._files: list[Path] = []

    def make(self, folder: Path) -> None:
        missing = [path for path in (folder, *folder.parents) if not path.exists()]
        folder.mkdir(parents=True, exist_ok=True)
        self._folders += reversed(missing)

    def write(self, path: Path, data: bytes) -> None:
        """Writes a new file. Raises as `write_new` does."""
        self.make(path.parent)
        _write_new(path, data)
        self._files.append(path)

    def take_away(self) -> None:
        for path in self._files:
            path.unlink(missing_ok=True)
        for folder in reversed(self._folders):
            with suppress(OSError):  # somebody else's is in it
                folder.rmdir()


@contextmanager
def _laying_out(folder: Path) -> Iterator[_Layout]:
    """Where it breaks off, whatever ends it, the same folder will do again."""
    refuse_if_taken(folder)
    layout = _Layout()
    try:
        yield layout
    except BaseException:
        layout.take_away()
        raise


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """Names the file in a fault of a disk, which does not say itself what did not fit."""
    try:
        yield
    except OSError as fault:
        raise OSError(fault.errno, fault.strerror, str(path)) from None


def refuse_if_taken(folder: Path) -> None:
    """Raises CannotBegin unless the folder is empty or not there."""
    if folder.exists() and not folder.is_dir():
        raise CannotBegin(f"{folder} is a file. Name a folder that does not exist yet, or an empty one.")
    if folder.is_dir() and any(not path.name.startswith(".") for path in folder.iterdir()):
        raise CannotBegin(f"{folder} is not empty. Name a folder that does not exist yet, or an empty one.")


def write_new(path: Path, text: str) -> None:
    """Writes a file that must not exist yet, whole or not at all. Raises CannotBegin if it exists, and OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    _write_new(path, text.encode())


def _write_new(path: Path, data: bytes) -> None:
    half = path.with_name(f".{path.name}.{os.getpid()}{UNFINISHED}")
    try:
        with _named(path):
            half.write_bytes(data)
        place_new(half, path)
    except FileExistsError:
        raise CannotBegin(f"{path} exists already; it was left as it is.") from None
    finally:
        half.unlink(missing_ok=True)


class NewEntry(Struct, frozen=True):
    """What is known of a session when its entry is opened."""

    day: date
    title: str | None = None
    parts: Sequence[str] = ()
    hours: str | None = None  # as the person wrote it
    start: str | None = None  # 19:15
    work: Sequence[Mapping[str, Plain]] = ()  # lines as the entry holds them
    materials: Sequence[Mapping[str, Plain]] = ()
    photos: Sequence[Mapping[str, Plain]] = ()
    text: str = ""  # Markdown


def entry_text(new: NewEntry) -> str:
    """The entry with what is known; what is not waits in its place, in lines that only have to lose their mark."""
    part = yaml_flow(new.parts[0]) if new.parts else "front wheel"
    lines = [f"date: {new.day}"]
    lines += [f"start: {new.start}"] if new.start else []
    lines += [f"title: {yaml_text(new.title)}"] if new.title else []
    if new.parts or not new.work:
        lines.append(f"parts: {yaml_flow(new.parts)}" if new.parts else "# parts: front wheel, headlamp")
    lines.append(f"hours: {new.hours}" if new.hours else "# hours: 1:30")
    lines += _listed("work", new.work) or ["# work:", f"#   - {{part: {part}, step: degrease, hours: 0:45}}"]
    lines += _listed("materials", new.materials) or ["# materials: degreaser 50 mL, 320 grit paper 2 sheets"]
    lines += _listed("photos", new.photos) or [
        "# photos:",
        f"#   - {{file: name.jpg, part: {part}, shows: during, caption: what it shows}}",
    ]
    return "\n".join(["---", *lines, "---", new.text.rstrip("\n"), ""])


def _listed(key: str, rows: Sequence[Mapping[str, Plain]]) -> list[str]:
    return [f"{key}:", *(f"  - {yaml_flow(row)}" for row in rows)] if rows else []


def entry_path(folder: Path, new: NewEntry) -> Path:
    """The first free name of the entry's day and title. Raises CannotBegin where there is none."""
    base = f"{new.day}-{slug(new.title)}" if new.title else str(new.day)
    home = folder / "entries" / str(new.day.year)
    for n in range(1, 1000):
        path = home / (f"{base}.md" if n == 1 else f"{base}-{n}.md")
        if not path.exists():
            return path
    raise CannotBegin(f"There are a thousand entries named {base} already. Give this one another title.")


def open_entry(folder: Path, new: NewEntry) -> Path:
    """Writes a new entry under the first free name of its day and title, and gives its path."""
    path = entry_path(folder, new)
    write_new(path, entry_text(new))
    return path


def toml_text(text: str) -> str:
    """A text as TOML reads it back."""
    return _UNPRINTED.sub(_escape, json.dumps(text, ensure_ascii=False))


def yaml_text(text: str) -> str:
    """A text as YAML reads it back, in quotes unless it is plain words."""
    plain = _PLAIN.fullmatch(text) and text.strip() == text and text[:1].isalnum() and text not in _RESERVED
    return text if plain else _UNPRINTED.sub(_escape, json.dumps(text, ensure_ascii=False))


def _escape(letter: re.Match[str]) -> str:
    return f"\\u{ord(letter[0]):04x}"


def one_or_list(names: Sequence[str]) -> Plain:
    """One name as it is, several as a list; a name with a comma is a list of one, or it would be taken for two."""
    return names[0] if len(names) == 1 and "," not in names[0] else list(names)


def yaml_flow(value: Plain) -> str:
    """Texts, lists and mappings on one line, as YAML reads them back."""
    if isinstance(value, str):
        return yaml_text(value)
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{yaml_text(key)}: {yaml_flow(held)}' for key, held in value.items())}}}"
    return f"[{', '.join(map(yaml_flow, value))}]"
