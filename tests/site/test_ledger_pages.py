"""Hours, costs, materials and the state of the machine: what the pages show is what the ledgers say."""

from __future__ import annotations

from decimal import Decimal

import pytest
from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.ledgers.spending import cost_of_materials_used
from journalgen.records import GENERAL, Purchase
from journalgen.site.formats import Formats
from journalgen.site.matter import PUBLIC
from journalgen.values import Money
from tests.site.samples import (
    FIRST,
    SECOND,
    SETTINGS,
    at,
    edition,
    every,
    foot,
    hiding,
    journal,
    of_class,
    one,
    owner_site,
    rows,
    session,
    table,
    trees,
    volume,
    words,
)

MATTER = edition()
FIGURES = MATTER.figures


@pytest.fixture(scope="module")
def formats() -> Formats:
    from gettext import NullTranslations

    return Formats(SETTINGS, NullTranslations())


def values(tree: HtmlElement) -> list[Decimal]:
    """The bare figures of a tally's rows."""
    return [Decimal(cell.get("data-v")) for cell in every(tree, f"tbody/tr/{of_class('n', 'td')}")]


@pytest.mark.parametrize("caption", ["Hours by part", "Hours by step", "Hours by assembly", "Hours by month"])
def test_every_table_of_hours_adds_up_to_the_ledger(caption: str, formats: Formats) -> None:
    found = table(owner_site()["hours.html"], caption)
    assert sum(values(found)) == FIGURES.hours.minutes == 240
    assert foot(found) == ["Together", formats.hours(FIGURES.hours.minutes)]


def test_hours_by_part_are_those_of_the_ledger_most_first(formats: Formats) -> None:
    shown = [(name, hours) for name, _, hours in rows(table(owner_site()["hours.html"], "Hours by part"))]
    ledger = sorted(FIGURES.hours.by_part().items(), key=lambda item: -item[1])
    assert shown == [(part, formats.hours(minutes)) for part, minutes in ledger]


@pytest.mark.parametrize("caption", ["By kind", "By assembly", "By part", "Money spent by month"])
def test_every_table_of_money_adds_up_to_the_ledger(caption: str, formats: Formats) -> None:
    found = table(owner_site()["costs.html"], caption)
    assert sum(values(found)) == FIGURES.money.total
    assert foot(found)[-1] == formats.home(FIGURES.money.total)


def test_the_total_spent_stands_on_the_costs_and_on_the_machines_page(formats: Formats) -> None:
    total = formats.home(FIGURES.money.total)
    assert total == "£158.72"  # 12.00 + 20.82 + 31.90 - 5.00 + 99.00; 24.50 EUR at 0.85, half-even
    site = owner_site()
    assert total in words(one(site["costs.html"], of_class("totals", "dl")))
    assert total in words(one(site["index.html"], of_class("facts", "dl")))
    assert foot(table(site["costs.html"], "Purchases, oldest first"))[1] == total


def test_what_has_no_rate_is_listed_as_billed_and_in_no_total() -> None:
    site = owner_site()
    assert "ITL 120,000" in words(one(site["index.html"], of_class("facts", "dl")))
    line = next(row for row in rows(table(site["costs.html"], "Purchases")) if "old stock" in row[1])
    assert line[2] == "not converted"
    assert line[3].startswith("ITL 120,000")
    assert "no rate is known" in line[3]
    assert "ITL 120,000" in words(table(site["costs.html"], "Sums as billed"))


def test_a_conversion_shows_its_rate_its_day_and_its_origin() -> None:
    line = next(row for row in rows(table(owner_site()["costs.html"], "Purchases")) if "lamp glass" in row[4])
    assert line[0] == "11 Feb 2024"
    assert line[2] == "£20.82"
    assert "EUR 24.50" in line[3]
    assert "at 0.85 of 11 Feb 2024, European Central Bank" in line[3]
    assert "EUR 18.50; postage EUR 6.00" in line[1]
    assert "arrived 4 Mar 2024" in line[1]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"rate": Decimal("0.80")}, "at 0.8, as the entry has it"),
        ({"paid": Money(Decimal("21.40"), "GBP")}, "as paid in home currency"),
    ],
)
def test_other_origins_of_a_rate_are_told_apart(fields: dict[str, object], said: str) -> None:
    bought = replace(
        Purchase(at(3), "tool", what="file", price=Money(Decimal("10"), "EUR")),
        **fields,  # type: ignore[arg-type]
    )
    site = trees(edition(journal(session("2024-03-01", "Shop", purchases=(bought,)))))
    assert said in words(table(site["costs.html"], "Purchases"))


def test_the_journals_own_table_of_rates_is_named() -> None:
    settings = replace(SETTINGS, rates=(("ITL", Decimal("0.00040")),))
    site = trees(edition(journal(FIRST, settings=settings)))
    line = next(row for row in rows(table(site["costs.html"], "Purchases")) if "old stock" in row[1])
    assert line[2] == "£48.00"
    assert "at 0.0004, from the journal's own table" in line[3]


def test_a_sale_is_negative() -> None:
    line = next(row for row in rows(table(owner_site()["costs.html"], "Purchases")) if "spare bracket" in row[1])
    assert line[2] == "−£5.00"
    assert line[5] == "sale"


def test_materials_used_up_by_part_add_up_to_the_stock(formats: Formats) -> None:
    found = table(owner_site()["costs.html"], "Materials used up, by part")
    assert foot(found)[-1] == formats.home(cost_of_materials_used(FIGURES.stock))
    wheel = next(row for row in rows(found) if row[0] == "front wheel")
    assert wheel[2] == f"{formats.home(FIGURES.stock.consumed_by_part()['front wheel'])} estimated in part"


def test_the_stock_shows_bought_used_left_and_the_shortfall() -> None:
    stock = {row[0]: row[1:] for row in rows(table(owner_site()["materials.html"], "Stock of materials"))}
    assert stock["zinc primer"][:5] == ["1 L", "0.1 L", "0.9 L", "£31.90", "£3.19"]
    assert stock["rust converter"][2] == "−20 mL more used than bought"
    assert stock["rust converter"][4] == "£14.40 estimated in part"
    assert stock["320 grit paper"][3:5] == ["not known", "not known"]


def test_uses_of_unknown_cost_are_listed() -> None:
    found = rows(table(owner_site()["materials.html"], "Uses of unknown cost"))
    assert found == [["9 Mar 2024", "320 grit paper", "2 sheets", "front wheel", "First coat"]]


def test_every_lot_stands_under_its_material_with_its_landed_cost() -> None:
    lots = rows(table(owner_site()["materials.html"], "rust converter"))
    assert [lot[:4] for lot in lots] == [["9 Mar 2024", "100 mL", "0 mL", "£12.00"]]


def test_without_prices_the_stock_has_no_column_of_money() -> None:
    tree = trees(edition(hiding("prices"), PUBLIC))["materials.html"]
    heads = [words(head) for head in every(table(tree, "Stock of materials"), "thead//th")]
    assert heads == ["Material", "Bought", "Used", "Left", "Kind"]


def test_a_purchase_without_a_price_is_not_shown_as_free() -> None:
    bought = Purchase(at(3), "tool", what="borrowed file")
    site = trees(edition(journal(session("2024-03-01", "Shop", purchases=(bought,)))))
    assert rows(table(site["costs.html"], "Purchases"))[0][2] == "not given"


def test_a_lot_that_could_not_be_converted_has_no_landed_cost() -> None:
    bought = Purchase(
        at(3), "material", material="zinc primer", amount=volume("1", "L"), price=Money(Decimal("9"), "ITL")
    )
    site = trees(edition(journal(session("2024-03-01", "Shop", purchases=(bought,)))))
    assert rows(table(site["materials.html"], "zinc primer"))[0][3] == "not converted"


def test_the_assemblies_of_the_machine_add_up_to_the_ledgers(formats: Formats) -> None:
    found = table(owner_site()["index.html"], "State of each assembly")
    shown = {row[0]: row[3:] for row in rows(found)}
    minutes = FIGURES.hours.by_assembly(MATTER.journal.parts)
    assert shown["running gear"][0] == formats.hours_in_column(minutes["running gear"])
    assert shown["in no assembly"][1] == formats.home(FIGURES.money.by_part()[GENERAL] - 5)
    spent = [Decimal(row[4].strip("£").replace("−£", "-")) for row in rows(found)]
    assert sum(spent) == FIGURES.money.total
    assert foot(found)[2:4] == [formats.hours_in_column(FIGURES.hours.minutes), formats.home(FIGURES.money.total)]


def test_assemblies_stand_below_the_assembly_they_belong_to() -> None:
    found = table(owner_site()["index.html"], "State of each assembly")
    assert [row[0] for row in rows(found)] == ["chassis", "running gear", "lamps", "in no assembly"]
    assert [words(head) for head in every(found, f"tbody//{of_class('deep', 'th')}")] == ["running gear"]


def test_the_years_at_the_bench_add_up_by_assembly_and_by_year() -> None:
    found = table(owner_site()["index.html"], "Hours and minutes by assembly and year")
    assert foot(found) == ["Together", "4:00", "4:00"]
    assert {row[0]: row[-1] for row in rows(found)} == {"running gear": "3:30", "lamps": "0:30"}


def test_an_assembly_whose_parts_are_all_fitted_is_a_milestone() -> None:
    reached = words(one(owner_site()["index.html"], of_class("milestones", "ol")))
    assert reached == "running gear: every part fitted, April 2024"
    assert "Every part fitted: running gear." in words(owner_site()["timeline.html"])
    assert "Fitted: axle and front wheel" in words(owner_site()["timeline.html"])


def test_years_without_hours_are_not_drawn() -> None:
    shown = trees(edition(journal(FIRST, replace(SECOND, minutes=0, work=(), purchases=()))))
    heads = [words(h) for h in every(table(shown["timeline.html"], "Hours and minutes"), "thead//th")]
    assert heads == ["Assembly", "2024", "All"]
    silent = trees(edition(journal(session("2024-03-01", "Looked at it"))))
    assert not every(silent["timeline.html"], of_class("years", "table"))


def test_the_machines_page_opens_with_the_last_after_of_the_whole_machine() -> None:
    opening = one(owner_site()["index.html"], of_class("opening", "div"))
    assert one(opening, "img").get("alt") == "the machine <so far>"
    assert one(opening, "img").get("loading") is None


def test_the_latest_sessions_are_three_newest_first() -> None:
    titles = [words(title) for title in every(owner_site()["index.html"], of_class("card-title", "h3"))]
    assert titles == ["Haggling private", "Primer", "First coat"]


def test_problems_stand_above_the_owners_record_and_are_open_if_one_is_an_error() -> None:
    from journalgen.problems import ERROR, WARNING, Problem

    slight = Problem(at(3), WARNING, "a-rule", "Something is odd.", "Look again.")
    grave = Problem(at(4), ERROR, "b-rule", "Something is wrong.", "Mend it.")
    one_page = trees(edition(problems=(slight,)))["index.html"]
    banner = one(one_page, of_class("problems", "details"))
    assert banner.get("open") is None
    assert words(banner).startswith("1 problem Something is odd.")
    assert "entries/2024-03-09-a-day.md:3:1" in words(banner)
    two = one(trees(edition(problems=(slight, slight)))["index.html"], of_class("problems", "details"))
    assert "2 problems, none of them an error" in words(two)
    both = one(trees(edition(problems=(slight, grave)))["index.html"], of_class("problems", "details"))
    assert both.get("open") is not None
    assert "2 problems, 1 of them an error" in words(both)
    assert not every(owner_site()["index.html"], of_class("problems", "details"))
