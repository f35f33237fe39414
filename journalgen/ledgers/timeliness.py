"""What was done too early, too late, or left bare too long."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from msgspec import Struct, field

from journalgen.ledgers.moments import earliest_begin, later, latest_begin, minutes_of, session_end
from journalgen.ledgers.routes import Routes
from journalgen.ledgers.steps_done import StepDone, StepsDone, bares, is_coat, is_flat, is_quiet, protects, removes
from journalgen.ledgers.waits import Wait, wait_after
from journalgen.problems import Problems
from journalgen.records import Journal
from journalgen.values import Place

_DAY = timedelta(days=1)


TOO_EARLY: Final = "too-early"
WINDOW_MISSED: Final = "window-missed"
BARE_TOO_LONG: Final = "bare-too-long"


class Missed(Struct, frozen=True):
    """One thing that was not kept on one part."""

    rule: str  # too-early, window-missed or bare-too-long
    earlier: StepDone  # the step that asked for it
    late: StepDone | None  # the step that came too early or too late; None: the metal is still bare
    when: datetime  # UTC: the wait was over, the window closed, or it was to be protected by then
    days: int  # from the one step to the other, or to the day looked at

    @property
    def part(self) -> str:
        return self.earlier.part

    @property
    def place(self) -> Place:
        """The line it is told at: that of the later step, but of the baring itself where metal stood bare."""
        told = self.earlier if self.rule == BARE_TOO_LONG or self.late is None else self.late
        return told.line.place


class _Finding(Struct, frozen=True):
    """What is the same for all the parts of one line."""

    place: Place
    rule: str
    earlier: str  # the step before
    step: str
    when: datetime


class _Findings(Struct):
    """Gathers by line, so that a line of four parts gives one warning and not four."""

    parts: dict[_Finding, list[str]] = field(default_factory=dict)

    def add(self, missed: Missed) -> None:
        told = missed.late or missed.earlier
        finding = _Finding(missed.place, missed.rule, missed.earlier.step, told.step, missed.when)
        self.parts.setdefault(finding, []).append(missed.part)


def check_timeliness(
    journal: Journal, done: StepsDone, at: datetime, problems: Problems
) -> dict[str, tuple[Missed, ...]]:
    """Reports steps begun before a wait was over, coats after a window closed, and metal left bare at an instant.

    The same is given back by part, of those parts that have any.
    """
    routes = Routes(journal.routes, journal.steps)
    found = {part: tuple(_missed(row, journal, routes, at)) for part, row in done.items()}
    findings = _Findings()
    for row in found.values():
        for missed in row:
            findings.add(missed)
    zone = journal.settings.time_zone
    for finding, parts in findings.parts.items():
        message, remedy = _words(finding, ", ".join(parts), zone)
        problems.warning(finding.place, finding.rule, message, remedy)
    return {part: row for part, row in found.items() if row}


def _missed(row: Sequence[StepDone], journal: Journal, routes: Routes, at: datetime) -> Iterator[Missed]:
    for late, wait in _too_early(row, journal):
        yield Missed(TOO_EARLY, wait.done, late, wait.ready_at or wait.ends, _days(wait.done, late))
    for late, wait in _windows_missed(row, journal):
        yield Missed(WINDOW_MISSED, wait.done, late, wait.closes_at or wait.ends, _days(wait.done, late))
    for bare, limit, cover in _left_bare(row, journal, routes, at):
        today = at.astimezone(journal.settings.time_zone).date()
        days = _days(bare, cover) if cover else (today - bare.session.day).days
        yield Missed(BARE_TOO_LONG, bare, cover, limit, days)


def _days(earlier: StepDone, late: StepDone) -> int:
    return (late.session.day - earlier.session.day).days


def _words(finding: _Finding, parts: str, zone: ZoneInfo) -> tuple[str, str]:
    when = f"{finding.when.astimezone(zone):%Y-%m-%d %H:%M}"
    if finding.rule == TOO_EARLY:
        return (
            f"{parts}: {finding.step} was begun before {when}, when the wait after {finding.earlier} was over.",
            "Mend the dates, or give that line its own `wait:` if less was enough.",
        )
    if finding.rule == WINDOW_MISSED:
        return (
            f"{parts}: the window after {finding.earlier} closed at {when}, before this coat.",
            "Enter the flatting if it was abraded first; if not, watch that this coat holds.",
        )
    return (
        f"{parts}: bare after {finding.step}, and not protected by {when}.",
        "Look for rust, clean it again if need be, and prime it; enter what protected it if something did.",
    )


def _too_early(row: Iterable[StepDone], journal: Journal) -> Iterator[tuple[StepDone, Wait]]:
    """Each wait that was not kept, once, with the first step that broke it."""
    pending: Wait | None = None
    for done in row:
        if pending and _breaks(done, pending, journal):
            yield done, pending
            pending = None
        if removes(done.step, journal.steps):
            pending = None
        wait = wait_after(done, journal)
        if (
            wait
            and wait.ready_at
            and (pending is None or pending.ready_at is None or wait.ready_at >= pending.ready_at)
        ):
            pending = wait


def _breaks(done: StepDone, pending: Wait, journal: Journal) -> bool:
    """Whether a step was certainly begun too early. Removing the coat, or looking at it, never is."""
    steps, materials, zone = journal.steps, journal.materials, journal.settings.time_zone
    if pending.ready_at is None or removes(done.step, steps) or is_quiet(done.step, steps):
        return False
    before = pending.session
    if before is done.session or (before.day == done.session.day and None in (before.start, done.session.start)):
        # What came when is not known: certain are only two coats whose wait is longer than there was time.
        there_was = timedelta(minutes=minutes_of(before)) if before is done.session else _DAY
        both = is_coat(done.line, steps, materials) and is_coat(pending.done.line, steps, materials)
        return both and bool(there_was) and pending.ready_at - pending.ends > there_was
    return latest_begin(done.session, zone) < pending.ready_at


def _windows_missed(row: Sequence[StepDone], journal: Journal) -> Iterator[tuple[StepDone, Wait]]:
    """Each coat that came after the window of the one before it, with no flatting or baring between."""
    steps, zone = journal.steps, journal.settings.time_zone
    abraded = {id(done.session) for done in row if is_flat(done.step, steps) or removes(done.step, steps)}
    last: Wait | None = None
    for done in row:
        if is_flat(done.step, steps) or removes(done.step, steps):
            last = None
        elif is_coat(done.line, steps, journal.materials):
            # Within one session the order of the lines need not be that of the work: a flatting in it counts.
            closes = last.closes_at if last and id(done.session) not in abraded else None
            if last and closes and earliest_begin(done.session, zone) > closes:
                yield done, last
            last = wait_after(done, journal)


def _left_bare(
    row: Sequence[StepDone], journal: Journal, routes: Routes, at: datetime
) -> Iterator[tuple[StepDone, datetime, StepDone | None]]:
    """Each baring that nothing protected within the step's limit, or that a later baring did not renew.

    With the end of its limit, and what protected it in the end.
    """
    route = routes.of(journal.parts.get(row[0].part))
    if route and not any(step.protects for key in route.steps if (step := journal.steps.get(key))):
        return  # brass, wood and the like are not meant to be primed
    zone = journal.settings.time_zone
    bare: tuple[StepDone, datetime] | None = None
    for done in row:
        if bares(done.step, journal.steps):
            limit = journal.steps[done.step].limit
            bare = (done, later(session_end(done.session, zone), limit, zone)) if limit else None
        elif protects(done.line, journal.steps, journal.materials):
            if bare and earliest_begin(done.session, zone) > bare[1]:
                yield *bare, done
            bare = None
    if bare and at > bare[1]:
        yield *bare, None
