"""Files at a target, over what fsspec makes of its protocol; every fault is told in one sentence, with no secret in it.

A file is written under a hidden name beside its own and then renamed, where a protocol renames: so nobody ever
gets half of one.
"""

from __future__ import annotations

import errno
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO, Final

from journalgen.outside.publishing.faults import CannotPublish, Dropped
from journalgen.outside.publishing.secrets import find_password, mask
from journalgen.reading.targets import Target
from journalgen.whole import UNFINISHED

Heard = Callable[[int], None]
"""Told how many more bytes are on their way."""

PIECE: Final = 1 << 16
_FULL: Final = (errno.ENOSPC, errno.EDQUOT)
_TOO_LONG: Final = errno.EFBIG
_NO_NAME: Final = (errno.EILSEQ, errno.ENAMETOOLONG, errno.EINVAL)
_IN_THE_WAY: Final = (errno.EISDIR, errno.ENOTDIR, errno.EEXIST, errno.ENOTEMPTY)


def unfinished(name: str) -> str:
    """The name under which a file is while it is being written."""
    folder, slash, last = name.rpartition("/")
    return f"{folder}{slash}.{last}{UNFINISHED}"


class Store(ABC):
    """A target. Every method raises CannotPublish, and Dropped where it is the line that failed."""

    def __init__(self, target: Target) -> None:
        self.target = target
        self.connected = False  # whether it ever was
        self._password = find_password(target.name)
        self._files: Any = None
        self._made: set[str] = set()

    # What the protocols do each in their own way.

    @abstractmethod
    def _connect(self) -> Any:
        """The file system. Raises whatever its library raises."""

    def _path(self, name: str) -> str:
        """Where a file of the site is, for the file system."""
        root = self.target.path
        return f"{root}/{name}".rstrip("/") if root else name

    def _pour(self, source: BinaryIO, path: str, size: int, heard: Heard) -> None:
        with self.files.open(path, "wb") as out:
            while piece := source.read(PIECE):
                out.write(piece)
                heard(len(piece))

    def _rename(self, old: str, new: str) -> None:
        self.files.mv(old, new)

    def _explain(self, fault: Exception, name: str) -> Exception:
        """What a library's fault means, for what neither `explain_system` nor this knows is told as it is."""
        return explain_system(fault, name) or CannotPublish(f"{name or 'The target'}: {self.masked(_words(fault))}.")

    # What they do alike.

    @property
    def files(self) -> Any:
        """The file system, connected to at first need."""
        if self._files is None:
            self._files = self._connect()
        return self._files

    def drop(self) -> None:
        """Gives the line up; the next that is asked begins a new one."""
        files, self._files, self._made = self._files, None, set()
        if files is not None:
            with suppress(Exception):  # it is of no use any more, whatever it says
                self._close(files)

    def _close(self, files: Any) -> None:  # noqa: B027 - most libraries have nothing to close
        """Ends a connection."""

    def masked(self, text: str) -> str:
        """The text without secrets."""
        return mask(text, more=[self._password] if self._password else [])

    @contextmanager
    def _told(self, name: str) -> Iterator[None]:
        try:
            yield
            self.connected = True
        except (CannotPublish, Dropped):
            raise
        except Exception as fault:
            raise self._explain(fault, name) from None  # what it stems from may show a secret

    def prepare(self) -> None:
        """Sees to it that there is a target; its folder is made, but not the one that it lies in."""
        with self._told(""):
            root = self._path("")
            if not root or self.files.isdir(root):
                return
            above = root.rpartition("/")[0]
            if above and not self.files.isdir(above):
                raise CannotPublish(
                    f"There is no folder {above} at the target {self.target.name}. Make it there, or mend the url."
                )

    def read(self, name: str) -> bytes | None:
        """What a file holds; None if there is none."""
        with self._told(name):
            try:
                found: bytes = self.files.cat_file(self._path(name))
            except FileNotFoundError:
                return None
            return found

    def names_in(self, folder: str) -> set[str]:
        """The files in a folder, by their names at the target; none where there is no folder."""
        with self._told(folder):
            try:
                rows = self.files.ls(self._path(folder), detail=True)
            except (FileNotFoundError, NotADirectoryError):
                return set()
            names = (row["name"].rstrip("/").rpartition("/")[2] for row in rows if row["type"] != "directory")
            return {f"{folder}/{name}".lstrip("/") for name in names}

    def entries(self) -> set[str]:
        """What lies in the target itself, files and folders, by their names."""
        with self._told(""):
            try:
                return {
                    str(path).rstrip("/").rpartition("/")[2] for path in self.files.ls(self._path(""), detail=False)
                }
            except FileNotFoundError:
                return set()

    def changed_at(self, name: str) -> float | None:
        """When a file was last written, in seconds by the target's own clock; None if there is none."""
        with self._told(name):
            try:
                found = self.files.info(self._path(name))
            except FileNotFoundError:
                return None
            when = found.get("mtime") or found.get("LastModified") or 0.0
            return when.timestamp() if isinstance(when, datetime) else float(when)

    def put(self, name: str, source: Path, size: int, heard: Heard) -> None:
        """Sends a file, replacing any of its name in one step."""
        with self._told(name), source.open("rb") as stream:
            self._replace(name, stream, size, heard)

    def write(self, name: str, data: bytes) -> None:
        """Writes a small file likewise."""
        with self._told(name):
            self._replace(name, BytesIO(data), len(data), lambda more: None)

    def _replace(self, name: str, stream: BinaryIO, size: int, heard: Heard) -> None:
        self._make_folders(self._path(name).rpartition("/")[0])
        half = self._path(unfinished(name))
        try:
            self._pour(stream, half, size, heard)
            self._rename(half, self._path(name))
        except BaseException:
            with suppress(Exception):
                self.files.rm_file(half)
            raise

    def _make_folders(self, path: str) -> None:
        if not path or path in self._made:
            return
        if not self.files.isdir(path):
            if path != self._path(""):  # that folder's own folder is there
                self._make_folders(path.rpartition("/")[0])
            self.files.mkdir(path, create_parents=False)
        self._made.add(path)

    def remove(self, name: str) -> None:
        """Removes a file and what was left of sending it; one that is not there is no fault."""
        for one in (name, unfinished(name)):
            try:
                with self._told(one):
                    self.files.rm_file(self._path(one))
            except CannotPublish:  # in whatever words a protocol tells that there is none
                if one in self.names_in(one.rpartition("/")[0]):
                    raise

    def remove_folder(self, folder: str) -> None:
        """Removes a folder if it is empty."""
        with suppress(Exception):  # it holds something, or never was one; it does no harm
            self.files.rmdir(self._path(folder))
            self._made.discard(self._path(folder))


def explain_system(fault: Exception, name: str) -> Exception | None:
    """What the system's own faults mean; None for others."""
    what = name or "its folder"
    number = fault.errno if isinstance(fault, OSError) else None
    if number in _FULL:
        return CannotPublish(f"The target is full: {what} could not be written. Make room there, and publish again.")
    if number == _TOO_LONG:
        return CannotPublish(f"File too large: the target cannot hold {what}, which is longer than its files may be.")
    if number == errno.EROFS:
        return CannotPublish(f"The target is read-only: {what} could not be written. Mount it for writing.")
    if isinstance(fault, PermissionError):
        return CannotPublish(f"The target does not let you write {what}. See to the permissions there.")
    if number in _NO_NAME:
        return CannotPublish(f"The target cannot hold a file named {what}. Choose another title, or another target.")
    if number in _IN_THE_WAY:
        return CannotPublish(f"Something at the target is in the way of {what}. Look at it there, and move it.")
    if isinstance(fault, FileNotFoundError):
        return CannotPublish(f"The folder for {what} is not there, or no more. Is the target mounted?")
    if isinstance(fault, (ConnectionError, TimeoutError, EOFError)):
        return Dropped(_words(fault))
    return None


def _words(fault: Exception) -> str:
    words = " ".join(str(fault).split()) or type(fault).__name__
    return words.rstrip(".")
