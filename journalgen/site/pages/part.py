"""`parts/<slug>.html`: one part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date
from functools import partial
from typing import Final

from journalgen.ledgers.assemblies import assemblies_above
from journalgen.ledgers.cautions import part_cautions
from journalgen.ledgers.pairs import Shot
from journalgen.ledgers.part_records import PartRecord
from journalgen.ledgers.sharing import add_up
from journalgen.records import Part, Session
from journalgen.site.desk import Desk, Link
from journalgen.site.linked_data import describe_pictures, machine_id
from journalgen.site.marks.coats import lay_coats
from journalgen.site.marks.measure import list_measures
from journalgen.site.marks.pair import show_pair
from journalgen.site.marks.photograph import newest, show, show_all
from journalgen.site.marks.process import lay_process
from journalgen.site.marks.purchase import list_purchase
from journalgen.site.marks.route import lay_route
from journalgen.site.marks.series import list_series
from journalgen.site.marks.tag import write_tag
from journalgen.site.marks.tally import Heads, tally_hours
from journalgen.site.pages.shape import Content, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files, weigh

MOST: Final = 600
"""What one file lists of a part, each photograph counted twice: about 400 bytes a piece."""


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One page a part, with a file for each year of one that much was written on."""
    for part in desk.matter.journal.parts.values():
        file = desk.matter.part_page(part.name)
        if file:
            record = desk.index.parts.get(part.name) or PartRecord()
            weights = _weights(record, desk.matter.figures.shots.get(part.name, []))
            stretches = divide(record.sessions, _day, partial(_weigh, weights), MOST)
            yield from list_files(file, stretches, fill, part)


def fill(desk: Desk, part: Part, stretch: Stretch[Session]) -> Content:
    """All that the journal holds on one part, or on its sessions of one year."""
    whole = desk.index.parts.get(part.name) or PartRecord()
    listed = whole.within(stretch.rows)
    record = whole if stretch.itself else listed
    shots = desk.matter.figures.shots.get(part.name, [])
    pages = {session.page for session in stretch.rows}
    over_time = whole.measures if len(whole.measures) <= MOST and stretch.itself else listed.measures
    pair = desk.matter.figures.pairs.get(part.name)
    hero = newest(desk, shots)
    lore = desk.matter.lore
    return Content(
        title=part.name,
        description=_description(desk, part, whole),
        fields={
            "part": part,
            "tag": write_tag(desk, part),
            "assembly": desk.assembly(part.assembly) if part.assembly else None,
            "needs": [desk.part(name) for name in part.needs],
            "needed_by": [desk.part(name) for name in desk.index.needed_by.get(part.name, [])],
            "hero": show(desk, hero) if hero else None,
            "coats": lay_coats(desk, part.name),
            "route": lay_route(desk, part.name),
            "process": lay_process(desk, part.name, listed, stretch.itself),
            "cautions": lore and part_cautions(part.name, record.sessions, desk.matter.journal, lore),
            "found": [(session.day, desk.session(session), row) for session, row in listed.found],
            "decisions": [(session.day, desk.session(session), row) for session, row in listed.decisions],
            "measures": list_measures(desk, listed.measures),
            "series": list_series(desk, over_time),
            "pair": show_pair(desk, pair) if pair else None,
            "photographs": show_all(desk, [shot for shot in shots if shot.session.page in pages]),
            "sessions": _sessions(desk, listed),
            "minutes": record.hours.minutes if desk.shows_hours else None,
            "by_step": _by_step(desk, record) if desk.shows_hours else None,
            **_money(desk, record, listed),
        },
        trail=_trail(desk, part),
        shot=hero,
        facts={"mainEntity": _thing(desk, part, shots)},
    )


def _weights(record: PartRecord, shots: Iterable[Shot]) -> Counter[str]:
    """How much each session brings to the page of a part."""
    found: Counter[str] = Counter()
    for shot in shots:
        found[shot.session.page] += 1 + weigh(0, shot.photo.caption)
    for session, line in record.lines:
        found[session.page] += weigh(0, line.note)
    for cost, _ in record.costs:
        found[cost.session.page] += weigh(len(cost.purchase.parts), cost.purchase.what, cost.purchase.note)
    for use in record.uses:
        found[use.session.page] += 1
    for session, measure in record.measures:
        found[session.page] += 1 + weigh(0, measure.note)
    for session, decision in record.decisions:
        found[session.page] += weigh(0, decision.why)
    for session, row in record.found:
        found[session.page] += weigh(0, row.condition)
    return found


def _weigh(weights: Counter[str], session: Session) -> int:
    return weights[session.page] or 1


def _day(session: Session) -> date:
    return session.day


def _trail(desk: Desk, part: Part) -> tuple[Link, ...]:
    """Down the tree of assemblies."""
    above = assemblies_above(part.name, desk.matter.journal.parts)[::-1]
    return (Link(desk._("Parts"), f"{desk.root}parts.html"), *(desk.assembly(name) for name in above))


def _thing(desk: Desk, part: Part, shots: list[Shot]) -> dict[str, object]:
    facts = {
        "@type": "Product",
        "name": part.name,
        "alternateName": list(part.also_called),
        "description": part.note,
        "isRelatedTo": {"@id": machine_id(desk)},
        "image": describe_pictures(desk, shots),
    }
    return {name: said for name, said in facts.items() if said}


def _money(desk: Desk, record: PartRecord, listed: PartRecord) -> dict[str, object]:
    materials = desk.matter.figures.stock.materials
    return {
        "money": desk.shows_money,
        "suppliers": "suppliers" not in desk.matter.hidden,
        "purchases": [list_purchase(desk, cost, share) for cost, share in listed.costs],
        "listed_spent": listed.spent,
        "listed_consumed": listed.consumed,
        "spent": record.spent,
        "consumed": record.consumed,
        "estimated": record.estimated,
        "uses": [
            {
                "day": use.session.day,
                "material": desk.material(use.material),
                "amount": desk.formats.quantity(use.amount, materials[use.material].unit.name),
                "cost": use.cost,
                "estimated": use.estimated,
                "session": desk.session(use.session),
            }
            for use in listed.uses
        ],
    }


def _by_step(desk: Desk, record: PartRecord) -> object:
    _, hours = desk._, record.hours
    heads = Heads(_("Hours by step"), _("Step"), _("Hours"))
    return tally_hours(desk, heads, hours.by_step(), hours.minutes, desk.step_link)


def _sessions(desk: Desk, record: PartRecord) -> list[dict[str, object]]:
    minutes = add_up(record.shares, lambda share: share.session.page, lambda share: share.minutes)
    return [
        {"day": session.day, "session": desk.session(session), "minutes": minutes.get(session.page)}
        for session in reversed(record.sessions)
    ]


def _description(desk: Desk, part: Part, record: PartRecord) -> str:
    state = desk.term(desk.matter.figures.states[part.name])
    return desk.words.ngettext(
        "%(part)s: %(state)s, one session.", "%(part)s: %(state)s, %(n)s sessions.", len(record.sessions)
    ) % {"part": part.name, "state": state, "n": desk.formats.number(len(record.sessions))}


PAGE = Page("part.html", "parts.html", list_sheets, folder="parts/")
