"""What the owner is told of problems, on the first page and on that of the entry they are in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from journalgen.problems import Problem

_MOST: Final = 200
"""Problems that a page lists; of more, errors come first and the rest is for the command that lists them."""


class ProblemsView(Struct, frozen=True):
    """Problems as a page shows them."""

    count: int
    errors: int
    shown: Sequence[Problem]  # errors first where not all are
    left_out: Sequence[str] = ()  # entries


def show_problems(problems: Sequence[Problem], left_out: Sequence[str] = ()) -> ProblemsView | None:
    """None where there is nothing to tell."""
    if not problems and not left_out:
        return None
    shown = problems
    if len(problems) > _MOST:
        shown = sorted(problems, key=lambda problem: not problem.is_error)[:_MOST]
    return ProblemsView(len(problems), sum(problem.is_error for problem in problems), shown, left_out)
