"""Copies one file into the journal: whole, held against its source, and never over another."""

from __future__ import annotations

import errno
import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, Final

from journalgen.digests import digest_stream, open_from_disk
from journalgen.whole import UNFINISHED, place_new

_PIECE: Final = 1 << 20
_OF_THIS_FILE: Final = (errno.EFBIG, errno.EEXIST, errno.EILSEQ, errno.ENAMETOOLONG)
"""What can be wrong with writing one file and not the next."""


class NotCopied(Exception):
    """This file could not be copied, others may; the message is one sentence."""


class CannotWrite(Exception):
    """The journal takes no more files; the message says why."""


def copy_verified(source: Path, target: Path, digest: str | None) -> None:
    """Copies a file under a name that is free, after the copy was read back from the disk and found the same.

    `digest` is what the source was found to be before, if it was looked at. The copy keeps its time of change.
    Until it is whole it lies beside its place under a hidden name. Raises NotCopied and CannotWrite.
    """
    half = half_of(target)
    with _writing():
        target.parent.mkdir(parents=True, exist_ok=True)
        half.unlink(missing_ok=True)
    try:
        made = _pour(source, half)
        if digest is not None and made != digest:
            raise NotCopied("It was changed while it was taken in. Take it in again.")
        with _writing():
            with open_from_disk(half) as stream:
                copied = digest_stream(stream)
            if copied != made:
                raise NotCopied("The copy is not the same as the original, and was thrown away. Take it in again.")
            place_new(half, target)
    finally:
        with suppress(OSError):
            half.unlink(missing_ok=True)


def half_of(target: Path) -> Path:
    """Where a file is while it is being copied."""
    return target.with_name(f".{target.name}{UNFINISHED}")


def _pour(source: Path, half: Path) -> str:
    """Copies what a file holds, onto the disk and not just on its way there; gives its SHA-256."""
    made = hashlib.sha256()
    with _reading():
        stream = source.open("rb")
        before = os.fstat(stream.fileno())
    with stream:
        with _writing():
            out = half.open("xb")
        with out:
            for piece in _pieces(stream):
                made.update(piece)
                with _writing():
                    out.write(piece)
            with _writing():
                out.flush()
                os.fsync(out.fileno())
        with _reading():
            after = os.fstat(stream.fileno())
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
        raise NotCopied("It was changed while it was copied. Take it in again.")
    with suppress(OSError):
        os.utime(half, ns=(after.st_atime_ns, after.st_mtime_ns))
    return made.hexdigest()


def _pieces(stream: BinaryIO) -> Iterator[bytes]:
    while True:
        with _reading():
            piece = stream.read(_PIECE)
        if not piece:
            return
        yield piece


@contextmanager
def _reading() -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        raise NotCopied(f"It cannot be read: {fault.strerror}.") from None


@contextmanager
def _writing() -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        if fault.errno in _OF_THIS_FILE:
            raise NotCopied(f"The copy could not be written: {fault.strerror}.") from None
        raise CannotWrite(f"{fault.strerror or fault}") from None
