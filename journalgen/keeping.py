"""What one run leaves for the next, in the journal's `.journalgen/`; it may be deleted at any time.

Nothing in it is believed but what this very program wrote: every file begins with a digest of its
contents together with the program's own mark, and holds plain data, never code.
"""

from __future__ import annotations

from collections.abc import Set
from contextlib import suppress
from fractions import Fraction
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Any, Final, TypeVar
from zoneinfo import ZoneInfo

import msgspec

from journalgen.program import program_lines
from journalgen.values import Body

CACHE: Final = ".journalgen"
SITES: Final = "web"
MADE: Final = (CACHE, SITES)
"""Folders of a journal that hold nothing but what can be made again."""

READ: Final = "read"
"""The file in the cache that keeps what was read of each text file."""

_DIGEST: Final = 16

T = TypeVar("T")


@cache
def program_mark() -> bytes:
    """Stands for this program as it is installed: another version, a changed file or library has another."""
    return blake2b(program_lines().encode("utf-8", "surrogateescape"), digest_size=_DIGEST).digest()


def digest(*pieces: bytes) -> bytes:
    """A short digest of bytes in a row."""
    made = blake2b(digest_size=_DIGEST)
    for piece in pieces:
        made.update(len(piece).to_bytes(8, "big"))
        made.update(piece)
    return made.digest()


def encode(value: object) -> bytes:
    """Plain data as bytes, the same for equal values whatever process made them."""
    return (_SORTED if isinstance(value, Set) else _ENCODER).encode(value)  # sets have no order of their own


def _spell(value: object) -> object:
    if isinstance(value, Fraction):
        return value.as_integer_ratio()
    if isinstance(value, Body):
        return str(value)
    if isinstance(value, ZoneInfo):
        return value.key
    raise TypeError(f"{type(value).__name__} cannot be kept.")


def _read(kind: type, value: Any) -> object:
    if kind is Fraction:
        return Fraction(*value)
    if kind is Body:
        return Body(value)
    raise TypeError(f"{kind.__name__} cannot be kept.")


_ENCODER: Final = msgspec.msgpack.Encoder(enc_hook=_spell)
_SORTED: Final = msgspec.msgpack.Encoder(enc_hook=_spell, order="deterministic")


def load(file: Path, kind: type[T]) -> T | None:
    """What an earlier run left in a file; None if it is absent, damaged, or by another program than this."""
    try:
        data = file.read_bytes()
    except OSError:
        return None
    stated, contents = data[:_DIGEST], data[_DIGEST:]
    return decode(contents, kind) if digest(program_mark(), contents) == stated else None


def decode(contents: bytes, kind: type[T]) -> T | None:
    """What `encode` made bytes of; None if it is no such thing."""
    try:
        return msgspec.msgpack.decode(contents, type=kind, dec_hook=_read)
    except (msgspec.MsgspecError, ValueError):
        return None


def save(file: Path, value: object) -> None:
    """Leaves a value for the next run; a folder that cannot be written keeps what it had."""
    from journalgen.whole import write_whole

    contents = encode(value)
    with suppress(OSError):  # it only saves time
        file.parent.mkdir(parents=True, exist_ok=True)
        write_whole(file, digest(program_mark(), contents) + contents)
