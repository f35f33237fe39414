"""What can be worked on: the JSON of `ready --json` (journalgen-ready/1), and the same for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from msgspec import Struct

from journalgen.columns import wrap
from journalgen.ledgers.cautions import Lore, cautions_ahead
from journalgen.ledgers.figures import Figures
from journalgen.ledgers.progress import DEFAULT_MINUTES
from journalgen.ledgers.quantities import plain
from journalgen.ledgers.readiness import Readiness, Start
from journalgen.reading.hours import spell_clock
from journalgen.records import Journal
from journalgen.terminal import WIDTH, one_line, table_lines

FORMAT: Final = "journalgen-ready/1"


class Ready(Struct, frozen=True):
    """What can be done on a day, for one journal."""

    journal: Journal
    on: date
    readiness: Readiness
    minutes: int | None = None  # that there are for it
    too_long: tuple[Start, ...] = ()  # what could be started if there were more, where nothing fits

    @property
    def zone(self) -> ZoneInfo:
        return self.journal.settings.time_zone


def find_ready(journal: Journal, figures: Figures, minutes: int | None = None) -> Ready:
    """What can be done from the first instant of the figures' day in the journal's zone.

    `minutes` keeps only the steps that fit into so much time.
    """
    found = figures.craft.readiness
    if minutes is None:
        return Ready(journal, figures.on, found)
    fitting = found.within(minutes)
    return Ready(journal, figures.on, fitting, minutes, () if fitting.can_start else found.can_start)


def ready_json(ready: Ready) -> dict[str, Any]:
    """The stable shape of journalgen-ready/1; times are of the journal's zone, with their offset."""
    found, zone = ready.readiness, ready.zone
    return {
        "format": FORMAT,
        "on": _iso(found.at, zone),
        "can_start": [
            {
                "part": start.part,
                "step": start.step,
                "typical_minutes": start.typical_minutes,
                "window_closes": _iso(start.window_closes, zone),
            }
            for start in found.can_start
        ],
        "waiting": [
            {"part": wait.part, "step": wait.step, "coat": wait.number, "ready_at": _iso(found.until(wait), zone)}
            for wait in found.waiting
        ],
        "blocked": [{"part": row.part, "needs": list(row.needs), "because": row.because} for row in found.blocked],
        "closing": [{"part": wait.part, "closes_at": _iso(wait.closes_at, zone)} for wait in found.closing],
        "to_buy": [
            {"material": row.material, "needed": plain(row.needed), "left": plain(row.left), "unit": row.unit.name}
            for row in found.to_buy
        ],
    }


def _iso(moment: datetime | None, zone: ZoneInfo) -> str | None:
    return None if moment is None else moment.astimezone(zone).isoformat(timespec="seconds")


def ready_lines(ready: Ready) -> Iterator[str]:
    """The answer as tables of 80 columns for a person."""
    found = ready.readiness
    yield from wrap(one_line(f"{ready.journal.settings.title}, on {ready.on}"), WIDTH)
    yield ""
    if ready.too_long:
        shortest = min(ready.too_long, key=lambda start: start.typical_minutes or DEFAULT_MINUTES)
        work = f"{shortest.part}, {_step(shortest.step, ready)}"
        yield from wrap(one_line(f"Nothing fits into {_clock(ready.minutes)}; the shortest is {work}."), WIDTH)
        yield ""
    elif not found.can_start:
        yield "Nothing can be started."
        if not any(part.route for part in ready.journal.parts.values()):
            names = ", ".join(ready.journal.routes)
            yield "No part has a route."
            yield "Give one in register/parts.yaml, for example: route: painted steel"
            yield from wrap(one_line(f"The routes are: {names}."), WIDTH)
        yield ""
    yield from _table(
        ["Can be started", "step", "h:mm", "window closes"],
        [
            [start.part, _step(start.step, ready), _clock(start.typical_minutes), _when(start.window_closes, ready)]
            for start in found.can_start
        ],
        2,
    )
    yield from _table(
        ["Waits", "after", "coat", "until"],
        [[w.part, _step(w.step, ready), str(w.number or ""), _when(found.until(w), ready)] for w in found.waiting],
        2,
    )
    yield from _table(
        ["Cannot go on", "needs", "because"],
        [[row.part, need, row.because] for row in found.blocked for need in (row.needs or ("",))],
        3,
    )
    yield from _table(
        ["Window closes soon", "after", "at"],
        [[wait.part, _step(wait.step, ready), _when(wait.closes_at, ready)] for wait in found.closing],
        2,
    )
    yield from _table(
        ["To buy", "unit", "needed", "left"],
        [[r.material, r.unit.name, plain(r.needed, 2), plain(r.left, 2)] for r in found.to_buy],
        2,
    )


def caution_lines(ready: Ready, lore: Lore) -> Iterator[str]:
    """What can hurt in the work that can be started: a line each, with the parts or steps it is for."""
    work = [(start.part, start.step) for start in ready.readiness.can_start]
    found = cautions_ahead(work, ready.journal, lore)
    for caution, about in found:
        names = ", ".join(_step(name, ready) for name in about)
        yield from wrap(one_line(f"Caution. {caution.title}: {names}"), WIDTH, "", "  ")
    if found:
        yield from wrap(lore.defer, WIDTH)
        yield ""


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]], texts: int) -> Iterator[str]:
    if rows:
        yield from table_lines(heads, rows, texts=texts)
        yield ""


def _step(step: str, ready: Ready) -> str:
    return ready.journal.step_label(step)


def _clock(minutes: int | None) -> str:
    return "" if minutes is None else spell_clock(minutes)


def _when(moment: datetime | None, ready: Ready) -> str:
    return "" if moment is None else f"{moment.astimezone(ready.zone):%Y-%m-%d %H:%M}"
