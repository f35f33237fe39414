"""Makes again only those files of an edition that can have changed since they were last made.

The work falls into units, each giving one file or a few. What a unit looked at on the desk is
remembered with a digest of what it saw; it is made again when one of these digests is another, or
what it was given, or what all depend on: the program, the theme, the language, the contents.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.ledgers.cautions import Lore
from journalgen.ledgers.craft import Craft
from journalgen.ledgers.figures import Figures
from journalgen.ledgers.hours import Hours
from journalgen.ledgers.money import MoneyLedger
from journalgen.ledgers.progress import Progress
from journalgen.ledgers.readiness import Readiness
from journalgen.ledgers.stock import Stock
from journalgen.ledgers.waits import Waits
from journalgen.records import Journal, Settings
from journalgen.site.desk import Desk, Index
from journalgen.site.matter import Matter
from journalgen.site.watching import Containers, Glimpses, Sight, Watcher, behind_glass

KINDS: Final = Containers(
    opened=(Matter, Index, Journal, Settings, Figures, Hours, MoneyLedger, Stock, Craft, Progress, Readiness, Waits),
    unseen=(Lore,),  # the program's own, in the journal's language
)

Files = Iterable[tuple[str, bytes]]


class Unit(Struct, frozen=True):
    """A piece of work: files made from the desk and from what it is given, and from nothing else."""

    name: str
    make: Callable[[Desk], Files]
    given: tuple[object, ...] = ()
    always: bool = False  # whether it looks at so much that it is quicker made than asked about


class Made(Struct):
    """What is remembered of a unit."""

    given: bytes
    seen: tuple[int, ...]  # numbers of paths
    files: tuple[str, ...]


class Marks(Struct):
    """Digests of what stands behind many files."""

    all: bytes = b""  # of what all units depend on
    basis: bytes = b""  # of whatever pages can look at, but for what sessions say


_TOLD: Final = frozenset({"said", "bodies", "lengths"})
"""Names on the desk by which pages come to what sessions say."""


class Memory(Struct):
    """What is remembered of the files of one edition."""

    marks: Marks = field(default_factory=Marks)
    paths: list[Sight] = field(default_factory=list)
    digests: list[bytes] = field(default_factory=list)  # of what each path led to
    units: dict[str, Made] = field(default_factory=dict)


class _Root(Struct):
    """Where paths begin."""

    matter: Matter
    index: Index


class Renewal:
    """One edition's files, of which some stand as they were made before.

    Go through `make` to its end before asking for `standing` and `memory`.
    """

    def __init__(self, units: Sequence[Unit], desk: Desk, before: Memory | None, marks: Marks) -> None:
        self._units = units
        self._desk = desk
        self._marks = marks
        self._before = before if before is not None and before.marks.all == marks.all else Memory()
        self._glimpses = Glimpses(_Root(desk.matter, desk.index), self._digests_that_stand())
        self._paths = self._before.paths
        self._same = self._which_are_the_same()
        self._given = {unit.name: self._glimpses.fingerprint(unit.given) for unit in units}
        self._seen: dict[str, set[Sight]] = {}
        self._files: dict[str, tuple[str, ...]] = {}

    def _digests_that_stand(self) -> dict[Sight, bytes]:
        """Those of before that cannot have changed, whatever was said."""
        if self._marks.basis != self._before.marks.basis:
            return {}
        digests = zip(self._before.paths, self._before.digests, strict=True)
        return {path: digest for path, digest in digests if _TOLD.isdisjoint(path)}

    def _which_are_the_same(self) -> list[bool]:
        look = self._glimpses.digest
        return [look(path) == before for path, before in zip(self._paths, self._before.digests, strict=True)]

    def _stands(self, unit: Unit) -> bool:
        made = self._before.units.get(unit.name)
        return (
            made is not None
            and not unit.always
            and made.given == self._given[unit.name]
            and all(self._same[n] for n in made.seen)
        )

    def make(self, lost: Callable[[str], bool] = lambda file: False) -> Iterator[tuple[str, bytes]]:
        """Every file that has to be made, and those of which `lost` says that they are gone."""
        watcher = Watcher()
        root = _Root(self._desk.matter, self._desk.index)
        desk = replace(
            self._desk,
            matter=behind_glass(root.matter, watcher, KINDS, ("matter",)),
            index=behind_glass(root.index, watcher, KINDS, ("index",)),
        )
        for unit in self._units:
            if self._stands(unit) and not any(map(lost, self._before.units[unit.name].files)):
                continue
            watcher.seen = set()
            names = []
            for name, contents in unit.make(desk):
                names.append(name)
                yield name, contents
            self._seen[unit.name] = watcher.seen
            self._files[unit.name] = tuple(names)

    @property
    def standing(self) -> set[str]:
        """The files that are as they were made before."""
        stand = (unit.name for unit in self._units if unit.name not in self._files)
        return {file for name in stand for file in self._before.units[name].files}

    @property
    def memory(self) -> Memory:
        """What the next renewal is to know."""
        number: dict[Sight, int] = {}
        units = {}
        for unit in self._units:
            before = self._before.units.get(unit.name)
            if unit.name in self._files:
                seen: Iterable[Sight] = self._seen[unit.name]
                files = self._files[unit.name]
            elif before is not None:
                seen, files = (self._paths[n] for n in before.seen), before.files
            else:
                continue
            numbers = tuple(number.setdefault(path, len(number)) for path in seen)
            units[unit.name] = Made(self._given[unit.name], numbers, files)
        return Memory(self._marks, list(number), [self._glimpses.digest(path) for path in number], units)
