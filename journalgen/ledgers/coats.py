"""The coats on each part, laid and to come, with the film each left and the film it should have."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from journalgen.ledgers.coating import film_built, practical_volume, spreading_rate, theoretical_volume
from journalgen.ledgers.quantities import convert
from journalgen.ledgers.steps_done import StepDone, StepsDone, bares, is_coat, is_coating, removes
from journalgen.ledgers.volumes import LITRE
from journalgen.records import Journal, Material, Part, Session, WorkLine
from journalgen.slugs import key


class Coat(Struct, frozen=True):
    """One coat on one part."""

    part: str
    step: str
    number: int  # of the step's coats on the part, from 1
    material: str | None  # None: not said, or not known for a coat to come
    asked: Decimal | None  # dry film, um, as the register asks for one coat
    built: Fraction | None  # dry film, um, by what was used; None: not known, or still to come
    session: Session | None  # None: still to come
    line: WorkLine | None = None  # that laid it

    @property
    def day(self) -> date | None:
        return self.session.day if self.session else None

    @property
    def film(self) -> Fraction | None:
        """Dry film, um: by what was used, else as asked; None where neither is known."""
        if self.built is not None:
            return self.built
        return None if self.asked is None else Fraction(self.asked)


class Build(Struct, frozen=True):
    """The dry film of a part's coats together, um."""

    laid: int  # coats
    to_come: int  # coats
    so_far: Fraction | None  # a coat of unknown film counts as asked; None: nor was it asked what that is
    assumed: int  # laid coats that count as asked
    wanted: Decimal | None  # what the register asks for, with the coats to come; None: not asked of every coat


def build_of(coats: Sequence[Coat]) -> Build:
    """What the coats of one part add up to."""
    laid = [coat for coat in coats if coat.session]
    films = [coat.film for coat in laid]
    asked = [coat.asked for coat in coats]
    return Build(
        laid=len(laid),
        to_come=len(coats) - len(laid),
        so_far=None if None in films else sum((film for film in films if film is not None), Fraction(0)),
        assumed=sum(coat.built is None and coat.asked is not None for coat in laid),
        wanted=None if None in asked else sum((film for film in asked if film is not None), Decimal(0)),
    )


def keep_coats(journal: Journal, done: StepsDone, to_come: Mapping[str, Sequence[str]]) -> dict[str, tuple[Coat, ...]]:
    """The coats of each part in the order they lie: those laid since it was last bared, then those to come.

    `to_come` holds the steps each part has still to go through, as progress knows them.
    """
    usual = UsualMaterials(journal, done)
    found = {}
    for part in journal.parts.values():
        laid = laid_coats(done.get(part.name, ()), journal)
        coming = [
            Coat(
                part.name, step, 1, material.name if material else None, material.film if material else None, None, None
            )
            for step in to_come.get(part.name, ())
            if (material := usual.of(part, step)) or usual.is_coating_step(step)
        ]
        if laid or coming:
            found[part.name] = (*laid, *coming)
    return found


def laid_coats(row: Sequence[StepDone], journal: Journal) -> list[Coat]:
    """The coats that lie on a part: baring it takes away all that were laid before."""
    coats: list[Coat] = []
    for done in row:
        if removes(done.step, journal.steps):
            coats.clear()
        # Acid is laid on in coats too, but leaves no film.
        if not bares(done.step, journal.steps) and is_coat(done.line, journal.steps, journal.materials):
            material = journal.materials.get(done.line.material or "")
            before = [coat.number for coat in coats if coat.step == done.step]
            number = done.line.coat or max(before, default=0) + 1
            built = film_of(done.line, material, journal.parts) if material else None
            asked = material.film if material else None
            coats.append(Coat(done.part, done.step, number, done.line.material, asked, built, done.session, done.line))
    return coats


def film_of(line: WorkLine, material: Material, parts: Mapping[str, Part]) -> Fraction | None:
    """Dry film, um, of one line of work: the same on all its parts, since they were done in one go.

    None where the amount, an area or the solids are not known, or the amount is no volume.
    """
    areas = [area_of(parts[name]) if name in parts else None for name in line.parts]
    litres = convert(line.amount, LITRE, material.density) if line.amount else None
    if litres is None or not material.solids or not areas or any(area is None for area in areas):
        return None
    total = sum((area for area in areas if area), Fraction(0))
    return film_built(litres, material.loss or 0, material.solids, total) if total else None


def area_of(part: Part) -> Fraction | None:
    """The area of all pieces of a part, m2; None where the register has none."""
    if part.area is None or part.area.dimension != "area":
        return None
    return part.area.base * part.quantity


def litres_for(part: Part, material: Material) -> Fraction | None:
    """Volume as supplied, L, that one coat of a part takes, with its loss; None where a figure is missing."""
    area, loss = area_of(part), material.loss or 0
    if not area or not material.solids or not material.film or loss >= 100:
        return None
    return practical_volume(theoretical_volume(area, 1, spreading_rate(material.solids, material.film)), loss)


class UsualMaterials:
    """Which coating a step takes on a part: what it had, else what was last used for the step."""

    def __init__(self, journal: Journal, done: StepsDone) -> None:
        self._journal = journal
        self._last: dict[tuple[str, str, str], str] = {}  # by what, its name and the step
        self._alike: dict[str, Material | None] = {}  # by step
        rows = [one for row in done.values() for one in row if self._coating(one.line.material)]
        for one in sorted(rows, key=lambda one: one.session.day):
            material, part = one.line.material or "", journal.parts.get(one.part)
            self._last["part", one.part, one.step] = material
            self._last["route", part.route or "" if part else "", one.step] = material
            self._last["", "", one.step] = material

    def of(self, part: Part, step: str) -> Material | None:
        """The part's own, else its route's, else any part's, else the one coating that bears the step's name."""
        for place in (("part", part.name, step), ("route", part.route or "", step), ("", "", step)):
            if place in self._last:
                return self._journal.materials[self._last[place]]
        if step not in self._alike:
            self._alike[step] = self._of_its_name(step)
        return self._alike[step]

    def _of_its_name(self, step: str) -> Material | None:
        alike = [m for m in self._journal.materials.values() if is_coating(m) and key(step) in key(m.name)]
        return alike[0] if len(alike) == 1 and self.is_coating_step(step) else None

    def is_coating_step(self, step: str) -> bool:
        """Whether a step is one that protects: the steps in which coats are laid."""
        row = self._journal.steps.get(step)
        return bool(row and row.protects)

    def _coating(self, material: str | None) -> bool:
        return is_coating(self._journal.materials.get(material or ""))
