"""A part's process: the drawing of its steps in order of time, and the same as a table."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from journalgen.ledgers.part_records import PartRecord
from journalgen.records import WorkLine
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.process import Lettering, Mark, Process, Row, draw_process
from journalgen.slugs import key


@dataclass(frozen=True, slots=True)
class ProcessStep:
    """One line of the table."""

    day: date
    step: str
    coat: int | None
    material: Link | None
    minutes: int | None
    session: Link
    private: bool


@dataclass(frozen=True, slots=True)
class ProcessView:
    """The drawing and its table."""

    drawing: Process
    steps: tuple[ProcessStep, ...]


def lay_process(desk: Desk, part: str, record: PartRecord) -> ProcessView | None:
    """The process of one part; None where no step on it is recorded."""
    lines = [(session, line) for session, line in record.lines if line.step]
    if not lines:
        return None
    minutes: dict[int, int] = {}
    for share in record.shares:
        if share.line is not None:
            minutes[id(share.line)] = minutes.get(id(share.line), 0) + share.minutes
    steps = tuple(
        ProcessStep(
            day=session.day,
            step=desk.step(line.step),
            coat=line.coat,
            material=desk.material(line.material) if line.material else None,
            minutes=minutes.get(id(line)) if desk.shows_hours else None,
            session=desk.session(session),
            private=line.private or session.private,
        )
        for session, line in lines
    )
    rows = lay_rows(desk, [(session.day, line) for session, line in lines])
    label = desk.words.ngettext(
        "%(part)s: one step, %(first)s. The list of steps beneath holds the same date.",
        "%(part)s: %(n)s steps in order of time from %(first)s to %(last)s. "
        "The list of steps beneath holds the same dates.",
        len(lines),
    ) % {
        "part": part,
        "n": desk.formats.number(len(lines)),
        "first": desk.formats.long(lines[0][0].day),
        "last": desk.formats.long(lines[-1][0].day),
    }
    lettering = Lettering(desk.formats.month_short, desk.formats.day_of_month)
    return ProcessView(draw_process(rows, desk.matter.figures.on, label, lettering), steps)


def lay_rows(desk: Desk, lines: list[tuple[date, WorkLine]]) -> list[Row]:
    """A row a step, in the order in which they were first done; coats of each material have their own."""
    marks: dict[tuple[str, str], list[Mark]] = {}
    for day, line in lines:
        material = line.material if line.coat and line.material else ""
        marks.setdefault((line.step or "", material), []).append(Mark(day, line.coat, line.wait))
    return [Row(_row_label(desk.step(step), material), tuple(row)) for (step, material), row in marks.items()]


def _row_label(step: str, material: str) -> str:
    """The step with its material; a material whose name says the step stands alone."""
    if not material:
        return step
    return material if key(step) in key(material) else f"{step}, {material}"
