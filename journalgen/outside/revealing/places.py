"""Where in the journal something was written that was found in the site."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from journalgen.problems import Problems
from journalgen.reading.settings import FILE
from journalgen.reading.texts import find_files, read_text

_MOST: Final = 3
_KEY: Final = re.compile(r"(?:^|[{,-]) *[\w ]+: *[\"']?$", re.M)
"""What stands before a value: it is kept out of the site, so that it is seldom what was found there."""


class Sources:
    """The journal's texts, read when the first is asked for, without private sessions: they are not in the site."""

    def __init__(self, journal: Path, private: Sequence[str]) -> None:
        self._journal = journal
        self._private = frozenset(private)
        self._texts: dict[str, str] | None = None

    def find(self, what: str) -> tuple[str, ...]:
        """The first few places of some words, as file and line."""
        pattern = re.compile(r"\s+".join(map(re.escape, what.split())), re.I)
        texts: list[str] = []
        keys: list[str] = []
        for file, text in self._read().items():
            for match in pattern.finditer(text):
                place = f"{file}:{text.count(chr(10), 0, match.start()) + 1}"
                (keys if _KEY.search(text, 0, match.start()) else texts).append(place)
        return tuple(dict.fromkeys([*texts, *keys]))[:_MOST]

    def _read(self) -> dict[str, str]:
        if self._texts is None:
            self._texts = dict(self._read_all())
        return self._texts

    def _read_all(self) -> Iterator[tuple[str, str]]:
        problems = Problems()
        files = [*find_files(self._journal, "entries", problems), (self._journal / FILE, FILE)]
        files += find_files(self._journal, "register", problems)
        for path, file in files:
            if file not in self._private and path.suffix in (".md", ".yaml", ".toml"):
                yield file, read_text(path, file, problems) or ""
