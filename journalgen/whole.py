"""Writes single files whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
from contextlib import suppress
from pathlib import Path
from typing import Final

UNFINISHED: Final = ".part"
"""The ending of a file that is being written; what a killed run left bears it."""


class Changed(Exception):
    """A file is no longer what it was when it was read; it was left as it is."""


def write_whole(file: Path, data: bytes) -> None:
    """Writes a file that is never seen half-written, replacing any of its name. Raises OSError."""
    unfinished = file.with_name(f".{file.name}.{os.getpid()}{UNFINISHED}")
    try:
        unfinished.write_bytes(data)
        os.replace(unfinished, file)
    finally:
        unfinished.unlink(missing_ok=True)  # there is none after the replacement


def replace_unchanged(file: Path, before: bytes, after: bytes) -> None:
    """Replaces what a person wrote, in one step, if it is still what it was; its permissions stay.

    Raises Changed if it is not, and OSError, also where the file itself may not be written.
    """
    if not os.access(file, os.W_OK):  # a replacement would not ask
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(file))
    file = file.resolve()  # a link stays a link
    unfinished = file.with_name(f".{file.name}.{os.getpid()}{UNFINISHED}")
    try:
        with unfinished.open("wb") as stream:
            stream.write(after)
            stream.flush()
            os.fsync(stream.fileno())
        unfinished.chmod(stat.S_IMODE(file.stat().st_mode))
        if file.read_bytes() != before:
            raise Changed
        os.replace(unfinished, file)
    finally:
        unfinished.unlink(missing_ok=True)


def place_new(unfinished: Path, file: Path) -> None:
    """Gives a finished file its name, which must be free. Raises FileExistsError if it is not, and OSError."""
    try:
        os.link(unfinished, file)  # fails if the name is taken, unlike a rename
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if os.path.lexists(file):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(file)) from None
        os.rename(unfinished, file)
    else:
        os.unlink(unfinished)


def settle_folder(folder: Path) -> None:
    """Has the disk keep the names in a folder, where the system can be asked to."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
