"""What the dossier is, who kept the record, and how its figures were obtained; and the machine itself."""

from __future__ import annotations

from collections.abc import Iterator

from journalgen.outside.dossier.draft import MACHINE, Draft
from journalgen.outside.dossier.model import Block, Facts, Label, Paragraph, Pictures, Section, plain

RECORD = "record"
THE_MACHINE = "machine"


def machine_facts(draft: Draft) -> tuple[tuple[str, str], ...]:
    """What the machine is known by; what is not known is said to be so."""
    _, settings = draft.tell._, draft.tell.matter.journal.settings
    machine, unknown = settings.machine, draft.tell._("not known")
    return (
        (_("Object"), machine.name or settings.title),
        (_("Maker"), machine.maker or unknown),
        (_("Year"), machine.year or unknown),
        (_("Identity number"), machine.identity_number or unknown),
        (_("Came to the bench"), draft.tell.formats.long(machine.arrived) if machine.arrived else unknown),
    )


def keeper_facts(draft: Draft) -> tuple[tuple[str, str], ...]:
    """Who kept the record and whose the machine is. The public edition names nobody."""
    _, statement = draft.tell._, draft.tell.matter.journal.settings.statement
    silent = _("not said") if draft.tell.matter.owner else _("not told in this edition")
    return (
        (_("Record kept and work done by"), statement.keeper or silent),
        (_("Owner"), statement.owner or silent),
    )


def recorded(draft: Draft) -> str:
    """How many sessions there are, and from when to when."""
    tell, count = draft.tell, len(draft.sessions)
    if not count:
        return tell._("nothing yet")
    first, last = draft.sessions[0].day, draft.sessions[-1].day
    shown = {"count": tell.formats.number(count), "first": tell.formats.long(first), "last": tell.formats.long(last)}
    return (
        tell.words.ngettext("%(count)s session, %(first)s", "%(count)s sessions, %(first)s to %(last)s", count) % shown
    )


def tell_record(draft: Draft) -> Section:
    """What this document is and what it rests on."""
    tell, _ = draft.tell, draft.tell._
    settings, matter = tell.matter.journal.settings, tell.matter
    about = [] if draft.scope.whole else [(_("About"), tell.formats.sentence(draft.scope.named))]
    edition = (
        _("This is the owner’s edition: it holds what is private, marked as such. It is not for publishing.")
        if matter.owner
        else _(
            "This is the public edition. It was added up from what is public, so its totals may be lower than those "
            "of the whole record."
        )
    )
    facts = Facts(
        (
            *about,
            (_("Purpose of the restoration"), settings.statement.purpose or _("not said")),
            *keeper_facts(draft),
            (_("Recorded"), recorded(draft)),
            (_("State on"), tell.formats.long(matter.figures.on)),
            (_("The journal"), settings.title),
        )
    )
    return Section(
        RECORD,
        _("About this dossier"),
        (
            plain(
                _(
                    "This dossier tells what was found on the machine, what was done to it, when, with what and by "
                    "whom, so that an insurer, a registrar, a buyer or whoever works on it next can rely on it."
                )
            ),
            facts,
            plain(edition),
            *_figures(draft),
            *_keeping(draft),
        ),
    )


def _figures(draft: Draft) -> Iterator[Block]:
    """How they were obtained, in the words of the pages."""
    tell, _ = draft.tell, draft.tell._
    figures, settings = tell.matter.figures, tell.matter.journal.settings
    yield Label(_("How the figures were made"))
    yield plain(
        _(
            "The record is a folder of dated entries, one for each session, with registers of parts, materials and "
            "suppliers. Every figure on these pages is added up from them; none is written by hand."
        )
    )
    if tell.shows_hours:
        yield plain(
            _(
                "The hours of a session go first to the lines of work that state their own. What remains is shared "
                "equally, in whole minutes, among the lines that state none and the parts that no line names. So the "
                "hours by part, by step, by assembly and by month all add up to the same total."
            )
        )
    if draft.money:
        yield plain(
            _(
                "Sums are in %(currency)s. The price, postage, duty and tax of one purchase are added up in each "
                "currency, and each such sum is converted and rounded once. What was paid in %(currency)s goes before "
                "any conversion; then the rate that the entry itself gives, then the journal’s own table of rates, "
                "then the reference rate of the day paid."
            )
            % {"currency": settings.home_currency}
        )
    yield plain(
        _(
            "The dry film of a coat is reckoned from the amount that was used, the solids and the loss of the material "
            "and the area of the part; where an amount was not noted, what was asked for is given and marked. It was "
            "measured only where a measure says so."
        )
    )
    if figures.any_measured:
        yield plain(
            _(
                "A measure is within its limits only if it lies inside them by at least its uncertainty, and outside "
                "only if it lies beyond them by more than that; between the two nothing is proven. These are the "
                "decision rules of ISO 14253-1."
            )
        )
    yield plain(
        _("The pages show the state on %(day)s. Days go by the time zone %(zone)s.")
        % {"day": tell.formats.long(figures.on), "zone": settings.time_zone.key}
    )


def _keeping(draft: Draft) -> Iterator[Paragraph | Label]:
    _ = draft.tell._
    yield Label(_("How to keep it"))
    yield plain(
        _(
            "Photographs are numbered in order of time. Those in this dossier are smaller copies; where the owner "
            "hides a region, it is destroyed in the copy. The last section gives the SHA-256 of each original, by "
            "which it can be told at any time whether a file is the photograph that is meant."
        )
    )
    yield plain(
        _(
            "This file is made to last (PDF/A-2a) and can be read aloud (PDF/UA-1). Keep one copy with the machine and "
            "another elsewhere, printed on lasting paper if you can; files alone are not enough."
        )
    )
    yield plain(
        _(
            "This is a record of what one person did to one machine, not advice. Safety data sheets, the maker’s "
            "instructions, local codes and licensed practice come first, always."
        )
    )


def tell_machine(draft: Draft) -> Section:
    """What identifies the machine, and what it looks like as a whole."""
    _, journal = draft.tell._, draft.tell.matter.journal
    parts = draft.scope.parts
    pieces = sum(journal.parts[part].quantity for part in parts)
    counted = draft.tell.words.ngettext("%(n)s part", "%(n)s parts", len(parts)) % {
        "n": draft.tell.formats.number(len(parts))
    }
    of = draft.tell.words.ngettext("%(n)s piece", "%(n)s pieces", pieces) % {"n": draft.tell.formats.number(pieces)}
    assemblies = [draft.tell.assembly_name(assembly.name) for assembly, _own in draft.scope.assemblies]
    blocks: list[Block] = [
        Facts(
            (
                *machine_facts(draft),
                (_("Told of here"), f"{counted}, {of}"),
                *([(_("Assemblies"), draft.tell.formats.sentence(assemblies))] if assemblies else []),
            )
        )
    ]
    if journal.settings.machine.note:
        blocks.insert(0, plain(journal.settings.machine.note))
    shown = draft.chosen.get(MACHINE, ())
    if shown:
        blocks += [Label(_("The machine as a whole")), Pictures(tuple(map(draft.picture, shown)))]
    return Section(THE_MACHINE, _("The machine"), tuple(blocks))
