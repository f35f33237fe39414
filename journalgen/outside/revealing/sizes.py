"""Files that are larger than a visitor will wait for."""

from __future__ import annotations

from journalgen.outside.revealing.patterns import sizes
from journalgen.outside.revealing.pictures import ENDINGS
from journalgen.outside.revealing.texts import is_page


def is_oversize(name: str, size: int) -> bool:
    """Whether a file of so many bytes is too large for what it is."""
    limits = sizes()
    kind = "page" if is_page(name) else "picture" if name.lower().endswith(ENDINGS) else "other"
    return size > limits[kind]
