"""An intake from beginning to end: the one place here where all that is written is set going."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Final

from journalgen.alone import Taken as LockTaken
from journalgen.alone import alone
from journalgen.intake.copying import CannotWrite, NotCopied, copy_verified, half_of
from journalgen.intake.finding import find_sources
from journalgen.intake.listing import list_rows, still_unlisted
from journalgen.intake.model import PHOTOGRAPH, Arrival, CannotTakeIn, Order, Plan, Refused, Report, Row
from journalgen.intake.planning import Moment, plan
from journalgen.intake.present import Present
from journalgen.intake.soundness import fault_of
from journalgen.intake.unfinished import load_unfinished, save_unfinished
from journalgen.keeping import CACHE
from journalgen.reading.journal import Reading
from journalgen.reading.settings import FILE
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
    present = Present.read(photos)
    owed = load_unfinished(photos)
    with bar("looking") as progress:
        moment = Moment(reading.journal.settings.time_zone, now)
        planned = plan(found, present, moment, order.parts, order.shows, progress)
    _refuse_without_room(order.journal, planned)
    report = Report(order.dry_run, planned)
    rows = {row.file: row for row in owed if (photos / row.file).is_file()}
    in_place = set(rows)
    asked = {str(source.path) for source in found.sources}
    report.still_to_come = [row.source for row in owed if row.file not in rows and row.source not in asked]
    there = [Row(known.file, known.day, known.taken.at) for known in planned.there]
    report.unlisted = {row.file for row in still_unlisted(reading, there)} - rows.keys()
    report.unlisted -= {arrival.file for arrival in planned.arrivals}
    rows |= {arrival.file: _row(arrival, order) for arrival in planned.arrivals}
    if order.dry_run:
        report.copied = list(planned.arrivals)
        sources = {arrival.file: arrival.source.path for arrival in planned.arrivals}
        with bar("looking") as progress:
            shown = _shown(rows.values(), sources, photos, report, progress)
        report.listings = list_rows(order.journal, reading, still_unlisted(reading, shown), write=False)
        return report
    _write(order, report, rows, in_place, bar, read_again)
    return report


def _row(arrival: Arrival, order: Order) -> Row:
    shown = arrival.source.kind == PHOTOGRAPH
    return Row(
        arrival.file, arrival.day, arrival.taken.at, order.parts, order.shows, str(arrival.source.path), shown
    )  # fmt: skip


def _write(
    order: Order,
    report: Report,
    rows: dict[str, Row],
    in_place: set[str],
    bar: Bar,
    read_again: Callable[[], Reading],
) -> None:
    photos = order.journal / "photos"
    try:
        save_unfinished(photos, rows.values())
        for file in rows:  # what a run that was killed was about to finish
            half_of(photos / file).unlink(missing_ok=True)
    except OSError as fault:
        raise CannotTakeIn(f"photos/ cannot be written: {fault.strerror}. Nothing was copied.") from None
    try:
        with bar("copying") as progress:
            _copy(report, photos, progress)
    except KeyboardInterrupt:
        report.interrupted = True
        copied = {arrival.file for arrival in report.copied}
        # One that came to its place in that very moment is whole.
        report.copied += [
            arrival for arrival in report.plan.arrivals
            if arrival.file not in copied and (photos / arrival.file).exists()
        ]  # fmt: skip
    arrived = in_place | {arrival.file for arrival in report.copied}
    for folder in {(photos / file).parent for file in arrived}:
        settle_folder(folder)
    reading = read_again()
    with bar("checking") as progress:
        here = [row for file, row in rows.items() if file in arrived]
        shown = _shown(still_unlisted(reading, here), {}, photos, report, progress)
    report.listings = list_rows(order.journal, reading, shown, write=True)
    left = {row.file for listing in report.listings if listing.fault for row in listing.rows}
    left |= rows.keys() - arrived - {arrival.file for arrival in report.plan.arrivals if _has_failed(arrival, report)}
    with suppress(OSError):  # then it holds more than is owed, and the next intake finds that it does
        save_unfinished(photos, (row for file, row in rows.items() if file in left))


def _has_failed(arrival: Arrival, report: Report) -> bool:
    return any(failed.path == arrival.source.path for failed in report.failed)


def _copy(report: Report, photos: Path, progress: Progress) -> None:
    for n, arrival in enumerate(report.plan.arrivals):
        progress(n, len(report.plan.arrivals))
        try:
            copy_verified(arrival.source.path, photos / arrival.file, arrival.digest)
        except NotCopied as fault:
            report.failed.append(Refused(arrival.source.path, str(fault)))
        except CannotWrite as fault:
            report.stopped = str(fault)
            return
        else:
            report.copied.append(arrival)


def _shown(
    rows: Iterable[Row], sources: dict[str, Path], photos: Path, report: Report, progress: Progress
) -> list[Row]:  # fmt: skip
    """The photographs of which pictures can be made; of the others the report says why not."""
    photographs = [row for row in rows if row.shown]
    for n, row in enumerate(photographs):
        progress(n, len(photographs))
        fault = fault_of(sources.get(row.file, photos / row.file))
        if fault:
            report.not_shown[row.file] = fault
    return [row for row in photographs if row.file not in report.not_shown]


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
            f"There is not enough room: {_size(needed)} would be copied, and {_size(free)} are free where the journal "
            "is. Nothing was copied. Make room, or name fewer photographs."
        )


def free_space(folder: Path) -> int:
    """The bytes that are free where a folder lies."""
    return shutil.disk_usage(folder).free


def _size(count: int) -> str:
    return f"{count / 1e9:.1f} GB" if count >= 1e9 else f"{count / 1e6:.1f} MB"
