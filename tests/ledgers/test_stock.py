"""Lots in, uses out, first in first out, at landed cost."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.ledgers.money import MoneyRules, keep_money
from journalgen.ledgers.quantities import plain
from journalgen.ledgers.stock import MaterialStock, Stock, keep_stock
from journalgen.problems import Problems
from journalgen.records import Material, Session
from journalgen.values import Duration, Place
from tests.journals import FixedRates, entry, rules

RULES = MoneyRules("GBP", 2, FixedRates())
LATE = date(2030, 1, 1)


def day(when: str, text: str) -> Session:
    return entry(f"---\ndate: {when}\n{text}\n---\n", file=f"entries/{when}-x.md")


def stock(
    sessions: list[Session], material: Material | None = None, on: date = LATE, problems: Problems | None = None
) -> Stock:
    found = Problems() if problems is None else problems
    names = {p.material for s in sessions for p in s.purchases if p.material} | {
        u.material for s in sessions for u in s.uses
    }
    names |= {w.material for s in sessions for w in s.work if w.material}
    materials = {name: material or Material(name) for name in sorted(names)}
    kept = keep_stock(sessions, keep_money(sessions, RULES, found).costs, materials, on, found)
    assert problems is not None or not found.found, found.found
    return kept


def paint(*sessions: Session, **options: object) -> MaterialStock:
    return stock(list(sessions), **options).materials["paint"]  # type: ignore[arg-type]


BUY_1 = day("2024-01-01", "bought:\n  - {material: paint, amount: 1 L, price: 10}")
BUY_2 = day("2024-02-01", "bought:\n  - {material: paint, amount: 1 L, price: 20}")


def test_uses_take_the_oldest_lot_first_at_its_landed_cost() -> None:
    use = day("2024-03-01", "materials:\n  - {use: paint, amount: 1500 mL, part: axle}")
    kept = stock([BUY_1, BUY_2, use])
    row = kept.materials["paint"]
    assert (row.unit.name, row.bought, row.used, row.left) == ("L", 2, Fraction(3, 2), Fraction(1, 2))
    assert (row.cost_bought, row.cost_used) == (30, 20)  # 10 and half of 20
    assert kept.consumed_by_part() == {"axle": 20}
    assert row.left_in_lots == (0, Fraction(1, 2))


def test_landed_cost_holds_postage_duty_and_tax_and_counts_every_tin() -> None:
    buy = day("2024-01-01", "bought:\n  - {material: paint, amount: 500 mL, count: 2, price: 5, postage: 3, tax: 2}")
    use = day("2024-01-02", "materials: paint 250 mL")
    row = paint(buy, use)
    assert (row.bought, row.unit.name, row.cost_used) == (1000, "mL", Fraction(15, 4))


def test_a_work_line_with_an_amount_is_a_use_shared_equally_by_its_parts() -> None:
    use = day("2024-03-01", "work:\n  - {part: [axle, hub, wheel], step: prime, material: paint, amount: 0.1 L}")
    kept = stock([BUY_1, use])
    assert [(u.part, u.amount) for u in kept.materials["paint"].uses] == [
        ("axle", Fraction(1, 30)), ("hub", Fraction(1, 30)), ("wheel", Fraction(1, 30)),
    ]  # fmt: skip
    assert kept.consumed_by_part() == dict.fromkeys(("axle", "hub", "wheel"), Fraction(1, 3))


def test_on_one_day_purchases_come_before_uses() -> None:
    both = day("2024-01-01", "materials: paint 1 L\nbought:\n  - {material: paint, amount: 1 L, price: 10}")
    assert paint(both).left == 0


def test_a_lot_counts_from_the_day_it_arrived() -> None:
    late = day(
        "2024-03-01", "bought:\n  - {material: paint, amount: 1 L, price: 10, ordered: 2024-01-01, arrived: 2024-02-20}"
    )
    use = day("2024-02-21", "materials: paint 0.5 L")
    assert paint(use, late).left == Fraction(1, 2)


def test_using_more_than_was_bought_is_told_and_costed_at_the_last_known_price() -> None:
    use = day("2024-01-15", "materials: paint 1.25 L")
    problems = Problems()
    row = paint(BUY_1, use, BUY_2, problems=problems)
    assert rules(problems) == ["stock-short"]
    assert "2024-01-15" in problems.found[0].message
    assert "0.25 L" in problems.found[0].message
    assert (row.cost_used, row.estimated) == (Fraction(25, 2), True)
    assert row.left == Fraction(3, 4)
    assert row.left_in_lots == (0, 1)  # a later lot does not repay a shortfall


def test_what_was_never_bought_has_no_cost_and_one_warning() -> None:
    problems = Problems()
    row = paint(
        day("2024-01-01", "materials: paint 5 mL"), day("2024-01-02", "materials: paint 1 L"), problems=problems
    )
    assert (row.unit.name, row.bought, row.left) == ("mL", 0, -1005)
    assert (row.cost_bought, row.cost_used, row.estimated) == (None, None, False)
    assert rules(problems) == ["stock-short"]
    assert len(row.unknown) == 2


def test_what_is_in_no_register_though_others_are_is_not_warned_of_twice() -> None:
    """It was told already that the name is not known: most often it is misspelt."""
    use, problems = day("2024-01-01", "materials: piant 5 mL"), Problems()
    registered = {"paint": Material("paint", place=Place("register/materials.yaml")), "piant": Material("piant")}
    kept = keep_stock([use], (), registered, LATE, problems)
    assert problems.found == []
    assert kept.materials["piant"].left == -5
    keep_stock([use], (), {"piant": registered["piant"]}, LATE, problems)
    assert rules(problems) == ["stock-short"]


def test_a_lot_that_could_not_be_converted_gives_uses_of_unknown_cost() -> None:
    buy = day("2024-01-01", "bought:\n  - {material: paint, amount: 1 L, price: 10 CHF}")
    problems = Problems()
    row = paint(buy, day("2024-01-02", "materials: paint 0.5 L"), problems=problems)
    assert rules(problems) == ["not-converted"]
    assert (row.cost_bought, row.cost_used, len(row.unknown)) == (None, None, 1)


def test_a_use_of_which_the_cost_is_not_known_is_not_called_free() -> None:
    early = day("2023-12-01", "materials: paint 1 L")
    row = paint(early, BUY_1, problems=Problems())
    assert (row.cost_used, len(row.unknown)) == (None, 1)
    assert paint(BUY_1).cost_used == 0


@pytest.mark.parametrize("kind", ["refund", "sale"])
def test_a_refund_or_a_sale_moves_stock_only_with_an_amount(kind: str) -> None:
    back = (
        "bought:\n  - {material: paint, kind: refund, price: 8%s}"
        if kind == "refund"
        else "sold:\n  - {material: paint, price: 8%s}"
    )
    without = paint(BUY_1, BUY_2, day("2024-03-01", back % ""))
    assert (without.bought, without.left) == (2, 2)
    with_amount = paint(BUY_1, BUY_2, day("2024-03-01", back % ", amount: 0.5 L"))
    assert (with_amount.bought, with_amount.left) == (Fraction(3, 2), Fraction(3, 2))
    assert with_amount.left_in_lots == (1, Fraction(1, 2))  # it goes back from the newest


def test_mass_and_volume_convert_through_the_density() -> None:
    row = paint(
        BUY_1, day("2024-01-02", "materials: paint 710 g"), material=Material("paint", density=Fraction(142, 100))
    )
    assert row.left == Fraction(1, 2)


@pytest.mark.parametrize("use", ["materials: paint 710 g", "materials: paint 1 tin", "materials: paint 2"])
def test_units_that_convert_to_nothing_are_an_error_at_the_use(use: str) -> None:
    problems = Problems()
    row = paint(BUY_1, day("2024-01-02", use), problems=problems)
    assert rules(problems) == ["unit-mismatch"]
    assert problems.found[0].is_error
    assert (row.used, row.left) == (0, 1)


def test_counted_units_have_one_spelling_in_singular_and_plural() -> None:
    buy = day("2024-01-01", "bought:\n  - {material: paper, amount: 50 sheets, price: 10}")
    row = stock([buy, day("2024-01-02", "materials: paper 1 sheet")]).materials["paper"]
    assert (row.unit.name, row.left, row.cost_used) == ("sheets", 49, Fraction(1, 5))


def test_a_purchase_without_an_amount_is_pointed_out_and_opens_no_lot() -> None:
    problems = Problems()
    kept = stock([day("2024-01-01", "bought:\n  - {material: paint, price: 10}")], problems=problems)
    assert rules(problems) == ["amount-missing"]
    assert not kept.materials


def test_a_lot_past_its_keeping_is_a_warning_when_used_and_while_some_is_left() -> None:
    material = Material("paint", keeps=Duration(0, 6))
    problems = Problems()
    paint(BUY_1, day("2024-08-01", "materials: paint 0.5 L"), material=material, problems=problems)
    assert sorted(rules(problems)) == ["lot-past-keeping", "used-past-keeping"]
    in_time = day("2024-07-01", "materials: paint 1 L")
    assert paint(BUY_1, in_time, material=material).left == 0


def test_stock_is_as_it_stood_on_the_day() -> None:
    use = day("2024-03-01", "materials: paint 1.5 L")
    assert paint(BUY_1, BUY_2, use, on=date(2024, 1, 31)).left == 1
    assert paint(BUY_1, BUY_2, use, on=date(2024, 3, 1)).left == Fraction(1, 2)


steps = st.lists(
    st.one_of(
        st.tuples(st.just("buy"), st.integers(1, 2000), st.decimals(0, 100, places=2)),
        st.tuples(st.just("use"), st.integers(1, 2000), st.integers(1, 3)),
    ),
    min_size=1,
    max_size=8,
)


@given(steps)
def test_nothing_is_lost_bought_less_used_is_left_and_the_money_is_in_uses_or_lots(
    moves: list[tuple[str, int, Decimal | int]],
) -> None:
    sessions = []
    for n, (move, millilitres, figure) in enumerate(moves):
        when = f"2024-{1 + n // 28:02}-{1 + n % 28:02}"
        if move == "buy":
            sessions.append(day(when, f"bought:\n  - {{material: paint, amount: {millilitres} mL, price: {figure}}}"))
        else:
            parts = ", ".join(["axle", "hub", "wheel"][: int(figure)])
            sessions.append(day(when, f"materials:\n  - {{use: paint, amount: {millilitres} mL, part: [{parts}]}}"))
    row = paint(*sessions, problems=Problems())
    assert row.left == row.bought - row.used
    in_lots = sum(
        (
            lot.landed * left / lot.amount
            for lot, left in zip(row.lots, row.left_in_lots, strict=True)
            if lot.landed is not None
        ),
        Fraction(0),
    )
    if row.cost_bought is not None and not row.estimated and not row.unknown:
        assert row.cost_used is not None
        assert row.cost_used + in_lots == row.cost_bought


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (Fraction(1, 3), "0.333333"),
        (Fraction(2), "2"),
        (Decimal("0.620"), "0.62"),
        (Fraction(-1, 2), "-0.5"),
        (Decimal("1E+5"), "100000"),
        (Fraction(1, 10**9), "0"),
    ],
)
def test_numbers_are_written_plainly(number: Fraction | Decimal, text: str) -> None:
    assert plain(number) == text
