"""Which route a part follows, and which steps of it were done, in whatever way the step was done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from journalgen.ledgers.steps_done import StepDone, StepsDone, family_of, is_at_any_time, is_fit
from journalgen.problems import Problems
from journalgen.records import Journal, Part, Route, Step
from journalgen.slugs import key


class Routes:
    """The routes by name, matched as all names are: case, spacing and hyphens do not count."""

    def __init__(self, routes: Mapping[str, Route], steps: Mapping[str, Step]) -> None:
        self._by_key = {key(name): route for name, route in routes.items()}
        self._steps = steps
        self._positions: dict[str, tuple[dict[str, int], dict[str, int]]] = {}
        self._telling: dict[str, frozenset[int]] = {}

    def of(self, part: Part | None) -> Route | None:
        """The route of a part; None where it has none, or one that is not known."""
        return self._by_key.get(key(part.route)) if part and part.route else None

    def firsts(self, route: Route, row: Iterable[StepDone]) -> dict[int, tuple[int, StepDone]]:
        """The first time each step of a route was done, by its position in the route, with its turn in the row.

        A line counts for the step it names. Where the route has no such step, it counts for the first
        step of the same family: a part that was burnt off counts as stripped, but not as blasted as well.
        """
        if route.name not in self._positions:
            self._positions[route.name] = self._place(route)
        own, families = self._positions[route.name]
        found: dict[int, tuple[int, StepDone]] = {}
        for turn, done in enumerate(row):
            at = own.get(done.step)
            if at is None:
                at = families.get(family_of(done.step, self._steps))
            if at is not None:
                found.setdefault(at, (turn, done))
        return found

    def _place(self, route: Route) -> tuple[dict[str, int], dict[str, int]]:
        """Where each step, and each family, first stands in a route."""
        backwards = list(enumerate(route.steps))[::-1]
        return {step: i for i, step in backwards}, {family_of(step, self._steps): i for i, step in backwards}

    def furthest(self, route: Route, positions: Iterable[int]) -> int:
        """The furthest position reached in a route; -1 where none was.

        Fitting says how far the part is as a whole, and steps that come at any time say nothing of it.
        """
        telling = self._telling.get(route.name)
        if telling is None:
            telling = self._telling[route.name] = frozenset(
                i
                for i, step in enumerate(route.steps)
                if not is_at_any_time(step, self._steps) and not is_fit(step, self._steps)
            )
        return max((i for i in positions if i in telling), default=-1)


def check_order(journal: Journal, done: StepsDone, problems: Problems) -> None:
    """Reports each step first done after a step that comes later in the part's route; once per part and step.

    Within one session the order of the lines need not be that of the work.
    """
    routes = Routes(journal.routes, journal.steps)
    for part, row in done.items():
        route = routes.of(journal.parts.get(part))
        for late, before in _out_of_order(routes, route, row, journal.steps) if route else ():
            problems.warning(
                late.line.place,
                "out-of-order",
                f"{part}: {late.step} was first done after {before.step} ({before.session.day}), "
                f"which comes later in the route {route.name if route else ''}.",
                "Look at the dates; if it was meant, make a route of your own in register/steps.yaml.",
            )


def _out_of_order(
    routes: Routes, route: Route, row: Sequence[StepDone], steps: Mapping[str, Step]
) -> Iterator[tuple[StepDone, StepDone]]:
    # Steps that only stand in for one of the route (a wipe after painting is cleaning) say nothing of order.
    own = [one for one in row if one.step in route.steps and not is_at_any_time(one.step, steps)]
    done = routes.firsts(route, own)
    for i, (turn, late) in sorted(done.items()):
        before = [(t, d) for j, (t, d) in done.items() if j > i and t < turn and d.session is not late.session]
        if before:
            yield late, min(before, key=lambda pair: pair[0])[1]
