"""What can be searched: an entry for each session, part, step, material and caption of one edition."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from journalgen.ledgers.pairs import Shot
from journalgen.ledgers.part_records import PartRecord
from journalgen.ledgers.step_records import StepRecord
from journalgen.records import Material, Part, Session
from journalgen.site.desk import Desk
from journalgen.site.marks.photograph import newest, photograph_id, telling

_LINE: Final = 110
"""Letters of a note, so that it stays a line or two on a phone."""

Texts = Iterable[str | None]


class Entry(Struct, frozen=True):
    """One thing that can be found, and all that is said of it."""

    kind: str  # part, session, step, material or photograph
    title: str
    href: str  # from the site's root
    day: date | None = None
    note: str = ""  # one line
    also: tuple[str, ...] = ()  # its other names
    shot: Shot | None = None  # the photograph that stands for it
    private: bool = False
    texts: tuple[str, ...] = ()  # what else its page says

    @property
    def searched(self) -> tuple[str, ...]:
        """All its texts. The day is there as it is shown and as it is typed."""
        return (self.title, *self.also, self.note, self.day.isoformat() if self.day else "", *self.texts)


def list_entries(desk: Desk) -> list[Entry]:
    """Every entry, what is newest first within its kind; of equal matches the script shows the earlier one first."""
    newest_first = desk.matter.figures.sessions[::-1]
    return [
        *_parts(desk),
        *_sessions(desk, newest_first),
        *_steps(desk),
        *_materials(desk),
        *_photographs(desk, newest_first),
    ]


def list_undated(desk: Desk) -> list[Entry]:
    """The entries that are of no day: parts, steps and materials."""
    return [*_parts(desk), *_steps(desk), *_materials(desk)]


def list_dated(desk: Desk, sessions: Sequence[Session]) -> list[Entry]:
    """The entries of some sessions and of what was photographed in them, in the order of the sessions."""
    return [*_sessions(desk, sessions), *_photographs(desk, sessions)]


def count_undated(desk: Desk) -> dict[str, int]:
    """How many entries there are of each kind that has no day."""
    matter = desk.matter
    return {
        "part": sum(1 for name in matter.journal.parts if matter.part_page(name)),
        "step": sum(1 for step in desk.index.steps if matter.step_page(step)),
        "material": sum(1 for name in matter.journal.materials if matter.material_page(name)),
    }


def count_captions(desk: Desk, session: Session) -> int:
    """How many photographs of a session are entries."""
    return desk.index.captions.get(session.page, 0)


def _parts(desk: Desk) -> Iterator[Entry]:
    for part in desk.matter.journal.parts.values():
        page = desk.matter.part_page(part.name)
        if page:
            place = _line(", ".join(filter(None, (part.number, part.assembly, part.stored))), part.note)
            shot = newest(desk, desk.matter.figures.shots.get(part.name, []))
            record = desk.index.parts.get(part.name) or PartRecord()
            yield Entry("part", part.name, page, None, place, part.also_called, shot, False, _of_part(part, record))


def _of_part(part: Part, record: PartRecord) -> tuple[str, ...]:
    return _said(
        part.note,
        *(text for _, row in record.found for text in (row.condition,)),
        *(text for _, row in record.decisions for text in (row.do, row.why)),
        *(text for _, row in record.measures for text in (row.what, row.note)),
    )


def _sessions(desk: Desk, sessions: Sequence[Session]) -> Iterator[Entry]:
    for session in sessions:
        body = desk.matter.said[session.page]
        yield Entry(
            kind="session",
            title=session.title,
            href=desk.matter.session_page(session.page),
            day=session.day,
            note=_shortened(body.partition("\n")[0]),
            shot=telling(desk, session),
            private=session.private,
            texts=(desk.formats.long(session.day), *_said(body, *_of_session(desk, session))),
        )


def _of_session(desk: Desk, session: Session) -> Iterator[str | None]:
    """What its page says beside the body."""
    yield from session.parts
    for line in session.work:
        yield from (*line.parts, *line.fitted_with, line.material, line.result, line.note)
        if line.step:
            yield desk.step(line.step)
    for use in session.uses:
        yield from (use.material, *use.parts)
    for purchase in session.purchases:
        yield from (*purchase.parts, purchase.material, purchase.what, purchase.party, purchase.note)
    for measure in session.measures:
        yield from (*measure.parts, measure.what, measure.note)
    for decision in session.decisions:
        yield from (*decision.parts, desk.term(decision.do), decision.why)
    for found in session.found:
        yield from (*found.parts, found.condition)


def _steps(desk: Desk) -> Iterator[Entry]:
    for record in desk.index.steps.values():
        page = desk.matter.step_page(record.step)
        if page:
            known = desk.matter.journal.steps.get(record.step)
            also = known.also_called if known else ()
            texts = _said(*(text for turn in record.turns for text in (turn.line.result, turn.line.note)))
            yield Entry("step", desk.step(record.step), page, None, _times(desk, record), also, texts=texts)


def _times(desk: Desk, record: StepRecord) -> str:
    """`Done 9 times, 2 h 40 min together.`"""
    n = len(record.turns)
    times = {"n": desk.formats.number(n), "hours": desk.formats.hours(record.minutes)}
    if desk.shows_hours and record.minutes:
        return desk.words.ngettext("Done once, %(hours)s.", "Done %(n)s times, %(hours)s together.", n) % times
    return desk.words.ngettext("Done once.", "Done %(n)s times.", n) % times


def _materials(desk: Desk) -> Iterator[Entry]:
    for material in desk.matter.journal.materials.values():
        page = desk.matter.material_page(material.name)
        if page:
            note = _line(material.kind, _left(desk, material), material.note)
            texts = _said(material.note)
            yield Entry("material", material.name, page, None, note, material.also_called, texts=texts)


def _left(desk: Desk, material: Material) -> str | None:
    stock = desk.matter.figures.stock.materials.get(material.name)
    return desk._("%(amount)s left") % {"amount": desk.formats.quantity(stock.left, stock.unit.name)} if stock else None


def _photographs(desk: Desk, sessions: Sequence[Session]) -> Iterator[Entry]:
    """The captions; each leads to its photograph on the session's page."""
    for session in sessions:
        for photo in session.photos:
            place = photograph_id(desk, photo.file)
            if photo.caption and place:
                named = ", ".join([*(desk.term(part) for part in photo.parts), desk.term(photo.shows)])
                yield Entry(
                    kind="photograph",
                    title=photo.caption.rstrip("."),
                    href=f"{desk.matter.session_page(session.page)}#{place}",
                    day=session.day,
                    note=named,
                    shot=Shot(session, photo),
                    private=photo.private or session.private,
                )


def _said(*texts: str | None) -> tuple[str, ...]:
    """Each text once."""
    return tuple(dict.fromkeys(text for text in texts if text))


def _line(*texts: str | None) -> str:
    return _shortened("; ".join(text for text in texts if text))


def _shortened(text: str) -> str:
    """Not more than a line, broken off between words."""
    if len(text) <= _LINE:
        return text
    return f"{text[:_LINE].rpartition(' ')[0].rstrip(',;:. ') or text[:_LINE]}\N{NO-BREAK SPACE}…"
