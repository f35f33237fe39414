"""The answers that the last run gave, where the photographs and the pictures made of them are as they were.

The index knows contents; this knows requests, so that of a photograph that did not change nothing but
its state on the disk is asked, and that of its pictures.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen.pictures.model import Picture, Request
from journalgen.pictures.storing import Mark, name_files
from journalgen.plain_data import decode, digest, encode
from journalgen.stamps import settled
from journalgen.values import Rectangle

_ABSENT: Final = -1


class Answer(Struct, array_like=True):
    """A picture that was given for a photograph."""

    length: int  # of the photograph, in bytes
    changed: int  # when, in nanoseconds
    regions: tuple[Rectangle, ...]  # that were hidden
    picture: Picture
    marks: tuple[Mark, ...]  # of its files


class Seen(Struct, frozen=True):
    """What the disk told a moment ago, so that it need not be asked again."""

    originals: Mapping[str, os.stat_result] = field(default_factory=dict)  # by path
    pictures: Callable[[], bytes | None] = lambda: None  # the marks of the cache's files, as `spell_marks` has them


def spell_marks(marks: Mapping[str, Mark]) -> bytes:
    """The marks of files by their names, the same for the same files."""
    return encode(dict(sorted(marks.items())))


class Recalled(Struct):
    """The answers of the last run, by the photograph's path."""

    answers: dict[str, Answer] = field(default_factory=dict)
    folder: int = _ABSENT  # when the folder of pictures last changed, as far as every file in it was looked at
    listing: bytes = b""  # a digest of the marks of every file there, with which every answer was as it is
    remade: dict[str, int] = field(default_factory=dict)  # files that sites may have spoilt, since when (nanoseconds)
    changed: bool = False  # since it was kept

    def find(self, requests: Iterable[Request], cache: Path, seen: Seen, *, trusting: bool) -> dict[Request, Picture]:
        """The pictures that are known to be as they were. Of what is in `seen` the disk is not asked.

        With `trusting` the files of pictures are not looked at one by one while their folder is as it was
        when they last were: for a process that goes on, and has seen them. Sites have them under other names,
        and what changes one there in place does not change the folder.
        """
        now, listing = _changed(cache), b""
        look: Callable[[Answer], bool] | None = None
        if not trusting or self.folder != now or now == _ABSENT:
            marks = seen.pictures()
            listing = digest(marks) if marks else b""
            if not marks or listing != self.listing:
                look = _look_by(str(cache), decode(marks, dict[str, Mark]) if marks else None)
        found = {}
        for request in requests:
            file = request.file
            answer = self.answers.get(file)
            if answer is None or answer.regions != request.hide or not _is_same(file, answer, seen.originals.get(file)):
                continue
            if look is None or look(answer):
                found[request] = answer.picture
            else:  # sites have the file by a second name: what spoilt it there, or here, spoilt both
                self.remade |= dict.fromkeys(name_files(answer.picture), time.time_ns())
                del self.answers[file]
                self.changed = True
        if look and settled(now, time.time_ns()):
            self.folder = now
        if look and listing and all(map(look, self.answers.values())):
            self.listing, self.changed = listing, True
        return found

    def add(self, request: Request, before: os.stat_result, picture: Picture, marks: tuple[Mark, ...]) -> None:
        """Notes an answer; `before` is what the disk said of the photograph before it was worked on."""
        if settled(before.st_mtime_ns, time.time_ns()):
            answer = Answer(before.st_size, before.st_mtime_ns, request.hide, picture, marks)
            self.answers[request.file] = answer
            self.changed = True

    def note_taken(self) -> None:
        """Notes that the sites have all files as they are now."""
        if self.remade:
            self.remade = {}
            self.changed = True

    def forget_all_but(self, requests: Iterable[Request]) -> None:
        """Drops what is no more asked for."""
        for gone in self.answers.keys() - {request.file for request in requests}:
            del self.answers[gone]
            self.changed = True


def _look_by(cache: str, seen: Mapping[str, Mark] | None) -> Callable[[Answer], bool]:
    """Tells of an answer whether the files of its picture are as they were."""

    def mark(name: str) -> Mark | None:
        if seen is not None:
            return seen.get(name)
        status = os.stat(f"{cache}/{name}")
        return status.st_size, status.st_mtime_ns

    def look(answer: Answer) -> bool:
        try:
            files = zip(name_files(answer.picture), answer.marks, strict=True)
            return all(mark(name) == known for name, known in files)
        except (OSError, ValueError):
            return False

    return look


def _is_same(file: str, answer: Answer, seen: os.stat_result | None) -> bool:
    try:
        status = seen or os.stat(file)
    except (OSError, ValueError):
        return False
    return status.st_size == answer.length and status.st_mtime_ns == answer.changed


def _changed(folder: Path) -> int:
    try:
        return os.stat(folder).st_mtime_ns
    except OSError:
        return _ABSENT
