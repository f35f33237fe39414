"""Plain data as bytes, and short digests of them: the same for equal values whatever process made them."""

from __future__ import annotations

from collections.abc import Set
from fractions import Fraction
from hashlib import blake2b
from typing import Any, Final, TypeVar
from zoneinfo import ZoneInfo

import msgspec

from journalgen.values import Body

DIGEST: Final = 16
"""Bytes of a digest."""

T = TypeVar("T")


def digest(*pieces: bytes) -> bytes:
    """A short digest of bytes in a row."""
    made = blake2b(digest_size=DIGEST)
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


def decode(contents: bytes, kind: type[T]) -> T | None:
    """What `encode` made bytes of; None if it is no such thing."""
    try:
        return msgspec.msgpack.decode(contents, type=kind, dec_hook=_read)
    except (msgspec.MsgspecError, ValueError):
        return None
