"""All data of an edition adds up to its ledgers, whatever the journal."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from datetime import date, time
from decimal import Decimal
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from journalgen.records import Journal, Material, Part, Purchase, Session, Settings, WorkLine
from journalgen.site.matter import OWNER, PUBLIC, Matter
from journalgen.values import Amount, Money, Place
from tests.journals import FixedRates
from tests.site.full_journal import rows, written
from tests.site.matters import matter_of

PARTS = ("axle", "hub", "wheel")
NAMES = st.lists(st.sampled_from(PARTS), unique=True).map(tuple)
AMOUNTS = st.decimals("0", "5000", places=2)
MINUTES = st.none() | st.integers(0, 300)
LITRES = st.decimals("0", "3", places=3).map(lambda n: Amount(n, "L", "volume", Fraction(1)))


def monies(*currencies: str) -> st.SearchStrategy[Money | None]:
    return st.none() | st.builds(Money, AMOUNTS, st.sampled_from(currencies))


@st.composite
def sessions(draw: st.DrawFn) -> Session:
    n = draw(st.integers(0, 10_000))
    place = Place(f"entries/{n}.md", 2)
    lines = st.builds(
        WorkLine, st.just(place), NAMES, st.none() | st.sampled_from(["etch", "fit"]), st.none(), MINUTES,
        st.none() | st.just("primer"), st.none() | LITRES, private=st.booleans(),
    )  # fmt: skip
    bought = st.builds(
        Purchase, st.just(place), st.sampled_from(["part", "tool", "refund", "sale"]), NAMES,
        st.none() | st.just("primer"), st.none(), monies("GBP", "EUR", "ITL"), st.integers(1, 3), monies("GBP", "EUR"),
        paid=monies("GBP"),
        amount=st.none() | LITRES, private=st.booleans(),
    )  # fmt: skip
    return Session(
        place, place, draw(st.dates(date(2023, 1, 1), date(2025, 12, 31))), "A day", f"page-{n}",
        start=draw(st.none() | st.just(time(19))), minutes=draw(MINUTES), parts=draw(NAMES),
        work=tuple(draw(st.lists(lines, max_size=2))), purchases=tuple(draw(st.lists(bought, max_size=2))),
        private=draw(st.booleans()),
    )  # fmt: skip


@st.composite
def matters(draw: st.DrawFn) -> Matter:
    made = draw(st.lists(sessions(), max_size=3, unique_by=lambda s: s.page))
    hide = draw(st.frozensets(st.sampled_from(["prices", "suppliers", "storage", "numbers", "hours"])))
    parts = {name: Part(name) for name in PARTS}
    journal = Journal(
        Settings("T", "GBP", hide=hide), tuple(sorted(made, key=lambda s: s.day)), parts, {"primer": Material("primer")}
    )
    rates = FixedRates({("EUR", "GBP"): Fraction(6, 7)})
    return matter_of(journal, draw(st.sampled_from([PUBLIC, OWNER])), rates=rates)


@settings(max_examples=60, deadline=None)
@given(matters())
def test_all_data_adds_up_to_the_ledgers_and_every_number_is_exact(matter: Matter) -> None:
    data, figures = written(matter), matter.figures
    found = json.loads(data["data/journal.json"])
    assert found["figures"]["sessions"]["count"] == len(found["sessions"])
    assert ("data/hours.csv" in data) == ("hours" not in matter.hidden)
    if "data/hours.csv" in data:
        assert sum(int(row["minutes"]) for row in rows(data["data/hours.csv"])) == figures.hours.minutes
        assert sum(session["minutes"] for session in found["sessions"]) == figures.hours.minutes
    assert ("data/purchases.csv" in data) == ("prices" not in matter.hidden)
    if "data/purchases.csv" in data:
        assert _sum(row["cost"] for row in rows(data["data/purchases.csv"])) == figures.money.total
        bought = [purchase for session in found["sessions"] for purchase in session["purchases"]]
        assert _sum(purchase["cost"] for purchase in bought) == figures.money.total
        assert _sum(share for purchase in bought for share in purchase["by_part"].values()) == figures.money.total
    for value in _leaves(found):
        assert not isinstance(value, float)
        assert not isinstance(value, str) or re.fullmatch(r"-?[0-9]+\.[0-9]{7,}|.*[0-9]E[+-]?[0-9]+", value) is None


def _sum(texts: Iterable[str]) -> Decimal:
    return sum((Decimal(text) for text in texts), Decimal(0))


def _leaves(value: object) -> Iterator[object]:
    if isinstance(value, dict):
        for item in value.values():
            yield from _leaves(item)
    elif isinstance(value, list):
        for item in value:
            yield from _leaves(item)
    else:
        yield value
