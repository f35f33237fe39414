"""The SHA-256 of files, by which they are told apart and held against each other; hexadecimal, in lower case."""

from __future__ import annotations

import hashlib
import os
from io import BufferedReader
from pathlib import Path
from typing import BinaryIO


def digest_of(path: Path) -> str:
    """What a file holds. Raises OSError."""
    with path.open("rb") as stream:
        return digest_stream(stream)


def digest_stream(stream: BinaryIO) -> str:
    """What is left to be read of an open file. Raises OSError."""
    return hashlib.file_digest(stream, "sha256").hexdigest()  # type: ignore[arg-type]  # which asks for less


def open_from_disk(path: Path) -> BufferedReader:
    """Opens a file to be read from the disk, and not from memory, where the system can be told so. Raises OSError."""
    stream = path.open("rb")
    if hasattr(os, "posix_fadvise"):
        os.posix_fadvise(stream.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
    return stream
