"""What the ledgers had to say against a journal, kept for the next run.

A session that only says something else changes no figure: then no ledger need be run to know what does not
add up, and of the figures only those are worked out that a page asks for.
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
    problems: tuple[Problem, ...] = ()
    changed: bool = False  # since it was kept

    def figures_of(self, journal: Journal, reference: ReferenceRates, on: date, problems: Problems) -> Figures:
        """The figures of a journal, all of them worked out if any can have changed; reports what does not add up."""
        own = Problems()
        figures = Figures(journal, reference, on, own)
        if figures.basis != self.basis:
            figures.keep_all()
            self.basis, self.problems, self.changed = figures.basis, tuple(own.found), True
        problems.found += self.problems
        return figures
