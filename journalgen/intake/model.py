"""What an intake speaks of: sources, when they were taken, where they go, and what became of each."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Final

from msgspec import Struct, field

PHOTOGRAPH: Final = "photograph"
FILM: Final = "film"
RAW: Final = "raw"

CAMERA: Final = "camera"
"""Told by the camera's clock, or by the satellites it heard."""

CHANGED: Final = "changed"
"""Told by the picture, but as the time at which it was last changed."""

FILE: Final = "file"
"""Told by the file system alone."""

NOBODY: Final = "nobody"
"""Nothing told a time that can be believed; it is the time of the intake."""


class CannotTakeIn(Exception):
    """Nothing was copied, and nothing changed; the message says why and what to do."""


class Order(Struct, frozen=True):
    """What is asked for."""

    journal: Path
    given: tuple[Path, ...]  # files and folders
    parts: tuple[str, ...] = ()  # in the register's spelling
    shows: str | None = None  # before, during or after
    dry_run: bool = False


class Taken(Struct, frozen=True):
    """When a photograph was taken."""

    at: datetime  # in the journal's time zone
    told_by: str  # camera, changed, file or nobody


class Source(Struct, frozen=True):
    """A file that was asked for."""

    path: Path
    kind: str  # photograph, film or raw
    size: int  # bytes


class Arrival(Struct, frozen=True):
    """A file that is new to the journal, and where it goes."""

    source: Source
    taken: Taken
    day: date  # of the session
    file: str  # below photos/, with forward slashes
    digest: str | None = None  # SHA-256 in hex, where the source was read before


class There(Struct, frozen=True):
    """A file that the journal has already, byte for byte."""

    source: Source
    taken: Taken
    day: date
    file: str  # below photos/; of an arrival, where two of one intake are the same


class Refused(Struct, frozen=True):
    """What was asked for and cannot be taken in."""

    path: Path
    why: str  # one sentence


class Plan(Struct, frozen=True):
    """What an intake will do; nothing is written yet."""

    arrivals: tuple[Arrival, ...] = ()  # photographs in order of time, each before what belongs to it
    there: tuple[There, ...] = ()
    refused: tuple[Refused, ...] = ()
    passed_over: tuple[tuple[str, int], ...] = ()  # endings that are none of a camera's, and how many


class Row(Struct, frozen=True):
    """A photograph that some entry is to list."""

    file: str
    day: date
    at: datetime
    parts: tuple[str, ...] = ()
    shows: str | None = None
    source: str = ""
    shown: bool = True  # whether it is of a kind that the site shows


class Listing(Struct, frozen=True):
    """What became of the photographs that belong to one entry."""

    entry: str  # relative to the journal
    day: date
    rows: tuple[Row, ...]
    lines: tuple[str, ...]  # as they stand, or should, under `photos:`
    opened: bool = False  # the entry is new
    others: tuple[str, ...] = ()  # the other entries of that day
    fault: str | None = None  # why the entry was left as it was


class Report(Struct):
    """What an intake did, or would do."""

    dry_run: bool
    plan: Plan
    copied: list[Arrival] = field(default_factory=list)
    not_shown: dict[str, str] = field(default_factory=dict)  # photograph below photos/ -> why the site cannot show it
    failed: list[Refused] = field(default_factory=list)
    listings: list[Listing] = field(default_factory=list)
    unlisted: set[str] = field(default_factory=set)  # of those that are there already: in no entry
    still_to_come: list[str] = field(default_factory=list)  # sources of an earlier intake that was not finished
    stopped: str | None = None  # why not all was copied
    interrupted: bool = False

    @property
    def is_done(self) -> bool:
        """Whether all that was asked for is in the journal and in its entry."""
        whole = not (self.plan.refused or self.failed or self.stopped or self.interrupted)
        found = bool(self.plan.arrivals or self.plan.there or self.listings)
        return whole and found and not any(listing.fault for listing in self.listings)
