"""The process of each part: every step with its wait and window, metal that stood bare, and the coats to come."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from journalgen.ledgers.coats import Coat
from journalgen.ledgers.moments import FAR, earliest_begin, later, session_end
from journalgen.ledgers.progress import PartProgress, Progress
from journalgen.ledgers.readiness import Readiness
from journalgen.ledgers.steps_done import StepDone, StepsDone, bares, is_coat, is_flat, removes
from journalgen.ledgers.timeliness import BARE_TOO_LONG, Missed
from journalgen.ledgers.waits import Wait, Waits
from journalgen.records import Journal


class Span(Struct, frozen=True):
    """Time from one instant to another, UTC."""

    start: datetime
    end: datetime


class StepTimes(Struct, frozen=True):
    """One step as it was done, with what followed from it."""

    done: StepDone
    wait: Span | None  # until the next step, or until it may be fitted where only that is left
    window: Span | None  # for the next coat: until it closed, or until it was met
    closes: bool  # the window's end is its closing
    bare: Span | None  # the metal stood so long, longer than it may
    days_bare: int = 0


class Coming(Struct, frozen=True):
    """A coat to come, at the soonest instant that the waits allow."""

    coat: Coat
    soonest: datetime  # UTC


class PartProcess(Struct, frozen=True):
    """One part from its first step to its last coat."""

    steps: tuple[StepTimes, ...]  # in order of time
    to_come: tuple[Coming, ...]  # in order
    bared: StepDone | None  # the last step that left it bare: what its coats lie on


class _View(Struct, frozen=True):
    journal: Journal
    waits: Waits
    ready: Readiness
    at: datetime


def keep_processes(
    journal: Journal,
    done: StepsDone,
    waits: Waits,
    coats: Mapping[str, Sequence[Coat]],
    progress: Progress,
    ready: Readiness,
    missed: Mapping[str, Sequence[Missed]],
) -> dict[str, PartProcess]:
    """The process of every part on which a step was done, as seen at the instant of `ready`."""
    view = _View(journal, waits, ready, ready.at)
    until = {wait.part: end for wait in ready.waiting if (end := ready.until(wait))}
    found = {}
    for part, row in done.items():
        coming = _coming([coat for coat in coats.get(part, ()) if coat.session is None], until.get(part), view)
        steps = _steps(row, progress.parts.get(part), bool(coming), missed.get(part, ()), view)
        bared = [one for one in row if bares(one.step, journal.steps)]
        found[part] = PartProcess(tuple(steps), tuple(coming), bared[-1] if bared else None)
    return found


def _steps(
    row: Sequence[StepDone], part: PartProgress | None, coming: bool, missed: Iterable[Missed], view: _View
) -> Iterable[StepTimes]:
    waits = {id(wait.done.line): wait for wait in view.waits.of(row[0].part)}
    bare = {id(one.earlier.line): one for one in missed if one.rule == BARE_TOO_LONG}
    takes_more = coming or bool(part and part.repeat)
    for turn, done in enumerate(row):
        wait, stood = waits.get(id(done.line)), bare.get(id(done.line))
        window, closes = _window(wait, row[turn + 1 :], takes_more, view) if wait else (None, False)
        yield StepTimes(
            done=done,
            wait=_wait(wait, view) if wait else None,
            window=window,
            closes=closes,
            bare=_bare(stood, view) if stood else None,
            days_bare=stood.days if stood else 0,
        )


def _wait(wait: Wait, view: _View) -> Span | None:
    """The wait for the next step; the cure only while it is what the part waits for."""
    cures = any(other is wait for other in view.ready.waiting)
    end = view.ready.until(wait) if cures else wait.ready_at
    return Span(wait.ends, end) if end and wait.ends < end < FAR else None


def _window(wait: Wait, after: Sequence[StepDone], takes_more: bool, view: _View) -> tuple[Span | None, bool]:
    """The window of a coat, cut where it was met; none after the last coat of all."""
    met = next((one for one in after if _meets(one, view.journal)), None)
    if wait.closes_at is None or wait.closes_at >= FAR or (met is None and not takes_more):
        return None, False
    start, end = wait.ready_at or wait.ends, wait.closes_at
    if met:
        end = min(end, earliest_begin(met.session, view.journal.settings.time_zone))
    return (Span(start, end), end == wait.closes_at) if start < end else (None, False)


def _meets(done: StepDone, journal: Journal) -> bool:
    steps = journal.steps
    return is_coat(done.line, steps, journal.materials) or is_flat(done.step, steps) or removes(done.step, steps)


def _bare(missed: Missed, view: _View) -> Span | None:
    zone = view.journal.settings.time_zone
    start = session_end(missed.earlier.session, zone)
    end = earliest_begin(missed.late.session, zone) if missed.late else view.at
    return Span(start, end) if start < end else None


def _coming(coats: Iterable[Coat], until: datetime | None, view: _View) -> list[Coming]:
    """Each coat as soon as the one before it allows; the first when what the part waits for is over."""
    zone, journal = view.journal.settings.time_zone, view.journal
    found: list[Coming] = []
    soonest = max(view.at, until) if until else view.at
    for coat in coats:
        found.append(Coming(coat, soonest))
        material, step = journal.materials.get(coat.material or ""), journal.steps.get(coat.step)
        opens = material.recoat.opens if material and material.recoat else step.wait if step else None
        soonest = later(soonest, opens, zone) if opens else soonest
    return found
