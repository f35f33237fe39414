"""Cautions for the next owner: what brakes, steers or lifts, what lies on the machine, what is not in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from journalgen.knowledge.trade import Caution
from journalgen.ledgers.cautions import gather
from journalgen.ledgers.measures import WITHIN, verdict
from journalgen.ledgers.states import FITTED
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.examination import findings
from journalgen.outside.dossier.model import Block, Items, Label, Paragraph, Run, Section, plain, tabulate

CAUTIONS = "cautions"
_UNSAFE = ("unsafe",)


def tell_cautions(draft: Draft) -> Section:
    """By part, by material, by kind of work; and what was found unsafe or out of limits."""
    _ = draft.tell._
    blocks = [*_open_matters(draft), *_notices(draft)]
    return Section(
        CAUTIONS,
        _("Cautions for the next owner"),
        (
            plain(
                _(
                    "This is a record of what one person did to one machine, not advice. Safety data sheets, the "
                    "maker’s instructions, local codes and licensed practice come first, always."
                )
            ),
            *blocks,
        ),
    )


def _open_matters(draft: Draft) -> Iterator[Block]:
    tell, _ = draft.tell, draft.tell._
    unsafe = [
        (part or _("The machine as a whole"), row.condition, draft.day(session.day))
        for part, session, row in findings(draft)
        if row.severity in _UNSAFE
    ]
    if unsafe:
        yield Label(_("Found unsafe"))
        yield tabulate((_("Part"), _("Found"), _("Day")), tuple(unsafe), (24, 62, 16))
        yield plain(_("See what was done about it under the part."), quiet=True)
    measured = [
        (part, row.what, str(tell.formats.measured(row)), tell.term(found), draft.day(session.day))
        for part in draft.scope.parts
        for session, row in draft.record(part).measures
        if (found := verdict(row)) and found != WITHIN
    ]
    if measured:
        yield Label(_("Measures that are not proven to be within their limits"))
        yield tabulate(
            (_("Part"), _("What"), _("Value"), _("Verdict"), _("Day")), tuple(measured), (24, 26, 22, 16, 16)
        )
        yield plain(_("A later measure of the same may be: see under the part."), quiet=True)
    states = tell.matter.figures.states
    unfitted = [part for part in draft.scope.parts if states.get(part) != FITTED]
    if unfitted:
        yield Label(_("Parts that are not fitted"))
        yield plain(", ".join(f"{part} ({tell.term(states[part])})" for part in unfitted))


def _notices(draft: Draft) -> Iterator[Block]:
    tell, _ = draft.tell, draft.tell._
    lore, journal = tell.matter.lore, tell.matter.journal
    if lore is None:
        return
    by_class: dict[str, list[str]] = {}
    for part in draft.scope.parts:
        safety = journal.parts[part].safety
        if safety in lore.by_class:
            by_class.setdefault(safety or "", []).append(part)
    if by_class:
        yield Label(_("Parts on which lives depend"))
        yield Items(tuple((_caution(lore.by_class[key], f" ({', '.join(parts)})"),) for key, parts in by_class.items()))
    laid = dict.fromkeys(
        coat.material
        for part in draft.scope.parts
        for coat in tell.matter.figures.craft.coats.get(part, ())
        if coat.material and coat.session
    )
    lying = gather([], [name for name in laid if name], [], journal, lore)
    if lying:
        yield Label(_("What lies on the machine, for whoever grinds, heats or strips it"))
        yield Items(tuple((_caution(caution, sourced=False),) for caution in lying))
        yield plain(lore.statements, quiet=True)
    used = [name for name in draft.materials if name not in laid]
    others = gather([], used, [], journal, lore)
    if others:
        yield Label(_("What else was used on it"))
        yield Items(tuple((_caution(caution, sourced=False),) for caution in others))
    steps = dict.fromkeys(
        line.step for session in draft.sessions for line in session.work if line.step and _meant(draft, line.parts)
    )
    works = gather(steps, [], [], journal, lore)
    if works:
        yield Label(_("If such work is done again"))
        yield Items(tuple((_caution(caution),) for caution in works))
    yield plain(lore.defer)


def _meant(draft: Draft, parts: Iterable[str]) -> bool:
    return draft.scope.whole or not frozenset(draft.scope.parts).isdisjoint(parts)


def _caution(caution: Caution, about: str = "", *, sourced: bool = True) -> Paragraph:
    said = " ".join(caution.text)
    runs = [Run(f"{caution.title}{about}. ", "strong")]
    if said:
        runs.append(Run(f"{said} "))
    if sourced:
        runs.append(Run(f"({caution.source})", "emphasis"))
    return Paragraph(tuple(runs))
