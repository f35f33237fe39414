"""Copies files into a bag that is being made, with the digests of what was read."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import zipfile
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from msgspec import Struct

from journalgen.outside.bag.opening import empty_seal, seal_zip

_PIECE: Final = 1 << 20
_OF_THIS_FILE: Final = (errno.EFBIG, errno.EEXIST, errno.EILSEQ, errno.ENAMETOOLONG, errno.EINVAL)
"""What can be wrong with writing one file, by its name or length, and not the next."""

_ZIP_YEARS: Final = (1980, 2107)
_RIGHTS: Final = 0o100644 << 16  # of a plain file, as a zip has them

Tell = Callable[[int], None]
"""Hears how many bytes more were read."""


class NotKept(Exception):
    """This file cannot be copied, others may; the message is one sentence."""


class Digests(Struct, frozen=True):
    """What a file was while it was read."""

    sha256: str
    sha512: str
    length: int


def copy_file(source: Path, target: Path, tell: Tell, *, settle: bool) -> Digests:
    """Copies a file with its time of change, onto the disk where it is to `settle`, and gives its digests.

    Raises NotKept if it is this file that cannot be copied, and OSError if the disk takes no more.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        out = target.open("xb")
    except OSError as fault:
        if fault.errno in _OF_THIS_FILE:
            raise NotKept(f"The disk cannot hold it: {fault.strerror}.") from None
        raise
    try:
        with out:
            made, status = _pour(source, out.write, tell)
            out.flush()
            if settle:
                os.fsync(out.fileno())
        with suppress(OSError):
            os.utime(target, ns=(status.st_atime_ns, status.st_mtime_ns))
    except OSError as fault:
        target.unlink(missing_ok=True)
        if fault.errno in _OF_THIS_FILE:
            raise NotKept(f"The disk cannot hold it: {fault.strerror}.") from None
        raise
    except NotKept:
        target.unlink(missing_ok=True)
        raise
    return made


def digest_file(source: Path, tell: Tell) -> Digests:
    """The digests of a file. Raises NotKept."""
    return _pour(source, lambda piece: None, tell)[0]


def _pour(source: Path, write: Callable[[bytes], object], tell: Tell) -> tuple[Digests, os.stat_result]:
    short, long, length = hashlib.sha256(), hashlib.sha512(), 0
    try:
        stream = source.open("rb")
    except OSError as fault:
        raise NotKept(f"It cannot be read: {fault.strerror}.") from None
    with stream:
        before = os.fstat(stream.fileno())
        while True:
            try:
                piece = stream.read(_PIECE)
            except OSError as fault:
                raise NotKept(f"It cannot be read: {fault.strerror}.") from None
            if not piece:
                break
            write(piece)
            short.update(piece)
            long.update(piece)
            length += len(piece)
            tell(len(piece))
        after = os.fstat(stream.fileno())
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
        raise NotKept("It was changed while it was copied.")
    return Digests(short.hexdigest(), long.hexdigest(), length), after


def write_file(path: Path, contents: bytes, *, settle: bool) -> Digests:
    """Writes a file that is made for the bag. Raises OSError."""
    with path.open("xb") as out:
        out.write(contents)
        out.flush()
        if settle:
            os.fsync(out.fileno())
    return Digests(hashlib.sha256(contents).hexdigest(), hashlib.sha512(contents).hexdigest(), len(contents))


def zip_folder(
    folder: Path, names: list[str], target: Path, base: str, when: datetime, made: frozenset[str], tell: Tell
) -> None:  # fmt: skip
    """Puts files of a folder into a zip, below the folder `base`, as they are; what is `made` for it is dated `when`.

    Nothing is compressed: photographs hardly can be, and what is damaged later damages one file only. Times are in
    the zone of `when`, whatever this computer's is. Raises OSError.
    """
    with zipfile.ZipFile(target, "x", zipfile.ZIP_STORED) as archive:
        archive.comment = empty_seal()
        for name in names:
            path = folder / name
            zone = when.tzinfo if isinstance(when.tzinfo, ZoneInfo) else None
            changed = when if name in made else datetime.fromtimestamp(path.stat().st_mtime, zone)
            row = zipfile.ZipInfo(f"{base}/{name}", _zip_time(changed))
            row.external_attr = _RIGHTS
            row.create_system = 3  # whose rights these are, on whatever system it is made
            row.file_size = path.stat().st_size
            with path.open("rb") as stream, archive.open(row, "w") as out:
                while piece := stream.read(_PIECE):
                    out.write(piece)
                    tell(len(piece))
    seal_zip(target)


def _zip_time(moment: datetime) -> tuple[int, int, int, int, int, int]:
    first, last = _ZIP_YEARS
    if moment.year < first:
        return first, 1, 1, 0, 0, 0
    if moment.year > last:
        return last, 12, 31, 23, 59, 58
    return moment.year, moment.month, moment.day, moment.hour, moment.minute, moment.second


def free_space(folder: Path) -> int:
    """The bytes that are free where a folder lies. Raises OSError."""
    return shutil.disk_usage(folder).free
