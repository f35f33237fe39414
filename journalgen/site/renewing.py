"""Makes again only those files of an edition that can have changed since they were last made.

The work falls into units, each giving one file or a few. What a unit looked at on the desk is
remembered with a digest of what it saw; it is made again when one of these digests is another, or
what it was given, or what all depend on: the program, the theme, the language, the contents.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Set
from typing import Final, Protocol

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
from journalgen.site.depending import Marks, On, hangs_on
from journalgen.site.desk import Desk
from journalgen.site.index import Index
from journalgen.site.matter import Matter
from journalgen.site.watching import Containers, Glimpses, Sight, Watcher, behind_glass

KINDS: Final = Containers(
    opened=(Matter, Index, Journal, Settings, Figures, Hours, MoneyLedger, Stock, Craft, Progress, Readiness, Waits),
    unseen=(Lore,),  # the program's own, in the journal's language
)

Files = Iterable[tuple[str, bytes]]

Read = Callable[[str], bytes | None]
"""Gives a file as it was last made; None where it is not there any more."""


class Unit(Struct, frozen=True):
    """A piece of work: files made from the desk and from what it is given, and from nothing else."""

    name: str
    make: Callable[[Desk], Files]
    given: tuple[object, ...] = ()
    hangs: On | None = None
    """On what alone it depends whether the files stand: for a unit that looks at so much that it is quicker made than
    asked about. None: on what it looked at, or was given."""

    amend: Callable[[Desk, Read, Set[int]], Files] | None = None
    """The same, quicker, from the files as they were, where the hours that sessions state and what they say are all
    that can be other; it is told on what things hang that are the same."""


class Standing(Protocol):
    """The files as they were last made."""

    def has(self, name: str) -> bool:
        """Whether one is there as it was made."""

    def read(self, name: str) -> bytes | None:
        """What it holds; None where it is not there as it was made."""


class Units(Protocol):
    """The units of an edition. Which there are, and what each is given, hangs neither on what sessions say nor on
    how long they took."""

    def all(self) -> Iterable[Unit]:
        """Every one."""

    def named(self, names: Set[str]) -> Iterable[Unit]:
        """Those of some names."""


class Made(Struct):
    """What is remembered of a unit."""

    given: bytes
    hangs: On | None
    seen: tuple[int, ...]  # numbers of paths
    files: tuple[str, ...]


_IDLE: Final = 1.25
"""How many times the paths that are looked at there may be before those that are not are dropped."""


class Memory(Struct):
    """What is remembered of the files of one edition."""

    marks: Marks = field(default_factory=Marks)
    paths: list[Sight] = field(default_factory=list)
    hangs: bytes = b""  # on what each path hangs
    digests: list[bytes] = field(default_factory=list)  # of what each path led to
    units: dict[str, Made] = field(default_factory=dict)
    busy: int = 0  # how many paths there were when every one was looked at by some unit


class _Root(Struct):
    """Where paths begin."""

    matter: Matter
    index: Index


class Renewal:
    """One edition's files, of which some stand as they were made before.

    Go through `make` to its end before asking for `standing` and `memory`.
    """

    def __init__(self, units: Units, desk: Desk, before: Memory | None, marks: Marks, standing: Standing) -> None:
        self._desk = desk
        self._marks = marks
        self._before = before if before is not None and before.marks.all == marks.all else Memory()
        self._last = standing
        self._stand = stand = marks.same(self._before.marks)
        self._few = On.UNTIMED in stand  # whether there are the same units as before, each given the same
        self._paths = self._before.paths
        self._glimpses = Glimpses(_Root(desk.matter, desk.index))
        known = zip(self._before.hangs, self._paths, self._before.digests, strict=True)
        self._digests = [was if on in stand else self._glimpses.digest(path) for on, path, was in known]
        was_and_is = enumerate(zip(self._before.digests, self._digests, strict=True))
        self._other = {n for n, (was, now) in was_and_is if now != was}
        self._units, self._left = self._divide(units)
        self._given = {unit.name: self._glimpses.fingerprint(unit.given) for unit in self._units}
        self._seen: dict[str, set[Sight]] = {}
        self._files: dict[str, tuple[str, ...]] = {}

    def _divide(self, of: Units) -> tuple[list[Unit], Set[str]]:
        """The units to be gone through, and the names of those that are left as they are."""
        if self._few:
            fallen = {name for name, made in self._before.units.items() if not self._stands(made)}
            units = list(of.named(fallen))
            if {unit.name for unit in units} == fallen:
                return units, self._before.units.keys() - fallen
            self._few = False  # there are others than before, for whatever reason
        return list(of.all()), frozenset()

    def _stands(self, made: Made) -> bool:
        """Whether the files of a unit can stand that was given the same."""
        same = self._other.isdisjoint(made.seen) if made.hangs is None else made.hangs in self._stand
        return same and all(map(self._last.has, made.files))

    def _unit_stands(self, unit: Unit) -> bool:
        made = self._before.units.get(unit.name)
        return made is not None and made.given == self._given[unit.name] and self._stands(made)

    def make(self) -> Iterator[tuple[str, bytes]]:
        """Every file that has to be made."""
        watcher = Watcher()
        root = _Root(self._desk.matter, self._desk.index)
        desk = replace(
            self._desk,
            matter=behind_glass(root.matter, watcher, KINDS, ("matter",)),
            index=behind_glass(root.index, watcher, KINDS, ("index",)),
        )
        for unit in self._units:
            if not self._few and self._unit_stands(unit):
                continue
            watcher.seen = set()
            names = []
            for name, contents in self._files_of(unit, desk if unit.hangs is None else self._desk):
                names.append(name)
                yield name, contents
            self._seen[unit.name] = watcher.seen
            self._files[unit.name] = tuple(names)

    def _files_of(self, unit: Unit, desk: Desk) -> Files:
        if unit.amend and On.UNTIMED in self._stand:
            return unit.amend(desk, self._last.read, self._stand)
        return unit.make(desk)

    def _standing(self) -> Iterator[tuple[str, Made]]:
        """The units of which nothing was made."""
        for name in (*self._left, *(unit.name for unit in self._units)):
            if name not in self._files:
                yield name, self._before.units[name]

    @property
    def standing(self) -> set[str]:
        """The files that are as they were made before."""
        return {file for _, made in self._standing() for file in made.files}

    @property
    def memory(self) -> Memory:
        """What the next renewal is to know."""
        number = {path: n for n, path in enumerate(self._paths)}
        units = dict(self._standing())
        for unit in self._units:
            if unit.name in self._files:
                seen = tuple(number.setdefault(path, len(number)) for path in self._seen[unit.name])
                units[unit.name] = Made(self._given[unit.name], unit.hangs, seen, self._files[unit.name])
        paths, busy = list(number), self._before.busy
        new = paths[len(self._paths) :]
        hangs, digests = self._before.hangs + hangs_on(new), self._digests + list(map(self._glimpses.digest, new))
        if len(paths) > _IDLE * busy:  # what nobody looks at any more is not looked for the next time
            used = sorted({n for made in units.values() for n in made.seen})
            now = {n: place for place, n in enumerate(used)}
            units = {name: replace(made, seen=tuple(now[n] for n in made.seen)) for name, made in units.items()}
            paths, digests, busy = [paths[n] for n in used], [digests[n] for n in used], len(used)
            hangs = bytes(hangs[n] for n in used)
        return Memory(self._marks, paths, hangs, digests, units, busy)
