"""What the ledgers had to say against a journal, kept for the next run.

A session that only says something else changes no figure: then no ledger need be run to know what does not
add up, and of the figures only those are worked out that a page asks for. One that only took longer is a matter
for the few ledgers that ask how long it took.
"""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from journalgen.ledgers.figures import Figures
from journalgen.ledgers.money import ReferenceRates
from journalgen.problems import Problem, Problems
from journalgen.records import Journal


class Checked(Struct):
    """The problems that the ledgers found, and in what."""

    basis: bytes = b""
    untimed: bytes = b""
    of_hours: tuple[Problem, ...] = ()  # of the ledgers that ask how long sessions took
    of_others: tuple[Problem, ...] = ()
    changed: bool = False  # since it was kept

    def figures_of(self, journal: Journal, reference: ReferenceRates, on: date, problems: Problems) -> Figures:
        """The figures of a journal, every ledger kept that can find something new; reports what does not add up."""
        own = Problems()
        figures = Figures(journal, reference, on, own)
        if figures.basis != self.basis:
            figures.keep_timed()
            of_hours, of_others = tuple(own.found), self.of_others
            if figures.untimed != self.untimed:
                figures.keep_all()
                of_others = tuple(own.found[len(of_hours) :])
            # Only now: whatever stops a ledger must not leave the finds of one journal with the basis of another.
            self.of_hours, self.of_others = of_hours, of_others
            self.basis, self.untimed, self.changed = figures.basis, figures.untimed, True
        problems.found += self.of_hours + self.of_others
        return figures
