"""A ledger's rows, each worked out when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

_Row = TypeVar("_Row")


class Rows(Mapping[str, _Row]):
    """A mapping from names to rows: who asks for one name need not wait for the rows of all."""

    def __init__(self, names: Iterable[str], make: Callable[[str], _Row]) -> None:
        self._names = dict.fromkeys(names)
        self._make = make
        self._made: dict[str, _Row] = {}

    def __getitem__(self, name: str) -> _Row:
        if name not in self._made:
            if name not in self._names:
                raise KeyError(name)
            self._made[name] = self._make(name)
        return self._made[name]

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)
