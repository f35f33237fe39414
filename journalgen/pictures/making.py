"""Makes the pictures of one original, from disk to cache; this is what a helper process runs."""

from __future__ import annotations

import hashlib
from pathlib import Path

from msgspec import Struct

from journalgen.pictures.deriving import derive
from journalgen.pictures.model import Fault, Picture, PicturesInterrupted, Refused
from journalgen.pictures.originals import read_original
from journalgen.pictures.storing import Stored, key_of, name_variant, write_stored
from journalgen.values import Rectangle


class Task(Struct, frozen=True):
    """One original to be worked on."""

    key: str  # as far as is known; the bytes decide
    file: Path
    hide: tuple[Rectangle, ...]
    cache: Path


class Made(Struct, frozen=True):
    """A picture that is in the cache now."""

    key: str
    stored: Stored


def make(task: Task) -> Made | Fault:
    """Reads, derives and stores. Raises PicturesInterrupted if the cache cannot be written."""
    try:
        data = read_original(task.file)
        derived = derive(data, task.hide)
    except Refused as refused:
        return refused.fault
    # From the bytes that were worked on: the file may have changed since it was looked up.
    key = key_of(hashlib.sha256(data).hexdigest(), task.hide)
    variants = tuple(name_variant(key, variant.width, variant.height) for variant in derived.variants)
    picture = Picture(derived.width, derived.height, derived.tint, variants)
    try:
        stored = write_stored(task.cache, key, picture, ((made.avif, made.jpeg) for made in derived.variants))
    except OSError as fault:
        raise PicturesInterrupted(
            f"The pictures cannot be written into {task.cache}: {fault.strerror}. What was finished is kept."
        ) from None
    return Made(key, stored)
