"""How much of a coating a job takes, in the user's units."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from msgspec.structs import replace

from journalgen.estimating import CannotEstimate, Estimate, Job, estimate, estimate_lines
from journalgen.ledgers.money import keep_money, rules_of
from journalgen.ledgers.stock import Stock, keep_stock
from journalgen.problems import Problems
from journalgen.reading.amounts import parse_amount
from journalgen.records import Session, Settings
from tests.journals import FixedRates
from tests.ledgers.workshop import PRIMER, day, journal, part, square_metres, work

AXLE = part("axle", area=square_metres("0.5"), quantity=2)


def stock(*sessions: Session) -> Stock:
    kept = journal([], *sessions)
    money = keep_money(kept.sessions, rules_of(kept, FixedRates()), Problems())
    return keep_stock(kept.sessions, money.costs, kept.materials, date(2030, 1, 1), Problems())


def of(job: Job, *sessions: Session) -> Estimate:
    return estimate(job, stock(*sessions), 2)


BOUGHT = day("2024-01-02", "bought:\n  - {material: red primer, amount: 125 mL, count: 2, price: 7.50, postage: 5}")


def test_parts_count_every_piece_and_an_area_is_beside_them() -> None:
    found = of(Job(PRIMER, (AXLE,), parse_amount("1 m2"), coats=2))
    assert (found.area, found.rate) == (2, Fraction(25, 2))
    assert (found.theoretical, found.practical) == (Fraction(8, 25), Fraction(2, 5))
    assert (found.wet, found.thinner, found.tins) == (80, 0, None)


def test_tins_are_of_the_size_last_bought_at_the_last_price_with_its_postage() -> None:
    used = work("2024-01-03", "part: axle, step: prime, material: red primer, amount: 50 mL")
    tins = of(Job(PRIMER, (AXLE,), coats=4), BOUGHT, used).tins
    assert tins is not None
    assert (tins.unit.name, tins.size, tins.count, tins.left, tins.short) == ("mL", 125, 4, 200, 2)
    assert (tins.cost, tins.cost_short) == (Decimal("40.00"), Decimal("20.00"))  # 400 mL wanted


def test_a_price_in_a_currency_without_a_rate_leaves_the_cost_unknown() -> None:
    foreign = day("2024-01-02", "bought:\n  - {material: red primer, amount: 1 L, price: 9 CHF}")
    tins = of(Job(PRIMER, (AXLE,)), foreign).tins
    assert tins is not None
    assert (tins.count, tins.cost) == (1, None)


@pytest.mark.parametrize(
    ("job", "says"),
    [
        (Job(PRIMER), "nothing to coat"),
        (Job(PRIMER, (part("hub"),)), "area of hub"),
        (Job(PRIMER, area=parse_amount("1 L")), "not an area"),
        (Job(replace(PRIMER, solids=None), (AXLE,)), "no `solids`"),
        (Job(replace(PRIMER, film=None), (AXLE,)), "no film"),
        (Job(replace(PRIMER, loss=Decimal(100)), (AXLE,)), "loss of 100"),
    ],
)
def test_what_is_missing_is_named(job: Job, says: str) -> None:
    with pytest.raises(CannotEstimate, match=says):
        of(job)


def test_the_film_asked_for_wins_over_the_registers() -> None:
    assert of(Job(PRIMER, (AXLE,), film=Decimal(80))).theoretical == Fraction(4, 25)


def test_a_person_reads_metric_figures() -> None:
    job = Job(replace(PRIMER, thinner=Decimal(10)), (AXLE,), coats=4)
    lines = list(estimate_lines(of(job, BOUGHT), Settings("x", home_currency="GBP")))
    text = "\n".join(" ".join(line.split()) for line in lines)
    for words in (
        "red primer, 4 coats of 40 um dry", "Area 1 m2", "12.5 m2/L", "Volume, nothing lost 320 mL", "20 % lost 400 mL",
        "Thinner beside it 40 mL", "each coat 88 um", "For all of it: 4 tins of 125 mL, 40.00 GBP", "In stock: 250 mL",
        "To buy: 2 tins of 125 mL, 20.00 GBP",
    ):  # fmt: skip
        assert words in text
    assert max(map(len, lines)) <= 80


def test_a_person_reads_imperial_figures() -> None:
    job = Job(PRIMER, area=parse_amount("100 ft2"), film=Decimal("50.8"))
    text = "\n".join(" ".join(line.split()) for line in estimate_lines(of(job), Settings("x", units="imperial")))
    # 10 x 50 / 50.8 = 9.843 m2/L = 60.2 sq ft/imp pint; 100 / 60.2 = 1.661 pints, rounded up
    for words in (
        "2 thou dry",
        "Area 100 sq ft",
        "60.2 sq ft/imp pint",
        "nothing lost 1.67 imp pint",
        "each coat 4 thou",
    ):
        assert words in text
    assert "never bought" in text
