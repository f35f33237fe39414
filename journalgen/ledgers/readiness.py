"""What can be worked on, what waits, what is blocked, which windows close, and what to buy."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.ledgers.arrivals import bought_parts, missing
from journalgen.ledgers.coats import UsualMaterials, litres_for
from journalgen.ledgers.decisions import keep_decisions
from journalgen.ledgers.nesting import Nesting
from journalgen.ledgers.progress import DEFAULT_MINUTES, SETTLED, WAITING, PartProgress, Progress
from journalgen.ledgers.quantities import Unit
from journalgen.ledgers.states import AS_FOUND, FITTED, IN_WORK
from journalgen.ledgers.steps_done import FLAT, StepsDone, is_fit, is_flat, takes_off
from journalgen.ledgers.stock import Stock
from journalgen.ledgers.volumes import from_litres, shelf, volume_unit
from journalgen.ledgers.waits import Wait, Waits
from journalgen.records import Journal, Material, Part, Session

NOT_READY: Final = "not ready"
SOON: Final = timedelta(days=14)


class Start(Struct, frozen=True):
    """A step that can be begun on a part."""

    part: str
    step: str
    typical_minutes: int | None  # None: not known
    window_closes: datetime | None  # UTC; of the coat below, where a coat may follow


class Blocked(Struct, frozen=True):
    """A part that cannot go on until others are there; without needs it is the part itself that is not there."""

    part: str
    needs: tuple[str, ...]
    because: str  # not ready; ordered, not arrived; or not bought


class ToBuy(Struct, frozen=True):
    """A material of which the next coats need more than there is."""

    material: str
    needed: Fraction  # in `unit`
    left: Fraction
    unit: Unit


class Readiness(Struct, frozen=True):
    """The answer to: what can I do tonight?"""

    at: datetime  # UTC
    can_start: tuple[Start, ...]
    waiting: tuple[Wait, ...]  # one a part
    blocked: tuple[Blocked, ...]
    closing: tuple[Wait, ...]  # whose windows close within 14 days
    to_buy: tuple[ToBuy, ...]

    def until(self, wait: Wait) -> datetime | None:
        """When the part may go on: its wait, or the cure where that is over already. UTC."""
        return wait.ready_at if wait.ready_at and wait.ready_at > self.at else wait.cured_at

    def within(self, minutes: int) -> Readiness:
        """Only the steps that fit into so many minutes; one of unknown length is taken as an hour."""
        fits = (start for start in self.can_start if (start.typical_minutes or DEFAULT_MINUTES) <= minutes)
        return Readiness(self.at, tuple(fits), self.waiting, self.blocked, self.closing, self.to_buy)


class _View(Struct, frozen=True):
    """All that the answer draws on."""

    journal: Journal
    progress: Progress
    waits: Waits
    weights: Mapping[str, int]
    absent: Mapping[str, str]  # why a part is not there
    bought: frozenset[str]  # parts bought, whether they have come or not
    nesting: Nesting
    flat: str  # the step that opens a closed window again
    at: datetime


def find_readiness(
    journal: Journal,
    sessions: Sequence[Session],
    done: StepsDone,
    progress: Progress,
    waits: Waits,
    weights: Mapping[str, int],
    stock: Stock,
    on: date,
    at: datetime,
) -> Readiness:
    """What can be done at an instant of the day `on`, by `sessions` up to it. A fitted part offers nothing."""
    flat = next((step for step in journal.steps if is_flat(step, journal.steps)), FLAT)
    absent = _absent(journal, sessions, done, on)
    bought = frozenset(bought_parts(sessions))
    view = _View(journal, progress, waits, weights, absent, bought, Nesting(journal.parts), flat, at)
    open_parts = [p for p in progress.parts.values() if p.state != FITTED and view.nesting.is_part(p.part)]
    starts = [start for part in open_parts for start in _starts(part, view)]
    begun = {part.part for part in open_parts if part.state != AS_FOUND}
    starts.sort(key=lambda start: (start.window_closes is None, start.window_closes or at, start.part not in begun))
    waiting = [wait for part in open_parts if (wait := _wait_of(part, view))]
    waiting.sort(key=lambda wait: wait.cured_at or wait.ends)
    closing = [wait for part in open_parts if (wait := _closing(part, view))]
    closing.sort(key=lambda wait: wait.closes_at or wait.ends)
    return Readiness(
        at=at,
        can_start=tuple(starts),
        waiting=tuple(waiting),
        blocked=tuple(row for part in open_parts for row in _blocked(part, view)),
        closing=tuple(closing),
        to_buy=tuple(_to_buy(open_parts, journal, stock, UsualMaterials(journal, done))),
    )


def _absent(journal: Journal, sessions: Sequence[Session], done: StepsDone, on: date) -> dict[str, str]:
    decided, bought = keep_decisions(sessions, journal.parts), bought_parts(sessions)
    reasons = {
        name: missing(decided.get(name), bought.get(name, ()), done.get(name, ()), journal, on)
        for name in journal.parts
    }
    return {name: why for name, why in reasons.items() if why}


def _starts(part: PartProgress, view: _View) -> Iterator[Start]:
    """Another coat of the step in hand, and the next step: each where nothing keeps it."""
    if view.waits.waiting(part.part, view.at):
        return
    window = view.waits.window(part.part)
    closes = window.closes_at if window and _takes_a_coat(part, view) else None
    shut = closes is not None and closes <= view.at
    following = part.next_step if _can_follow(part, view) else None
    steps = [step for step in (part.repeat, following) if step]
    if shut:  # the next coat asks for abrading first; what is no coat does not
        steps = [view.flat if step == part.repeat or _protects(step, view) else step for step in steps]
    for step in dict.fromkeys(steps):
        yield Start(part.part, step, view.weights.get(step), None if shut else closes)


def _protects(step: str, view: _View) -> bool:
    row = view.journal.steps.get(step)
    return bool(row and row.protects)


def _takes_a_coat(part: PartProgress, view: _View) -> bool:
    """Whether a coat is still to come, so that its window matters; not known without a route."""
    return part.repeat is not None or not part.steps or any(_protects(step, view) for step in part.to_come)


def _can_follow(part: PartProgress, view: _View) -> bool:
    """Whether the next step can be begun: what is to be replaced can at least be taken off."""
    step = part.next_step or ""
    if part.part in view.absent and not takes_off(step, view.journal.steps):
        return False
    if not is_fit(step, view.journal.steps):
        return True
    return not view.waits.curing(part.part, view.at) and not _lacking(part, view)


def _lacking(part: PartProgress, view: _View) -> list[str]:
    """What a part needs before it can be fitted and that is neither fitted nor ready to be."""
    needs = view.journal.parts[part.part].needs
    return [need for need in needs if any(not _is_there(piece, view) for piece in view.nesting.pieces(need))]


def _is_there(piece: str, view: _View) -> bool:
    """Fitted, or ready to be; what was bought and goes through no route is ready when it has come."""
    row = view.progress.parts.get(piece)
    if row is None or row.state == FITTED:
        return row is not None
    settled = row.state in SETTLED or (not row.steps and row.part in view.bought)
    return settled and piece not in view.absent


def _wait_of(part: PartProgress, view: _View) -> Wait | None:
    """What a part waits for: its next step, or the cure where only fitting is left."""
    wait = view.waits.waiting(part.part, view.at)
    if wait or part.state != WAITING:
        return wait
    return view.waits.curing(part.part, view.at)


def _blocked(part: PartProgress, view: _View) -> Iterator[Blocked]:
    """Only where it is the needs that keep a part: not while it waits, or has other steps to go through."""
    step = part.next_step
    if step is None or _wait_of(part, view):
        return
    if part.part in view.absent and not takes_off(step, view.journal.steps):
        yield Blocked(part.part, (), view.absent[part.part])
        return
    if not is_fit(step, view.journal.steps):
        return
    reasons: dict[str, list[str]] = {}
    for need in _lacking(part, view):
        reasons.setdefault(view.absent.get(need, NOT_READY), []).append(need)
    for because, needs in reasons.items():
        yield Blocked(part.part, tuple(needs), because)


def _closing(part: PartProgress, view: _View) -> Wait | None:
    window = view.waits.window(part.part)
    if window is None or window.closes_at is None or not _takes_a_coat(part, view):
        return None
    return window if view.at < window.closes_at <= view.at + SOON else None


def _to_buy(parts: Iterable[PartProgress], journal: Journal, stock: Stock, usual: UsualMaterials) -> Iterator[ToBuy]:
    """What the next coat of each part in work needs, by area and film, beyond what is on the shelf."""
    needed: dict[str, Fraction] = {}  # litres
    for part in parts:
        if part.state not in (IN_WORK, WAITING):
            continue
        material = _next_coating(journal.parts[part.part], part, usual)
        litres = litres_for(journal.parts[part.part], material) if material else None
        if material and litres:
            needed[material.name] = needed.get(material.name, Fraction(0)) + litres
    for name, litres in needed.items():
        row = stock.materials.get(name)
        unit = row.unit if row else volume_unit(journal.settings.units)
        wanted = from_litres(litres, unit, journal.materials[name].density)
        left = shelf(row) if row else Fraction(0)
        if wanted is not None and wanted > left:
            yield ToBuy(name, wanted, left, unit)


def _next_coating(row: Part, part: PartProgress, usual: UsualMaterials) -> Material | None:
    return next((material for step in part.to_come if (material := usual.of(row, step))), None)
