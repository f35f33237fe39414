"""A part's process: the drawing of its steps in order of time, the same as a table, and what was not kept."""

from __future__ import annotations

from datetime import date, datetime
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from journalgen.ledgers.part_records import PartRecord
from journalgen.ledgers.processes import Coming, PartProcess, Span, StepTimes
from journalgen.ledgers.timeliness import BARE_TOO_LONG, TOO_EARLY, Missed
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.axis import Stretch
from journalgen.site.drawings.process import Lettering, Mark, Process, Row, draw_process
from journalgen.slugs import key


class ProcessStep(Struct, frozen=True):
    """One line of the table."""

    day: date
    step: str
    coat: int | None
    material: Link | None
    minutes: int | None
    session: Link
    private: bool


class MissedView(Struct, frozen=True):
    """What was not kept: its gist, and the rest of the sentence."""

    flag: str
    rest: str


class ProcessView(Struct, frozen=True):
    """The drawing, its table, and a sentence for each thing that was not kept."""

    drawing: Process
    steps: tuple[ProcessStep, ...]
    missed: tuple[MissedView, ...]


def lay_process(desk: Desk, part: str, record: PartRecord, newest: bool = True) -> ProcessView | None:
    """The process of one part as far as the record goes; None where no step is in it.

    What is still to come is drawn where the record goes up to its `newest` step.
    """
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
    craft = desk.matter.figures.craft
    done, process = {id(line) for _, line in lines}, craft.processes[part]
    steps_done = tuple(step for step in process.steps if id(step.done.line) in done)
    rows = lay_rows(desk, replace(process, steps=steps_done, to_come=process.to_come if newest else ()))
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
    missed = tuple(_missed(desk, one) for one in craft.missed.get(part, ()) if id(one.earlier.line) in done)
    return ProcessView(draw_process(rows, desk.matter.figures.on, label, lettering), steps, missed)


def lay_rows(desk: Desk, process: PartProcess) -> list[Row]:
    """A row a step, in the order in which they were first done; coats of each material have their own."""
    marks: dict[tuple[str, str], list[Mark]] = {}
    for step in process.steps:
        line = step.done.line
        material = line.material if line.coat and line.material else ""
        marks.setdefault((step.done.step, material), []).append(_mark(desk, step))
    for coming in process.to_come:
        marks.setdefault((coming.coat.step, coming.coat.material or ""), []).append(_mark_to_come(desk, coming))
    return [Row(_row_label(desk.step(step), material), tuple(row)) for (step, material), row in marks.items()]


def _mark(desk: Desk, step: StepTimes) -> Mark:
    return Mark(
        start=Fraction(step.done.session.day.toordinal()),
        coat=step.done.line.coat,
        wait=_stretch(desk, step.wait),
        window=_stretch(desk, step.window),
        closes=step.closes,
        bare=_stretch(desk, step.bare),
        bare_for=desk.formats.days(step.days_bare) if step.bare and step.days_bare else "",
    )


def _mark_to_come(desk: Desk, coming: Coming) -> Mark:
    return Mark(_ordinal(desk, coming.soonest), coming.coat.number, to_come=True)


def _stretch(desk: Desk, span: Span | None) -> Stretch | None:
    return Stretch(_ordinal(desk, span.start), _ordinal(desk, span.end)) if span else None


def _ordinal(desk: Desk, moment: datetime) -> Fraction:
    """A moment in the journal's zone, as a day with its fraction."""
    local = desk.local(moment)
    return local.toordinal() + Fraction(local.hour * 60 + local.minute, 24 * 60)


def _missed(desk: Desk, missed: Missed) -> MissedView:
    _, formats = desk._, desk.formats
    said = {"earlier": desk.step(missed.earlier.step), "when": desk.moment(missed.when)}
    if missed.rule == BARE_TOO_LONG:
        return _stood_bare(desk, missed)
    if missed.late is not None:
        said |= {"late": desk.step(missed.late.step), "day": formats.short(missed.late.session.day)}
    if missed.rule == TOO_EARLY:
        return MissedView(
            _("%(late)s too early") % said, _("on %(day)s: the wait after %(earlier)s was over on %(when)s.") % said
        )
    return MissedView(
        _("%(late)s too late") % said, _("on %(day)s: the window after %(earlier)s closed on %(when)s.") % said
    )


def _stood_bare(desk: Desk, missed: Missed) -> MissedView:
    _, formats = desk._, desk.formats
    step = desk.matter.journal.steps[missed.earlier.step]
    said = {
        "earlier": step.label,
        "late": desk.step(missed.late.step) if missed.late else "",
        "limit": formats.span(step.limit) if step.limit else "",
    }
    flag = _("Stood bare for %(days)s") % {"days": formats.days(missed.days)} if missed.days else _("Stood bare")
    if missed.late:
        return MissedView(flag, _("between %(earlier)s and %(late)s; the step allows %(limit)s.") % said)
    return MissedView(flag, _("since %(earlier)s; the step allows %(limit)s.") % said)


def _row_label(step: str, material: str) -> str:
    """The step with its material; a material whose name says the step stands alone."""
    if not material:
        return step
    return material if key(step) in key(material) else f"{step}, {material}"
