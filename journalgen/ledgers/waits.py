"""When each part may be worked on again, and until when its next coat may go on.

Ready-at is the end of the session and the wait: the line's own, else the recoat minimum of its
material, else the step's. The window closes at the recoat maximum. Nothing is ever ready too early.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from msgspec import Struct
from msgspec.structs import replace

from journalgen.ledgers.moments import later, session_end
from journalgen.ledgers.rows import Rows
from journalgen.ledgers.steps_done import StepDone, StepsDone, is_coat, is_flat, removes
from journalgen.records import Journal, Material, Session, WorkLine
from journalgen.values import Duration


class Wait(Struct, frozen=True):
    """What one step on one part asks for before the next. Instants are in UTC."""

    done: StepDone
    number: int | None  # of the coat
    ends: datetime  # the session
    ready_at: datetime | None  # for the next step; None: nothing to wait for
    cured_at: datetime | None  # for fitting
    closes_at: datetime | None  # the window for the next coat
    bared: bool = False  # the coats were removed since: neither wait nor window counts any more
    followed: bool = False  # a coat went on since, or it was flatted or bared: the window counts no more

    @property
    def part(self) -> str:
        return self.done.part

    @property
    def step(self) -> str:
        return self.done.step

    @property
    def session(self) -> Session:
        return self.done.session


class Waits(Struct, frozen=True):
    """Every wait and window, by part, in order of time."""

    by_part: Mapping[str, tuple[Wait, ...]]
    by_line: Mapping[str, Mapping[str, Wait]]  # of each part, by the place of the line, spelt out

    def of(self, part: str) -> tuple[Wait, ...]:
        return self.by_part.get(part, ())

    def waiting(self, part: str, at: datetime) -> Wait | None:
        """The wait that keeps a part from its next step the longest, as things stand at an instant."""
        still = [(w.ready_at, w) for w in self.of(part) if w.ready_at and w.ready_at > at and not w.bared]
        return max(still, key=lambda pair: pair[0])[1] if still else None

    def curing(self, part: str, at: datetime) -> Wait | None:
        """The wait that keeps a part from being fitted the longest."""
        still = [(w.cured_at, w) for w in self.of(part) if w.cured_at and w.cured_at > at and not w.bared]
        return max(still, key=lambda pair: pair[0])[1] if still else None

    def of_line(self, part: str, place: str) -> Wait | None:
        """The wait of a part that the line of work at a place, spelt out, began."""
        return self.by_line.get(part, {}).get(place)

    def window(self, part: str) -> Wait | None:
        """The last coat, where it has a window that no later coat or flatting has met; it may have closed."""
        windows = [wait for wait in self.of(part) if wait.closes_at and not wait.followed]
        return windows[-1] if windows else None


def keep_waits(journal: Journal, done: StepsDone) -> Waits:
    """The waits and windows of every step that was done."""
    by_part = Rows(done, lambda part: _of_part(done[part], journal))
    return Waits(by_part, Rows(done, lambda part: {str(wait.done.line.place): wait for wait in by_part[part]}))


def _of_part(row: Iterable[StepDone], journal: Journal) -> tuple[Wait, ...]:
    """Goes backwards, so that what came later is known."""
    found: list[Wait] = []
    followed = False
    removing: list[StepDone] = []
    for done in reversed(tuple(row)):
        wait = wait_after(done, journal)
        bared = any(_is_after(later_on, done) for later_on in removing)
        if wait:
            found.append(replace(wait, bared=bared, followed=followed))
        if removes(done.step, journal.steps):
            removing.append(done)
        coat = is_coat(done.line, journal.steps, journal.materials)
        followed = followed or bool(removing) or coat or is_flat(done.step, journal.steps)
    return tuple(reversed(found))


def _is_after(later_on: StepDone, done: StepDone) -> bool:
    """Whether a step that stands after another in the record certainly came after it.

    Of two sessions of one day that is known only by their times; a wait is not ended by a guess.
    """
    one, other = done.session, later_on.session
    if one is other or one.day != other.day:
        return True
    return one.start is not None and other.start is not None and one.start < other.start


def wait_after(done: StepDone, journal: Journal) -> Wait | None:
    """What one step asks for before the next, whatever came after it; None where it asks for nothing."""
    zone, line = journal.settings.time_zone, done.line
    material = journal.materials.get(line.material or "")
    span = _span(line, material, journal)
    closes = material.recoat.closes if material and material.recoat else None
    if not (span or closes or (material and material.cure)):
        return None
    ends = session_end(done.session, zone)
    ready = later(ends, span, zone) if span else None
    return Wait(
        done=done,
        number=line.coat,
        ends=ends,
        ready_at=ready,
        cured_at=_cured(line, material, ends, ready, zone),
        closes_at=later(ends, closes, zone) if closes else None,
    )


def _span(line: WorkLine, material: Material | None, journal: Journal) -> Duration | None:
    """The line's own wait, else the material's recoat minimum, else the step's."""
    step = journal.steps.get(line.step or "")
    opens = material.recoat.opens if material and material.recoat else None
    span = line.wait if line.wait is not None else opens if opens is not None else step.wait if step else None
    return span if span and (span.minutes or span.months) else None


def _cured(
    line: WorkLine, material: Material | None, ends: datetime, ready: datetime | None, zone: ZoneInfo
) -> datetime | None:
    """When the part may be fitted: after the line's own wait, else the material's cure; never before it is ready."""
    cure = material.cure if material and line.wait is None else None
    moments = [moment for moment in (ready, later(ends, cure, zone) if cure else None) if moment]
    return max(moments) if moments else None
