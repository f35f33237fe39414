"""The registers: parts, materials, suppliers, steps and routes, each a text to records."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from typing import TypeVar

from msgspec.structs import replace

from journalgen.knowledge import steps_text
from journalgen.problems import Problems
from journalgen.reading import shapes
from journalgen.reading.fields import as_name, as_names
from journalgen.reading.names import Catalogue
from journalgen.reading.trees import Node, Table, is_empty, parse_tree, plain
from journalgen.reading.unreadable import Unreadable
from journalgen.records import Material, MaterialLimits, Part, Route, Step, Supplier
from journalgen.slugs import key
from journalgen.values import Place

S = TypeVar("S", bound=shapes.Shape)
R = TypeVar("R", Part, Material, Supplier, Step)


def parse_parts(text: str, file: str, problems: Problems) -> list[Part]:
    """`register/parts.yaml`."""
    return list(_rows(parse_tree(text, file, 1, problems), shapes.PartShape, _part, problems))


def parse_materials(text: str, file: str, problems: Problems) -> list[Material]:
    """`register/materials.yaml`."""
    return list(_rows(parse_tree(text, file, 1, problems), shapes.MaterialShape, _material, problems))


def parse_suppliers(text: str, file: str, problems: Problems) -> list[Supplier]:
    """`register/suppliers.yaml`."""
    return list(_rows(parse_tree(text, file, 1, problems), shapes.SupplierShape, _supplier, problems))


def parse_steps(text: str, file: str, problems: Problems) -> tuple[list[Step], list[Route]]:
    """`register/steps.yaml`: own steps and routes."""
    tree = parse_tree(text, file, 1, problems)
    if tree is None:
        return [], []
    if not isinstance(tree, Table):
        _not_a_register(tree, problems)
        return [], []
    for word, place in tree.keys.items():
        if word not in ("steps", "routes"):
            problems.warning(place, "unknown-key", f"`{word}` is not `steps` or `routes`.", "Put it under one of them.")
    steps, routes = tree.values.get("steps"), tree.values.get("routes")
    return (
        list(_rows(steps, shapes.StepShape, _step, problems)) if steps else [],
        list(_routes(routes, problems)) if routes else [],
    )


def _not_a_register(tree: Node, problems: Problems) -> None:
    problems.error(
        tree.place,
        "mapping",
        "A register is names with what belongs to each.",
        "Write `front wheel:` and its keys below it.",
    )


def _rows(tree: Node | None, shape: type[S], make: Callable[[str, S, Place], R], problems: Problems) -> Iterator[R]:
    """Each row by itself; one that cannot be read whole is reported and given without what is wrong in it."""
    if tree is None:
        return
    if not isinstance(tree, Table):
        if not is_empty(tree):
            _not_a_register(tree, problems)
        return
    for written, node in tree.values.items():
        place = tree.keys[written]
        row = Table({}, {}, place) if is_empty(node) else node
        try:
            name = as_name(written)
        except Unreadable as fault:
            problems.error(place, fault.rule, fault.message, fault.remedy)
            continue
        found = shapes.read(shape, row, problems, "", partly=True)
        if found is not None:
            yield make(name, found, place)


def _part(name: str, row: shapes.PartShape, place: Place) -> Part:
    return Part(
        name=name,
        place=place,
        assembly=row.assembly,
        also_called=row.also_called,
        number=row.number,
        quantity=row.quantity,
        area=row.area,
        route=row.route,
        decision=row.decision,
        stored=row.stored,
        needs=row.needs,
        safety=row.safety,
        note=row.note,
    )


def _material(name: str, row: shapes.MaterialShape, place: Place) -> Material:
    limits = row.limits
    return Material(
        name=name,
        place=place,
        also_called=row.also_called,
        kind=row.kind,
        solids=row.solids,
        film=row.film,
        loss=row.loss,
        thinner=row.thinner,
        density=row.density,
        recoat=row.recoat,
        cure=row.cure,
        limits=MaterialLimits(limits.humidity, limits.surface, limits.air, limits.above_dew_point),
        keeps=row.keeps,
        colour=row.colour,
        hazards=row.hazards,
        safety_sheet=row.safety_sheet,
        note=row.note,
    )


def _supplier(name: str, row: shapes.SupplierShape, place: Place) -> Supplier:
    return Supplier(name, place, row.also_called, row.place, row.site, row.kind, row.note, row.private)


def _step(name: str, row: shapes.StepShape, place: Place) -> Step:
    return Step(
        key=name,
        label=row.label or name,
        place=place,
        also_called=row.also_called,
        family=row.family,
        wait=row.wait,
        bares=row.bares,
        protects=row.protects,
        repeats=row.repeats,
        typical=row.typical,
        limit=row.limit,
        cautions=row.cautions,
        source=row.source,
    )


@cache
def built_in_steps() -> tuple[dict[str, Step], dict[str, Route]]:
    """The steps and routes that come with the program, without places.

    Another name of a built-in step is a step of its own here, alike in all but its name, so that
    figures keep the words a person wrote.
    """
    problems = Problems()
    steps, routes = parse_steps(steps_text(), "steps.yaml", problems)
    if problems.found:
        raise ValueError(f"The program's own steps are faulty: {problems.found[0]}")
    rows = {step.key: replace(step, place=None, also_called=()) for step in steps}
    for step in steps:
        for name in step.also_called:
            rows.setdefault(name, replace(step, key=name, label=name, place=None, also_called=()))
    return rows, {route.name: replace(route, place=None) for route in routes}


def with_built_in(own: list[Step], routes: list[Route]) -> tuple[list[Step], dict[str, Route]]:
    """A journal's own steps first, then the built-in ones that none of them replaces; likewise routes."""
    taken = {key(name) for step in own for name in (step.key, *step.also_called)}
    built_in, built_in_routes = built_in_steps()
    steps = [*own, *(step for name, step in built_in.items() if key(name) not in taken)]
    replaced = {key(route.name) for route in routes}
    kept = {name: route for name, route in built_in_routes.items() if key(name) not in replaced}
    return steps, kept | {route.name: route for route in routes}


def _routes(tree: Node, problems: Problems) -> Iterator[Route]:
    if not isinstance(tree, Table):
        _not_a_register(tree, problems)
        return
    for written, node in tree.values.items():
        try:
            yield Route(as_name(written), as_names(plain(node)), tree.keys[written])
        except Unreadable as fault:
            problems.error(tree.keys[written], fault.rule, f"{written}: {fault.message}", fault.remedy)


def catalogue(rows: list[R], problems: Problems) -> tuple[Catalogue, dict[str, R]]:
    """The names of a register, and its rows by name. A name or another name that is taken is an error."""
    names = Catalogue()
    kept: dict[str, R] = {}
    for row in rows:
        name = row.key if isinstance(row, Step) else row.name
        clash = names.register(name, row.also_called)
        if clash and row.place:
            problems.error(
                row.place,
                "duplicate-name",
                f"{name}, or another name of it, already stands for {clash}.",
                "Give each name to one row; case, spacing and hyphens do not tell names apart.",
            )
            if name not in names.by_key.values():
                continue
        kept[name] = row
    return names, kept
