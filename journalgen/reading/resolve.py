"""Gives every name in every entry the register's spelling, and reports names that no register knows."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.editions import with_private_lines, without_private_lines
from journalgen.problems import Problems
from journalgen.reading.names import Catalogue, nearest, nearest_spelling
from journalgen.records import (
    Block,
    Decision,
    Found,
    Material,
    Measure,
    Part,
    Photo,
    Purchase,
    Route,
    Session,
    Step,
    Supplier,
    Use,
    WorkLine,
)
from journalgen.slugs import key
from journalgen.values import Place

Row = TypeVar("Row", Part, Material, Supplier)
OfParts = TypeVar("OfParts", Measure, Decision, Found, Photo)

_STEPS = Place("register/steps.yaml")

_MOST_COMPARED = 1000
_ALIKE = 85
"""How alike, of 100, two unregistered names must be to be taken for one misspelt."""


class Registers(Struct):
    """The registers as read, with the catalogue of each one's names."""

    parts: dict[str, Part]
    materials: dict[str, Material]
    suppliers: dict[str, Supplier]
    steps: dict[str, Step]
    routes: dict[str, Route]
    part_names: Catalogue
    material_names: Catalogue
    supplier_names: Catalogue
    step_names: Catalogue
    assemblies: dict[str, str] = field(default_factory=dict)  # key to the name shown, of those that parts belong to


class _Resolver(Struct):
    registers: Registers
    problems: Problems
    known: dict[tuple[str, ...], tuple[str, ...]] = field(default_factory=dict)  # parts named together, as shown

    def name(self, catalogue: Catalogue, text: str, place: Place, what: str, register: str) -> str:
        """The name shown; the first use of an unknown one is reported with the nearest known name."""
        known = catalogue.find(text)
        if known is not None:
            return known
        assembly = self.registers.assemblies.get(key(text)) if what == "part" else None
        if assembly:  # work on an assembly as a whole
            return catalogue.adopt(assembly)
        near = nearest_spelling(text, catalogue.by_key) if catalogue.registered else _misspelt(text, catalogue.adopted)
        if catalogue.registered or near:
            hint = f"Did you mean {near}? If not, add" if near else "Add"
            self.problems.warning(
                place, f"unknown-{what}", f'"{text}" is not a known {what}.', f"{hint} it to register/{register}.yaml."
            )
        return catalogue.adopt(text)

    def part(self, text: str, place: Place) -> str:
        return self.name(self.registers.part_names, text, place, "part", "parts")

    def parts(self, texts: tuple[str, ...], place: Place) -> tuple[str, ...]:
        """Those names as they are shown; once they were looked up, they stay what they are."""
        shown = self.known.get(texts)
        if shown is None:
            shown = self.known[texts] = tuple(dict.fromkeys(self.part(text, place) for text in texts))
        return shown

    def material(self, text: str, place: Place) -> str:
        return self.name(self.registers.material_names, text, place, "material", "materials")

    def party(self, line: Purchase) -> str:
        """The supplier; who bought something need be in no register."""
        name = line.party or ""
        if line.kind == "sale":
            return self.registers.supplier_names.find(name) or name
        return self.name(self.registers.supplier_names, name, line.place, "supplier", "suppliers")

    def step(self, text: str, place: Place) -> str:
        """A step may be any word, shown in lower case as the trade writes them; only a likely slip is reported."""
        names = self.registers.step_names
        known = names.find(text)
        if known is None:
            near = _misspelt(text, [*names.registered, *names.adopted])
            if near:
                self.problems.warning(
                    place, "unknown-step", f'"{text}" is nearly the step {near}.', f"If it is one, write {near}."
                )
            known = names.adopt(" ".join(text.split()).casefold())
        return known

    def route(self, text: str, place: Place) -> str:
        routes = {key(name): name for name in self.registers.routes}
        if key(text) not in routes:
            near = nearest_spelling(text, routes)
            self.problems.warning(
                place,
                "unknown-route",
                f'"{text}" is not a known route, so the steps of the part are not known.',
                f"Did you mean {near}?"
                if near
                else f"Write one of {', '.join(routes.values())}, or add it to steps.yaml.",
            )
        return routes.get(key(text), text)

    def session(self, session: Session) -> Session:
        """The session, as far as the names are known that it brings, or came before it."""
        return replace(
            session,
            parts=self.parts(session.parts, session.parts_place),
            work=tuple(map(self.work, session.work)),
            uses=tuple(map(self.use, session.uses)),
            purchases=tuple(map(self.purchase, session.purchases)),
            measures=tuple(map(self.row, session.measures)),
            decisions=tuple(map(self.row, session.decisions)),
            found=tuple(map(self.row, session.found)),
            photos=tuple(map(self.row, session.photos)),
            pairs=tuple(replace(p, part=self.part(p.part, p.place)) for p in session.pairs),
        )

    def with_all_known(self, session: Session, named: Session) -> Session:
        """What `session` gave of a session, where it can be another when every name is known that any entry brings."""
        if not (session.purchases or session.blocks):
            return named
        return replace(
            named,
            purchases=tuple(map(self.purchase, session.purchases)),
            blocks=tuple(map(self.block, session.blocks)),
        )

    def row(self, row: OfParts) -> OfParts:
        """A row that names nothing but parts."""
        parts = self.parts(row.parts, row.place)
        return row if parts == row.parts else replace(row, parts=parts)

    def work(self, line: WorkLine) -> WorkLine:
        if line.amount and not line.material:
            self.problems.warning(
                line.place, "amount-without-material", "The line has an amount, but no material.", "Add `material:`."
            )
        return replace(
            line,
            parts=self.parts(line.parts, line.place),
            step=self.step(line.step, line.place) if line.step else None,
            material=self.material(line.material, line.place) if line.material else None,
            fitted_with=self.parts(line.fitted_with, line.place),
        )

    def use(self, use: Use) -> Use:
        names = self.registers.material_names
        whole = names.find(use.written) if use.written else None
        if whole in names.registered:  # a material of just this name: what looked like an amount is part of it
            return replace(use, material=whole, amount=None, written="")
        return replace(
            use, material=self.material(use.material, use.place), parts=self.parts(use.parts, use.place), written=""
        )

    def purchase(self, line: Purchase) -> Purchase:
        return replace(
            line,
            parts=self.parts(line.parts, line.place),
            material=self.material(line.material, line.place) if line.material else None,
            party=self.party(line) if line.party else None,
        )

    def block(self, block: Block) -> Block:
        if block.pair is None:
            return block
        known = self.registers.part_names.find(block.pair.part)
        if known is None:
            self.problems.warning(
                block.place, "unknown-part", f'"{block.pair.part}" is not a known part.', "Name a part of the journal."
            )
            return replace(block, pair=None)
        return replace(block, pair=replace(block.pair, part=known))


def _misspelt(text: str, before: Iterable[str]) -> str | None:
    """An earlier name so like this one that one of them is a slip; names that differ in a figure are not."""
    known = list(before)
    if len(known) > _MOST_COMPARED:  # each is compared with each: no list that a person keeps is longer
        return None
    near = nearest(text, known, _ALIKE)
    return near if near and re.findall(r"\d+", near) == re.findall(r"\d+", text) else None


def resolve(sessions: Iterable[Session], registers: Registers, problems: Problems) -> list[Session]:
    """The sessions with every name in the spelling that is shown.

    Names that only entries know become rows of the registers, without a place.
    """
    resolver = _Resolver(registers, problems)
    assemblies = [part.assembly for part in reversed(registers.parts.values()) if part.assembly]
    registers.assemblies = {key(name): registers.part_names.find(name) or name for name in assemblies}
    sizes = Counter(key(part.assembly) for part in registers.parts.values() if part.assembly)
    registers.parts = {name: _resolve_part(part, resolver, sizes) for name, part in registers.parts.items()}
    registers.routes = {
        name: replace(route, steps=tuple(resolver.step(step, route.place or _STEPS) for step in route.steps))
        for name, route in registers.routes.items()
    }
    sessions = list(sessions)
    shown = [None if session.private else without_private_lines(session) for session in sessions]
    public = _resolve_all(shown, resolver)  # before any private name is known, which must change nothing of it
    rest = _resolve_all([s if s is not p else None for s, p in zip(sessions, shown, strict=True)], resolver)
    resolved = [
        with_private_lines(session, one, other) if one and other else one or other or session
        for session, one, other in zip(sessions, public, rest, strict=True)
    ]
    _add_rows(registers.part_names, registers.parts, lambda name: Part(name, assembly=_own_assembly(name, registers)))
    _add_rows(registers.material_names, registers.materials, Material)
    _add_rows(registers.supplier_names, registers.suppliers, Supplier)
    return resolved


def _resolve_all(sessions: Sequence[Session | None], resolver: _Resolver) -> list[Session | None]:
    """Those that there are, each as it is when the names that all of them bring are known."""
    named = [session and resolver.session(session) for session in sessions]
    pairs = zip(sessions, named, strict=True)
    return [found and session and resolver.with_all_known(session, found) for session, found in pairs]


def resolve_one(session: Session, registers: Registers, problems: Problems) -> Session | None:
    """One more session with every name in the spelling that is shown; None if it has a name that nothing bore yet."""
    catalogues = (registers.part_names, registers.material_names, registers.supplier_names, registers.step_names)
    known = [len(catalogue.adopted) for catalogue in catalogues]
    own = replace(
        registers,
        part_names=registers.part_names.copy(),
        material_names=registers.material_names.copy(),
        supplier_names=registers.supplier_names.copy(),
        step_names=registers.step_names.copy(),
    )
    resolver = _Resolver(own, problems)
    resolved = resolver.with_all_known(session, resolver.session(session))
    after = (own.part_names, own.material_names, own.supplier_names, own.step_names)
    return resolved if [len(catalogue.adopted) for catalogue in after] == known else None


def _add_rows(catalogue: Catalogue, rows: dict[str, Row], make: Callable[[str], Row]) -> None:
    for name in catalogue.adopted:
        rows[name] = make(name)


def _own_assembly(name: str, registers: Registers) -> str | None:
    """An assembly that is worked on as a whole belongs to itself."""
    return name if registers.assemblies.get(key(name)) == name else None


def _resolve_part(part: Part, resolver: _Resolver, sizes: Mapping[str, int]) -> Part:
    place = part.place or Place("register/parts.yaml")
    needs = resolver.parts(part.needs, place)
    return replace(
        part,
        needs=needs,
        assembly=_assembly(part, place, resolver, sizes),
        route=resolver.route(part.route, place) if part.route else None,
    )


def _assembly(part: Part, place: Place, resolver: _Resolver, sizes: Mapping[str, int]) -> str | None:
    """The assembly in the spelling of its own row, else of its first use; `sizes` are the parts of each, by its key."""
    if part.assembly is None:
        return None
    assemblies = resolver.registers.assemblies
    name = assemblies[key(part.assembly)]
    others = (other for other in assemblies.values() if other != name)
    near = _misspelt(name, others) if sizes[key(name)] == 1 else None
    if near:
        resolver.problems.warning(
            place, "assembly-alike", f'The assembly "{name}" is nearly "{near}".', "If they are one, spell them alike."
        )
    return name
