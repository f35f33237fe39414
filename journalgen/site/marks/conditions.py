"""The conditions that work was done in: air, surface, humidity, dew point, and whether they were fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.ledgers.conditions import Conditions
from journalgen.records import MaterialLimits, Session, WorkLine
from journalgen.site.desk import Desk, Link, Teller
from journalgen.site.drawings.dew_point import draw_dew_point

_IMPERIAL: Final = "imperial"


class ConditionFact(Struct, frozen=True):
    """One thing that was taken, with the limit it is held against."""

    name: str
    value: str
    limit: str
    flagged: bool


class DewPoint(Struct, frozen=True):
    """The drawing, and what it says in words."""

    drawing: str
    sentence: str
    flagged: bool


class ConditionsView(Struct, frozen=True):
    """One set of conditions with the parts that were worked on in it."""

    parts: tuple[Link, ...]
    material: Link | None
    facts: tuple[ConditionFact, ...]
    dew: DewPoint | None
    fit: bool | None  # of a coat; None for other work


def list_conditions(desk: Desk, session: Session) -> list[ConditionsView]:
    """Each set of conditions once, in the entry's order, with all the parts it holds for."""
    sets: dict[object, tuple[WorkLine, dict[str, None]]] = {}
    for line in session.work:
        if line.air is None and line.humidity is None and line.surface is None:
            continue
        coat = str(line.place) in desk.index.conditions
        alike = (line.air, line.humidity, line.surface, line.material if coat else None, coat)
        sets.setdefault(alike, (line, {}))[1].update(dict.fromkeys(line.parts))
    return [_view(desk, line, parts, number) for number, (line, parts) in enumerate(sets.values(), 1)]


def short_conditions(desk: Teller, line: WorkLine) -> str:
    """The same on one line: `air 18 °C, surface 16.5 °C, humidity 55 %`."""
    _, formats = desk._, desk.formats
    facts = [
        line.air is not None and _("air %(value)s") % {"value": formats.temperature(line.air)},
        line.surface is not None and _("surface %(value)s") % {"value": formats.temperature(line.surface)},
        line.humidity is not None and _("humidity %(value)s") % {"value": formats.per_cent(line.humidity)},
    ]
    return ", ".join(fact for fact in facts if fact)


def _view(desk: Desk, line: WorkLine, parts: Iterable[str], number: int) -> ConditionsView:
    found = desk.index.conditions.get(str(line.place))
    material = desk.matter.journal.materials.get(line.material or "") if found else None
    limits = material.limits if material else MaterialLimits()
    return ConditionsView(
        parts=tuple(desk.part(part) for part in parts),
        material=desk.material(material.name) if material else None,
        facts=tuple(_facts(desk, line, limits, found.faults if found else ())),
        dew=_dew_point(desk, found, number) if found else None,
        fit=found.fit if found else None,
    )


def _facts(desk: Desk, line: WorkLine, limits: MaterialLimits, faults: tuple[str, ...]) -> Iterator[ConditionFact]:
    _, formats = desk._, desk.formats
    for name, taken, say, limit, rule in (
        (_("Air"), line.air, formats.temperature, limits.air, "air-limit"),
        (_("Surface"), line.surface, formats.temperature, limits.surface, "surface-limit"),
        (_("Humidity"), line.humidity, formats.per_cent, limits.humidity, "humidity-limit"),
    ):
        if taken is not None:
            yield ConditionFact(name, say(taken), formats.limits(limit) if limit else "", rule in faults)


def _dew_point(desk: Desk, found: Conditions, number: int) -> DewPoint | None:
    """Only where the surface was taken as well as air and humidity; how far is said in the journal's units."""
    line = found.line
    if found.dew_point is None or found.margin is None or line.surface is None or line.air is None:
        return None
    scale = _Scale(desk)
    dew = Fraction(found.dew_point)
    says = {"margin": scale.span(abs(Fraction(found.margin))), "wanted": scale.span(found.wanted)}
    if found.margin < 0:
        said = desk._("The surface was %(margin)s below the dew point; at least %(wanted)s above it is wanted.")
    else:
        said = desk._("The surface was %(margin)s above the dew point; at least %(wanted)s is wanted.")
    sentence = said % says
    signs = [
        (words % {"value": scale.figure(Fraction(value))}, scale.on(Fraction(value)))
        for words, value in (
            (desk._("dew point %(value)s"), dew),
            (desk._("surface %(value)s"), line.surface),
            (desk._("air %(value)s"), line.air),
        )
    ]
    label = f"{sentence} {', '.join(words for words, _ in signs)} {scale.unit}."
    drawing = draw_dew_point(scale.on(dew), found.wanted * scale.degree, signs, label, scale.tick, number)
    return DewPoint(drawing, sentence, "dew-point" in found.faults)


class _Scale:
    """Temperatures in the journal's units for display."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        imperial = desk.matter.journal.settings.units == _IMPERIAL
        self.unit = "°F" if imperial else "°C"
        self.degree = Fraction(9, 5) if imperial else Fraction(1)  # one degree C
        self._nought = 32 if imperial else 0

    def on(self, celsius: Fraction) -> Fraction:
        return celsius * self.degree + self._nought

    def figure(self, celsius: Fraction) -> str:
        """To one decimal: the formula is no better than that, nor is any thermometer in a shed."""
        return self._desk.formats.number(self.on(celsius), 1)

    def span(self, celsius: Fraction) -> str:
        found = celsius * self.degree
        return f"{self._desk.formats.number(found, None if found.denominator == 1 else 1)} {self.unit}"

    def tick(self, figure: Decimal) -> str:
        return self._desk.formats.number(figure)
