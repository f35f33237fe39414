"""Lays out a new journal, and opens new entries in one."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Sequence
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Final

from msgspec import Struct

from journalgen.house import example_folder
from journalgen.reading.settings import FILE
from journalgen.slugs import slug
from journalgen.whole import UNFINISHED, place_new

_PLAIN: Final = set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 -()'")
_RESERVED: Final = frozenset({"", "-"})


class CannotBegin(Exception):
    """Something is in the way; nothing was written."""


class NewJournal(Struct, frozen=True):
    """What a new journal is given."""

    title: str
    currency: str  # ISO 4217
    time_zone: str
    day: date


def begin(folder: Path, new: NewJournal) -> Path:
    """Lays out a journal with one worked entry and gives the entry's path. Raises CannotBegin where one is already."""
    _refuse_if_taken(folder)
    values = {
        "title": json.dumps(new.title, ensure_ascii=False),
        "currency": json.dumps(new.currency),
        "time_zone": json.dumps(new.time_zone),
        "day": str(new.day),
    }
    entry = folder / "entries" / str(new.day.year) / f"{new.day}-the-first-session.md"
    layout = {
        folder / FILE: "journal.toml",
        entry: "entry.md",
        folder / "register" / "parts.yaml": "parts.yaml",
        folder / "register" / "materials.yaml": "materials.yaml",
    }
    (folder / "photos").mkdir(parents=True, exist_ok=True)
    for path, name in layout.items():
        template = files("journalgen.knowledge").joinpath("beginning", name).read_text(encoding="utf-8")
        write_new(
            path, template.format(**values) if "{" in template and name in ("journal.toml", "entry.md") else template
        )
    return entry


def copy_example(folder: Path) -> None:
    """Copies the example journal that comes with the program. Raises CannotBegin where a journal is already."""
    _refuse_if_taken(folder)
    ignore = shutil.ignore_patterns("web", ".journalgen")
    shutil.copytree(example_folder(), folder, dirs_exist_ok=True, ignore=ignore)


def _refuse_if_taken(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise CannotBegin(f"{folder} is a file. Name a folder that does not exist yet, or an empty one.")
    if folder.is_dir() and any(not path.name.startswith(".") for path in folder.iterdir()):
        raise CannotBegin(f"{folder} is not empty. Name a folder that does not exist yet, or an empty one.")


def write_new(path: Path, text: str) -> None:
    """Writes a file that must not exist yet, whole or not at all. Raises CannotBegin if it exists."""
    path.parent.mkdir(parents=True, exist_ok=True)
    half = path.with_name(f".{path.name}.{os.getpid()}{UNFINISHED}")
    try:
        half.write_text(text, encoding="utf-8", newline="\n")
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
    photos: Sequence[str] = ()  # lines of the list, as YAML


def entry_text(new: NewEntry) -> str:
    """The entry, with what is known filled in and the rest ready to be uncommented."""
    known = [f"date: {new.day}"]
    known += [f"start: {new.start}"] if new.start else []
    known += [f"title: {yaml_text(new.title)}"] if new.title else []
    known += [f"parts: [{', '.join(yaml_text(part) for part in new.parts)}]"] if new.parts else []
    known += [f"hours: {new.hours}"] if new.hours else []
    part = yaml_text(new.parts[0]) if new.parts else "front wheel"
    photos = ["photos:", *(f"  - {line}" for line in new.photos)]
    no_photos = ["# photos:", f"#   - {{file: name.jpg, part: {part}, shows: during, caption: what it shows}}"]
    hints = [
        *([] if new.parts else ["# parts: front wheel, headlamp"]),
        *([] if new.hours else ["# hours: 1:30"]),
        "# work:",
        f"#   - {{part: {part}, step: degrease, hours: 0:45}}",
        "# materials: degreaser 50 mL, 320 grit paper 2 sheets",
        *(photos if new.photos else no_photos),
    ]
    return "\n".join(["---", *known, *hints, "---", "", ""])


def open_entry(folder: Path, new: NewEntry) -> Path:
    """Writes a new entry under the first free name of its day and title, and gives its path."""
    path = free_path(folder, new)
    write_new(path, entry_text(new))
    return path


def free_path(folder: Path, new: NewEntry) -> Path:
    """The first free path for an entry of its day and title. Raises CannotBegin where there are too many."""
    base = f"{new.day}-{slug(new.title)}" if new.title else str(new.day)
    home = folder / "entries" / str(new.day.year)
    for n in range(1, 1000):
        path = home / (f"{base}.md" if n == 1 else f"{base}-{n}.md")
        if not path.exists():
            return path
    raise CannotBegin(f"There are a thousand entries named {base} already. Give this one another title.")


def yaml_text(text: str) -> str:
    """A text as YAML reads it back, in quotes unless it is plain words."""
    plain = set(text) <= _PLAIN and text.strip() == text and text[:1].isalnum() and text not in _RESERVED
    return text if plain else json.dumps(text, ensure_ascii=False)
