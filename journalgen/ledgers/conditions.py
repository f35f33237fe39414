"""Whether each coat was laid in fit conditions: dew point, humidity and temperatures.

The dew point is by the Magnus form with the coefficients of O. A. Alduchov and R. E. Eskridge,
"Improved Magnus form approximation of saturation vapor pressure", Journal of Applied Meteorology 35
(1996): over water 6.1094 hPa, 17.625 and 243.04 degC; over ice 6.1121 hPa, 22.587 and 273.86 degC
(cited from memory). Below freezing it is the frost point, which is the nearer to the surface.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from math import log
from typing import Final

from msgspec import Struct

from journalgen.ledgers.quantities import plain
from journalgen.ledgers.steps_done import is_coat
from journalgen.problems import Problems
from journalgen.records import Material, Session, Step, WorkLine
from journalgen.values import Amount, Limits

_WATER: Final = (6.1094, 17.625, 243.04)  # hPa at 0 degC, slope, degC
_ICE: Final = (6.1121, 22.587, 273.86)
_KELVIN: Final = Fraction(27315, 100)
_HOTTEST: Final = 200.0  # degC; the form has a pole far above
MARGIN: Final = Fraction(3)
"""Degrees C that a surface must be above the dew point, after ISO 8502-4, where a material does not say."""


class Conditions(Struct, frozen=True):
    """The conditions one coat was laid in."""

    session: Session
    line: WorkLine
    dew_point: float | None  # degC; None where air or humidity was not taken
    margin: float | None  # degrees C of the surface above the dew point
    faults: tuple[str, ...]  # the rules broken: dew-point, humidity-limit, surface-limit, air-limit
    wanted: Fraction = MARGIN  # degrees C above the dew point that the material wants

    @property
    def fit(self) -> bool | None:
        """Whether all that was taken lies within its limits; None where nothing was taken."""
        taken = (self.line.air, self.line.humidity, self.line.surface)
        return None if all(value is None for value in taken) else not self.faults


def dew_point(air: float | Decimal, humidity: float | Decimal) -> float | None:
    """Dew point, degC, of air at a temperature (degC) and relative humidity over water (per cent).

    None for perfectly dry air, and beyond the range of the formula.
    """
    air, humidity = float(air), float(humidity)
    at_nought, slope, base = _WATER
    if humidity <= 0 or not -base < air < _HOTTEST:
        return None
    vapour = log(at_nought * humidity / 100) + slope * air / (base + air)  # logarithm of the pressure in hPa
    dew = _temperature(vapour, _WATER)
    return dew if dew >= 0 else _temperature(vapour, _ICE)


def _temperature(vapour: float, over: tuple[float, float, float]) -> float:
    """The temperature, degC, at which vapour of a pressure (its logarithm) saturates the air over water or ice."""
    at_nought, slope, base = over
    gamma = vapour - log(at_nought)
    return base * gamma / (slope - gamma)


def check_conditions(
    sessions: Iterable[Session], steps: Mapping[str, Step], materials: Mapping[str, Material], problems: Problems
) -> tuple[Conditions, ...]:
    """The conditions of every coat in order of time; what is out of limits is a warning at its line."""
    return tuple(
        _conditions(session, line, materials.get(line.material or ""), problems)
        for session in sessions
        for line in session.work
        if is_coat(line, steps, materials)
    )


def _conditions(session: Session, line: WorkLine, material: Material | None, problems: Problems) -> Conditions:
    known = line.air is not None and line.humidity is not None
    dew = dew_point(line.air or 0, line.humidity or 0) if known else None
    margin = float(line.surface) - dew if dew is not None and line.surface is not None else None
    wanted = _margin_of(material)
    faults = []
    if margin is not None and dew is not None and margin < wanted:
        faults.append("dew-point")
        problems.warning(
            line.place,
            "dew-point",
            f"The surface at {line.surface} degC was {margin:.1f} degC above the dew point of {dew:.1f} degC; "
            f"{_name(material)} wants at least {plain(wanted)} degC.",
            "Look for blushing or poor hold before the next coat; next time warm the part or wait for drier air.",
        )
    limits = material.limits if material else None
    for rule, what, value, limit, unit in (
        ("humidity-limit", "humidity", line.humidity, limits and limits.humidity, "%"),
        ("surface-limit", "surface", line.surface, limits and limits.surface, "degC"),
        ("air-limit", "air", line.air, limits and limits.air, "degC"),
    ):
        if value is not None and limit and not _is_within(value, limit):
            faults.append(rule)
            problems.warning(
                line.place,
                rule,
                f"The {what} was {value:f} {unit}; the limit of {_name(material)} is {limit.text}.",
                "Look the coat over before the next one; next time wait for conditions within the limit.",
            )
    return Conditions(session, line, dew, margin, tuple(faults), wanted)


def _name(material: Material | None) -> str:
    return material.name if material else "a coat"


def _margin_of(material: Material | None) -> Fraction:
    own = material.limits.above_dew_point if material else None
    return own.span if own and own.dimension == "temperature" else Fraction(own.number) if own else MARGIN


def _is_within(value: Decimal, limits: Limits) -> bool:
    low, high = _bound(limits.low), _bound(limits.high)
    return (low is None or value >= low) and (high is None or value <= high)


def _bound(amount: Amount | None) -> Fraction | None:
    """A limit in degC or per cent; a bare number is taken as that."""
    if amount is None:
        return None
    if amount.dimension == "temperature":
        return amount.base - _KELVIN
    return amount.base * 100 if amount.dimension == "ratio" else Fraction(amount.number)
