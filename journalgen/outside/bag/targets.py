"""Where a bag is put: beside the journal or where it was asked for, never over anything, and unfinished until whole."""

from __future__ import annotations

import os
import re
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import Final

from journalgen.alone import Taken, alone
from journalgen.outside.bag.model import DECLARATION
from journalgen.slugs import slug

ZIP: Final = ".zip"
_UNFINISHED: Final = ".journalgen-unfinished"
_LOCK: Final = ".journalgen-lock"
_OURS: Final = re.compile(rf"\.(.+)({re.escape(_UNFINISHED)}|{re.escape(_LOCK)})", re.DOTALL)


class CannotPreserve(Exception):
    """No bag was made, and nothing was changed; the message says why and what to do."""


def choose_target(
    journal: Path, title: str, day: date, to: Path | None, *, is_zip: bool, is_public: bool = False
) -> Path:  # fmt: skip
    """The path of the bag that is to be made. Raises CannotPreserve where it must not be made.

    A folder that is there gets the bag into it; any other path is the bag's own.
    """
    name = f"{slug(title)}-public-{day}" if is_public else f"{slug(title)}-{day}"
    if to is None:
        target = journal.resolve().parent / name
    elif to.is_dir() and not (to / DECLARATION).exists():
        target = to / name
    else:
        target = to
    if is_zip and target.suffix.lower() != ZIP:
        target = target.with_name(f"{target.name}{ZIP}")
    _refuse(target, journal.resolve())
    return target


def _refuse(target: Path, journal: Path) -> None:
    home = target.parent.resolve() / target.name
    if home.is_relative_to(journal):
        raise CannotPreserve(f"{target} lies in the journal itself. Choose a place outside it with --to.")
    if os.path.lexists(target):
        raise CannotPreserve(f"{target} is there already, and nothing is written over. Choose another name with --to.")
    for parent in home.parents:
        if (parent / DECLARATION).exists():
            raise CannotPreserve(
                f"{parent} is a bag; a bag put into it would spoil it. Choose another place with --to."
            )


@contextmanager
def being_made(target: Path) -> Iterator[Path]:
    """A folder beside the target for what is not finished, taken away at the end. Raises CannotPreserve and OSError.

    What runs that were killed left beside the target is taken away first.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    clear_up(target.parent)
    lock = target.with_name(f".{target.name}{_LOCK}")
    unfinished = target.with_name(f".{target.name}{_UNFINISHED}")
    try:
        with alone(lock):
            unfinished.mkdir()
            try:
                yield unfinished
            finally:
                shutil.rmtree(unfinished, ignore_errors=True)
                if sys.platform != "win32":  # where a file that is open cannot be taken away; the next run does
                    lock.unlink(missing_ok=True)
    except Taken:
        raise CannotPreserve(f"Another run is writing {target} now. Wait for it to end.") from None


def clear_up(folder: Path) -> None:
    """Takes away what runs that were killed left unfinished in a folder; what is being written stays."""
    for name in {found[1] for path in folder.iterdir() if (found := _OURS.fullmatch(path.name))}:
        lock = folder / f".{name}{_LOCK}"
        with suppress(Taken, OSError):
            with alone(lock):
                shutil.rmtree(folder / f".{name}{_UNFINISHED}", ignore_errors=True)
            lock.unlink()


def put_in_place(made: Path, target: Path) -> None:
    """Gives a finished bag its name, which must still be free. Raises CannotPreserve and OSError."""
    if os.path.lexists(target):
        raise CannotPreserve(f"{target} came to be there meanwhile, and nothing is written over. Choose another name.")
    made.rename(target)
