"""Originality, hours and costs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal

from journalgen.ledgers.hours import assembly_of
from journalgen.ledgers.originality import ORIGINS, Shares
from journalgen.ledgers.sharing import add_up
from journalgen.ledgers.spending import cost_of_materials_used, money_by_assembly
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.model import Block, Facts, Label, Section, Table, plain, tabulate
from journalgen.outside.dossier.things import home_of, purchase_details
from journalgen.records import NO_ASSEMBLY
from journalgen.site.marks.origins import per_cent
from journalgen.site.marks.purchase import rate_in_words, what_was_bought

ORIGINALITY = "originality"
HOURS = "hours"
COSTS = "costs"


def tell_originality(draft: Draft) -> Section:
    """What of the machine is what left the works, by count."""
    tell, _ = draft.tell, draft.tell._
    parts = tell.matter.journal.parts
    origins = {
        part: origin
        for part, origin in tell.matter.figures.craft.originality.origins.items()
        if draft.scope.whole or part in draft.scope.parts
    }
    if not origins:
        return Section(
            ORIGINALITY, _("Originality"), (plain(_("No part is in the register, so nothing can be counted.")),)
        )
    by_assembly: dict[str, dict[str, int]] = {}
    for part, origin in origins.items():
        counts = by_assembly.setdefault(assembly_of(part, parts), dict.fromkeys(ORIGINS, 0))
        counts[origin] += parts[part].quantity
    whole = {origin: sum(counts[origin] for counts in by_assembly.values()) for origin in ORIGINS}
    heads = (_("Assembly"), *map(tell.term, ORIGINS), _("Pieces"))
    table = tabulate(
        heads,
        tuple((tell.assembly_name(name), *_counts(draft, counts)) for name, counts in by_assembly.items()),
        (26, *(11,) * len(ORIGINS), 9),
        tuple(range(1, len(heads))),
        foot=(_("Together"), *_counts(draft, whole, share=True)),
    )
    return Section(
        ORIGINALITY,
        _("Originality"),
        (
            table,
            plain(
                _(
                    "Counted by piece, of every part in the register. A part that was reused or repaired is original; "
                    "one that was made is made, whatever was bought for it. Where it was replaced, or nothing was "
                    "decided, the last used spare or reproduction bought for it stands in its place, and a new part "
                    "bought to replace it counts as a reproduction; of the rest it is not known."
                ),
                quiet=True,
            ),
            Label(_("The parts by origin")),
            Facts(
                tuple(
                    (tell.term(origin), ", ".join(named))
                    for origin in ORIGINS
                    if (named := [part for part, own in origins.items() if own == origin])
                )
            ),
        ),
    )


def _counts(draft: Draft, counts: Mapping[str, int], *, share: bool = False) -> Iterator[str]:
    shares = Shares(dict(counts))
    for origin in ORIGINS:
        count = draft.tell.formats.number(counts[origin]) if counts[origin] or share else ""
        yield f"{count} ({per_cent(draft.tell, shares.share(origin))})" if share else count
    yield draft.tell.formats.number(shares.pieces)


def tell_hours(draft: Draft) -> Section:
    """The hours by assembly, by step and by year; each adds up to the same."""
    tell, _ = draft.tell, draft.tell._
    title = _("Hours")
    if not tell.shows_hours:
        return Section(HOURS, title, (plain(_("Hours are not told in this edition.")),))
    hours = draft.hours
    if not hours.minutes:
        return Section(HOURS, title, (plain(_("No hours are recorded yet.")),))
    by_year = add_up(hours.shares, lambda share: str(share.session.day.year), lambda share: share.minutes)
    count = len(draft.sessions)
    said = tell.words.ngettext("%(hours)s in one session.", "%(hours)s in %(count)s sessions.", count) % {
        "hours": tell.formats.hours(hours.minutes),
        "count": tell.formats.number(count),
    }
    by_assembly = hours.by_assembly(tell.matter.journal.parts)
    named = {tell.assembly_name(name) if name == NO_ASSEMBLY else tell.term(name): n for name, n in by_assembly.items()}
    return Section(
        HOURS,
        title,
        (
            plain(said),
            Label(_("Hours by assembly")),
            _minutes(draft, _("Assembly"), most_first(named)),
            Label(_("Hours by step")),
            _minutes(draft, _("Step"), most_first({tell.step(step): n for step, n in hours.by_step().items()})),
            Label(_("Hours by year")),
            _minutes(draft, _("Calendar year"), dict(sorted(by_year.items()))),
        ),
    )


def most_first(sums: Mapping[str, int]) -> dict[str, int]:
    """The same, the greatest first."""
    return dict(sorted(sums.items(), key=lambda row: -row[1]))


def _minutes(draft: Draft, head: str, sums: Mapping[str, int]) -> Table:
    show = draft.tell.formats.hours_in_column
    total = sum(sums.values())
    return tabulate(
        (head, draft.tell._("Hours")),
        tuple((name, show(minutes)) for name, minutes in sums.items()),
        (70, 20),
        (1,),
        foot=(draft.tell._("Together"), show(total)),
    )


def tell_costs(draft: Draft) -> Section:
    """What was spent, and every purchase, as billed and in home money; or that it is not told."""
    tell, _ = draft.tell, draft.tell._
    title = _("Costs")
    if not tell.shows_money:
        return Section(COSTS, title, (plain(_("Costs are not told in this edition.")),))
    if not draft.money:
        return Section(COSTS, title, (plain(_("The owner chose not to tell the costs in this dossier.")),))
    if not draft.costs:
        return Section(COSTS, title, (plain(_("No purchase is recorded yet.")),))
    return Section(COSTS, title, tuple(_costs(draft)))


def _costs(draft: Draft) -> Iterator[Block]:
    tell, _ = draft.tell, draft.tell._
    money, home = draft.money_ledger, tell.formats.home
    parts = tell.matter.journal.parts
    rows = [(_("Spent"), home(money.total))]
    if draft.scope.whole:
        rows.append((_("of it, materials used up"), home(cost_of_materials_used(tell.matter.figures.stock))))
    rows += [
        (_("Not converted"), tell.formats.sentence(map(tell.formats.money, found)))
        for found in [[m for cost in draft.costs for m in cost.not_converted]]
        if found
    ]
    yield Facts(tuple(rows))
    if not draft.scope.whole:
        yield plain(
            _("These are the purchases that name a part of this dossier, with all that each of them names."), quiet=True
        )
    yield Label(_("By kind of purchase"))
    yield _sums(draft, _("Kind"), {tell.term(kind): sum_ for kind, sum_ in money.by_kind().items()}, money.total)
    if draft.scope.whole:
        yield Label(_("By assembly the purchase was for"))
        by_assembly = money_by_assembly(money, parts)
        yield _sums(
            draft, _("Assembly"), {tell.assembly_name(name): sum_ for name, sum_ in by_assembly.items()}, money.total
        )
    yield Label(_("Every purchase"))
    yield tabulate(
        (
            _("Day"),
            _("What"),
            _("Kind"),
            _("From"),
            _("As billed"),
            _("In %(currency)s") % {"currency": tell.home_currency},
        ),
        tuple(_purchases(draft)),
        (15, 34, 15, 20, 22, 15),
        (5,),
        foot=(_("Together"), "", "", "", "", home(money.total)),
    )


def _sums(draft: Draft, head: str, sums: Mapping[str, Decimal], total: Decimal) -> Table:
    home = draft.tell.formats.home
    rows = sorted(sums.items(), key=lambda row: -row[1])
    return tabulate(
        (head, draft.tell._("Spent")),
        tuple((name, home(found)) for name, found in rows),
        (70, 20),
        (1,),
        foot=(draft.tell._("Together"), home(total)),
    )


def _purchases(draft: Draft) -> Iterable[tuple[str, ...]]:
    tell = draft.tell
    for cost in draft.costs:
        purchase = cost.purchase
        named = ", ".join(filter(None, (purchase.material, what_was_bought(tell, purchase))))
        parts = tell.formats.sentence(purchase.parts) if purchase.parts and purchase.what else ""
        what = "; ".join(filter(None, (named, parts, purchase_details(draft, cost))))
        billed = "; ".join(
            " ".join(filter(None, (tell.formats.money(c.billed), rate_in_words(tell, c)))) for c in cost.conversions
        )
        what = draft.marked(what, purchase.private)
        yield (draft.day(cost.day), what, tell.term(purchase.kind), purchase.party or "", billed, home_of(draft, cost))
