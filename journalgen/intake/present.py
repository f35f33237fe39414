"""What lies in the journal's photos/ already: told by length first, then by SHA-256.

Nothing is remembered from one intake to the next: only files as long as a source are read, and whoever empties a card
relies on what is said to be there.
"""

from __future__ import annotations

import os
import stat
import unicodedata
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path, PurePosixPath

from msgspec import Struct, field

from journalgen.digests import digest_of
from journalgen.stamps import LINKED, list_tree


class Present(Struct):
    """The files below photos/, by their names from there with forward slashes."""

    folder: Path
    by_size: dict[int, list[str]] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)  # as `_key` has them, links included
    stems: set[str] = field(default_factory=set)  # the same without endings
    digests: dict[str, str] = field(default_factory=dict)
    counted: dict[str, int] = field(default_factory=dict)  # first name -> the number to go on from

    @classmethod
    def read(cls, folder: Path) -> Present:
        """What there is now. Hidden files do not count, and a link is no copy."""
        present = cls(folder)
        if not folder.is_dir():
            return present
        for path, found in list_tree(str(folder), lambda name: name.startswith(".")):
            if stat.S_ISDIR(found.st_mode) and not path.endswith(LINKED):
                continue
            file = Path(path.removesuffix(LINKED)).relative_to(folder).as_posix()
            present.take(file)
            if stat.S_ISREG(found.st_mode) and found.st_size and not os.path.islink(path):
                present.by_size.setdefault(found.st_size, []).append(file)
        for files in present.by_size.values():
            files.sort()
        return present

    def find(self, size: int, digest: str) -> str | None:
        """The file that holds the same bytes."""
        for file in self.by_size.get(size, ()):
            if file not in self.digests:
                with suppress(OSError):  # what cannot be read is no copy to rely on
                    self.digests[file] = digest_of(self.folder / file)
            if self.digests.get(file) == digest:
                return file
        return None

    def has_name(self, file: str) -> bool:
        """Whether there is a file of this name, whatever the case."""
        return _key(file) in self.names

    def has_stem(self, file: str) -> bool:
        """Whether there is a file of this name, whatever the case and the ending."""
        return _key(str(PurePosixPath(file).with_suffix(""))) in self.stems

    def take(self, file: str) -> None:
        """Has a name count as given."""
        self.names.add(_key(file))
        self.stems.add(_key(str(PurePosixPath(file).with_suffix(""))))

    def take_free(self, name: Callable[[int], str], is_taken: Callable[[str], bool]) -> str:
        """The first of the names that `name` makes of 1, 2, 3 ... that is free; it counts as given from now on."""
        first = name(1)
        n = self.counted.get(first, 1)
        while is_taken(file := name(n)):
            n += 1
        self.counted[first] = n + 1
        self.take(file)
        return file


def _key(file: str) -> str:
    """What names have in common that some file system takes for one."""
    return unicodedata.normalize("NFC", file.casefold())
