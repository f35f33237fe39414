"""Photographs into the journal: found, dated, copied and verified, and listed in the entry of their day.

The stages in order: finding (which files), present (what the journal has already), taken (when each was taken),
naming, planning (what goes where, pure of writing), copying (whole, and held against the source), soundness (what
cannot be shown), listing (into entries), unfinished (what a killed run still owes), run (all of it), saying.
Importing this package brings in no decoder.
"""

from journalgen.intake.model import CannotTakeIn, Order, Report
from journalgen.intake.run import holding, take_in

__all__ = ["CannotTakeIn", "Order", "Report", "holding", "take_in"]
