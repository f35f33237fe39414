"""What was done to each part, in order: steps, coats with their film, materials, measures, photographs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from journalgen.editions import SUPPLIERS
from journalgen.ledgers.coats import Coat, build_of
from journalgen.ledgers.measures import verdict
from journalgen.ledgers.sharing import add_up
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.model import (
    Band,
    Block,
    Coats,
    Facts,
    Heading,
    Label,
    Pictures,
    Section,
    Table,
    plain,
    tabulate,
)
from journalgen.records import UNSPECIFIED, Measure, Session, WorkLine
from journalgen.site.drawings.coats import NOMINAL
from journalgen.site.marks.conditions import short_conditions
from journalgen.site.marks.work import remarks_of

TREATMENT = "treatment"
_PLAIN_COLOUR = "#c9cfc9"  # of a coat whose colour the register does not give


def tell_treatment(draft: Draft) -> Section:
    """Part by part, the assemblies in the order of the register."""
    _ = draft.tell._
    blocks: list[Block] = []
    for assembly, parts in draft.scope.assemblies:
        blocks.append(Heading(draft.tell.assembly_name(assembly.name), 2, contents=True))
        for part in parts:
            blocks.append(Heading(part, 3, contents=True))
            blocks += _part(draft, part)
    if not blocks:
        blocks.append(plain(_("No part is named yet.")))
    return Section(TREATMENT, _("Treatment, part by part"), tuple(blocks))


def _part(draft: Draft, part: str) -> Iterator[Block]:
    _, record = draft.tell._, draft.record(part)
    yield _facts(draft, part)
    note = draft.tell.matter.journal.parts[part].note
    if note:
        yield plain(note)
    if record.found:
        yield Label(_("Found"))
        yield tabulate(
            (_("Day"), _("Found"), _("How bad")),
            tuple(
                (
                    draft.day(session.day),
                    draft.marked(row.condition, row.private),
                    draft.tell.term(row.severity) if row.severity else "",
                )
                for session, row in record.found
            ),
            (16, 72, 14),
        )
    if record.lines:
        yield Label(_("What was done"))
        yield _steps(draft, record.lines)
    yield from _coats(draft, part)
    yield from _materials(draft, part)
    if record.measures:
        yield Label(_("Measures"))
        yield tabulate_measures(draft, record.measures)
    yield from _photographs(draft, part)


def _facts(draft: Draft, part: str) -> Facts:
    tell, _ = draft.tell, draft.tell._
    matter, row, record = tell.matter, tell.matter.journal.parts[part], draft.record(part)
    origin = matter.figures.craft.originality.origins.get(part)
    decided = tell.index.decisions.get(part)
    minutes = record.hours.minutes
    facts = (
        (_("State"), tell.term(matter.figures.states[part])),
        (_("Decision"), tell.term(decided) if decided else _("nothing decided")),
        (_("Origin"), tell.term(origin) if origin else ""),
        (_("Number"), row.number or ""),
        (_("Quantity"), tell.formats.number(row.quantity) if row.quantity != 1 else ""),
        (_("Area of one"), str(tell.formats.amount(row.area)) if row.area else ""),
        (_("Also called"), ", ".join(row.also_called)),
        (_("Stored"), row.stored or ""),
        (_("Hours"), tell.formats.hours(minutes) if tell.shows_hours and minutes else ""),
        (_("Spent"), tell.formats.home(record.spent) if draft.money and record.costs else ""),
    )
    return Facts(tuple((name, said) for name, said in facts if said), short=True)


def _steps(draft: Draft, lines: Iterable[tuple[Session, WorkLine]]) -> Table:
    _ = draft.tell._
    return tabulate(
        (_("Day"), _("Step"), _("Material"), _("Result and note")),
        tuple(
            (draft.day(session.day), _step(draft, line), _used(draft, line), _remarks(draft, line))
            for session, line in lines
        ),
        (16, 22, 26, 40),
    )


def _step(draft: Draft, line: WorkLine) -> str:
    step = draft.tell.step(line.step or UNSPECIFIED)
    said = f"{step}, {draft.tell._('coat %(n)s') % {'n': line.coat}}" if line.coat else step
    return draft.marked(said, line.private)


def _used(draft: Draft, line: WorkLine) -> str:
    if not line.material:
        return ""
    said = [line.material]
    if line.amount:
        said.append(str(draft.tell.formats.amount(line.amount)))
        if len(line.parts) > 1:
            said.append(draft.tell._("with other parts"))
    return ", ".join(said)


def _remarks(draft: Draft, line: WorkLine) -> str:
    tell = draft.tell
    conditions = short_conditions(tell, line)
    found = tell.index.conditions.get(str(line.place))
    unfit = tell._("not fit for this coat") if found and found.fit is False else ""
    return "; ".join(filter(None, (*remarks_of(tell, line), conditions, unfit)))


def _coats(draft: Draft, part: str) -> Iterator[Block]:
    """The section and its table; the same is said under it in words."""
    tell, _ = draft.tell, draft.tell._
    coats = tell.matter.figures.craft.coats.get(part, ())
    build = build_of(coats)
    if not build.laid:
        return
    ngettext, formats = tell.words.ngettext, tell.formats
    colours = {name: row.colour for name, row in tell.matter.journal.materials.items()}
    yield Label(_("Coats"))
    rows = tuple(
        (
            formats.number(turn),
            f"{tell.step(coat.step)} {formats.number(coat.number)}",
            coat.material or _("not said"),
            _film(draft, coat),
            draft.day(coat.day) if coat.day else _("to come"),
        )
        for turn, coat in enumerate(coats, 1)
    )
    so_far = str(formats.film(build.so_far)) if build.so_far is not None else _("not known")
    asked = ""
    said = so_far
    if build.wanted is not None:
        full = str(formats.film(Fraction(build.wanted)))
        asked = _("%(film)s wanted") % {"film": full}
        said = _("%(film)s of the %(wanted)s wanted") % {"film": so_far, "wanted": full}
    laid = ngettext("one coat", "%(n)s coats", build.laid) % {"n": formats.number(build.laid)}
    yield Coats(
        bands=tuple(
            Band(
                colours.get(coat.material or "") or _PLAIN_COLOUR,
                float(NOMINAL if coat.film is None else coat.film),
                coat.session is None,
            )
            for coat in coats
        ),
        alt=_("%(part)s: section through %(coats)s, %(film)s. The table beside it holds the same figures.")
        % {"part": part, "coats": laid, "film": said},
        surface=_("bare surface"),
        table=tabulate(
            (_("No."), _("Coat"), _("Material"), _("Dry film"), _("Laid")),
            rows,
            (6, 30, 28, 19, 19),
            foot=("", _("Dry film so far"), asked, so_far, ""),
        ),
    )


def _film(draft: Draft, coat: Coat) -> str:
    tell = draft.tell
    if coat.film is None:
        return tell._("film not known")
    film = str(tell.formats.film(coat.film))
    return film if coat.built is not None or coat.session is None else tell._("%(film)s asked") % {"film": film}


def _materials(draft: Draft, part: str) -> Iterator[Block]:
    """What was used up on the part, with who sold it."""
    tell, _ = draft.tell, draft.tell._
    uses = draft.record(part).uses
    if not uses:
        return
    stock = tell.matter.figures.stock.materials
    amounts = add_up(uses, lambda use: use.material, lambda use: use.amount)
    suppliers = {name: suppliers_of(draft, name) for name in amounts}
    yield Label(_("Materials used up on this part"))
    heads, widths = (_("Material"), _("Amount"), _("From")), (36, 22, 44)
    rows = tuple(
        (name, str(tell.formats.quantity(amount, stock[name].unit.name)), suppliers[name])
        for name, amount in amounts.items()
    )
    if SUPPLIERS in tell.matter.hidden:
        yield tabulate(heads[:2], tuple(row[:2] for row in rows), (60, 42))
    else:
        yield tabulate(heads, rows, widths)


def suppliers_of(draft: Draft, material: str) -> str:
    """Who sold the lots of a material, each once."""
    found = draft.tell.matter.figures.stock.materials.get(material)
    named = [lot.cost.purchase.party for lot in found.lots if lot.cost.purchase.party] if found else []
    return ", ".join(dict.fromkeys(named)) or draft.tell._("not said")


def tabulate_measures(draft: Draft, rows: Iterable[tuple[Session, Measure]]) -> Table:
    """What was measured, against which limits, and the verdict."""
    tell, _ = draft.tell, draft.tell._
    return tabulate(
        (_("Day"), _("What"), _("Value"), _("Limits"), _("Verdict"), _("Note")),
        tuple(
            (
                draft.day(session.day),
                draft.marked(measure.what, measure.private),
                str(tell.formats.measured(measure)),
                str(tell.formats.limits(measure.limits)) if measure.limits else _("no limits"),
                tell.term(found) if (found := verdict(measure)) else "",
                measure.note or "",
            )
            for session, measure in rows
        ),
        (15, 21, 21, 20, 13, 20),
    )


def _photographs(draft: Draft, part: str) -> Iterator[Block]:
    _, shots = draft.tell._, draft.tell.matter.figures.shots.get(part, ())
    shown = draft.chosen.get(part, ())
    if shown:
        yield Label(_("Photographs"))
        yield Pictures(tuple(map(draft.picture, shown)))
    files = {shot.photo.file for shot in shown}
    rest = [shot for shot in shots if shot.photo.file not in files]
    if rest:
        yield plain(
            _("Listed at the end, and not shown: %(numbers)s.") % {"numbers": draft.numbers_of(rest)}, quiet=True
        )
