"""What was on the shelf after each purchase, return and use."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from journalgen.ledgers.money import MoneyRules, keep_money
from journalgen.ledgers.shelf import Move, keep_shelf, uses_by_part
from journalgen.ledgers.stock import MaterialStock, keep_stock
from journalgen.problems import Problems
from journalgen.records import Material, Purchase, Session, Use
from journalgen.values import Money
from tests.journals import FixedRates
from tests.site.samples import at, session, volume

ON = date(2024, 12, 31)
PAINT = Material("paint", at(1, "register/materials.yaml"))


def bought(amount: str, line: int = 2, kind: str = "material", price: str = "10") -> Purchase:
    return Purchase(at(line), kind, material="paint", amount=volume(amount), price=Money(Decimal(price), "GBP"))


def used(amount: str, *parts: str, line: int = 5) -> Use:
    return Use(at(line), "paint", volume(amount), parts)


def shelf(*sessions: Session) -> tuple[MaterialStock, tuple[Move, ...]]:
    money = keep_money(sessions, MoneyRules("GBP", 2, FixedRates()), Problems())
    stock = keep_stock(sessions, money.costs, {"paint": PAINT}, ON, Problems()).materials["paint"]
    return stock, keep_shelf(stock, money.costs, ON)


def test_every_lot_return_and_use_leaves_what_it_leaves() -> None:
    stock, moves = shelf(
        session("2024-01-01", "Buy", purchases=(bought("500"),)),
        session("2024-02-01", "Use", uses=(used("120", "axle", "hub"),)),
        session("2024-03-01", "Back", purchases=(bought("100", kind="refund"),)),
    )
    assert [(move.day.month, move.change, move.left) for move in moves] == [
        (1, 500, 500), (2, -60, 440), (2, -60, 380), (3, -100, 280),
    ]  # fmt: skip
    assert moves[-1].returned is not None
    assert moves[-1].left == stock.left


def test_on_one_day_the_purchase_comes_before_the_use() -> None:
    _, moves = shelf(session("2024-01-01", "Both", uses=(used("20", line=2),), purchases=(bought("50", line=9),)))
    assert [move.left for move in moves] == [50, 30]


def test_a_shortfall_goes_below_nought() -> None:
    stock, moves = shelf(session("2024-01-01", "A", purchases=(bought("50"),), uses=(used("80", "axle"),)))
    assert moves[-1].left == stock.left == -30


def test_uses_are_added_up_by_part_with_what_they_cost() -> None:
    stock, _ = shelf(
        session("2024-01-01", "A", purchases=(bought("100"),), uses=(used("10", "axle"), used("30", "hub", line=6))),
        session("2024-01-02", "B", uses=(used("70", "axle"),)),
    )
    found = uses_by_part(stock)
    assert [(row.part, row.amount, row.cost, row.complete, row.estimated) for row in found] == [
        ("axle", 80, 8, True, True), ("hub", 30, 3, True, False),
    ]  # fmt: skip


@given(st.lists(st.tuples(st.sampled_from(("buy", "use", "refund")), st.integers(1, 99)), min_size=1, max_size=12))
def test_the_last_move_always_leaves_what_the_stock_has_left(events: list[tuple[str, int]]) -> None:
    sessions = [session("2024-01-01", "First", purchases=(bought("40"),))]
    for day, (what, amount) in enumerate(events, 2):
        line = bought(str(amount), kind="refund" if what == "refund" else "material")
        fields = {"uses": (used(str(amount)),)} if what == "use" else {"purchases": (line,)}
        sessions.append(session(f"2024-01-{day:02}", f"Day {day}", **fields))
    stock, moves = shelf(*sessions)
    assert moves[-1].left == stock.left
    assert sum((row.amount for row in uses_by_part(stock)), Fraction(0)) == stock.used
