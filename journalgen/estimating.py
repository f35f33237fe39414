"""How much of a coating a job takes, how many tins that is, and what it costs: the verb `estimate`.

Figures are shown in the journal's own units: litres, square metres and micrometres, or imperial
pints (0.56826125 L), square feet (0.09290304 m2) and thou (25.4 um).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Final

from msgspec import Struct

from journalgen.columns import wrap
from journalgen.ledgers.coating import practical_volume, spreading_rate, theoretical_volume, wet_film
from journalgen.ledgers.coats import area_of
from journalgen.ledgers.quantities import Unit, plain
from journalgen.ledgers.sharing import round_money
from journalgen.ledgers.stock import Lot, MaterialStock, Stock
from journalgen.ledgers.volumes import MILLILITRE, from_litres, shelf, volume_unit
from journalgen.records import Material, Part, Settings
from journalgen.terminal import WIDTH, one_line, table_lines
from journalgen.values import Amount

_SQUARE_FOOT: Final = Fraction(9290304, 10**8)  # m2, exact (NIST SP 811)
_THOU: Final = Fraction(254, 10)  # um, exact


class CannotEstimate(Exception):
    """A figure that the estimate rests on is missing; says which, and where to put it."""


class Job(Struct, frozen=True):
    """What is to be coated."""

    material: Material
    parts: tuple[Part, ...] = ()
    area: Amount | None = None  # beside the parts
    coats: int = 1
    film: Decimal | None = None  # dry film of one coat, um; the register's where left out


class Tins(Struct, frozen=True):
    """Tins of the size last bought."""

    unit: Unit
    size: Fraction  # of one, in `unit`
    count: int  # for all of the job
    left: Fraction  # on the shelf, in `unit`
    short: int  # tins beyond what is on the shelf
    cost: Decimal | None  # home currency, of `count` at the last price with its postage, duty and tax
    cost_short: Decimal | None  # of `short`


class Estimate(Struct, frozen=True):
    """What the job takes. Volumes are of the material as supplied; thinner is told apart."""

    job: Job
    area: Fraction  # m2
    film: Decimal  # dry, of one coat, um
    wet: Fraction  # of one coat as laid, um
    rate: Fraction  # m2/L, without loss
    theoretical: Fraction  # L
    practical: Fraction  # L
    thinner: Fraction  # L beside the practical volume
    tins: Tins | None  # None: never bought, or bought in what is no volume or mass


def estimate(job: Job, stock: Stock, decimals: int) -> Estimate:
    """Works out a job; `decimals` are those of the home currency. Raises CannotEstimate where a figure is missing."""
    material = job.material
    film = job.film if job.film is not None else material.film
    solids, loss = material.solids, material.loss or Decimal(0)
    if not solids:
        raise CannotEstimate(
            f"{material.name} has no `solids`, so it is not known as a coating. If it is one, add `solids: 52 %`, from "
            "the tin or its data sheet, to it in register/materials.yaml."
        )
    if not film or film <= 0:
        raise CannotEstimate(f"{material.name} has no film. Add `film: 40 um` to it in the register, or use --film.")
    if loss >= 100:
        raise CannotEstimate(f"{material.name} has a loss of {loss} %. Mend `loss` in register/materials.yaml.")
    area = _area(job)
    rate = spreading_rate(solids, film)
    theoretical = theoretical_volume(area, job.coats, rate)
    practical = practical_volume(theoretical, loss)
    share = Fraction(material.thinner or 0) / 100
    return Estimate(
        job=job,
        area=area,
        film=film,
        wet=wet_film(film, solids, material.thinner or 0),
        rate=rate,
        theoretical=theoretical,
        practical=practical,
        thinner=practical * share,
        tins=_tins(practical, material, stock.materials.get(material.name), decimals),
    )


def _area(job: Job) -> Fraction:
    """All of it, m2: the parts with their quantities, and the area given beside them."""
    unknown = [part.name for part in job.parts if area_of(part) is None]
    if unknown:
        raise CannotEstimate(
            f"The area of {', '.join(unknown)} is not known. Add `area: 0.4 m2` in register/parts.yaml, or use --area."
        )
    if job.area and job.area.dimension != "area":
        raise CannotEstimate(
            f'"{job.area.number} {job.area.unit}'.rstrip() + '" is not an area. Write it as 1.5 m2 or 16 ft2.'
        )
    areas = [area_of(part) or Fraction(0) for part in job.parts] + ([job.area.base] if job.area else [])
    if not sum(areas):
        raise CannotEstimate("There is nothing to coat. Name parts with --part, or an area with --area.")
    return sum(areas, Fraction(0))


def _tins(litres: Fraction, material: Material, row: MaterialStock | None, decimals: int) -> Tins | None:
    needed = from_litres(litres, row.unit, material.density) if row else None
    if row is None or needed is None or not row.lots:
        return None
    last = row.lots[-1]
    size, left = last.amount / last.cost.purchase.count, shelf(row)
    count, short = ceil(needed / size), ceil(max(needed - left, Fraction(0)) / size)
    price = _price(row.lots, size)

    def cost(tins: int) -> Decimal | None:
        return None if price is None else round_money(price * tins, decimals)

    return Tins(row.unit, size, count, left, short, cost(count), cost(short))


def _price(lots: Sequence[Lot], size: Fraction) -> Fraction | None:
    """What a tin of a size comes to by the last purchase whose cost is known, home currency."""
    known = [lot for lot in lots if lot.landed is not None and lot.amount]
    return known[-1].landed * size / known[-1].amount if known and known[-1].landed is not None else None


def estimate_lines(found: Estimate, settings: Settings) -> Iterator[str]:
    """The estimate as a table of 80 columns for a person."""
    coats = f"{found.job.coats} coat{'' if found.job.coats == 1 else 's'}"
    yield from wrap(
        one_line(f"{found.job.material.name}, {coats} of {_film(Fraction(found.film), settings)} dry"), WIDTH
    )
    yield ""
    yield from table_lines([*_head(settings)], _rows(found, settings))
    yield from _tin_lines(found, settings)


def _head(settings: Settings) -> tuple[str, str]:
    return "For the job", "imperial" if settings.units == "imperial" else "metric"


def _rows(found: Estimate, settings: Settings) -> list[list[str]]:
    imperial = settings.units == "imperial"
    area = f"{plain(found.area / _SQUARE_FOOT, 1)} sq ft" if imperial else f"{plain(found.area, 2)} m2"
    unit = volume_unit(settings.units)
    rate = found.rate * unit.factor / _SQUARE_FOOT if imperial else found.rate
    rows = [
        ["Area", area],
        ["Spreading rate, nothing lost", f"{plain(rate, 1)} {'sq ft/imp pint' if imperial else 'm2/L'}"],
        ["Volume, nothing lost", _volume(found.theoretical, settings)],
        *_with_loss(found, settings),
        ["Wet film to aim for, each coat", _film(found.wet, settings)],
    ]
    if found.thinner:
        rows.insert(-1, ["Thinner beside it", _volume(found.thinner, settings)])
    return rows


def _with_loss(found: Estimate, settings: Settings) -> list[list[str]]:
    loss = found.job.material.loss
    return [[f"Volume with {plain(loss)} % lost", _volume(found.practical, settings)]] if loss else []


def _volume(litres: Fraction, settings: Settings) -> str:
    """Rounded up: a job must not end a spoonful short."""
    unit = volume_unit(settings.units)
    if unit.name == "L" and litres < 1:
        return f"{ceil(litres / MILLILITRE.factor)} mL"
    return f"{plain(Fraction(ceil(litres / unit.factor * 100), 100), 2)} {unit.name}"


def _film(film: Fraction, settings: Settings) -> str:
    if settings.units == "imperial":
        return f"{plain(film / _THOU, 1)} thou"
    return f"{plain(film, 0)} um"


def _tin_lines(found: Estimate, settings: Settings) -> Iterator[str]:
    tins = found.tins
    yield ""
    if tins is None:
        yield "It was never bought by volume or mass, so that tins and prices are not known."
        return

    def spell(count: int, cost: Decimal | None) -> str:
        price = "price not known" if cost is None else f"{cost:f} {settings.home_currency}"
        return f"{count} tin{'' if count == 1 else 's'} of {plain(tins.size)} {tins.unit.name}, {price}"

    yield f"For all of it: {spell(tins.count, tins.cost)}"
    if tins.left:
        yield f"In stock: {plain(tins.left, 2)} {tins.unit.name}"
        yield f"To buy: {spell(tins.short, tins.cost_short)}" if tins.short else "Nothing has to be bought."
    yield "Prices are the last paid, with postage, duty and tax."
