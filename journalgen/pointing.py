"""Shows where in the journal something stands: its line, and a mark under the place."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen.columns import ELLIPSIS, cut, fitting_end, letters, width
from journalgen.problems import Problems
from journalgen.reading.texts import read_text
from journalgen.terminal import safe
from journalgen.values import Place

MARK: Final = "^"
_TAB: Final = "    "
_SAYS_NOTHING: Final = ("", "---")


class Sources(Struct):
    """The text files of a journal as they are now, each read once."""

    folder: Path
    read: dict[str, list[str]] = field(default_factory=dict)

    def line(self, place: Place) -> str | None:
        """The line of a place; None where it cannot be read, or holds nothing that could be pointed at."""
        lines = self._read(place.file)
        line = lines[place.line - 1] if 0 < place.line <= len(lines) else ""
        return None if line.strip() in _SAYS_NOTHING else line

    def around(self, place: Place, more: int) -> tuple[tuple[int, str], ...]:
        """The line of a place with as many before and after it, each with its number; none where it cannot be read."""
        lines = self._read(place.file)
        numbers = range(max(1, place.line - more), min(len(lines), place.line + more) + 1)
        return tuple((number, lines[number - 1]) for number in numbers)

    def _read(self, file: str) -> list[str]:
        if file not in self.read:
            self.read[file] = self._lines(file)
        return self.read[file]

    def _lines(self, file: str) -> list[str]:
        path = self.folder / file
        try:
            inside = path.is_file() and path.resolve().is_relative_to(self.folder.resolve())
        except (OSError, ValueError, RuntimeError):  # a name that no file can have, a link to itself
            inside = False
        return (read_text(path, file, Problems()) or "").split("\n") if inside else []


def point_at(line: str, column: int, columns: int) -> tuple[str, str]:
    """The line and, for below it, the mark under a column counted in letters from 1, both within so many columns.

    What stands before the line's first word is left out; of a long line the surroundings of the place are shown.
    """
    place = min(max(column - 1, 0), len(line.rstrip()))
    start = min(place, len(line) - len(line.lstrip()))
    before, after = _shown(line[start:place]), _shown(line[place:].rstrip())
    text, at = before + after, _start_of_letter(before + after, len(before))
    return _cut_around(text[:at], text[at:], columns)


def _start_of_letter(text: str, at: int) -> int:
    """Where the letter begins that stands there: an accent belongs to the one before it."""
    begins = 0
    for letter in letters(text):
        if begins + len(letter) > at:
            break
        begins += len(letter)
    return begins


def _shown(text: str) -> str:
    return safe(text.replace("\t", _TAB).replace("\n", " "))


def _cut_around(before: str, after: str, columns: int) -> tuple[str, str]:
    room = columns - max(min(width(after), columns // 2), 1)
    ahead = before if width(before) <= room else ELLIPSIS + fitting_end(before, room - 1)
    return ahead + cut(after, columns - width(ahead)), " " * width(ahead) + MARK
