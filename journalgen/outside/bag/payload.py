"""What goes into a bag: the files of the journal as they lie there, and those that are made for the bag.

data/README.txt    what is where, for a reader who knows nothing of this program
data/journal/      the journal's own files: entries, registers, originals (in an owner's bag only)
data/dossier.pdf   the dossier of one edition, to print and to hand on
data/site/         the site of one edition, in the plain theme
data/tables/       that edition's ledgers as CSV
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen.keeping import MADE
from journalgen.outside.bag.model import PAYLOAD
from journalgen.outside.bag.paths import collisions, fault_elsewhere, text_name
from journalgen.reading.texts import visible

README: Final = f"{PAYLOAD}README.txt"
JOURNAL: Final = f"{PAYLOAD}journal/"
DOSSIER: Final = f"{PAYLOAD}dossier.pdf"
SITE: Final = f"{PAYLOAD}site/"
TABLES: Final = f"{PAYLOAD}tables/"


class Item(Struct, frozen=True):
    """A file that goes into the bag."""

    name: str  # in the bag
    source: Path
    size: int  # bytes
    changed: int | None  # nanoseconds since the epoch; None for what is made for the bag
    touched: int = 0  # likewise, the later of when it was changed and when it came here


class Lost(Struct, frozen=True):
    """A file of the journal that could not be kept."""

    name: str
    why: str  # one sentence


class Payload(Struct):
    """What a walk through the journal came upon."""

    items: list[Item] = field(default_factory=list)
    lost: list[Lost] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)  # left out
    renamed: list[tuple[str, str]] = field(default_factory=list)  # names that are not text, and what they became


def list_journal(folder: Path) -> Payload:
    """Every file of a journal but the hidden ones, sorted; links that lead out of it, or to folders, are not followed.

    A hidden file is the system's or a program's; none is read by any verb.
    """
    found = Payload()
    _walk(found, folder, folder.resolve(), "")
    return found


def _walk(found: Payload, root: Path, home: Path, folder: str) -> None:
    try:
        with os.scandir(root / folder) as scanned:
            rows = sorted(scanned, key=lambda row: row.name)
    except OSError as fault:
        found.lost.append(Lost(visible(folder), f"The folder cannot be opened: {fault.strerror}."))
        return
    for row in rows:
        name = f"{folder}{row.name}"
        if not folder and row.name in MADE:
            continue
        if row.name.startswith("."):
            found.hidden.append(visible(name))
        elif row.is_dir(follow_symlinks=False):
            _walk(found, root, home, f"{name}/")
        else:
            _add(found, row, name, home)


def _add(found: Payload, row: os.DirEntry[str], name: str, home: Path) -> None:
    try:
        why = _why_not(row, home)
        status = row.stat()
    except OSError as fault:
        why = f"It cannot be read: {fault.strerror}."
    if why:
        found.lost.append(Lost(visible(name), why))
        return
    bag_name = text_name(name)
    if bag_name != name:
        found.renamed.append((visible(name), bag_name))
    changed, came = status.st_mtime_ns, status.st_ctime_ns
    found.items.append(Item(JOURNAL + bag_name, Path(row.path), status.st_size, changed, max(changed, came)))


def _why_not(row: os.DirEntry[str], home: Path) -> str | None:
    if row.is_symlink():
        if not Path(row.path).resolve().is_relative_to(home):
            return "This link leads out of the journal and was not followed. Put the file itself there."
        if row.is_dir():
            return "This link to a folder was not followed. Put the folder itself there."
    return None if stat.S_ISREG(row.stat().st_mode) else "It is no plain file."


def list_made(site: Path, edition: str, dossier: Path | None) -> list[Item]:
    """What is made for the bag: the assembled site of an edition, its tables once more where they are found, and
    its dossier if one could be made."""
    files = sorted(_files_of(site, ""))
    pages = [_made(f"{SITE}{edition}/{name}", site / name) for name in files]
    tables = [name for name in files if name.startswith("data/") and name.endswith(".csv")]
    papers = [_made(DOSSIER, dossier)] if dossier else []
    return [*papers, *pages, *(_made(TABLES + name.removeprefix("data/"), site / name) for name in tables)]


def _made(name: str, source: Path) -> Item:
    return Item(name, source, source.stat().st_size, None)


def _files_of(root: Path, folder: str) -> Iterator[str]:
    with os.scandir(root / folder) as rows:
        for row in rows:
            if row.is_dir(follow_symlinks=False):
                yield from _files_of(root, f"{folder}{row.name}/")
            else:
                yield f"{folder}{row.name}"


def names_to_mind(items: list[Item]) -> list[str]:
    """What is to be said of names that not every system can store, a line each."""
    own = [item.name.removeprefix(JOURNAL) for item in items if item.name.startswith(JOURNAL)]
    lines = [f"{name}: {fault}" for name in own if (fault := fault_elsewhere(name))]
    return lines + [f"{', '.join(group)}: Windows and macOS take these for one file" for group in collisions(own)]
