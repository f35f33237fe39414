"""What stands inside what: assemblies that are only headings, what a need stands for, and cycles."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from journalgen.problems import Problems
from journalgen.records import Part
from journalgen.values import Place

_REGISTER = Place("register/parts.yaml")


class Nesting:
    """Which parts belong to which assembly, worked out once."""

    def __init__(self, parts: Mapping[str, Part]) -> None:
        members: dict[str, list[str]] = {}
        for part in parts.values():
            if part.assembly:
                members.setdefault(part.assembly, []).append(part.name)
        self._parts = parts
        self.members = {name: tuple(row) for name, row in members.items()}
        """By assembly; a row that bears its assembly's own name is one of them."""
        self.headings = headings(parts)

    def is_part(self, name: str) -> bool:
        """Whether a name stands for a piece of the machine, and not only for an assembly."""
        return name not in self.headings and (name in self._parts or name not in self.members)

    def pieces(self, name: str) -> tuple[str, ...]:
        """The parts that a name stands for: itself, or all that belongs to it where it is only an assembly."""
        if self.is_part(name):
            return (name,)
        found: dict[str, None] = {}
        seen, todo = {name}, [name]
        while todo:
            for member in self.members.get(todo.pop(), ()):
                if self.is_part(member):
                    found[member] = None
                elif member not in seen:
                    seen.add(member)
                    todo.append(member)
        return tuple(found)


def headings(parts: Mapping[str, Part]) -> frozenset[str]:
    """Rows that only stand for an assembly: other parts belong to them, and nothing is to be done to them as such."""
    named = {part.assembly for part in parts.values() if part.assembly and part.assembly != part.name}
    return frozenset(
        part.name for part in parts.values() if part.name in named and not (part.route or part.decision or part.area)
    )


def check_cycles(parts: Mapping[str, Part], problems: Problems) -> None:
    """Reports parts that need each other in a ring, and assemblies that lie within each other; each ring once."""
    nesting = Nesting(parts)
    needs: dict[str, tuple[str, ...]] = {name: part.needs for name, part in parts.items()}
    # A need may be a whole assembly: it then waits for all that belongs to it.
    needs |= {name: row for name, row in nesting.members.items() if not nesting.is_part(name)}
    above = {p.name: (p.assembly,) for p in parts.values() if p.assembly and p.assembly != p.name}
    for ring in find_rings(needs):
        if not any(nesting.is_part(name) for name in ring):
            continue  # nothing but assemblies: told below
        problems.error(
            _place(ring, parts),
            "cycle",
            f"These need each other, so that none can ever be fitted: {' -> '.join((*ring, ring[0]))}.",
            "Take out of `needs` what does not have to be ready first.",
        )
    for ring in find_rings(above):
        problems.error(
            _place(ring, parts),
            "cycle",
            f"These assemblies lie within each other: {' -> '.join((*ring, ring[0]))}.",
            "Mend the `assembly` of one of them.",
        )


def _place(ring: Sequence[str], parts: Mapping[str, Part]) -> Place:
    return next((place for name in ring if name in parts and (place := parts[name].place)), _REGISTER)


def find_rings(after: Mapping[str, Iterable[str]]) -> Iterator[tuple[str, ...]]:
    """Each ring met when every name is followed to what comes after it, beginning at its first name in order.

    Walks without recursion: a register may be a chain of thousands.
    """
    order = {name: i for i, name in enumerate(after)}
    finished: set[str] = set()
    told: set[tuple[str, ...]] = set()
    for start in after:
        path: list[str] = []
        onward: list[Iterator[str]] = [iter((start,))]
        while onward:
            name = next(onward[-1], None)
            if name is None:
                onward.pop()
                if path:
                    finished.add(path.pop())
            elif name in path:
                ring = _turned(path[path.index(name) :], order)
                if ring not in told:
                    told.add(ring)
                    yield ring
            elif name not in finished and name in after:
                path.append(name)
                onward.append(iter(after[name]))


def _turned(ring: Sequence[str], order: Mapping[str, int]) -> tuple[str, ...]:
    at = min(range(len(ring)), key=lambda i: order.get(ring[i], len(order)))
    return (*ring[at:], *ring[:at])
