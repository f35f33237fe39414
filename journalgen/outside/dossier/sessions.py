"""The sessions one by one, with what each says: the record from which all else is added up."""

from __future__ import annotations

from collections.abc import Iterator

from journalgen.ledgers.part_records import worked_on
from journalgen.outside.dossier.bodies import tell_body
from journalgen.outside.dossier.choosing import spell_numbers
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.model import Block, Facts, Heading, Section, plain
from journalgen.records import Session

SESSIONS = "sessions"


def tell_sessions(draft: Draft) -> Section:
    """In order of time."""
    _ = draft.tell._
    title = _("The sessions")
    if not draft.sessions:
        return Section(SESSIONS, title, (plain(_("No session is recorded yet.")),))
    return Section(SESSIONS, title, tuple(block for session in draft.sessions for block in _session(draft, session)))


def _session(draft: Draft, session: Session) -> Iterator[Block]:
    tell, _ = draft.tell, draft.tell._
    title = f"{tell.formats.long(session.day)}: {session.title}"
    yield Heading(f"{title} ({_('private')})" if session.private else title, 2)
    record = tell.index.sessions[session.page]
    numbers = spell_numbers(draft.numbers[photo.file] for photo in session.photos if photo.file in draft.numbers)
    parts = worked_on(session)
    facts = (
        (_("Hours"), tell.formats.hours(record.minutes) if tell.shows_hours and record.minutes else ""),
        (_("Parts"), ", ".join(parts)),
        (_("Photographs"), numbers),
    )
    said = tuple((name, text) for name, text in facts if text)
    if said:
        yield Facts(said)
    yield from tell_body(session, frozenset(draft.numbers))
