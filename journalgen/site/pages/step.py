"""`steps/<slug>.html`: how one kind of work was done, every time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec.structs import replace

from journalgen.ledgers.cautions import gather
from journalgen.ledgers.step_records import StepRecord, StepTurn
from journalgen.records import Step
from journalgen.site.desk import Desk, Link
from journalgen.site.marks.conditions import short_conditions
from journalgen.site.pages.shape import Content, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One page for each step that was done, with a file for each year of one that was done often."""
    for record in desk.index.steps.values():
        file = desk.matter.step_page(record.step)
        if file:
            yield from list_files(file, _divide(record.turns), fill, record.step)


def fill(desk: Desk, step: str, stretch: Stretch[int]) -> Content:
    """What the step is, every time it was done, and what can hurt. The rows are numbers of its turns."""
    whole = desk.index.steps[step]
    listed = replace(whole, turns=tuple(whole.turns[n] for n in stretch.rows))
    record = whole if stretch.itself else listed
    journal, lore = desk.matter.journal, desk.matter.lore
    label = desk.step(record.step)
    return Content(
        title=label,
        description=_description(desk, whole, label),
        fields={
            "label": label,
            "facts": _facts(desk, journal.steps.get(record.step)),
            "times": len(record.turns),
            "turns": [_turn(desk, turn) for turn in listed.turns],
            "parts": len(record.parts),
            "minutes": record.minutes if desk.shows_hours else None,
            "listed": listed.minutes if desk.shows_hours else None,
            "median": whole.median if stretch.itself else None,
            "coats": any(turn.line.coat for turn in listed.turns),
            "conditions": any(short_conditions(desk, turn.line) for turn in listed.turns),
            "materials": any(turn.line.material for turn in listed.turns),
            "cautions": lore and gather([record.step], [], [], journal, lore),
        },
        trail=(Link(desk._("Steps"), desk.root + "steps.html"),),
    )


def _turn(desk: Desk, turn: StepTurn) -> dict[str, object]:
    line = turn.line
    found = desk.index.conditions.get(str(line.place))
    return {
        "day": turn.session.day,
        "session": desk.session(turn.session),
        "private": line.private and not turn.session.private,
        "parts": [desk.part(part) for part in line.parts],
        "coat": line.coat,
        "material": desk.material(line.material) if line.material else None,
        "amount": line.amount,
        "conditions": short_conditions(desk, line),
        "unfit": found is not None and found.fit is False,
        "minutes": turn.minutes,
        "result": line.result,
        "note": line.note,
    }


def _divide(turns: Sequence[StepTurn]) -> tuple[Stretch[int], ...]:
    def day(n: int) -> date:
        return turns[n].session.day

    def weigh_row(n: int) -> int:
        line = turns[n].line
        return weigh(len(line.parts) + 2, *line.parts, line.result, line.note)

    return divide(range(len(turns)), day, weigh_row)


def _facts(desk: Desk, step: Step | None) -> list[tuple[str, str]]:
    """What the trade, or the journal's own register, says of the step."""
    _, formats = desk._, desk.formats
    if step is None:
        return []
    said = str if step.place else _  # what the journal's own register says stays as it was written
    names = formats.listing(map(said, step.also_called)).unescape()
    facts = [
        (_("Family"), step.family and said(step.family)),
        (_("Also called"), names),
        (_("Wait after it"), formats.span(step.wait) if step.wait else None),
        (_("Typical time"), formats.hours(step.typical) if step.typical and desk.shows_hours else None),
        (_("Metal"), _metal(desk, step)),
        (_("Source"), said(step.source) if step.source else (_("the journal’s own register") if step.place else None)),
    ]
    return [(name, said) for name, said in facts if said]


def _metal(desk: Desk, step: Step) -> str | None:
    if step.bares and step.limit:
        return desk._("left bare; to be covered within %(span)s") % {"span": desk.formats.span(step.limit)}
    if step.bares:
        return desk._("left bare")
    return desk._("covered") if step.protects else None


def _description(desk: Desk, record: StepRecord, label: str) -> str:
    return desk.words.ngettext(
        "%(step)s: how it was done, once.", "%(step)s: how it was done, %(n)s times.", len(record.turns)
    ) % {"step": label, "n": desk.formats.number(len(record.turns))}


PAGE = Page("step.html", "steps.html", list_sheets, folder="steps/")
