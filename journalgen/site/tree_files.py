"""What is done to single files of a site while a new tree is made of it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Collection, Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from journalgen.plain_data import digest
from journalgen.site.swapping import link_or_copy


def make_spare(spare: Path, tree: Path, names: Iterable[str]) -> bool:
    """A second name for every file of a tree; False, and nothing, where the disk cannot give any."""
    try:
        spare.mkdir(parents=True)
        for name in names:
            try:
                os.link(f"{tree}/{name}", f"{spare}/{name}")
            except FileNotFoundError:
                (spare / name).parent.mkdir(parents=True, exist_ok=True)
                os.link(f"{tree}/{name}", f"{spare}/{name}")
    except OSError:
        shutil.rmtree(spare, ignore_errors=True)
        return False
    return True


def write_file(tree: Path, name: str, contents: bytes) -> tuple[int, int]:
    """Writes a file, and says how it can be known again. What had its name may be part of another tree, and stays."""
    path = tree / name
    path.unlink(missing_ok=True)
    try:
        path.write_bytes(contents)
    except FileNotFoundError:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(contents)
    return stamp_of(path) or (0, 0)


def link_file(source: Path | str, tree: Path, name: str) -> None:
    """Gives a file a second name in a tree, or a copy where the disk gives none, in place of what had the name."""
    path = tree / name
    path.unlink(missing_ok=True)
    path.parent.mkdir(parents=True, exist_ok=True)
    link_or_copy(source, path)


def move_file(source: Path, tree: Path, name: str) -> None:
    """Moves a file into a tree."""
    path = tree / name
    path.parent.mkdir(parents=True, exist_ok=True)
    os.replace(source, path)


def remove_file(tree: Path, name: str) -> bool:
    """Removes a file, and the folders that it leaves empty."""
    path = tree / name
    path.unlink(missing_ok=True)
    for folder in path.parents:
        if folder == tree:
            break
        with suppress(OSError):
            folder.rmdir()
    return True


def stamp_of(path: Path | str) -> tuple[int, int] | None:
    """Length and time of change of a file, in nanoseconds; None where there is none. No link is followed."""
    try:
        found = os.lstat(path)
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns


def folders_of(tree: Path, folders: Iterable[str]) -> dict[str, int]:
    """When each of the folders changed, -1 for one that is not there: a file that came or went shows by that."""
    return {folder: _changed_at(tree / folder) for folder in folders}


def _changed_at(folder: Path) -> int:
    try:
        return os.stat(folder).st_mtime_ns
    except OSError:
        return -1


def find_others(tree: Path, ours: Collection[str], folder: str = "") -> Iterator[str]:
    """The files of a tree, or of a folder of it that ends with a slash, that are not ours."""
    with os.scandir(tree / folder) as rows:
        for row in rows:
            name = f"{folder}{row.name}"
            if row.is_dir(follow_symlinks=False):
                yield from find_others(tree, ours, f"{name}/")
            elif name not in ours:
                yield name


def digest_of(file: Path) -> bytes | None:
    """A short digest of a file; None where it cannot be read."""
    try:
        return digest(file.read_bytes())
    except OSError:
        return None
