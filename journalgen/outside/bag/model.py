"""What bags speak in: what is found wrong with one, and what came of checking it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen import __version__

AGENT: Final = f"journalgen {__version__}"
"""The value of Bag-Software-Agent in the bags that this program makes."""

ALGORITHMS: Final = ("sha256", "sha512")
"""Of the manifests of those bags."""

DECLARATION: Final = "bagit.txt"
INFO: Final = "bag-info.txt"
FETCH: Final = "fetch.txt"
HOLDINGS: Final = "holdings.txt"
PAYLOAD: Final = "data/"

DAMAGED: Final = "damaged"
MISSING: Final = "missing"
EXTRA: Final = "extra"
NOT_FETCHED: Final = "not-fetched"
UNSAFE: Final = "unsafe"
UNREADABLE: Final = "unreadable"
MALFORMED: Final = "malformed"

Progress = Callable[[int, int], None]
"""Hears how many bytes are done, and of how many."""


def silent(done: int, total: int) -> None:
    """Progress that nobody hears of."""


class Count:
    """Tells how far work on many bytes has come."""

    def __init__(self, progress: Progress, total: int) -> None:
        self._progress = progress
        self._total = total
        self.done = 0

    def add(self, count: int) -> None:
        """So many bytes more are done."""
        self.reach(self.done + count)

    def reach(self, count: int) -> None:
        """So many are done by now."""
        self.done = min(count, self._total)
        self._progress(self.done, self._total)


class Finding(Struct, frozen=True, order=True):
    """One thing that keeps a bag from being whole."""

    path: str  # in the bag; "" is the bag itself
    kind: str
    message: str  # one sentence


class Verdict(Struct):
    """What came of checking one bag. Notes are worth knowing, and make no bag less whole."""

    bag: Path
    findings: list[Finding] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    version: tuple[int, int] = (1, 0)
    algorithms: tuple[str, ...] = ()  # of the payload manifests that could be read
    files: int = 0  # of the payload
    octets: int = 0
    info: tuple[tuple[str, str], ...] = ()  # bag-info.txt, in its order
    payload: dict[str, dict[str, str]] = field(default_factory=dict)  # by algorithm: file -> digest
    held: tuple[Held, ...] = ()  # holdings.txt, of a bag of ours that has a sound one

    def told(self, label: str) -> str | None:
        """The first value of an element of bag-info.txt; labels are compared without regard to case (2.2.2)."""
        return next((value for name, value in self.info if name.casefold() == label.casefold()), None)

    @property
    def is_ours(self) -> bool:
        """Whether this program made the bag: then it is known exactly how it must look."""
        return (self.told("Bag-Software-Agent") or "").startswith("journalgen ")


class Held(Struct, frozen=True):
    """A file that the journal held when a bag was made, in this bag or in an earlier one."""

    path: str  # in its bag
    digest: str  # SHA-512 in hex
    length: int
    changed: str  # when it was last changed, ISO 8601 in UTC; "-" for what was made for the bag
    bag: str  # the External-Identifier of the bag it lies in; "-" where it is not known
