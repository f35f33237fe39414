"""The state on arrival as it was found, and what was decided and planned upon it."""

from __future__ import annotations

from collections.abc import Iterator

from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.model import Block, Facts, Section, plain, tabulate
from journalgen.records import Decision, Found, Session
from journalgen.site.marks.forecast import lay_forecast

ARRIVAL = "arrival"
PLAN = "plan"
SEVERITIES = ("unsafe", "bad", "moderate", "light")


def findings(draft: Draft) -> list[tuple[str, Session, Found]]:
    """What was found on each part, the parts in the dossier's order; first what was found on no part in particular."""
    loose = [("", session, row) for session in draft.sessions for row in session.found if not row.parts]
    of_parts = [(part, session, row) for part in draft.scope.parts for session, row in draft.record(part).found]
    return [*(loose if draft.scope.whole else []), *of_parts]


def tell_arrival(draft: Draft) -> Section:
    """What was found, with the day and how bad it was."""
    return Section(ARRIVAL, draft.tell._("State on arrival"), tuple(_arrival(draft)))


def _arrival(draft: Draft) -> Iterator[Block]:
    tell, _ = draft.tell, draft.tell._
    settings = tell.matter.journal.settings
    found = findings(draft)
    before = [
        shot
        for part in draft.scope.parts
        for shot in tell.matter.figures.shots.get(part, ())
        if shot.photo.shows == "before"
    ]
    counts = {severity: sum(row.severity == severity for _p, _s, row in found) for severity in SEVERITIES}
    graded = [f"{tell.term(severity)} {tell.formats.number(n)}" for severity, n in counts.items() if n]
    first = tell.formats.long(draft.sessions[0].day) if draft.sessions else _("nothing yet")
    yield Facts(
        (
            (
                _("Came to the bench"),
                tell.formats.long(settings.machine.arrived) if settings.machine.arrived else _("not known"),
            ),
            (_("First session"), first),
            (_("Found"), tell.formats.number(len(found)) + (f" ({', '.join(graded)})" if graded else "")),
            (_("Photographs before work"), draft.numbers_of(before) or _("none")),
        )
    )
    yield plain(
        _(
            "What follows was seen when each part was looked at or taken apart, on the day given. It was seen by eye "
            "unless the entry says otherwise; what was measured stands with the part. What was concluded from it "
            "stands apart, in the next section."
        )
    )
    if not found:
        yield plain(_("No condition was written down."))
        return
    yield tabulate(
        (_("Part"), _("Found"), _("How bad"), _("Day")),
        tuple(
            (
                part or _("The machine as a whole"),
                draft.marked(row.condition, row.private),
                tell.term(row.severity) if row.severity else "",
                draft.day(session.day),
            )
            for part, session, row in found
        ),
        (22, 54, 12, 16),
    )


def tell_plan(draft: Draft) -> Section:
    """What was decided for each part and why, the course of work that it is to take, and what is still to do."""
    tell, _ = draft.tell, draft.tell._
    progress = tell.matter.figures.craft.progress
    blocks: list[Block] = [
        plain(
            _(
                "For each part what shall become of it, with the reason where one was given, and the course that a "
                "part of its kind takes. What was done instead, or beside it, stands in the next section."
            )
        )
    ]
    rows = []
    for part in draft.scope.parts:
        record, decided = draft.record(part), tell.index.decisions.get(part)
        ahead = progress.parts.get(part)
        course = " – ".join(tell.step(step.step) for step in ahead.steps) if ahead else ""
        to_do = ahead.minutes_to_do if ahead else 0
        left = tell.formats.hours(to_do) if to_do and tell.shows_hours else ""
        rows.append((part, _decided(draft, decided, record.decisions), course, left))
    heads = (_("Part"), _("Decided"), _("Course of work"), _("Still to do"))
    if rows and tell.shows_hours:
        blocks.append(tabulate(heads, tuple(rows), (20, 38, 34, 14)))
    elif rows:
        blocks.append(tabulate(heads[:3], tuple(row[:3] for row in rows), (22, 42, 40)))
    else:
        blocks.append(plain(_("No part is named yet.")))
    forecast = lay_forecast(tell) if draft.scope.whole else None
    if forecast:
        hours = tell.formats.hours(forecast.minutes)
        blocks.append(Facts(((_("Still to do"), hours if forecast.minutes else ""), (_("Estimate"), forecast.said))))
    return Section(PLAN, _("What was decided, and the course of work"), tuple(blocks))


def _decided(draft: Draft, decided: str | None, rows: list[tuple[Session, Decision]]) -> str:
    tell = draft.tell
    said = [tell.term(decided)] if decided else [tell._("nothing decided")]
    for session, row in rows:
        text = f"{tell.term(row.do)}, {draft.day(session.day)}"
        said.append(draft.marked(f"{text}: {row.why}" if row.why else text, row.private))
    if len(said) == 2 and said[1].startswith(said[0]):
        del said[0]
    return "; ".join(said)
