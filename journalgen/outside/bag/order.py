"""What bag is asked for, and what was made."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

from msgspec import Struct, field

from journalgen.outside.bag.earlier import Earlier
from journalgen.outside.bag.payload import Lost
from journalgen.outside.bag.targets import ZIP
from journalgen.problems import Problem


class Order(Struct, frozen=True):
    """What is asked for."""

    journal: Path
    target: Path  # free, and outside the journal; a zip if its ending is
    edition: str
    on: date  # as at which the site and the tables are computed
    now: datetime  # in the journal's zone
    since: Earlier | date | None = None

    @property
    def is_zip(self) -> bool:
        return self.target.suffix.lower() == ZIP

    @property
    def name(self) -> str:
        """What the bag is called, in itself and in others."""
        return self.target.stem if self.is_zip else self.target.name

    @property
    def builds_on(self) -> str | None:
        return self.since.name if isinstance(self.since, Earlier) else str(self.since) if self.since else None


class Done(Struct):
    """What was made."""

    bag: Path
    files: int = 0  # of the payload
    octets: int = 0
    kept_before: int = 0  # files that are in an earlier bag as they are
    gone: int = 0  # files of an earlier bag that the journal has no more
    lost: list[Lost] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)
    renamed: list[tuple[str, str]] = field(default_factory=list)
    names: list[str] = field(default_factory=list)  # what is to be said of names that not every system can store
    left_out: tuple[str, ...] = ()  # entries that the site could not show
    without_dossier: str = ""  # why there is none, where one was to be made
    without_site: tuple[Problem, ...] = ()  # the errors for which no site could be made

    @property
    def is_all(self) -> bool:
        """Whether everything that belongs into the bag is in it."""
        return not (self.lost or self.without_site or self.without_dossier)
