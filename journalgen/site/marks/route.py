"""The route of a part: its steps in order, and how far the part is along it."""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from journalgen.ledgers.progress import DONE, IN_HAND, PASSED_OVER, WAITING
from journalgen.site.desk import Desk, Link


class RouteStep(Struct, frozen=True):
    """One step; `said` is its state in words, nothing for what is still to do."""

    step: Link
    at: str  # done, waiting, todo or over
    said: str


class RouteView(Struct, frozen=True):
    """The steps of a route with the place reached; None where all is done, or it is not known."""

    steps: tuple[RouteStep, ...]
    position: int | None
    share: Fraction | None  # of the hours; None where hours are hidden


def lay_route(desk: Desk, part: str) -> RouteView | None:
    """The route of one part; None where it follows none."""
    progress = desk.matter.figures.craft.progress.parts[part]
    if not progress.steps:
        return None
    _ = desk._
    forms = {
        DONE: ("done", _("done")),
        IN_HAND: ("done", _("done, another coat may follow")),
        WAITING: ("waiting", _("waiting")),
        PASSED_OVER: ("over", _("passed over")),
    }
    steps = tuple(RouteStep(desk.step_link(step.step), *forms.get(step.state, ("todo", ""))) for step in progress.steps)
    return RouteView(steps, progress.position, progress.share if desk.shows_hours else None)
