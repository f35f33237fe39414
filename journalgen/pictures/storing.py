"""The cache folder: what derived pictures are called, how they get there whole, and whether they still are.

Every file is written beside its place and moved there in one step, and an original's record comes
last. So whatever moment the work is stopped at, a record stands for pictures that are there.
"""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from journalgen.pictures.model import Picture, Variant
from journalgen.values import Rectangle
from journalgen.whole import UNFINISHED, write_whole

PIPELINE: Final = "2"
"""Changes whenever the same original would give other pictures, so that old ones are made anew."""

_STALE: Final = 3600
"""Seconds after which an unfinished file can belong to no work that still runs."""


@dataclass(frozen=True, slots=True)
class Stored:
    """A picture in the cache."""

    picture: Picture
    lengths: tuple[tuple[int, int], ...]  # bytes of each variant's AVIF and JPEG


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


def to_row(stored: Stored) -> list[Any]:
    """A stored picture as JSON holds it; the names follow from the key."""
    picture = stored.picture
    variants = [
        [variant.width, variant.height, *lengths]
        for variant, lengths in zip(picture.variants, stored.lengths, strict=True)
    ]
    return [picture.width, picture.height, picture.tint, variants]


def from_row(key: str, row: Any) -> Stored | None:
    """The stored picture that a row of JSON speaks of; None for rubbish."""
    try:
        width, height, tint, variants = row
        sizes = [(int(w), int(h), int(avif), int(jpeg)) for w, h, avif, jpeg in variants]
        picture = Picture(int(width), int(height), str(tint), tuple(name_variant(key, w, h) for w, h, _, _ in sizes))
    except (TypeError, ValueError, OverflowError):
        return None
    return Stored(picture, tuple((avif, jpeg) for _, _, avif, jpeg in sizes)) if sizes else None


def read_stored(cache: Path, key: str) -> Stored | None:
    """The record of one key; None if there is none that can be understood."""
    return from_row(key, read_json(cache / f"{key}.json"))


def is_whole(cache: Path, stored: Stored) -> bool:
    """Whether every derived file is there and as long as when it was written."""
    for variant, lengths in zip(stored.picture.variants, stored.lengths, strict=True):
        for name, length in zip((variant.avif, variant.jpeg), lengths, strict=True):
            try:
                if os.stat(f"{cache}/{name}").st_size != length:
                    return False
            except OSError:
                return False
    return True


def write_stored(cache: Path, key: str, picture: Picture, files: Iterable[tuple[bytes, bytes]]) -> Stored:
    """Writes the AVIF and JPEG of each variant, then the record. Raises OSError if the cache cannot be written."""
    cache.mkdir(parents=True, exist_ok=True)
    lengths = []
    for variant, (avif, jpeg) in zip(picture.variants, files, strict=True):
        write_whole(cache / variant.avif, avif)
        write_whole(cache / variant.jpeg, jpeg)
        lengths.append((len(avif), len(jpeg)))
    stored = Stored(picture, tuple(lengths))
    write_json(cache / f"{key}.json", to_row(stored))
    return stored


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
