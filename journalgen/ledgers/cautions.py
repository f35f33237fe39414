"""Which cautions the work on a page calls for: by step, by a material's hazard codes, by a part's safety class."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from msgspec import Struct

from journalgen.knowledge.trade import Caution, Statement
from journalgen.records import Journal, Material, Session

DANGER: Final = "danger"
WARNING: Final = "warning"


class Lore(Struct, frozen=True):
    """What the trade and the regulation know of dangers; handed in, so that nothing is read here."""

    by_work: Mapping[str, Caution]  # by the keys that steps name
    by_class: Mapping[str, Caution]  # by the safety class of a part
    statements_of: Callable[[str], tuple[Statement, ...]]  # by GHS code
    statements: str  # where the statements are from
    defer: str  # the closing sentence


def session_cautions(session: Session, journal: Journal, lore: Lore) -> tuple[Caution, ...]:
    """The cautions for one session: its steps, what it used, and the parts it worked on."""
    lines = session.work
    materials = [line.material for line in lines if line.material] + [use.material for use in session.uses]
    parts = [part for line in lines for part in line.parts] + list(session.parts)
    return gather([line.step for line in lines if line.step], materials, parts, journal, lore)


def part_cautions(part: str, sessions: Iterable[Session], journal: Journal, lore: Lore) -> tuple[Caution, ...]:
    """The cautions for one part: its class first, then all that was done on it and used for it."""
    lines = [line for session in sessions for line in session.work if part in line.parts]
    uses = [use.material for session in sessions for use in session.uses if part in use.parts]
    materials = [line.material for line in lines if line.material] + uses
    return gather([line.step for line in lines if line.step], materials, [part], journal, lore)


def gather(
    steps: Iterable[str], materials: Iterable[str], parts: Iterable[str], journal: Journal, lore: Lore
) -> tuple[Caution, ...]:
    """Each caution once: notices of safety classes, then those of steps, then the statements of materials."""
    classes = [row.safety for name in parts if (row := journal.parts.get(name)) and row.safety]
    named = [name for step in steps if (known := journal.steps.get(step)) for name in known.cautions]
    found = [lore.by_class[name] for name in dict.fromkeys(classes) if name in lore.by_class]
    found += [_of_step(name, lore) for name in dict.fromkeys(named)]
    found += [made for name in dict.fromkeys(materials) if (made := _of_material(name, journal, lore))]
    return tuple(found)


def cautions_ahead(
    work: Iterable[tuple[str, str]], journal: Journal, lore: Lore
) -> tuple[tuple[Caution, tuple[str, ...]], ...]:
    """The cautions for work to come, pairs of part and step: each once, with what calls for it.

    A notice of a safety class names its parts, any other caution its steps. Materials are not known yet.
    """
    pairs = list(work)
    found: dict[str, tuple[Caution, dict[str, None]]] = {}
    for part, _ in pairs:
        for caution in gather([], [], [part], journal, lore):
            found.setdefault(f"class {caution.key}", (caution, {}))[1][part] = None
    for _, step in pairs:
        for caution in gather([step], [], [], journal, lore):
            found.setdefault(f"work {caution.key}", (caution, {}))[1][step] = None
    return tuple((caution, tuple(about)) for caution, about in found.values())


def signal_word(material: Material, lore: Lore) -> str | None:
    """The gravest signal word that the material's hazard codes carry by themselves; None where they carry none."""
    said = {statement.signal for code in material.hazards for statement in lore.statements_of(code)}
    return next((word for word in (DANGER, WARNING) if word in said), None)


def _of_step(name: str, lore: Lore) -> Caution:
    """A built-in caution; what a journal's own step names beside those is a caution in its own words."""
    return lore.by_work.get(name) or Caution(name, name, (), "register/steps.yaml", lore.defer)


def _of_material(name: str, journal: Journal, lore: Lore) -> Caution | None:
    """The statements of a material's hazard codes; None where its row has none."""
    row = journal.materials.get(name)
    if row is None or not row.hazards:
        return None
    said = [f"{s.code}: {s.text}" for code in row.hazards for s in lore.statements_of(code)]
    unknown = [code for code in row.hazards if not lore.statements_of(code)]
    return Caution(f"material {name}", name, (*said, *unknown), lore.statements, lore.defer)
