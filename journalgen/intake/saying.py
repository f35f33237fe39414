"""An intake as its keeper reads it, day by day, and as a script does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any, Final, TypeVar

from journalgen.intake.model import (
    CHANGED,
    FILE,
    FILM,
    NOBODY,
    PHOTOGRAPH,
    RAW,
    Arrival,
    Listing,
    Refused,
    Report,
    There,
)

FORMAT: Final = "journalgen-intake/1"
_MOST: Final = 10
"""Lines of one kind before the rest is only counted."""

_TOLD_BY: Final = {
    CHANGED: "the picture's own time of change",
    FILE: "the file's time of change",
    NOBODY: "nothing, so it counts as taken now",
}
_NAMED: Final = {PHOTOGRAPH: "photograph", FILM: "film", RAW: "raw file"}

T = TypeVar("T")


def result_lines(report: Report) -> Iterator[str]:
    """Each file copied, by its name in the journal."""
    for arrival in report.copied:
        yield f"photos/{arrival.file}"


def report_lines(report: Report, journal: Path) -> Iterator[str]:
    """What was done, day by day, then what was not, then the sum."""
    if report.dry_run:
        yield "Nothing is written. This is what would be done:"
    days = {arrival.day for arrival in report.copied} | {there.day for there in report.plan.there}
    for day in sorted(days | {listing.day for listing in report.listings}):
        yield from _day_lines(report, day, journal)
    copied = {arrival.file for arrival in report.copied}
    owed = [(file, why) for file, why in report.not_shown.items() if file not in copied]
    if owed:
        yield "left out of the site, of an earlier intake that was not finished"
        yield from _some(owed, lambda row: f"photos/{row[0]}: {row[1]}")
    refused = [*report.plan.refused, *report.failed]
    if refused:
        yield "not taken in"
        yield from _some(refused, lambda row: f"{row.path}: {row.why}")
    if report.plan.passed_over:
        endings = ", ".join(f"{many} {ending}" for ending, many in report.plan.passed_over)
        yield f"passed over, being nothing of a camera's: {endings}"
    if report.still_to_come:
        yield "still to come from an earlier intake that was not finished; name them again to have them"
        yield from _some(report.still_to_come, str)
    yield from _end_lines(report)
    waiting = [listing.day for listing in report.listings if listing.opened and not listing.fault]
    if waiting and not report.dry_run:
        more = f" (and so for {len(waiting) - 1} more)" if len(waiting) > 1 else ""
        yield f"Next: journalgen session {journal} --date {waiting[0]}{more}"


def _day_lines(report: Report, day: date, journal: Path) -> Iterator[str]:
    yield str(day)
    copy = "would be copied" if report.dry_run else "copied"
    copied = [arrival for arrival in report.copied if arrival.day == day]
    shown = [
        arrival for arrival in copied if arrival.source.kind == PHOTOGRAPH and arrival.file not in report.not_shown
    ]
    if shown:
        yield f"  {len(shown)} {copy} to photos/{_folder(shown[0])}"
        yield from _some(shown, lambda row: f"  {_renamed(row)}")
    aside = [arrival for arrival in copied if arrival not in shown]
    if aside:
        yield f"  {len(aside)} {copy}, and left out of the site"
        yield from _some(aside, lambda row: f"  {_renamed(row)}: {_why_aside(row, report)}")
    there = [row for row in report.plan.there if row.day == day]
    if there:
        yield f"  {len(there)} there already"
        yield from _some(there, lambda row: f"  {_there(row, report)}")
    yield from _time_lines(copied)
    for listing in report.listings:
        if listing.day == day:
            yield from _listing_lines(listing, journal, dry_run=report.dry_run)


def _folder(arrival: Arrival) -> str:
    return arrival.file.rpartition("/")[0]


def _renamed(arrival: Arrival) -> str:
    return f"{arrival.source.path.name} -> {arrival.file.rpartition('/')[2]}"


def _why_aside(arrival: Arrival, report: Report) -> str:
    return report.not_shown.get(arrival.file) or f"a {_NAMED[arrival.source.kind]}"


def _there(there: There, report: Report) -> str:
    unlisted = there.file in report.unlisted and there.source.kind == PHOTOGRAPH
    return f"{there.source.path.name} is photos/{there.file}{', which no entry lists' if unlisted else ''}"


def _time_lines(copied: Sequence[Arrival]) -> Iterator[str]:
    for told_by, what in _TOLD_BY.items():
        rows = [row for row in copied if row.taken.told_by == told_by]
        if rows:
            yield f"  no camera told when {'this was' if len(rows) == 1 else 'these were'} taken, but {what}:"
            yield from _some(rows, lambda row: f"  {row.source.path.name}: {row.taken.at:%Y-%m-%d %H:%M}")


def _listing_lines(listing: Listing, journal: Path, *, dry_run: bool) -> Iterator[str]:
    many = f"{len(listing.rows)} photograph{'' if len(listing.rows) == 1 else 's'}"
    if listing.fault:
        yield f"  {listing.entry}: {listing.fault}"
        yield f"  Put this under `photos:` yourself; or mend it (journalgen inspect {journal}) and do the same again."
        yield from (f"  - {line}" for line in listing.lines)
        return
    does = "would be " if dry_run else ""
    how = f"{does}opened with {many}" if listing.opened else f"{many} {does}added"
    yield f"  {listing.entry}: {how}"
    if listing.others:
        yield f"    the day has other entries, which stay as they are: {', '.join(listing.others)}"


def _end_lines(report: Report) -> Iterator[str]:
    left = len(report.plan.arrivals) - len(report.copied) - len(report.failed)
    if report.stopped:
        yield f"The copying was stopped: {report.stopped}. {left} not copied. Mend that, and do the same again."
    if report.interrupted:
        yield f"Interrupted; what was copied is kept and listed. {left} not copied. Do the same again for the rest."
    counts = [f"{len(report.copied)} {'would be copied' if report.dry_run else 'copied and verified'}"]
    if report.plan.there:
        counts.append(f"{len(report.plan.there)} there already")
    refused = len(report.plan.refused) + len(report.failed)
    if refused:
        counts.append(f"{refused} not taken in")
    if not (report.plan.arrivals or report.plan.there or refused):
        yield "No photograph was found. Name photographs, or a folder that holds some."
    else:
        yield f"{', '.join(counts)}."


def _some(rows: Sequence[T], line: Callable[[T], str]) -> Iterator[str]:
    for row in rows[:_MOST]:
        yield f"  {line(row)}"
    if len(rows) > _MOST:
        yield f"    and {len(rows) - _MOST} more; --json names them all"


def report_json(report: Report) -> dict[str, Any]:
    """The same in the stable shape of journalgen-intake/1. Files are relative to the journal."""
    return {
        "format": FORMAT,
        "dry_run": report.dry_run,
        "copied": [
            {
                "from": str(row.source.path),
                "to": f"photos/{row.file}",
                "kind": row.source.kind,
                "day": str(row.day),
                "taken": row.taken.at.isoformat(),
                "told_by": row.taken.told_by,
                "not_shown": report.not_shown.get(row.file),
            }
            for row in report.copied
        ],
        "there": [
            {"from": str(row.source.path), "is": f"photos/{row.file}", "listed": row.file not in report.unlisted}
            for row in report.plan.there
        ],
        "not_taken_in": [_refused(row) for row in (*report.plan.refused, *report.failed)],
        "entries": [
            {
                "entry": listing.entry,
                "day": str(listing.day),
                "opened": listing.opened,
                "lines": list(listing.lines),
                "fault": listing.fault,
            }
            for listing in report.listings
        ],
        "still_to_come": report.still_to_come,
        "stopped": report.stopped,
    }


def _refused(row: Refused) -> dict[str, str]:
    return {"path": str(row.path), "why": row.why}
