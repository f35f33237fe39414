"""The whole dossier: its first page, and its sections in order."""

from __future__ import annotations

from typing import Final, Literal

from journalgen.ledgers.highlights import best_pairs, opening_shot
from journalgen.ledgers.pairs import Shot
from journalgen.outside.dossier.about import keeper_facts, machine_facts, recorded, tell_machine, tell_record
from journalgen.outside.dossier.cautions import tell_cautions
from journalgen.outside.dossier.draft import MACHINE, Draft
from journalgen.outside.dossier.examination import tell_arrival, tell_plan
from journalgen.outside.dossier.figures import tell_costs, tell_hours, tell_originality
from journalgen.outside.dossier.model import Document, Facts, Pictures
from journalgen.outside.dossier.photographs import tell_photographs
from journalgen.outside.dossier.sessions import tell_sessions
from journalgen.outside.dossier.things import tell_materials, tell_outside_work, tell_sources
from journalgen.outside.dossier.treatment import tell_treatment
from journalgen.outside.dossier.unknowns import tell_unknowns

MARK: Final = "journalgen-dossier/1"
"""By which the program knows its own dossiers."""

Paper = Literal["a4", "letter"]


def make_document(draft: Draft, shots: tuple[Shot, ...], paper: Paper) -> Document:
    """The document; `shots` are the photographs that it is about, in order of time."""
    tell, _ = draft.tell, draft.tell._
    matter = tell.matter
    settings, on = matter.journal.settings, matter.figures.on
    name = settings.machine.name or settings.title
    about = "" if draft.scope.whole else f": {tell.formats.sentence(draft.scope.named)}"
    title = f"{settings.title}{about}"
    language, _hyphen, region = tell.formats.language.partition("-")
    edition = _("Owner’s edition") if matter.owner else _("Public edition")
    facts = (
        *machine_facts(draft),
        *keeper_facts(draft),
        (_("Recorded"), recorded(draft)),
        (_("State on"), tell.formats.long(on)),
        (_("Edition"), edition),
    )
    return Document(
        title=title,
        kind=_("Dossier of a restoration"),
        head=name if draft.scope.whole else f"{name}{about}",
        edition=edition,
        day=(on.year, on.month, on.day),
        language=language,
        region=region if len(region) == 2 else None,
        paper="a4" if paper == "a4" else "us-letter",
        author=settings.statement.keeper,
        description=_("The record of a restoration: %(title)s.") % {"title": title},
        mark=MARK,
        contents=_("Contents"),
        page=_("Page %(page)s of %(pages)s") % {"page": "{page}", "pages": "{pages}"},
        hero=_hero(draft),
        facts=Facts(facts),
        sections=(
            tell_record(draft),
            tell_machine(draft),
            tell_arrival(draft),
            tell_plan(draft),
            tell_treatment(draft),
            tell_materials(draft),
            tell_outside_work(draft),
            tell_originality(draft),
            tell_hours(draft),
            tell_costs(draft),
            tell_cautions(draft),
            tell_sources(draft),
            tell_unknowns(draft),
            tell_sessions(draft),
            tell_photographs(draft, shots),
        ),
    )


def _hero(draft: Draft) -> Pictures | None:
    """Before and after: of the machine itself if there are both, else of the part that shows most."""
    figures, has = draft.tell.matter.figures, draft.tell.has_picture
    own = [shot for shot in draft.chosen.get(MACHINE, ()) if has(shot.photo.file)]
    before = next((shot for shot in own if shot.photo.shows == "before"), None)
    after = next((shot for shot in reversed(own) if shot.photo.shows == "after"), None)
    if before and after:
        return Pictures((draft.picture(before, large=True), draft.picture(after, large=True)))
    pairs = [pair for part, pair in figures.pairs.items() if part in draft.chosen]
    best = next(iter(best_pairs(pairs, draft.tell.index.minutes_by_part, has, 1)), None)
    if best:
        return Pictures((draft.picture(best.before, large=True), draft.picture(best.after, large=True)))
    opening = opening_shot(draft.sessions, lambda file: has(file) and file in draft.numbers)
    return Pictures((draft.picture(opening, large=True),)) if opening else None
