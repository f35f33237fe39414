"""The cache folder: what derived pictures are called, how they get there whole, and whether they still are.

Every file is written beside its place and moved there in one step, and an original's record comes
last. So whatever moment the work is stopped at, a record stands for pictures that are there.
"""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from fractions import Fraction
from itertools import chain
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from journalgen.pictures.model import Picture, Variant
from journalgen.values import Rectangle
from journalgen.whole import UNFINISHED, write_whole

PIPELINE: Final = "2"
"""Changes whenever the same original would give other pictures, so that old ones are made anew."""

_STALE: Final = 3600
"""Seconds after which an unfinished file can belong to no work that still runs."""


Mark = tuple[int, int]
"""Length and time of change in nanoseconds of a file when it was known to be whole."""


class Stored(Struct, frozen=True):
    """A picture in the cache."""

    picture: Picture
    marks: tuple[Mark, ...]  # of each variant's AVIF and JPEG


def key_of(digest: str, hide: Sequence[Rectangle]) -> str:
    """The 16 hex digits that name all pictures of one content with these regions hidden."""
    regions = sorted({_spell(rectangle) for rectangle in hide})
    return hashlib.sha256("\n".join((PIPELINE, digest, *regions)).encode()).hexdigest()[:16]


def _spell(rectangle: Rectangle) -> str:
    # Fractions, so that 10 and 10.0 are one region.
    sides = (rectangle.x, rectangle.y, rectangle.width, rectangle.height)
    return " ".join((*(str(Fraction(side)) for side in sides), "%" if rectangle.per_cent else "px"))


def name_variant(key: str, width: int, height: int) -> Variant:
    """A variant with the names of its files."""
    return Variant(width, height, f"{key}-{width}.avif", f"{key}-{width}.jpg")


def name_files(picture: Picture) -> Iterator[str]:
    """The files of a picture: each variant's AVIF and JPEG."""
    for variant in picture.variants:
        yield variant.avif
        yield variant.jpeg


def to_row(picture: Picture, of_files: Sequence[Any]) -> list[Any]:
    """A picture as JSON holds it, with something of each of its files; the names follow from the key."""
    pairs = zip(of_files[::2], of_files[1::2], strict=True)
    variants = [[variant.width, variant.height, *pair] for variant, pair in zip(picture.variants, pairs, strict=True)]
    return [picture.width, picture.height, picture.tint, variants]


def from_row(key: str, row: Any) -> tuple[Picture, list[Any]] | None:
    """The picture that a row of JSON speaks of, and what it holds of each file; None for rubbish."""
    try:
        width, height, tint, rows = row
        variants = tuple(name_variant(key, int(w), int(h)) for w, h, _, _ in rows)
        picture = Picture(int(width), int(height), str(tint), variants)
        of_files = [value for _, _, *pair in rows for value in pair]
    except (TypeError, ValueError, OverflowError):
        return None
    return (picture, of_files) if variants else None


def write_stored(cache: Path, key: str, picture: Picture, files: Iterable[tuple[bytes, bytes]]) -> Stored:
    """Writes the AVIF and JPEG of each variant, then the record. Raises OSError if the cache cannot be written."""
    cache.mkdir(parents=True, exist_ok=True)
    contents = list(chain.from_iterable(files))
    for name, data in zip(name_files(picture), contents, strict=True):
        write_whole(cache / name, data)
    write_json(cache / f"{key}.json", to_row(picture, [hashlib.sha256(data).hexdigest() for data in contents]))
    return Stored(picture, tuple(_mark(cache, name) for name in name_files(picture)))


def read_stored(cache: Path, key: str) -> Stored | None:
    """The picture of a key, if there is a record of it and every file is what was written then.

    Every byte is read, for nothing but a digest tells that.
    """
    found = from_row(key, read_json(cache / f"{key}.json"))
    if found is None:
        return None
    picture, digests = found
    marks = []
    try:
        for name, digest in zip(name_files(picture), digests, strict=True):
            marks.append(_mark(cache, name))  # first: what changes while it is read will have another
            if hashlib.sha256((cache / name).read_bytes()).hexdigest() != digest:
                return None
    except OSError:
        return None
    return Stored(picture, tuple(marks))


def confirm(cache: Path, key: str, stored: Stored) -> Stored | None:
    """The picture if its files are what was written; None if one is gone or holds anything else.

    A file is taken to be unchanged while its length and time of change are; if only the time is another,
    as in a cache that was copied, its digest decides.
    """
    try:
        for name, mark in zip(name_files(stored.picture), stored.marks, strict=True):
            now = _mark(cache, name)
            if now != mark:
                return read_stored(cache, key) if now[0] == mark[0] else None
    except (OSError, ValueError):
        return None
    return stored


def _mark(cache: Path, name: str) -> Mark:
    found = os.stat(f"{cache}/{name}")
    return found.st_size, found.st_mtime_ns


def read_json(file: Path) -> object:
    """What a JSON file of the cache holds; None if it is absent or rubbish."""
    try:
        return json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None


def write_json(file: Path, value: object) -> None:
    """Replaces a JSON file of the cache in one step. Raises OSError."""
    write_whole(file, json.dumps(value, separators=(",", ":"), sort_keys=True).encode())


def sweep(cache: Path) -> None:
    """Removes what interrupted work left unfinished."""
    latest = time.time() - _STALE
    for file in cache.glob(f".*{UNFINISHED}"):
        with suppress(OSError):  # another run may sweep at the same time
            if file.stat().st_mtime < latest:
                file.unlink()
