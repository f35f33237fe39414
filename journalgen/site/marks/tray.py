"""The tray: one cell for every part, furthest on first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Final

from msgspec import Struct

from journalgen.ledgers.states import STATES
from journalgen.site.desk import Desk

MOST_CELLS: Final = 120
"""With more parts than this a cell stands for one in a hundred."""


class Tray(Struct, frozen=True):
    """Cells in order, and what they say in words."""

    cells: tuple[str, ...]  # the state of each
    counts: tuple[tuple[str, int], ...]  # by state, furthest on first
    label: str
    by_share: bool  # each cell is one in a hundred


def lay_tray(desk: Desk, name: str, parts: Iterable[str]) -> Tray:
    """The tray of some parts, under the name its label begins with."""
    states = desk.matter.figures.states
    counts = count_states(states, parts)
    by_share = sum(counts.values()) > MOST_CELLS
    cells = share_cells(counts, 100) if by_share else [state for state, n in counts.items() for _ in range(n)]
    said = ", ".join(f"{desk.formats.number(n)} {desk.term(state)}" for state, n in counts.items())
    return Tray(tuple(cells), tuple(counts.items()), f"{name}: {said}", by_share)


def count_states(states: Mapping[str, str], parts: Iterable[str]) -> dict[str, int]:
    """How many of the parts are in each state, furthest on first; states of no part are left out."""
    counts = Counter(states[part] for part in parts if part in states)
    return {state: counts[state] for state in STATES if counts[state]}


def share_cells(counts: Mapping[str, int], cells: int) -> list[str]:
    """So many cells shared out by largest remainder; a state that has parts never loses its last cell."""
    whole = sum(counts.values())
    given = {state: max(1, n * cells // whole) for state, n in counts.items()}
    rest = sorted(counts, key=lambda state: -(counts[state] * cells % whole))
    for state in rest[: max(0, cells - sum(given.values()))]:
        given[state] += 1
    while sum(given.values()) > cells:
        given[max(given, key=lambda state: given[state])] -= 1
    return [state for state, n in given.items() for _ in range(n)]
