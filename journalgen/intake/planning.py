"""What goes where: each source dated, known ones told from new ones, and the new ones named. Nothing is written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date, datetime
from pathlib import Path, PurePosixPath
from typing import Final
from zoneinfo import ZoneInfo

from msgspec import Struct

from journalgen.digests import digest_of
from journalgen.intake.finding import Found
from journalgen.intake.model import FILM, PHOTOGRAPH, RAW, Arrival, Plan, Refused, Source, Taken, There
from journalgen.intake.naming import ending_of, name_beside, name_photograph, words_of
from journalgen.intake.present import Present
from journalgen.intake.taken import see, session_day, tell

_LEADS: Final = (PHOTOGRAPH, RAW, FILM)
"""Of files of one name but for the ending, the first of these is the one that the others belong to."""


class _Known(Struct, frozen=True):
    """A source that was looked at."""

    source: Source
    taken: Taken
    made_as: str | None
    digest: str | None
    there: str | None  # the file below photos/ that holds the same bytes

    @property
    def day(self) -> date:
        return session_day(self.taken.at)


class Moment(Struct, frozen=True):
    """By which clock times are told."""

    zone: ZoneInfo
    now: datetime


def plan(
    found: Found,
    present: Present,
    moment: Moment,
    parts: Sequence[str],
    shows: str | None,
    progress: Callable[[int, int], None],
) -> Plan:
    """What an intake of these sources does. Files of `present` are read where one may be the same as a source."""
    refused = list(found.refused)
    known = []
    sizes = Counter(source.size for source in found.sources)
    for n, source in enumerate(found.sources):
        progress(n, len(found.sources))
        try:
            known.append(_look_at(source, present, moment, twins=sizes[source.size] > 1))
        except OSError as fault:
            refused.append(Refused(source.path, f"It cannot be read: {fault.strerror}."))
    words = words_of(parts, shows)
    arrivals: list[Arrival] = []
    there: list[There] = []
    taken_in: dict[str, str] = {}  # digest -> the file of the first that has it
    for group in _in_order(known):
        _place(group, words, present, taken_in, arrivals, there)
    return Plan(tuple(arrivals), tuple(there), tuple(refused), tuple(sorted(found.passed_over.items())))


def _look_at(source: Source, present: Present, moment: Moment, *, twins: bool) -> _Known:
    seen = see(source.path)
    taken = tell(seen.tags, source.path.stat().st_mtime, moment.zone, moment.now)
    digest = digest_of(source.path) if twins or source.size in present.by_size else None
    there = present.find(source.size, digest) if digest else None
    return _Known(source, taken, seen.format, digest, there)


def _in_order(known: Sequence[_Known]) -> list[list[_Known]]:
    """What belongs together, the leader first, in order of time."""
    groups: dict[tuple[Path, str], list[_Known]] = {}
    for row in known:
        groups.setdefault((row.source.path.parent, row.source.path.stem.casefold()), []).append(row)
    made = []
    for group in groups.values():
        group.sort(key=lambda row: (_LEADS.index(row.source.kind), row.source.path.name))
        # Two photographs of one name (one of them made from the other) are a photograph each.
        leader, *rest = group
        own = [row for row in rest if row.source.kind == PHOTOGRAPH]
        made += [[leader, *(row for row in rest if row.source.kind != PHOTOGRAPH)], *([row] for row in own)]
    return sorted(made, key=lambda group: (group[0].taken.at, str(group[0].source.path)))


def _place(
    group: list[_Known],
    words: str,
    present: Present,
    taken_in: dict[str, str],
    arrivals: list[Arrival],
    there: list[There],
) -> None:
    leader, taken = None, group[0].taken
    for row in group:
        file = row.there or (taken_in.get(row.digest) if row.digest else None)
        if file:
            there.append(There(row.source, taken, group[0].day, file))
        else:
            own = PurePosixPath(row.source.path.name)
            if leader is None:
                file = name_photograph(taken.at, group[0].day, words, ending_of(own, _format(row)), present)
            else:
                file = name_beside(leader, own.suffix.lower().lstrip("."), present)
            arrivals.append(Arrival(row.source, taken, group[0].day, file, row.digest))
            if row.digest:
                taken_in[row.digest] = file
        leader = leader or file


def _format(row: _Known) -> str | None:
    return row.made_as if row.source.kind == PHOTOGRAPH else None
