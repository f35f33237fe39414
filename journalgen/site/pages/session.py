"""`sessions/<page>.html`: one session."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from journalgen.ledgers.cautions import session_cautions
from journalgen.ledgers.pairs import Shot
from journalgen.ledgers.part_records import names_in
from journalgen.ledgers.session_records import SessionRecord
from journalgen.records import Session
from journalgen.site.desk import Desk, Link
from journalgen.site.linked_data import describe_pictures, thing
from journalgen.site.marks.body import write_body
from journalgen.site.marks.card import write_card
from journalgen.site.marks.conditions import list_conditions
from journalgen.site.marks.measure import list_measures
from journalgen.site.marks.problems import show_problems
from journalgen.site.marks.purchase import list_purchases
from journalgen.site.marks.tag import write_tags
from journalgen.site.marks.work import list_uses, list_work
from journalgen.site.pages.shape import Content, Page, Sheet


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One page a session."""
    sessions = desk.matter.figures.sessions
    for i, session in enumerate(sessions):
        before = sessions[i - 1] if i else None
        after = sessions[i + 1] if i + 1 < len(sessions) else None
        yield Sheet(desk.matter.session_page(session.page), fill, (session, before, after))


def fill(desk: Desk, session: Session, before: Session | None, after: Session | None) -> Content:
    """What was done, with what, at what cost, and what was found."""
    record = desk.index.sessions[session.page]
    body = write_body(desk, session)
    costs = record.costs
    lore = desk.matter.lore
    shots = [Shot(session, photo) for photo in session.photos]
    return Content(
        title=session.title,
        description=_description(desk, record),
        fields={
            "card": write_card(desk, record),
            "problems": show_problems(desk.index.problems.get(session.place.file, ())) if desk.matter.owner else None,
            "body": body.html,
            "work": list_work(desk, record),
            "minutes": record.minutes if desk.shows_hours else None,
            "cautions": lore and session_cautions(session, desk.matter.journal, lore),
            "uses": list_uses(desk, session),
            "conditions": list_conditions(desk, session),
            "started": session.start if desk.shows_hours else None,
            "ended": _ended(record) if desk.shows_hours else None,
            "bought": list_purchases(desk, [cost for cost in costs if cost.purchase.kind != "sale"]),
            "sold": list_purchases(desk, [cost for cost in costs if cost.purchase.kind == "sale"]),
            "spent": record.spent,
            "not_converted": record.not_converted,
            "money": desk.shows_money,
            "suppliers": "suppliers" not in desk.matter.hidden,
            "measures": list_measures(
                desk, [(session, row) for row in session.measures if row.place not in body.measures]
            ),
            "decisions": [
                {"parts": [desk.part(p) for p in row.parts], "do": row.do, "why": row.why, "private": row.private}
                for row in session.decisions
            ],
            "found": [
                {
                    "parts": [desk.part(p) for p in row.parts],
                    "condition": row.condition,
                    "severity": row.severity,
                    "private": row.private,
                }
                for row in session.found
            ],
            "photographs": body.reachable.show_all(shot for shot in shots if shot.photo.file not in body.photos),
            "tags": write_tags(desk, names_in(session)),
            "before": before and desk.session(before),
            "before_day": before and before.day,
            "after": after and desk.session(after),
            "after_day": after and after.day,
        },
        trail=(Link(desk._("Sessions"), desk.root + "sessions.html"),),
        shot=next((shot for shot in shots if desk.has_picture(shot.photo.file)), None),
        facts={"mainEntity": _article(desk, record, shots)},
    )


def _article(desk: Desk, record: SessionRecord, shots: list[Shot]) -> dict[str, object]:
    """The session as an article: when, about what, and with which pictures."""
    session = record.session
    facts: dict[str, object] = {
        "@type": "Article",
        "headline": session.title,
        "datePublished": session.day.isoformat(),
        "about": [thing(desk.part(name)) for name in names_in(session)],
        "image": describe_pictures(desk, shots),
    }
    if desk.shows_hours and record.minutes:
        facts["timeRequired"] = f"PT{record.minutes}M"
    return {name: said for name, said in facts.items() if said}


def _description(desk: Desk, record: SessionRecord) -> str:
    parts = names_in(record.session)
    shown = {"day": desk.formats.long(record.session.day), "parts": desk.formats.listing(parts).unescape()}
    if parts:
        return desk._("Session of %(day)s: %(parts)s.") % shown
    return desk._("Session of %(day)s.") % shown


def _ended(record: SessionRecord) -> datetime | None:
    """When the session was over, if its beginning is known."""
    session = record.session
    if session.start is None:
        return None
    return datetime.combine(session.day, session.start) + timedelta(minutes=record.minutes)


PAGE = Page("session.html", "sessions.html", list_sheets, folder="sessions/")
