"""How a file is known to be unchanged without being read, and which files there are; quick to load, and to do."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import suppress

_COARSE = 2_000_000_000
"""Nanoseconds. The coarsest clock of a file system in use counts in steps of two seconds."""

_FINE = 50_000_000
"""Nanoseconds; the others count in steps of at most ten milliseconds. `common practice`."""

LINKED = "\0linked"
"""Follows the path of a link to a folder: what lies there is not listed."""

_WASTE = (".pyc", ".pyo", ".part")


def settled(changed: int, now: int) -> bool:
    """Whether a file that was changed then cannot have been changed again without its time telling.

    Both are in nanoseconds. A time with parts of a hundredth of a second was told by a fine clock.
    """
    return now - changed > (_FINE if changed % 10_000_000 else _COARSE)


def list_tree(folder: str, skip: Callable[[str], bool] | None = None) -> Iterator[tuple[str, os.stat_result]]:
    """Every file and link below a folder, and the folder itself, with what the disk says of it.

    Folders come with their own time of change, so that a file added or taken away is noticed. `skip` is asked
    the name of each entry. What cannot be read is passed over.
    """
    with suppress(OSError):
        yield folder, os.stat(folder)
    folders = [folder]
    while folders:
        with suppress(OSError), os.scandir(folders.pop()) as rows:
            for row in rows:
                if skip is not None and skip(row.name):
                    continue
                try:
                    leads_on, status = row.is_dir(), row.stat()
                except OSError:
                    continue
                if not leads_on:
                    yield row.path, status
                elif row.is_symlink():
                    yield row.path + LINKED, status
                else:
                    yield row.path, status
                    folders.append(row.path)


def describe(path: str, found: os.stat_result) -> str:
    """A line that is another whenever a file is."""
    return f"{path} {found.st_size} {found.st_mtime_ns} {found.st_ino}"


def is_waste(name: str) -> bool:
    """Whether a file of this name comes and goes without meaning anything."""
    return name == "__pycache__" or name.endswith(_WASTE)
