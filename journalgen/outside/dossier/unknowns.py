"""What is not known, or not told: as much a part of a record as what is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from journalgen.ledgers.originality import NOT_KNOWN
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.model import Block, Facts, Label, Section, plain
from journalgen.pictures.model import Picture
from journalgen.site.words import mark

UNKNOWNS = "unknowns"
HIDDEN = {
    "prices": mark("what things cost"),
    "suppliers": mark("who sold things or worked on them"),
    "storage": mark("where parts are kept"),
    "numbers": mark("the numbers of parts, and of the machine all but the last two characters"),
    "hours": mark("how long the work took"),
}


def tell_unknowns(draft: Draft) -> Section:
    """Every gap that the record itself shows. That none is listed does not mean that nothing is unknown."""
    _ = draft.tell._
    gaps = [(name, said) for name, said in _gaps(draft) if said]
    blocks: list[Block] = [
        plain(
            _(
                "These gaps show in the record itself. What nobody looked at, and what was done before the machine "
                "came to the bench, is not known unless it is told above."
            )
        )
    ]
    blocks += [Facts(tuple(gaps))] if gaps else [plain(_("No gap shows."))]
    withheld = [_(HIDDEN[kind]) for kind in sorted(draft.tell.matter.hidden)]
    if not draft.tell.matter.owner:
        withheld += [_("what the owner marked as private"), _("who kept the record, and whose the machine is")]
    elif not draft.money:
        withheld.append(_("what things cost"))
    if withheld:
        blocks += [
            Label(_("Known, and not told here")),
            plain(draft.tell.formats.sentence(withheld)),
        ]
    if draft.not_shown:
        blocks += [
            Label(_("Letters that could not be printed")),
            plain(_("In their place stands their number in Unicode, between brackets.")),
            plain(", ".join(shown for _letter, shown in draft.not_shown), quiet=True),
        ]
    return Section(UNKNOWNS, _("What is not known"), tuple(blocks))


def _gaps(draft: Draft) -> Iterator[tuple[str, str]]:
    yield from _of_machine(draft)
    yield from _of_parts(draft)
    yield from _of_work(draft)
    yield from _of_photographs(draft)


def _of_machine(draft: Draft) -> Iterator[tuple[str, str]]:
    _, matter = draft.tell._, draft.tell.matter
    machine, statement = matter.journal.settings.machine, matter.journal.settings.statement
    missing = [
        name
        for name, known in (
            (_("maker"), machine.maker),
            (_("year"), machine.year),
            (_("identity number"), machine.identity_number),
            (_("day on which it came to the bench"), machine.arrived),
            (_("purpose of the restoration"), statement.purpose),
            *(((_("who kept the record"), statement.keeper), (_("owner"), statement.owner)) if matter.owner else ()),
        )
        if not known
    ]
    yield _("Of the machine"), draft.tell.formats.sentence(missing) if missing else ""


def _of_parts(draft: Draft) -> Iterator[tuple[str, str]]:
    tell, _ = draft.tell, draft.tell._
    figures, parts = tell.matter.figures, draft.scope.parts
    shots = figures.shots
    origins = figures.craft.originality.origins

    def shows(part: str, what: str) -> bool:
        return any(shot.photo.shows == what for shot in shots.get(part, ()))

    yield _("Origin not known"), _named(p for p in parts if origins.get(p, NOT_KNOWN) == NOT_KNOWN)
    yield _("Nothing decided"), _named(p for p in parts if p not in tell.index.decisions)
    yield _("No condition written down"), _named(p for p in parts if not draft.record(p).found)
    yield _("No photograph before work"), _named(p for p in parts if not shows(p, "before"))
    yield _("No photograph after work"), _named(p for p in parts if not shows(p, "after"))


def _of_work(draft: Draft) -> Iterator[tuple[str, str]]:
    tell, _ = draft.tell, draft.tell._
    figures = tell.matter.figures
    assumed = [
        part
        for part in draft.scope.parts
        if any(coat.session and coat.built is None for coat in figures.craft.coats.get(part, ()))
    ]
    yield _("Film of a coat not known, or only as asked"), _named(assumed)
    if tell.shows_hours:
        worked = {share.session.page for share in draft.hours.shares}
        silent = [draft.day(session.day) for session in draft.sessions if session.page not in worked]
        yield _("Sessions without hours"), ", ".join(silent)
    doubtless = [
        f"{part}: {row.what}"
        for part in draft.scope.parts
        for _session, row in draft.record(part).measures
        if row.uncertainty is None
    ]
    yield _("Measured, with no uncertainty given"), ", ".join(dict.fromkeys(doubtless))
    stock = figures.stock.materials
    yield (
        _("Used more than was bought, as far as is recorded"),
        ", ".join(name for name in draft.materials if name in stock and stock[name].left < 0),
    )
    if draft.money:
        unpriced = [cost for cost in draft.costs if not cost.conversions]
        yield (
            _("Purchases without a price"),
            ", ".join(dict.fromkeys(cost.purchase.what or tell.term(cost.purchase.kind) for cost in unpriced)),
        )
    yield _("Entries left out because of errors"), ", ".join(tell.matter.left_out)


def _of_photographs(draft: Draft) -> Iterator[tuple[str, str]]:
    _ = draft.tell._
    gone = [number for file, number in draft.numbers.items() if not isinstance(draft.digests.get(file, ""), str)]
    yield _("Photographs that cannot be read"), ", ".join(map(str, gone))
    broken = [
        str(draft.numbers[shot.photo.file])
        for row in draft.chosen.values()
        for shot in row
        if not isinstance(draft.tell.matter.pictures.get(shot.photo.file), Picture)
        and draft.numbers[shot.photo.file] not in gone
    ]
    yield _("Photographs that cannot be shown"), ", ".join(dict.fromkeys(broken))


def _named(parts: Iterable[str]) -> str:
    return ", ".join(parts)
