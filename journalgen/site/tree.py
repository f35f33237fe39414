"""Writes a site whole or not at all: a new tree beside the old one, then one swap.

A manifest in the tree names what the program wrote. Files that somebody else put there are carried
over into the new tree, never deleted; a folder that holds files and no manifest is not touched.
"""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import Final

from filelock import FileLock, Timeout

MANIFEST: Final = "manifest.json"
FORMAT: Final = "journalgen-manifest/1"
_EXCHANGE: Final = 2  # RENAME_EXCHANGE of Linux and RENAME_SWAP of macOS
_AT_FDCWD: Final = -100


class OutputFault(Exception):
    """The site could not be written; the previous one stands. The text says what and what to do."""


def write_tree(target: Path, files: Iterable[tuple[str, bytes]], pictures: Mapping[str, Path]) -> None:
    """Replaces the folder `target` by one that holds the files and the pictures, in one step.

    `files` are names relative to the target with their contents; `pictures` are names with the
    files to take them from. Raises OutputFault, with the previous tree as it was, if that fails.
    """
    with new_tree(target, files, pictures) as put_in_place:
        put_in_place()


@contextmanager
def new_tree(
    target: Path, files: Iterable[tuple[str, bytes]], pictures: Mapping[str, Path]
) -> Iterator[Callable[[], None]]:
    """As `write_tree`, but the new tree lies whole beside the old one until what is given here is called.

    So several trees can be made before any is replaced. One that was not put in place is taken away.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target):
            _mend(target)
            _refuse_if_not_ours(target)
            new = Path(tempfile.mkdtemp(prefix=f".{target.name}.new-", dir=target.parent))
            try:
                _fill(new, files, pictures, target)
                new.chmod(0o755)  # mkdtemp makes it readable to its owner alone
                yield lambda: _swap(new, target)
            finally:
                shutil.rmtree(new, ignore_errors=True)
    except OSError as fault:
        raise OutputFault(
            f"The site could not be written to {target}: {fault.strerror or fault}. "
            "The previous site is as it was; see to the disk, then assemble again."
        ) from fault


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    lock = FileLock(target.parent / f".{target.name}.lock", timeout=0)
    try:
        with lock:
            yield
    except Timeout:
        raise OutputFault(f"Another run is writing {target} now. Wait for it to end.") from None


def _mend(target: Path) -> None:
    """Puts right what a killed run left behind: a tree moved aside, half-written new ones."""
    aside = _aside(target)
    if aside.exists() and not target.exists():
        aside.rename(target)
    for rest in [aside, *target.parent.glob(f".{target.name}.new-*")]:
        shutil.rmtree(rest, ignore_errors=True)


def _aside(target: Path) -> Path:
    return target.parent / f".{target.name}.old"


def _refuse_if_not_ours(target: Path) -> None:
    if target.is_dir() and any(target.iterdir()) and not (target / MANIFEST).is_file():
        raise OutputFault(
            f"{target} holds files that this program did not write. Choose another folder with --to, or empty this one."
        )


def _fill(new: Path, files: Iterable[tuple[str, bytes]], pictures: Mapping[str, Path], old: Path) -> None:
    written = set()
    for name, contents in files:
        path = new / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(contents)
        written.add(name)
    for name, source in pictures.items():
        path = new / name
        path.parent.mkdir(parents=True, exist_ok=True)
        link_or_copy(source, path)
        written.add(name)
    manifest = {"format": FORMAT, "files": sorted(written)}
    (new / MANIFEST).write_text(json.dumps(manifest, indent=0) + "\n", encoding="utf-8")
    for name in _of_others(old):
        path = new / name
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            link_or_copy(old / name, path)


def _of_others(old: Path) -> Iterator[str]:
    """Files in the old tree that its manifest does not name."""
    if not (old / MANIFEST).is_file():
        return
    ours = {MANIFEST, *read_manifest(old)}
    for here, _, names in os.walk(old):
        for name in names:
            relative = PurePosixPath((Path(here) / name).relative_to(old)).as_posix()
            if relative not in ours:
                yield relative


def read_manifest(tree: Path) -> list[str]:
    """The names of the files that the program wrote into a tree. Raises OutputFault if the manifest is damaged."""
    try:
        data = json.loads((tree / MANIFEST).read_text(encoding="utf-8"))
        names = data["files"] if data["format"] == FORMAT else None
    except (ValueError, KeyError, TypeError):
        names = None
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise OutputFault(
            f"{tree / MANIFEST} is damaged, so it is not known which files are the program's. Move {tree} away."
        )
    return names


def link_or_copy(source: Path, path: Path) -> None:
    """A second name for a file where the file system can give one, else a copy."""
    try:
        os.link(source, path)
    except OSError:
        shutil.copyfile(source, path)


def _swap(new: Path, target: Path) -> None:
    """Puts the new tree in the old one's place; afterwards `new` is the old tree, or gone."""
    if not target.exists():
        new.rename(target)
    elif not _exchange(new, target):
        aside = _aside(target)  # two steps: a run killed between them is mended by the next one
        target.rename(aside)
        new.rename(target)
        shutil.rmtree(aside, ignore_errors=True)


def _exchange(one: Path, other: Path) -> bool:
    """Exchanges two folders' names in one step, where the system and the file system can."""
    names = os.fsencode(one), os.fsencode(other)
    library = ctypes.CDLL(None) if sys.platform != "win32" else None
    if library and hasattr(library, "renameat2"):
        return bool(library.renameat2(_AT_FDCWD, names[0], _AT_FDCWD, names[1], _EXCHANGE) == 0)
    if library and hasattr(library, "renamex_np"):
        return bool(library.renamex_np(names[0], names[1], _EXCHANGE) == 0)
    return False
