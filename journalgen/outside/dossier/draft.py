"""What every section is drawn from: the edition, what the dossier is about, and its photographs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import cached_property

from msgspec import Struct

from journalgen.ledgers.hours import Hours
from journalgen.ledgers.money import Cost, MoneyLedger
from journalgen.ledgers.pairs import Shot
from journalgen.ledgers.part_records import PartRecord
from journalgen.outside.dossier.choosing import spell_numbers
from journalgen.outside.dossier.model import Picture
from journalgen.outside.dossier.scope import Scope
from journalgen.pictures.model import Fault
from journalgen.pictures.model import Picture as Derived
from journalgen.records import Session
from journalgen.site.desk import Teller
from journalgen.site.marks.photograph import gap_for, words_for

MACHINE = ""
"""Stands for the machine as a whole among what photographs are shown of."""


class Draft(Struct, frozen=True, dict=True):
    """One dossier before its sections."""

    tell: Teller
    scope: Scope
    sessions: tuple[Session, ...]  # that it is about
    numbers: Mapping[str, int]  # of photographs, by their files
    chosen: Mapping[str, tuple[Shot, ...]]  # what is shown of each part, and of the machine
    digests: Mapping[str, str | Fault]  # of the originals, by their files
    money: bool  # whether it tells what anything cost
    not_shown: tuple[tuple[str, str], ...] = ()  # letters for which there is no sign, each with what stands for it

    def day(self, day: date) -> str:
        """A day as tables have it."""
        return self.tell.formats.short(day)

    def marked(self, text: str, private: bool) -> str:
        """A text, with a mark where only the owner may see it."""
        return f"{text} ({self.tell._('private')})" if private else text

    def record(self, part: str) -> PartRecord:
        """All that the edition holds on a part."""
        return self.tell.index.parts.get(part) or PartRecord()

    @cached_property
    def hours(self) -> Hours:
        """Those that the dossier is about."""
        every = self.tell.matter.figures.hours
        if self.scope.whole:
            return every
        meant = frozenset(self.scope.parts)
        return Hours(tuple(share for share in every.shares if share.part in meant))

    @cached_property
    def money_ledger(self) -> MoneyLedger:
        """The purchases that the dossier is about: those that name a part of it, with all that they name."""
        every = self.tell.matter.figures.money
        if self.scope.whole:
            return every
        meant = frozenset(self.scope.parts)
        return every.only(lambda cost: not meant.isdisjoint(cost.purchase.parts))

    @cached_property
    def costs(self) -> tuple[Cost, ...]:
        """The same by the day paid."""
        return tuple(sorted(self.money_ledger.costs, key=lambda cost: cost.day))

    @cached_property
    def materials(self) -> tuple[str, ...]:
        """Every material that was used on what the dossier is about, in order of time."""
        meant = frozenset(self.scope.parts)
        found: dict[str, None] = {}
        for session in self.sessions:
            for line in session.work:
                if line.material and (self.scope.whole or not meant.isdisjoint(line.parts)):
                    found[line.material] = None
            for use in session.uses:
                if self.scope.whole or not meant.isdisjoint(use.parts):
                    found[use.material] = None
        return tuple(found)

    def number_of(self, file: str) -> str:
        """`Photograph 12`"""
        return self.tell._("Photograph %(n)s") % {"n": self.numbers[file]}

    def numbers_of(self, shots: Iterable[Shot]) -> str:
        """`3, 7–9`"""
        return spell_numbers(self.numbers[shot.photo.file] for shot in shots)

    def picture(self, shot: Shot, large: bool = False) -> Picture:
        """A photograph as it is shown, with its number, its day and what it shows."""
        tell, file = self.tell, shot.photo.file
        caption, alt = words_for(tell, shot)
        caption = self.marked(caption, shot.photo.private)
        found = tell.matter.pictures.get(file)
        shows = tell.term(shot.photo.shows)
        derived = found if isinstance(found, Derived) else None
        return Picture(
            number=self.number_of(file),
            caption=f"{shows}, {tell.formats.long(shot.session.day)}. {caption}"
            if shot.photo.caption
            else f"{caption}, {tell.formats.long(shot.session.day)}",
            alt=alt,
            file=picture_file(derived, LARGE if large else SMALL) if derived else None,
            ratio=derived.width / derived.height if derived else 1.5,
            gap="" if derived else gap_for(tell, file, found if isinstance(found, Fault) else None),
        )


SMALL = 960  # pixels of width: about 300 to the inch, two side by side on A4
LARGE = 1600


def picture_file(picture: Derived, wanted: int) -> str:
    """The JPEG of a picture that is at least so wide, else its widest."""
    rising = sorted(picture.variants, key=lambda variant: variant.width)
    return next((variant for variant in rising if variant.width >= wanted), rising[-1]).jpeg
