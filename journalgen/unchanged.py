"""Answers `assemble` at once where nothing has changed since it last ran: no library is loaded, no file read.

The last run left a record: the words it was called with, every file that it read and wrote as the
disk told of them, until when the day it computed for lasts, and what it said. Where all of that
is still so, the same is said again, and nothing else is done. The record is only ever compared; what
does not agree to the letter, or is not understood, means an ordinary run.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterable, Mapping, Sequence

from journalgen.program import program_folders, program_lines
from journalgen.stamps import LINKED, describe, list_tree, settled

TYPE_CHECKING = False
if TYPE_CHECKING:  # typing itself takes longer to load than a run in which nothing changed may take
    from journalgen.beside import Beside

RECORD = os.path.join(".journalgen", "last")
_PICTURES = os.path.join(".journalgen", "pictures")
_FORMAT = "journalgen-last/1"
_READ = ("entries", "register", "photos", "themes")
_SETTINGS = "journal.toml"
_TAKES_VALUE = ("--edition", "--theme", "--to", "--on")
_FLAGS = ("--leave-out", "--pages-only", "--no-colour")
_PART = "\0\n"
"""Between the parts of a record; no file's name holds it."""


def find_folder(words: Sequence[str]) -> str | None:
    """The journal among the words after `assemble`; None where there is anything that is not plain."""
    found, waiting = [], False
    for word in words:
        if waiting:
            waiting = False
        elif word in _TAKES_VALUE:
            waiting = True
        elif not word.startswith("-"):
            found.append(word)
        elif word not in _FLAGS:
            return None
    return None if waiting or len(found) > 1 else (found or ["."])[0]


class Run:
    """One run of `assemble`: what it is about to read, looked at before it does, and what came of it.

    `words` are those after the verb.
    """

    def __init__(self, words: Sequence[str]) -> None:
        self._words = words
        self._folder = find_folder(words)
        self._at = time.time_ns()
        self.seen: dict[str, os.stat_result] = {}
        """The files and folders that it reads, by path, as the disk told of them at the beginning."""
        self._read = self._look(self._folder) if self._folder is not None else ""
        self._ahead: Beside | None = None

    def _look(self, folder: str) -> str:
        """Every file that a run reads, as the disk tells of it, and the program itself."""
        home = "" if folder == os.curdir else folder  # as everything after this spells its paths
        settings = os.path.join(home, _SETTINGS)
        lines = [program_lines()]
        try:
            self.seen[settings] = os.stat(settings)
            lines.append(describe(settings, self.seen[settings]))
        except OSError:
            lines.append(settings)
        for name in _READ:
            found = dict(list_tree(os.path.join(home, name)))
            lines += _lines(found)
            self.seen |= found
        return "\n".join(lines)

    def answer(self) -> bool:
        """Repeats what the last run said, if it was called with the same words and nothing has changed.

        False where that cannot be told, or not be said: then the ordinary run tells why.
        """
        if self._folder is None:
            return False
        try:
            with open(
                os.path.join(self._folder, RECORD), encoding="utf-8", errors="surrogateescape", newline=""
            ) as file:
                record = file.read()
        except (OSError, ValueError):
            return False
        parts = record.split(_PART)
        if len(parts) != len(("format", "called", "span", "places", "read", "written", "message", "result")):
            return False
        form, called, span, places, read, written, message, result = parts
        if form != _FORMAT or called != _spell_call(self._words) or not _is_within(span):
            return False
        if self._with(places.split("\n") if places else ()) != read:
            return False
        if not all(_is_as_it_was(line) for line in written.split("\n") if line):
            return False
        try:
            for stream, text in ((sys.stderr, message), (sys.stdout, result)):
                if stream is not None:  # it was closed before the start
                    stream.write(text)
                    stream.flush()
        except OSError:
            return False
        return True

    def look_ahead(self) -> None:
        """Begins to look at the derived pictures, which are many, beside whatever this process does next."""
        from journalgen.beside import begin

        folder = os.path.join(self._folder or "", _PICTURES)
        if self._folder is not None and os.path.isdir(folder):
            self._ahead = begin(lambda: _marks_in(folder))

    def pictures(self) -> bytes | None:
        """The marks of the derived pictures as they were then; None where they are not known."""
        return self._ahead.wait() if self._ahead else None

    def _with(self, places: Iterable[str]) -> str:
        """What was looked at, and folders of a theme that lies elsewhere."""
        lines = [line for place in places for line in _lines(dict(list_tree(place)))]
        return "\n".join([self._read, *lines])

    def leave(
        self,
        span: tuple[float, float],
        themes: Iterable[str],
        written: Iterable[str],
        messages: Iterable[str],
        results: Iterable[str],
    ) -> None:
        """Leaves the record. `span` says for how long it holds, in seconds since the epoch.

        `themes` are the folders of the theme, `written` the files and folders of the sites. A cache that
        cannot be written, a file with a strange name, a folder that is only linked to, or one that
        changed a moment ago, leaves none.
        """
        if self._folder is None or not self._is_settled():
            return
        places = [theme for theme in themes if not _is_looked_at(theme, self._folder)]
        read = self._with(places)
        try:
            lines = [describe(path, os.lstat(path)) for path in written]
        except OSError:
            return
        said = ("".join(f"{line}\n" for line in kind) for kind in (messages, results))
        first, last = span
        parts = (
            _FORMAT, _spell_call(self._words), f"{first!r} {last!r}", "\n".join(places), read, "\n".join(lines), *said,
        )  # fmt: skip
        record = _PART.join(parts)
        if LINKED not in read and record.count(_PART) == len(parts) - 1:
            self._save(self._folder, record)

    def _is_settled(self) -> bool:
        """Whether every file that the run read had changed long enough before for another change to tell."""
        return all(settled(found.st_mtime_ns, self._at) for found in self.seen.values())

    def _save(self, folder: str, record: str) -> None:
        from pathlib import Path

        from journalgen.whole import write_whole

        try:
            write_whole(Path(folder) / RECORD, record.encode("utf-8", "surrogateescape"))
        except (OSError, UnicodeError):
            return  # it only saves time


def _marks_in(folder: str) -> bytes:
    from journalgen.pictures.recalling import spell_marks

    found = list_tree(folder, skip=lambda name: name.endswith((".json", ".txt")))  # what tells of pictures is none
    return spell_marks({path[len(folder) + 1 :]: (status.st_size, status.st_mtime_ns) for path, status in found})


def _lines(found: Mapping[str, os.stat_result]) -> list[str]:
    return sorted(describe(path, status) for path, status in found.items())


def _is_looked_at(theme: str, folder: str) -> bool:
    """Whether a theme's folder is looked at in any case, being the program's or the journal's own."""
    homes = (*program_folders(), os.path.join(folder, "themes"))
    return any(os.path.realpath(theme).startswith(os.path.realpath(home) + os.sep) for home in homes)


def _spell_call(words: Sequence[str]) -> str:
    return "\0".join((os.getcwd(), *words))


def _is_within(span: str) -> bool:
    first, _, last = span.partition(" ")
    try:
        return float(first) <= time.time() < float(last)
    except ValueError:
        return False


def _is_as_it_was(line: str) -> bool:
    path = line.rsplit(" ", 3)[0]
    try:
        return describe(path, os.lstat(path)) == line
    except (OSError, ValueError):
        return False
