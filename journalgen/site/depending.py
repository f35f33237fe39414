"""On what each thing that pages look at hangs, so that most need not be looked at again to know that they are the same.

A thing on the desk is worked out from more or less of the record. A mark is a digest of so much of
it; while a mark is the same, so is everything that hangs on it. What no line below names hangs on
all the figures.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from enum import IntEnum
from typing import Final

from msgspec import Struct

from journalgen.site.watching import ASK, Sight


class On(IntEnum):
    """What things hang on."""

    WORDS = 0  # what sessions say, of which there is no mark
    FIGURES = 1  # whatever there is but that
    PACE = 2  # what is known without hours, with what hours tell of waits and of the time that steps take
    UNTIMED = 3  # what is known without the hours that sessions are said to have taken
    PICTURES = 4  # the pictures alone


class Marks(Struct):
    """Digests of what stands behind many files."""

    all: bytes = b""  # of what every unit depends on
    pictures: bytes = b""
    untimed: bytes = b""
    pace: bytes = b""
    figures: bytes = b""

    def same(self, before: Marks) -> frozenset[int]:
        """On what things hang that are as they were before."""
        pairs = {
            On.FIGURES: (self.figures, before.figures),
            On.PACE: (self.pace, before.pace),
            On.UNTIMED: (self.untimed, before.untimed),
            On.PICTURES: (self.pictures, before.pictures),
        }
        return frozenset(on for on, (now, then) in pairs.items() if now == then)


_UNTIMED: Final[Mapping[Sight, str]] = {
    ("matter",): "journal part_slugs material_slugs step_slugs",
    ("matter", ASK, 1): "part_page material_page step_page",
    ("matter", "figures"): "sessions shots pairs events money stock",
    ("matter", "figures", "craft"): "conditions originality",
    ("index",): """
        decisions last_steps done_steps assemblies needed_by money_by_assembly conditions opening captions pairs shots
        part_names session_pages assembly_ids sources source_ids material_ids
        """,
}
_PACE: Final[Mapping[Sight, str]] = {
    ("matter", "figures"): "states",
    ("matter", "figures", "craft"): "waits progress coats readiness processes",
    ("index",): "fittings completions waiting_until",
}


def _paths(names: Mapping[Sight, str]) -> Iterator[Sight]:
    return ((*before, name) for before, row in names.items() for name in row.split())


_HANGS: Final[Mapping[Sight, On]] = {
    ("matter", "pictures"): On.PICTURES,
    ("matter", "said"): On.WORDS,
    ("index", "bodies"): On.WORDS,
    **dict.fromkeys(_paths(_UNTIMED), On.UNTIMED),
    **dict.fromkeys(_paths(_PACE), On.PACE),
}
"""How the paths to things begin. What sessions say and the hours they state is no part of their digests anyway."""

_LENGTHS: Final = sorted(set(map(len, _HANGS)))


def hangs_on(paths: Iterable[Sight]) -> bytes:
    """On what each of the paths hangs, a byte for each."""
    return bytes(map(_hangs_on, paths))


def _hangs_on(path: Sight) -> int:
    if path[:2] == ("index", "matter"):  # the same by another way
        path = path[1:]
    for length in _LENGTHS:
        found = _HANGS.get(path[:length])
        if found is not None:
            return found
    return On.FIGURES
