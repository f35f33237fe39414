"""The ledgers as tables for spreadsheets: their columns, and that no cell is run."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.records import Journal, Session, Settings
from journalgen.site.data_csv import write_cell
from journalgen.site.data_tables import write_rate
from journalgen.site.matter import OWNER, PUBLIC
from tests.journals import PLACE
from tests.site.full_journal import FILES, SHOWN, rows, written
from tests.site.matters import matter_of, read_matter


def test_every_table_has_its_columns_in_the_owners_edition(tmp_path: Path) -> None:
    data = written(read_matter(tmp_path, FILES, OWNER, SHOWN))
    heads = {name: text.decode().split("\r\n")[0] for name, text in data.items() if name.endswith(".csv")}
    assert heads == {
        "data/hours.csv": "date,session,part,assembly,step,minutes,private",
        "data/purchases.csv": (
            "day_paid,session,kind,parts,material,what,count,amount,unit,price,price_currency,postage,postage_currency,"
            "duty,duty_currency,tax,tax_currency,paid,rate,rate_day,rate_origin,cost,cost_currency,not_converted,"
            "from,ordered,arrived,note,private"
        ),
        "data/stock.csv": "material,unit,bought,used,left,cost_bought,cost_used,cost_currency,estimated",
        "data/measures.csv": "date,session,parts,what,value,unit,low,high,uncertainty,verdict,limits,note,private",
        "data/steps.csv": "date,part,step,coat,minutes,material,amount,unit,air,humidity,surface,result,private",
    }


def test_a_step_of_several_parts_is_a_row_for_each(tmp_path: Path) -> None:
    found = written(read_matter(tmp_path, FILES, PUBLIC, SHOWN))["data/steps.csv"]
    assert found.decode() == (
        "date,part,step,coat,minutes,material,amount,unit,air,humidity,surface,result\r\n"
        "2024-03-09,axle,prime,1,46,zinc primer,50,mL,18,55,16.5,'=looks well\r\n"
        "2024-03-09,hub,prime,1,45,zinc primer,50,mL,18,55,16.5,'=looks well\r\n"
    )


def test_limits_are_given_in_the_unit_of_the_value(tmp_path: Path) -> None:
    (row,) = rows(written(read_matter(tmp_path, FILES))["data/measures.csv"])
    assert row == {
        "date": "2024-03-09", "session": "2024-03-09-first-coat", "parts": "axle", "what": "diameter",
        "value": "34.981", "unit": "mm", "low": "34.9758", "high": "35.0012", "uncertainty": "0.004",
        "verdict": "within", "limits": "1.3770 .. 1.3780 in", "note": "",
    }  # fmt: skip


def test_purchases_tell_rates_and_what_was_not_converted(tmp_path: Path) -> None:
    found = rows(written(read_matter(tmp_path, FILES, OWNER, SHOWN))["data/purchases.csv"])
    assert [(r["cost"], r["rate"], r["rate_origin"], r["not_converted"], r["private"]) for r in found] == [
        ("63.80", "", "", "6 EUR", "no"), ("16.00", "0.0004", "journal", "", "yes"), ("-5.00", "", "", "", "no"),
    ]  # fmt: skip
    assert found[2]["what"] == "'-5 back"


def test_stock_is_in_the_unit_of_the_first_purchase(tmp_path: Path) -> None:
    (row,) = rows(written(read_matter(tmp_path, FILES, PUBLIC, SHOWN))["data/stock.csv"])
    assert [row[name] for name in ("material", "unit", "bought", "used", "left")] == [
        "zinc primer",
        "L",
        "2",
        "0.1",
        "1.9",
    ]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "\nx", "＝1", "－1"])
def test_a_text_that_would_run_gets_an_apostrophe(text: str) -> None:
    assert write_cell(text) == f"'{text}"


@pytest.mark.parametrize(
    ("text", "shown"),
    [("x;=1", "x;'=1"), ("x\t-1", "x\t'-1"), ("x\n+1", "x\n'+1"), ("\t=1", "'\t'=1"), ("x; -5 degC", "x; -5 degC")],
)
def test_a_text_that_would_run_where_semicolons_part_cells_gets_an_apostrophe_there(text: str, shown: str) -> None:
    assert write_cell(text) == shown


@pytest.mark.parametrize(
    ("cell", "shown"),
    [
        ("1-2", "1-2"), (" =1", " =1"), ("", ""), (None, ""), (-5, "-5"),
        (Decimal("-12.50"), "-12.50"), (Decimal("-0.00"), "0.00"),
        (Decimal("1E+3"), "1000"), (Decimal("1E-7"), "0.0000001"),
        (Fraction(1, 3), "0.333333"), (Fraction(-1, 2), "-0.5"),
        (date(2024, 3, 9), "2024-03-09"),
    ],
)  # fmt: skip
def test_other_cells_stay_what_they_are(cell: str | int | Decimal | Fraction | date | None, shown: str) -> None:
    assert write_cell(cell) == shown


@given(st.text())
def test_any_text_comes_back_from_a_table(text: str) -> None:
    matter = matter_of(
        Journal(Settings("T"), (Session(PLACE, PLACE, date(2024, 1, 1), "t", "p", minutes=1, parts=(text,)),))
    )
    data = written(matter)["data/hours.csv"]
    (row,) = rows(data)
    # A reader of CSV may take any line end for its own.
    assert row["part"].replace("\r\n", "\n") == write_cell(text).replace("\r\n", "\n")
    assert re.search(rb"(?<!\r)\n\Z", data) is None


@pytest.mark.parametrize(
    ("rate", "shown"),
    [
        (Fraction(6, 7), "0.857143"),
        (Fraction("1.2"), "1.2"),
        (Fraction("0.00040"), "0.0004"),
        (Fraction(1, 24_000), "0.0000416667"),
        (Fraction(0), "0"),
    ],
)
def test_a_rate_keeps_six_figures_however_small(rate: Fraction, shown: str) -> None:
    assert write_rate(rate) == shown
