"""Materials with who sold them, work done outside by firms, and the list of sources."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journalgen.editions import SUPPLIERS
from journalgen.ledgers.money import Cost
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.model import Block, Label, Section, plain, tabulate
from journalgen.outside.dossier.treatment import suppliers_of
from journalgen.records import Material
from journalgen.site.marks.purchase import details_of, what_was_bought

MATERIALS = "materials"
OUTSIDE = "outside"
SOURCES = "sources"
OUTSIDE_WORK = "outside work"
_DOCUMENT = "document"
_COMMON = "common practice"  # is no publication


def tell_materials(draft: Draft) -> Section:
    """Everything that was put on the machine or used on it, what it is, how much of it, and from whom."""
    tell, _ = draft.tell, draft.tell._
    rows = []
    for name in draft.materials:
        row, kept = tell.matter.journal.materials.get(name), tell.matter.figures.stock.materials.get(name)
        used = str(tell.formats.quantity(kept.used, kept.unit.name)) if kept and kept.uses else _("not said")
        rows.append((name, "; ".join(_what_it_is(draft, row)) if row else "", used, suppliers_of(draft, name)))
    heads = (_("Material"), _("What it is"), _("Used in all"), _("From"))
    if not rows:
        return Section(MATERIALS, _("Materials"), (plain(_("No material was written down.")),))
    intro = plain(
        _(
            "Every material that was used, with what the register knows of it and the hazard codes of its label. What "
            "it was used for stands with each part."
        )
    )
    if SUPPLIERS in tell.matter.hidden:
        table = tabulate(heads[:3], tuple(row[:3] for row in rows), (26, 56, 20), (2,))
    else:
        table = tabulate(heads, tuple(rows), (22, 40, 16, 24), (2,))
    return Section(MATERIALS, _("Materials"), (intro, table))


def _what_it_is(draft: Draft, row: Material) -> Iterator[str]:
    tell, _ = draft.tell, draft.tell._
    if row.kind:
        yield tell.term(row.kind)
    if row.solids:
        yield _("solids %(share)s by volume") % {"share": tell.formats.per_cent(row.solids)}
    if row.film:
        yield _("%(film)s a coat") % {"film": tell.formats.film(row.film, None)}
    if row.hazards:
        yield ", ".join(row.hazards)
    if row.note:
        yield row.note


def tell_outside_work(draft: Draft) -> Section:
    """What others did to the machine, who they are, and where."""
    tell, _ = draft.tell, draft.tell._
    costs = [cost for cost in draft.costs if cost.purchase.kind == OUTSIDE_WORK]
    if not costs:
        return Section(
            OUTSIDE, _("Work done outside"), (plain(_("No work was given to others, as far as is recorded.")),)
        )
    columns = [(16, _("Day"), False), (24, _("Part"), False), (34, _("What"), False)]
    firms = SUPPLIERS not in tell.matter.hidden
    if firms:
        columns.append((28, _("Firm"), False))
    if draft.money:
        columns.append((16, _("Cost"), True))
    rows = [
        (
            draft.day(cost.day),
            tell.formats.sentence(cost.purchase.parts) if cost.purchase.parts else _("The machine as a whole"),
            "; ".join((what_was_bought(tell, cost.purchase), *([cost.purchase.note] if cost.purchase.note else []))),
            *([_firm(draft, cost.purchase.party)] if firms else []),
            *([home_of(draft, cost)] if draft.money else []),
        )
        for cost in costs
    ]
    figures = tuple(at for at, column in enumerate(columns) if column[2])
    table = tabulate(
        tuple(head for _w, head, _f in columns), tuple(rows), tuple(width for width, _h, _f in columns), figures
    )
    withheld = [] if firms else [plain(_("The firms are not told in this edition."))]
    return Section(OUTSIDE, _("Work done outside"), (*withheld, table))


def _firm(draft: Draft, name: str | None) -> str:
    found = draft.tell.matter.journal.suppliers.get(name or "")
    said = [name or draft.tell._("not said"), *(text for text in (found and found.where, found and found.site) if text)]
    return ", ".join(said)


def home_of(draft: Draft, cost: Cost) -> str:
    """What a purchase came to in home money, with what could not be converted."""
    tell = draft.tell
    if not cost.conversions:
        return tell._("not said")
    said = [tell.formats.home(cost.home)] if cost.complete or cost.home else []
    return " + ".join((*said, *map(tell.formats.money, cost.not_converted)))


def tell_sources(draft: Draft) -> Section:
    """Who things came from, which documents were consulted, and what the figures rest on."""
    tell, _ = draft.tell, draft.tell._
    blocks: list[Block] = []
    if SUPPLIERS in tell.matter.hidden:
        blocks.append(plain(_("Who sold things is not told in this edition.")))
    else:
        blocks += _suppliers(draft)
    documents = [cost for cost in draft.costs if cost.purchase.kind == _DOCUMENT]
    if documents:
        blocks.append(Label(_("Documents")))
        blocks.append(
            tabulate(
                (_("Day"), _("What"), _("Part"), _("From")),
                tuple(
                    (
                        draft.day(cost.day),
                        what_was_bought(tell, cost.purchase),
                        tell.formats.sentence(cost.purchase.parts) if cost.purchase.parts else "",
                        cost.purchase.party or "",
                    )
                    for cost in documents
                ),
                (16, 44, 22, 22),
            )
        )
    blocks.append(Label(_("What the figures rest on")))
    blocks += [plain(text, quiet=True) for text in _publications(draft)]
    return Section(SOURCES, _("Sources"), tuple(blocks))


def _suppliers(draft: Draft) -> Iterator[Block]:
    tell, _ = draft.tell, draft.tell._
    meant = {id(cost) for cost in draft.costs}
    rows = []
    for source in tell.index.sources:
        costs = [cost for cost in source.costs if id(cost) in meant]
        if not source.name or not (costs or (draft.scope.whole and source.supplier and source.supplier.place)):
            continue
        row = source.supplier
        said = [text for text in (row and row.where, row and row.site, row and row.kind, row and row.note) if text]
        kinds = ", ".join(dict.fromkeys(tell.term(cost.purchase.kind) for cost in costs))
        spent = sum((cost.home for cost in costs), Decimal(0))
        rows.append(
            (source.name, "; ".join(said), kinds or _("nothing yet"), tell.formats.home(spent) if costs else "")
        )
    if not rows:
        yield plain(_("No supplier is recorded yet."))
        return
    heads = (_("Name"), _("Where and what"), _("Sold or did"), _("Spent"))
    yield Label(_("Firms and persons"))
    if draft.money:
        yield tabulate(heads, tuple(rows), (26, 40, 24, 14), (3,))
    else:
        yield tabulate(heads[:3], tuple(row[:3] for row in rows), (28, 46, 28))


def _publications(draft: Draft) -> Iterator[str]:
    """What the reckoning rests on, as far as this dossier uses it."""
    tell, _ = draft.tell, draft.tell._
    figures, journal = tell.matter.figures, tell.matter.journal
    if figures.any_measured:
        yield _("Verdicts on measures: ISO 14253-1.")
    if figures.craft.conditions:
        yield _("Dew point: Magnus form, coefficients of Alduchov and Eskridge, 1996; margin after ISO 8502-4.")
    if draft.money and any(c.origin == "reference" for cost in draft.costs for c in cost.conversions):
        yield _("Rates of exchange: euro foreign exchange reference rates of the European Central Bank.")
    if tell.matter.lore and any(row.hazards for row in journal.materials.values()):
        yield tell.matter.lore.statements
    done = {line.step for session in draft.sessions for line in session.work if line.step}
    named = (journal.steps[step].source for step in done if step in journal.steps)
    yield from sorted({_(source) for source in named if source and not source.startswith(_COMMON)})


def purchase_details(draft: Draft, cost: Cost) -> str:
    """What the sum is made of and when the thing came."""
    paid = draft.tell._("ordered %(day)s") % {"day": draft.day(cost.day)}  # which the row tells already
    return "; ".join(phrase for phrase in details_of(draft.tell, cost) if phrase != paid)
