"""Sees what a page looks at, so that it is made again only when one of these things has changed.

Pages are functions of one edition's matter. While a page is filled and rendered it is given the
matter behind glass: every field, row of a mapping, or answer of a method that it asks for is
noted. What it noted is all that it can depend on, so nobody has to say what a page depends on, and
no page can forget to.

A note is a path: the fields, row keys and questions that lead to a value. `Glimpses` finds the
value of a path in another matter, of this run or the next, and gives a digest of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from enum import Enum, auto
from functools import cache
from inspect import getattr_static
from types import FunctionType
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from journalgen import ledgers, site
from journalgen.ledgers.rows import Rows
from journalgen.plain_data import digest, encode
from journalgen.records import Session
from journalgen.values import Body

Step = str | int | None
Sight = tuple[Step, ...]
"""Steps from the matter: a field's name; ROW and a key of a mapping, HAS and a key that is looked for, KEYS for all of
them; ASK, how many arguments, a method's name, and the arguments. All of it is plain and flat, to be kept."""

ROW: Final = 0
HAS: Final = 1
KEYS: Final = 2
ASK: Final = 3
_KEEPERS: Final = (ledgers.__name__, site.__name__)
_SIMPLE: Final = (str, int, type(None))


class Watcher:
    """Gathers the paths that are looked at."""

    def __init__(self) -> None:
        self.seen: set[Sight] = set()

    def note(self, path: Sight) -> None:
        self.seen.add(path)


class _Way(Enum):
    OPENED = auto()
    ROWS = auto()
    WHOLE = auto()
    UNSEEN = auto()


class Containers:
    """Which kinds of value are looked into, and not taken whole; and which are no part of the record."""

    def __init__(self, opened: tuple[type, ...], unseen: tuple[type, ...] = ()) -> None:
        self._opened = opened
        self._unseen = unseen
        self._ways: dict[type, _Way] = {}

    def way(self, kind: type) -> _Way:
        """How a value of some kind is looked at; pages ask a million times."""
        found = self._ways.get(kind)
        if found is None:
            opened = _Way.OPENED if issubclass(kind, self._opened) else None
            rows = _Way.ROWS if issubclass(kind, Mapping) else None
            found = opened or rows or (_Way.UNSEEN if issubclass(kind, self._unseen) else _Way.WHOLE)
            self._ways[kind] = found
        return found


def behind_glass(value: Any, watcher: Watcher, kinds: Containers, path: Sight = ()) -> Any:
    """The value as a page may look at it: containers and mappings are watched, everything else is noted."""
    way = kinds.way(type(value))
    if way is _Way.WHOLE:
        watcher.seen.add(path)
    elif way is _Way.OPENED:
        return _Glass(value, watcher, kinds, path)
    elif way is _Way.ROWS:
        return _GlassMapping(value, watcher, kinds, path)
    return value


class _Glass:
    """A container of which every field that is asked for is noted.

    What only leads on, and is not noted itself, is kept as an attribute: pages ask for it again and again.
    """

    def __init__(self, value: Any, watcher: Watcher, kinds: Containers, path: Sight) -> None:
        self._value = value
        self._watcher = watcher
        self._kinds = kinds
        self._path = path

    def __getattr__(self, name: str) -> Any:
        own = _own(type(self._value), name)  # type: ignore[arg-type]  # a class can be hashed
        if isinstance(own, staticmethod):  # it looks at nothing
            found = own.__func__
        elif own is not None:
            found = self._method(name, own)
        else:
            found = behind_glass(getattr(self._value, name), self._watcher, self._kinds, (*self._path, name))
            if not isinstance(found, _LEADS_ON):
                return found
        setattr(self, name, found)
        return found

    def _method(self, name: str, own: Callable[..., Any]) -> Callable[..., Any]:
        def ask(*arguments: Any, **named: Any) -> Any:
            if named or not all(isinstance(argument, _SIMPLE) for argument in arguments):
                return own(self, *arguments, **named)  # whatever it looks at is noted
            path = (*self._path, ASK, len(arguments), name, *arguments)
            return behind_glass(own(self._value, *arguments), self._watcher, self._kinds, path)

        return ask


@cache
def _own(kind: type, name: str) -> FunctionType | staticmethod[..., Any] | None:
    """A method of a class; None for what is none."""
    found = getattr_static(kind, name, None)
    return found if isinstance(found, FunctionType | staticmethod) else None


class _GlassMapping(Mapping[Any, Any]):
    """A mapping of which every row that is asked for is noted; all of it where it is gone through."""

    __slots__ = ("_kinds", "_path", "_value", "_watcher")

    def __init__(self, value: Mapping[Any, Any], watcher: Watcher, kinds: Containers, path: Sight) -> None:
        self._value = value
        self._watcher = watcher
        self._kinds = kinds
        self._path = path

    def _row(self, key: Any) -> Sight:
        return (*self._path, ROW, key)

    def __getitem__(self, key: Any) -> Any:
        if key not in self._value:
            self._watcher.note(self._row(key))
        return behind_glass(self._value[key], self._watcher, self._kinds, self._row(key))

    def get(self, key: Any, default: Any = None) -> Any:
        try:
            return self[key]
        except KeyError:
            return default

    def __contains__(self, key: object) -> bool:
        self._watcher.note((*self._path, HAS, key))  # type: ignore[arg-type]  # what is no plain key is never the same
        return key in self._value

    def __iter__(self) -> Iterator[Any]:
        self._watcher.note((*self._path, KEYS))
        return iter(self._value)

    def __len__(self) -> int:
        self._watcher.note((*self._path, KEYS))
        return len(self._value)

    def values(self) -> Any:
        self._watcher.note(self._path)
        return self._value.values()

    def items(self) -> Any:
        self._watcher.note(self._path)
        return self._value.items()

    def __or__(self, other: Mapping[Any, Any]) -> dict[Any, Any]:
        self._watcher.note(self._path)
        return {**self._value, **other}

    def __ror__(self, other: Mapping[Any, Any]) -> dict[Any, Any]:
        self._watcher.note(self._path)
        return {**other, **self._value}


_LEADS_ON: Final = (_Glass, _GlassMapping)


class _Nothing:
    """What a path leads to where there is nothing."""


NOTHING: Final = _Nothing()
_OF_NOTHING: Final = digest(b"nothing")


class Glimpses:
    """The digests of what paths lead to in one matter, each worked out once."""

    def __init__(self, root: Any) -> None:
        self._found: dict[Sight, Any] = {(): root}  # what leads on
        self._digests: dict[Sight, bytes] = {}
        self._known: dict[int, tuple[bytes | list[Any], Any]] = {}  # what is brief, and of what, by identity

    def digest(self, path: Sight) -> bytes:
        """Of what a path leads to; of nothing where it leads nowhere."""
        made = self._digests.get(path)
        if made is None:
            value = self._follow(path)
            made = self._digests[path] = _OF_NOTHING if value is NOTHING else self.fingerprint(value)
        return made

    def fingerprint(self, value: Any) -> bytes:
        """A digest of plain data, the same for equal values whatever process made them."""
        return digest(encode(str(value) if type(value) is Body else self._brief(value)))

    def _brief(self, value: Any) -> Any:
        """The value with digests for the sessions and the rows of ledgers in it, which name each other at every turn.

        That of a session leaves out the body, on which no figure depends, and the hours that it states: pages ask the
        ledger for those.
        """
        way = _way_of(type(value))  # type: ignore[arg-type]  # a class can be hashed
        if way is _Brief.AS_IT_IS:
            return value
        if way is _Brief.LIST:
            return value if _plain(value) else self._briefs(value)
        if way is _Brief.MAPPING:
            rows = dict(value)
            return rows if _plain(rows.values()) else {key: self._brief(item) for key, item in rows.items()}
        known = self._known.get(id(value))
        if known is None:
            if way is _Brief.SESSION:
                spelt = encode(replace(value, body=None, minutes=None))
            else:
                kind = type(value)
                fields = self._briefs([kind.__name__, *[getattr(value, name) for name in kind.__struct_fields__]])
                if _NESTED.isdisjoint(map(type, fields)):  # no longer than a digest is worth
                    self._known[id(value)] = fields, value
                    return fields
                spelt = encode(fields)
            known = self._known[id(value)] = digest(spelt), value  # kept, so that no other takes its place
        return known[0]

    def _briefs(self, values: Iterable[Any]) -> list[Any]:
        plain, brief = _Brief.AS_IT_IS, self._brief  # it is asked a hundred thousand times
        return [value if _way_of(type(value)) is plain else brief(value) for value in values]  # type: ignore[arg-type]

    def _follow(self, path: Sight) -> Any:
        before, last = _split(path)
        if before not in self._found:
            self._found[before] = self._follow(before)
        return _take(self._found[before], last)


def _split(path: Sight) -> tuple[Sight, Sight]:
    """A path without its last step, and that step."""
    at = 0
    while True:
        step = path[at]
        length = 1 if isinstance(step, str) or step == KEYS else 3 + int(path[at + 1] or 0) if step == ASK else 2
        if at + length >= len(path):
            return path[:at], path[at:]
        at += length


def _take(value: Any, step: Sight) -> Any:
    if value is NOTHING:
        return NOTHING
    kind, *rest = step
    if isinstance(kind, str):
        return getattr(value, kind, NOTHING)
    if kind == ROW:
        return value.get(rest[0], NOTHING)
    if kind == HAS:
        return rest[0] in value
    if kind == KEYS:
        return tuple(value)
    return getattr(value, str(rest[1]))(*rest[2:])


_NESTED: Final = frozenset({list, dict})


class _Brief(Enum):
    AS_IT_IS = auto()
    LIST = auto()
    MAPPING = auto()
    SESSION = auto()
    STRUCT = auto()


@cache
def _way_of(kind: type[object]) -> _Brief:
    """How a value of this kind is made brief: only ledgers and pages keep sessions."""
    if kind in (tuple, list):
        return _Brief.LIST
    if kind is dict or issubclass(kind, Rows):
        return _Brief.MAPPING
    if kind is Session:
        return _Brief.SESSION
    keeps = issubclass(kind, Struct) and kind.__module__.startswith(_KEEPERS)
    return _Brief.STRUCT if keeps else _Brief.AS_IT_IS


def _plain(values: Iterable[object]) -> bool:
    """Whether none of the values is, or may hold, a session."""
    return all(_way_of(kind) is _Brief.AS_IT_IS for kind in set(map(type, values)))
