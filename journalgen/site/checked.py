"""What the ledgers had to say against a journal, kept for the next run.

A session that only says something else changes no figure: then no ledger need be run to know what does not
add up, and of the figures only those are worked out that a page asks for.
"""

from __future__ import annotations

from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from journalgen import keeping
from journalgen.ledgers.figures import Figures, compute
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
        basis = basis_of(journal, reference, on)
        if basis == self.basis:
            figures = Figures(journal, reference, on, Problems())
        else:
            own = Problems()
            figures = compute(journal, reference, on, own)
            self.basis, self.problems, self.changed = basis, tuple(own.found), True
        problems.found += self.problems
        return figures


def basis_of(journal: Journal, reference: ReferenceRates, on: date) -> bytes:
    """A digest of all that figures are computed from, which is all but the bodies; the same in every process."""
    settings = journal.settings
    seen = (
        on,
        type(reference).__qualname__,
        replace(settings, hide=frozenset()),
        sorted(settings.hide),
        [replace(session, body=None) for session in journal.sessions],
        (journal.parts, journal.materials, journal.suppliers, journal.steps, journal.routes),
    )
    return keeping.digest(keeping.program_mark(), keeping.encode(seen))
