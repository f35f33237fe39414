"""Originals as they lie on disk: looked up, read and digested, never opened for writing."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from io import BufferedReader
from pathlib import Path
from typing import Final

from journalgen.digests import digest_stream
from journalgen.pictures.model import ABSENT, TOO_LARGE, UNREADABLE, Refused

MAX_BYTES: Final = 1_500_000_000
"""Room for the largest picture that is read, uncompressed and with sixteen bits a channel."""


def find_original(file: Path) -> os.stat_result:
    """What the file system says of an original. Raises Refused if it is no regular file or out of reach."""
    with _reaching():
        found = os.stat(file)
    if not stat.S_ISREG(found.st_mode):
        raise Refused(ABSENT, "There is something of this name, but it is not a file.")
    if found.st_size > MAX_BYTES:
        raise Refused(TOO_LARGE, f"The file is larger than {MAX_BYTES / 1e9} GB, the most that is read.")
    return found


def read_original(file: Path) -> bytes:
    """All bytes of an original. Raises Refused as find_original does, and if it may not be read."""
    find_original(file)
    with _reaching():
        return file.read_bytes()


def digest_original(file: Path) -> str:
    """The SHA-256 of an original, in hex. Raises Refused as read_original does."""
    find_original(file)
    with opened(file) as stream:
        return digest_stream(stream)


@contextmanager
def opened(file: Path) -> Iterator[BufferedReader]:
    """An original open for reading; failures of reading leave the block as Refused."""
    with _reaching(), file.open("rb") as stream:
        yield stream


@contextmanager
def _reaching() -> Iterator[None]:
    try:
        yield
    except (FileNotFoundError, NotADirectoryError):
        raise Refused(ABSENT, "There is no such file.") from None
    except ValueError:  # a name that no file can have
        raise Refused(ABSENT, "There can be no file of this name.") from None
    except OSError as fault:
        raise Refused(UNREADABLE, f"The file cannot be read: {fault.strerror}.") from None
