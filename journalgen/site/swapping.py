"""How one folder takes another's place in one step, and how what a killed run left is put right."""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
from pathlib import Path
from typing import Final

_EXCHANGE: Final = 2  # RENAME_EXCHANGE of Linux and RENAME_SWAP of macOS
_AT_FDCWD: Final = -100


def mend(target: Path) -> None:
    """Puts right what a killed run left behind: a tree moved aside, half-written new ones."""
    aside = _aside(target)
    if aside.exists() and not target.exists():
        aside.rename(target)
    for rest in (aside, *unfinished(target)):
        if rest.exists():
            shutil.rmtree(rest, ignore_errors=True)


def unfinished_prefix(target: Path) -> str:
    """With what the names of new trees begin that are made for a target, beside it."""
    return f".{target.name}.new-"


def unfinished(target: Path) -> list[Path]:
    """The new trees that were made for a target and not put in its place."""
    return [path for path in target.parent.iterdir() if path.name.startswith(unfinished_prefix(target))]


def _aside(target: Path) -> Path:
    return target.parent / f".{target.name}.old"


def swap(new: Path, target: Path) -> Path | None:
    """Puts the new tree in the old one's place; says where the old one is then, if there was one."""
    if not target.exists():
        new.rename(target)
        return None
    if exchange(new, target):
        return new
    aside = _aside(target)  # two steps: a run killed between them is mended by the next one
    target.rename(aside)
    new.rename(target)
    return aside


def exchange(one: Path, other: Path) -> bool:
    """Exchanges two folders' names in one step, where the system and the file system can."""
    names = os.fsencode(one), os.fsencode(other)
    library = ctypes.CDLL(None) if sys.platform != "win32" else None
    if library and hasattr(library, "renameat2"):
        return bool(library.renameat2(_AT_FDCWD, names[0], _AT_FDCWD, names[1], _EXCHANGE) == 0)
    if library and hasattr(library, "renamex_np"):
        return bool(library.renamex_np(names[0], names[1], _EXCHANGE) == 0)
    return False


def link_or_copy(source: Path | str, path: Path) -> None:
    """A second name for a file where the file system can give one, else a copy."""
    try:
        os.link(source, path)
    except OSError:
        shutil.copyfile(source, path)
