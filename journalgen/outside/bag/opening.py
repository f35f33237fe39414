"""The files of a bag, whether it is a folder or a zip: their names, lengths and bytes. Nothing outside it is opened."""

from __future__ import annotations

import hashlib
import os
import stat
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import IO, Final, Protocol

from journalgen.digests import open_from_disk
from journalgen.outside.bag.model import DAMAGED, DECLARATION, EXTRA, MALFORMED, PAYLOAD, UNREADABLE, UNSAFE, Finding
from journalgen.outside.bag.paths import is_unsafe

_PIECE: Final = 1 << 20
_LARGEST: Final = 1 << 29
"""Bytes of a tag file; a manifest of a million files has a third of them."""

_COMMENT: Final = b"sha512 of all before: "
"""What stands before the digest in the comment of a zip of ours."""

_DIGEST: Final = 128  # letters of a SHA-512 in hex


class Unreadable(Exception):
    """A file of a bag, or the bag, cannot be read; the message is one sentence."""


class Opened(Protocol):
    """A bag whose files can be read."""

    files: dict[str, int]  # every file with its length, by its path in the bag with slashes
    findings: list[Finding]  # what is there and is no file of the bag
    has_payload: bool  # whether there is a payload folder
    is_sealed: bool  # whether it is a zip that has a digest of itself

    def read(self, name: str) -> IO[bytes]:
        """Opens a file. Raises Unreadable, as reading from it may raise anything that a damaged zip makes it."""


@contextmanager
def opened(path: Path) -> Iterator[Opened]:
    """The bag at a path. Raises Unreadable."""
    if path.is_dir():
        yield _Folder(path)
        return
    with _reading():
        archive = zipfile.ZipFile(path)
    with archive:
        with _reading():
            bag = _Zip(archive, path)
        yield bag


@contextmanager
def _reading() -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        raise Unreadable(f"It cannot be read: {fault.strerror or fault}.") from None
    except Exception as fault:  # a damaged zip makes the library raise nearly anything
        raise Unreadable(f"It cannot be read as a zip: {fault}.") from None


def pieces(bag: Opened, name: str) -> Iterator[bytes]:
    """What a file holds, from the disk and not from memory where the system can be told so. Raises Unreadable."""
    with _reading():
        stream = bag.read(name)
    with stream:
        while True:
            with _reading():
                piece = stream.read(_PIECE)
            if not piece:
                return
            yield piece


def read_whole(bag: Opened, name: str) -> bytes:
    """All that a tag file holds. Raises Unreadable, also for one that no memory should be given to."""
    data = bytearray()
    for piece in pieces(bag, name):
        data += piece
        if len(data) > _LARGEST:
            raise Unreadable("It is far too long for a file that describes a bag.")
    return bytes(data)


class _Folder:
    """A bag in a folder. Links are not followed: they could lead anywhere."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.files: dict[str, int] = {}
        self.findings: list[Finding] = []
        self.has_payload = (path / PAYLOAD).is_dir() and not (path / PAYLOAD.rstrip("/")).is_symlink()
        self.is_sealed = False
        folders = [""]
        while folders:
            folder = folders.pop()
            try:
                with os.scandir(path / folder) as rows:
                    for row in rows:
                        self._list(f"{folder}{row.name}", row.stat(follow_symlinks=False), folders)
            except OSError as fault:
                self.findings.append(Finding(folder, UNREADABLE, f"The folder cannot be read: {fault.strerror}."))

    def _list(self, name: str, status: os.stat_result, folders: list[str]) -> None:
        if stat.S_ISDIR(status.st_mode):
            folders.append(f"{name}/")
        elif stat.S_ISREG(status.st_mode):
            self.files[name] = status.st_size
        else:
            what = "a link, which is not followed" if stat.S_ISLNK(status.st_mode) else "no plain file"
            self.findings.append(Finding(name, UNSAFE, f"It is {what}."))

    def read(self, name: str) -> IO[bytes]:
        return open_from_disk(self._path / name)


class _Zip:
    """A bag in a zip, in its one folder or without any."""

    def __init__(self, archive: zipfile.ZipFile, path: Path) -> None:
        self.archive = archive
        self.files: dict[str, int] = {}
        self.findings: list[Finding] = []
        names = archive.namelist()
        self._base = _base_of(names)
        self.is_sealed = archive.comment.startswith(_COMMENT) or _looks_sealed(path)
        self.has_payload = any(name.startswith(f"{self._base}{PAYLOAD}") for name in names)
        for row in archive.infolist():
            self._list(row)

    def _list(self, row: zipfile.ZipInfo) -> None:
        name = row.filename.removeprefix(self._base)
        if is_unsafe(row.filename):
            self.findings.append(Finding(row.filename, UNSAFE, "Its path leads out of the bag; it was not looked at."))
        elif row.is_dir():
            return
        elif not row.filename.startswith(self._base):
            self.findings.append(Finding(row.filename, EXTRA, "It lies beside the bag in the zip."))
        elif name in self.files:
            self.findings.append(Finding(name, MALFORMED, "The zip holds it more than once."))
        elif stat.S_ISLNK(row.external_attr >> 16):
            self.findings.append(Finding(name, UNSAFE, "It is a link, which is not followed."))
        else:
            self.files[name] = row.file_size

    def read(self, name: str) -> IO[bytes]:
        return self.archive.open(f"{self._base}{name}")


def _base_of(names: list[str]) -> str:
    """The folder in the zip that is the bag, with a slash behind it; nothing where the bag has none."""
    if DECLARATION in names:
        return ""
    tops = {f"{PurePosixPath(name).parts[0]}/" for name in names if "/" in name}
    found = sorted(top for top in tops if f"{top}{DECLARATION}" in names)
    return found[0] if found else next(iter(tops)) if len(tops) == 1 else ""


def seal_zip(path: Path) -> None:
    """Writes into a zip's comment, which must be `empty_seal`, the digest of all that stands before it.

    The files in a zip have digests of their own; this guards what lies between them.
    """
    with path.open("r+b") as stream:
        length = stream.seek(0, os.SEEK_END)
        at = length - len(empty_seal())
        digest = _digest_until(stream, at, lambda count: None)
        stream.seek(at)
        stream.write(_COMMENT + digest.encode())
        stream.flush()
        os.fsync(stream.fileno())


def _looks_sealed(path: Path) -> bool:
    """Whether the digest stands at the end, even if a bit of what introduces it was changed."""
    with path.open("rb") as stream:
        length = stream.seek(0, os.SEEK_END)
        stream.seek(max(length - len(empty_seal()), 0))
        head = stream.read(len(_COMMENT))
    return sum(one == other for one, other in zip(head, _COMMENT, strict=False)) >= len(_COMMENT) - 1


def empty_seal() -> bytes:
    """A comment of the length that the digest will take."""
    return _COMMENT + b"0" * _DIGEST


def check_seal(path: Path, tell: Callable[[int], None]) -> Finding | None:
    """What is wrong with a sealed zip as a whole; `tell` hears how many bytes more were read. Raises Unreadable."""
    with _reading(), path.open("rb") as stream:
        length = stream.seek(0, os.SEEK_END)
        at = max(length - len(empty_seal()), 0)
        digest = _digest_until(stream, at, tell)
        sealed = stream.read()
    if sealed == _COMMENT + digest.encode():
        return None
    return Finding("", DAMAGED, "The zip itself was changed: it is not what the digest in its comment stands for.")


def _digest_until(stream: IO[bytes], end: int, tell: Callable[[int], None]) -> str:
    stream.seek(0)
    made, left = hashlib.sha512(), end
    while left and (piece := stream.read(min(_PIECE, left))):
        made.update(piece)
        left -= len(piece)
        tell(len(piece))
    return made.hexdigest()
