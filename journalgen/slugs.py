"""How names become page names and references: one rule for files, links and matching."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

_NOT_WORD: Final = re.compile(r"[^\w]+")
_SPACING: Final = re.compile(r"[\s\-_\u2010-\u2015\u00ad]+")
LONGEST: Final = 60
"""Letters of a page name; some file systems take no more than 255 bytes, and a letter may need four."""

_RESERVED: Final = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
)
"""Names that Windows keeps for devices, whatever their ending."""


def slug(name: str) -> str:
    """The name as a part of a page's address: lower case, accents dropped, words joined by hyphens.

    Letters without a plain counterpart (Greek, Cyrillic ...) stay as they are.
    """
    plain = "".join(c for c in unicodedata.normalize("NFKD", name.casefold()) if not unicodedata.combining(c))
    joined = _NOT_WORD.sub("-", unicodedata.normalize("NFC", plain).replace("_", "-")).strip("-")[:LONGEST].strip("-")
    return f"{joined}-" if joined in _RESERVED else joined or "unnamed"


def slugs(names: Iterable[str]) -> dict[str, str]:
    """A slug for each name, `-2`, `-3` ... added where two would be the same."""
    given: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        base = slug(name)
        candidate, n = base, 1
        while candidate in taken:
            n += 1
            candidate = f"{base}-{n}"
        taken.add(candidate)
        given[name] = candidate
    return given


@lru_cache(maxsize=1 << 16)  # the same few hundred names are compared again and again
def key(name: str) -> str:
    """What two spellings of one name have in common: case, spacing and hyphens do not count."""
    return _SPACING.sub("", unicodedata.normalize("NFKC", name).casefold())
