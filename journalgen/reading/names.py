"""Names as one rule sees them: case, spacing and hyphens do not count, and other names lead to the same thing."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from typing import Final

from msgspec import Struct, field

from journalgen.slugs import key

_LIBRARY: Final = "rapidfuzz"
_FEW: Final = 300
"""Names that are gone through in less time than it takes to load the library."""

NEAR: Final = 72
"""How alike, of 100, two names must be for one to be offered in place of the other."""


def nearest(text: str, known: Iterable[str], at_least: int = NEAR) -> str | None:
    """The known name most like the text, if any is like enough; of several, the first in the order of letters."""
    return nearest_spelling(text, {key(name): name for name in sorted(known)}, at_least)


def nearest_spelling(text: str, by_key: Mapping[str, str], at_least: int = NEAR) -> str | None:
    """The name whose spelling, of all that lead to one, is most like the text, if any is like enough."""
    asked = key(text)
    few = _LIBRARY not in sys.modules and len(by_key) <= _FEW
    if few and not any(_most_alike(asked, spelling) >= at_least for spelling in by_key):
        return None  # a word of one's own need not bring the library in
    from rapidfuzz import fuzz, process  # only who mistypes pays for it

    found = process.extractOne(asked, by_key.keys(), scorer=fuzz.ratio, score_cutoff=at_least)
    return by_key[found[0]] if found else None


def _most_alike(one: str, other: str) -> float:
    """How alike, of 100, two texts are at most: as if all letters that they share stood in the same order."""
    whole = len(one) + len(other)
    if not whole:
        return 100
    return 200 * sum(min(one.count(letter), other.count(letter)) for letter in set(one)) / whole


class Catalogue(Struct):
    """The names of one register, and those that entries add to it."""

    by_key: dict[str, str] = field(default_factory=dict)  # key of a name or another name -> the name shown
    registered: dict[str, None] = field(default_factory=dict)  # in the register's order
    adopted: dict[str, None] = field(default_factory=dict)  # names only entries know, in order of first use

    def register(self, name: str, also: Iterable[str] = ()) -> str | None:
        """Adds a row; gives the name that already has one of its spellings, if there is one."""
        clash = self.find(name)
        self.registered.setdefault(name)
        self.by_key.setdefault(key(name), name)
        for other in also:
            taken = self.by_key.setdefault(key(other), name)
            if taken != name:
                clash = taken
        return clash

    def copy(self) -> Catalogue:
        """Another of the same names, to be added to by itself."""
        return Catalogue(dict(self.by_key), dict(self.registered), dict(self.adopted))

    def find(self, text: str) -> str | None:
        """The name shown for a spelling, or None where nothing bears it."""
        return self.by_key.get(key(text))

    def adopt(self, text: str) -> str:
        """The name shown for a spelling; an unknown one is taken in as it is written."""
        known = self.find(text)
        if known is None:
            self.by_key[key(text)] = known = text
            self.adopted[text] = None
        return known
