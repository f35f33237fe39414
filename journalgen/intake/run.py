"""An intake from beginning to end: the one place here where all that is written is set going."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen.alone import Taken as LockTaken
from journalgen.alone import alone
from journalgen.intake.copying import CannotWrite, NotCopied, copy_verified, half_of
from journalgen.intake.finding import find_sources
from journalgen.intake.listing import list_rows, still_unlisted
from journalgen.intake.model import PHOTOGRAPH, Arrival, CannotTakeIn, Order, Plan, Refused, Report, Row, Source
from journalgen.intake.planning import Moment, plan
from journalgen.intake.present import Present
from journalgen.intake.soundness import fault_of
from journalgen.intake.unfinished import load_unfinished, save_unfinished
from journalgen.keeping import CACHE
from journalgen.reading.journal import Reading
from journalgen.reading.settings import FILE
from journalgen.reading.texts import visible
from journalgen.terminal import spell_size
from journalgen.whole import settle_folder

_BLOCK: Final = 4096
"""Bytes; most file systems give room to a file in pieces of so many."""

Progress = Callable[[int, int], None]
Bar = Callable[[str], AbstractContextManager[Progress]]
"""What shows how far the work named has come."""


@contextmanager
def holding(order: Order) -> Iterator[None]:
    """Sees to it that no other intake runs in the journal meanwhile. Raises CannotTakeIn. A dry run holds nothing."""
    with ExitStack() as stack:
        if not order.dry_run:
            try:
                (order.journal / CACHE).mkdir(exist_ok=True)
                stack.enter_context(alone(order.journal / CACHE / "intake.lock"))
            except LockTaken:
                raise CannotTakeIn(
                    "Another intake into this journal is running. Wait until it has ended, and begin again."
                ) from None
            except OSError as fault:
                raise CannotTakeIn(f"The journal cannot be written: {fault.strerror}. Nothing was copied.") from None
        yield


def take_in(order: Order, reading: Reading, now: datetime, bar: Bar, read_again: Callable[[], Reading]) -> Report:
    """Copies what is new into photos/ and lists it in the entries, inside `holding`; or says what that would do.

    `read_again` reads the journal once more when all is copied, which can take long enough for an entry to be
    written. An interrupt or a full disk ends the copying; what was copied by then is listed. Raises CannotTakeIn.
    """
    photos = order.journal / "photos"
    _refuse_faulty(order.journal, reading)
    found = find_sources(order.given, order.journal)
    with bar("looking") as progress:
        moment = Moment(reading.journal.settings.time_zone, now)
        planned = plan(found, Present.read(photos), moment, order.parts, order.shows, progress)
    _refuse_without_room(order.journal, planned)
    run = _Run(order, photos, Report(order.dry_run, planned))
    run.take_over(load_unfinished(photos), {_origin(source) for source in found.sources})
    run.report.unlisted = run.find_unlisted(reading)
    if order.dry_run:
        with bar("looking") as progress:
            run.rehearse(progress)
        run.report.listings = list_rows(order.journal, reading, run.to_list(reading), write=False)
        return run.report
    run.prepare()
    try:
        with bar("copying") as progress:
            run.copy(progress)
    except KeyboardInterrupt:
        run.report.interrupted = True
    run.settle()
    reading = read_again()
    run.report.listings = list_rows(order.journal, reading, run.to_list(reading), write=True)
    run.leave_the_rest()
    return run.report


class _Run(Struct):
    """One intake on its way."""

    order: Order
    photos: Path
    report: Report
    rows: dict[str, Row] = field(default_factory=dict)  # all that is to be listed, by file
    arrived: set[str] = field(default_factory=set)  # files in their place
    looked_at: set[str] = field(default_factory=set)  # photographs of which it is known whether they can be shown

    def take_over(self, owed: list[Row], asked: set[str]) -> None:
        """Adds what an earlier intake left to what this one was asked for."""
        self.rows = {row.file: row for row in owed if (self.photos / row.file).is_file()}
        self.arrived = set(self.rows)
        self.report.still_to_come = [
            row.source for row in owed if row.file not in self.rows and row.source not in asked
        ]  # fmt: skip
        for arrival in self.report.plan.arrivals:
            self.rows[arrival.file] = Row(
                arrival.file, arrival.day, arrival.taken.at, self.order.parts, self.order.shows,
                _origin(arrival.source), arrival.source.kind == PHOTOGRAPH,
            )  # fmt: skip

    def find_unlisted(self, reading: Reading) -> set[str]:
        """Of what is there already, what no entry lists, nor will."""
        there = [Row(known.file, known.day, known.taken.at) for known in self.report.plan.there]
        return {row.file for row in still_unlisted(reading, there)} - self.rows.keys()

    def rehearse(self, progress: Progress) -> None:
        """Has all count as copied, and looks at the sources instead of the copies."""
        for n, arrival in enumerate(self.report.plan.arrivals):
            progress(n, len(self.report.plan.arrivals))
            self.look_at(self.rows[arrival.file], arrival.source.path)
            self.count(arrival)

    def prepare(self) -> None:
        """Writes down what is to be done, so that it can be completed if this run is killed. Raises CannotTakeIn."""
        try:
            save_unfinished(self.photos, self.rows.values())
            for file in self.rows:
                half_of(self.photos / file).unlink(missing_ok=True)  # of a run that was killed
        except OSError as fault:
            raise CannotTakeIn(f"photos/ cannot be written: {fault.strerror}. Nothing was copied.") from None

    def copy(self, progress: Progress) -> None:
        """Copies one file after the other, and looks at each, until all are here or the disk takes no more."""
        for n, arrival in enumerate(self.report.plan.arrivals):
            progress(n, len(self.report.plan.arrivals))
            target = self.photos / arrival.file
            try:
                copy_verified(arrival.source.path, target, arrival.digest)
            except NotCopied as fault:
                self.report.failed.append(Refused(arrival.source.path, str(fault)))
            except CannotWrite as fault:
                self.report.stopped = str(fault)
                return
            except KeyboardInterrupt:
                if target.exists():  # it came to its place in that very moment, and is whole
                    self.count(arrival)
                raise
            else:
                self.count(arrival)
                self.look_at(self.rows[arrival.file], target)

    def count(self, arrival: Arrival) -> None:
        self.report.copied.append(arrival)
        self.arrived.add(arrival.file)

    def look_at(self, row: Row, path: Path) -> None:
        """Finds out whether a photograph can be shown."""
        if row.shown and row.file not in self.looked_at:
            fault = fault_of(path)
            self.looked_at.add(row.file)
            if fault:
                self.report.not_shown[row.file] = fault

    def settle(self) -> None:
        """Has the disk keep the new names."""
        for folder in {(self.photos / file).parent for file in self.arrived}:
            settle_folder(folder)

    def to_list(self, reading: Reading) -> list[Row]:
        """The photographs here that can be shown and that no entry lists."""
        rows = [row for row in self.rows.values() if row.file in self.arrived and row.shown]
        rows = still_unlisted(reading, rows)
        for row in rows:
            self.look_at(row, self.photos / row.file)
        return [row for row in rows if row.file not in self.report.not_shown]

    def leave_the_rest(self) -> None:
        """Leaves for the next intake what is not here, or not in its entry; what failed is named in the report."""
        failed = {refused.path for refused in self.report.failed}
        done = {arrival.file for arrival in self.report.plan.arrivals if arrival.source.path in failed} | self.arrived
        done -= {row.file for listing in self.report.listings if listing.fault for row in listing.rows}
        with suppress(OSError):  # then more is written down than is owed, which the next intake will find
            save_unfinished(self.photos, (row for file, row in self.rows.items() if file not in done))


def _origin(source: Source) -> str:
    """Where a file came from, as it can be written down."""
    return visible(str(source.path.absolute()))


def _refuse_faulty(journal: Path, reading: Reading) -> None:
    if any(problem.is_error and problem.place.file == FILE for problem in reading.problems):
        raise CannotTakeIn(
            f"{FILE} has errors, and the day of a photograph depends on its time zone. Nothing was copied. "
            f"Mend it first; see: journalgen inspect {journal}"
        )
    photos = journal / "photos"
    if photos.exists() and not photos.resolve().is_relative_to(journal.resolve()):
        raise CannotTakeIn(
            "photos/ is a link that leads out of the journal; what lies there is never published. Nothing was copied. "
            "Put the folder itself into the journal."
        )


def _refuse_without_room(journal: Path, planned: Plan) -> None:
    needed = sum(-(-arrival.source.size // _BLOCK) * _BLOCK for arrival in planned.arrivals)
    free = free_space(journal)
    if needed > free:
        raise CannotTakeIn(
            f"There is not enough room: {spell_size(needed)} would be copied, and {spell_size(free)} are free where "
            "the journal is. Nothing was copied. Make room, or name fewer photographs."
        )


def free_space(folder: Path) -> int:
    """The bytes that are free where a folder lies."""
    return shutil.disk_usage(folder).free
