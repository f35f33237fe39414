"""Which parts belong to which assembly, and how far the assemblies are.

An assembly is a name in the `assembly` column of the register. Where that name is also a row of
the register, the row's own assembly is the one above it, so that assemblies form a tree.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from journalgen.ledgers.hours import assembly_of
from journalgen.records import NO_ASSEMBLY, Part


class Assembly(Struct, frozen=True):
    """One assembly with the parts whose own row names it."""

    name: str  # `(none)` for the parts that belong to none
    parts: tuple[str, ...]
    above: str | None = None  # the assembly it belongs to
    depth: int = 0  # 0 at the top


def list_assemblies(parts: dict[str, Part]) -> tuple[Assembly, ...]:
    """Every assembly after the one above it, otherwise in the register's order; parts without one last."""
    members: dict[str, list[str]] = {}
    for part in parts:
        members.setdefault(assembly_of(part, parts), []).append(part)
    loose = members.pop(NO_ASSEMBLY, [])
    # An assembly may hold nothing but other assemblies: it then has a row of its own all the same.
    names = dict.fromkeys(name for member in members for name in (*assemblies_above(member, parts)[::-1], member))
    below: dict[str | None, list[str]] = {}
    for name in names:
        line = assemblies_above(name, parts)
        below.setdefault(line[0] if line else None, []).append(name)
    found: list[Assembly] = []
    todo: list[tuple[str, str | None, int]] = [(name, None, 0) for name in reversed(below.get(None, []))]
    while todo:
        name, above, depth = todo.pop()
        found.append(Assembly(name, tuple(members.get(name, ())), above, depth))
        todo.extend((child, name, depth + 1) for child in reversed(below.get(name, [])))
    if loose:
        found.append(Assembly(NO_ASSEMBLY, tuple(loose)))
    return tuple(found)


def assemblies_above(name: str, parts: Mapping[str, Part]) -> tuple[str, ...]:
    """The assemblies above a part or an assembly, nearest first.

    Rows that name each other in a ring have no top: the whole ring then counts as topmost.
    """
    line: dict[str, None] = {}
    above = _next_above(name, parts)
    while above is not None:
        if above == name or above in line:
            return ()
        line[above] = None
        above = _next_above(above, parts)
    return tuple(line)


def _next_above(name: str, parts: Mapping[str, Part]) -> str | None:
    row = parts.get(name)
    return row.assembly if row and row.assembly and row.assembly != name else None
