"""What is found in a site before it is published."""

from __future__ import annotations

from msgspec import Struct


class Hit(Struct, frozen=True, order=True):
    """Something in one file."""

    kind: str  # a stable name with hyphens: email, hidden-supplier
    what: str  # as it stands there; for what has no words, what it is
    stops: bool = False  # whether the journal says that it is hidden


class Finding(Struct, frozen=True, order=True):
    """The same thing, wherever in the site it was found."""

    kind: str
    what: str
    stops: bool
    files: tuple[str, ...]  # of the site
    places: tuple[str, ...] = ()  # in the journal: entries/2024/2024-03-09-etch.md:12

    @property
    def key(self) -> tuple[str, str]:
        """What it is known by from one time to the next."""
        return self.kind, self.what
