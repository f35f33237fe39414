"""A lock that one process holds at a time, given back by the system when that process ends, however it ends.

Two dozen lines, since the library that served before brought in a network stack at every start.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Taken(Exception):
    """Another process holds the lock."""


@contextmanager
def alone(file: Path) -> Iterator[None]:
    """Holds the lock that a file stands for; the file stays. Raises Taken if another process has it, and OSError."""
    handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        _lock(handle)
        yield
    finally:
        os.close(handle)  # which gives it back


def _lock(handle: int) -> None:
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        raise Taken from None
