"""The pages of steps and of materials, against the ledgers; what the public may not see is not on them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from posixpath import join, normpath

import pytest
from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.house import example_folder, trade_lore
from journalgen.ledgers.cautions import gather
from journalgen.ledgers.figures import compute
from journalgen.ledgers.shelf import keep_shelf
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.records import Material, MaterialLimits, Step, Use, WorkLine
from journalgen.site.matter import OWNER, PUBLIC, Matter, material_slugs, part_slugs, step_slugs
from journalgen.site.said import Said
from journalgen.values import Amount
from tests.journals import FixedRates
from tests.site.samples import (
    FIRST,
    SECOND,
    at,
    edition,
    every,
    foot,
    hiding,
    journal,
    one,
    owner_site,
    rows,
    session,
    table,
    texts,
    trees,
    volume,
    words,
)

PRIMER = "materials/zinc-primer.html"
CONVERTER = "materials/rust-converter.html"


@pytest.fixture(scope="module")
def example() -> Matter:
    whole = read_journal(example_folder()).journal
    figures = compute(whole, FixedRates(), whole.sessions[-1].day, Problems())
    slugs = (part_slugs(whole), material_slugs(whole), step_slugs(whole))
    return Matter(OWNER, whole, figures, {}, frozenset(), (), (), *slugs, trade_lore(), Said().of(whole.sessions))


@pytest.fixture(scope="module")
def example_pages(example: Matter) -> dict[str, HtmlElement]:
    return trees(example)


def test_every_step_that_was_done_has_a_row_and_a_page_and_no_other_has() -> None:
    site = owner_site()
    listed = rows(table(site["steps.html"], "Steps done"))
    assert [[row[0], *row[2:]] for row in listed] == [
        ["etch", "1", "1", "1 h 30 min", "1 h 30 min"],
        ["prime coat", "1", "1", "30 min", "30 min"],
        ["fit", "1", "2", "30 min", "15 min"],
    ]
    assert {name for name in site if name.startswith("steps/")} == {f"steps/{s}.html" for s in ("etch", "prime", "fit")}


def test_a_steps_page_tells_how_it_was_done_every_time() -> None:
    page = owner_site()["steps/etch.html"]
    assert rows(table(page, "Every time")) == [
        ["9 Mar 2024 First coat", "front wheel", "1", "rust converter 120 mL",
         "air 18 °C, surface 16.5 °C, humidity 55 %", "1 h 30 min", "clears by 4 mm thick near the hub"],
    ]  # fmt: skip
    assert [a.get("href") for a in every(table(page, "Every time"), "a")] == [
        "../sessions/2024-03-09-first-coat.html", "../parts/front-wheel.html", "../materials/rust-converter.html",
    ]  # fmt: skip


def test_a_step_tells_what_the_trade_says_of_it_with_its_source_and_its_cautions(
    example: Matter, example_pages: dict[str, HtmlElement]
) -> None:
    page = example_pages["steps/blast.html"]
    said = words(one(page, "section[@aria-labelledby='step']"))
    assert "Typical time 1 h 15 min" in said
    assert "to be covered within 8 h" in said
    assert "Source common practice" in said
    titles = [words(h) for h in every(page, "section[@aria-labelledby='cautions']//h3")]
    expected = gather(["blast"], [], [], example.journal, trade_lore())
    assert titles == [f"Caution. {caution.title}" for caution in expected]


def test_the_hours_on_the_steps_pages_are_the_ledgers(example: Matter, example_pages: dict[str, HtmlElement]) -> None:
    by_step = example.figures.hours.by_step()
    cells = every(table(example_pages["steps.html"], "Steps done"), "tbody/tr")
    shown = {row[0].xpath("string(.//a/@href)"): int(row[4].get("data-v")) for row in cells}
    assert shown == {
        f"steps/{example.step_slugs[step]}.html": by_step.get(step, 0)
        for step in {line.step for s in example.figures.sessions for line in s.work if line.step}
    }


def test_a_step_that_no_register_knows_keeps_its_words_and_has_a_page() -> None:
    odd = session("2024-03-01", "Odd", work=(WorkLine(at(3), ("axle",), "sing to it", minutes=10),))
    site = trees(edition(journal(odd)))
    assert words(one(site["steps/sing-to-it.html"], "h1")) == "sing to it"
    assert "Every time" in words(site["steps/sing-to-it.html"])


def test_a_material_shows_the_registers_figures() -> None:
    figures = Material(
        "zinc primer", at(2), (), "coating", Decimal(52), Decimal(40), Decimal(30), Decimal(10),
        limits=MaterialLimits(above_dew_point=Amount(Decimal(3), "degC", "temperature", 1)), colour="#8a8f92",
        hazards=("H226", "H999"), safety_sheet="zinc.pdf", note="stir <well>",
    )  # fmt: skip
    of = journal()
    page = trees(edition(replace(of, materials=of.materials | {"zinc primer": figures})))[PRIMER]
    said = words(one(page, "section[@aria-labelledby='material']"))
    for fact in ("Solids 52 % by volume", "Dry film 40 µm a coat", "Loss 30 %", "Thinner 10 %", "stir <well>",
                 "surface 3 °C above it", "zinc.pdf", "#8a8f92"):  # fmt: skip
        assert fact in said, fact
    assert "Signal word warning" in words(one(page, "section[@aria-labelledby='hazards']"))
    cautions = words(one(page, "section[@aria-labelledby='cautions']"))
    assert "H226: Flammable liquid and vapour." in cautions
    assert "H999" in cautions
    assert "safety data sheet" in cautions


def test_the_stock_over_time_is_drawn_and_listed_with_what_was_left() -> None:
    page = owner_site()[CONVERTER]
    found = rows(table(page, "Lots and uses"))
    assert [row[:5] for row in found] == [
        ["9 Mar 2024", "bought Corner Stores private", "100 mL", "100 mL", "£12.00"],
        ["9 Mar 2024", "front wheel", "−120 mL", "−20 mL", "£14.40 estimated"],
    ]
    assert "rust converter on the shelf" in one(page, "figure//svg").get("aria-label")
    assert "More was used than bought" in words(page)


def test_the_last_line_of_every_material_is_what_the_stock_has_left(
    example: Matter, example_pages: dict[str, HtmlElement]
) -> None:
    for name, stock in example.figures.stock.materials.items():
        moves = keep_shelf(stock, example.figures.money.costs, example.figures.on)
        assert moves[-1].left == stock.left, name
        listed = rows(table(example_pages[f"materials/{example.material_slugs[name]}.html"], "Lots and uses"))
        assert len(listed) == len(moves)


def test_uses_are_added_up_by_part() -> None:
    found = table(owner_site()[PRIMER], "Used by part")
    assert rows(found) == [["front wheel", "0.1 L", "£3.19"]]
    assert foot(found) == ["Together", "0.1 L", "£3.19"]


def test_a_material_that_was_never_bought_or_used_has_a_page_all_the_same() -> None:
    page = trees(edition(journal(session("2024-03-01", "Only looked"))))[PRIMER]
    assert "Not bought or used yet" in words(page)
    assert not every(page, "section[@aria-labelledby='stock']")


def test_without_prices_no_cost_is_on_a_materials_page() -> None:
    page = texts(edition(hiding("prices", "suppliers"), PUBLIC))[PRIMER]
    assert "£" not in page
    assert "Cost" not in page
    assert "31.9" not in page
    assert "3.19" not in page


def test_a_supplier_that_is_hidden_is_not_on_a_materials_page() -> None:
    assert "Corner Stores" in texts(edition())[CONVERTER]
    assert "Corner Stores" not in texts(edition(hiding("suppliers"), PUBLIC))[CONVERTER]
    assert "Corner Stores" not in texts(edition(hiding(), PUBLIC))[CONVERTER]  # a private one


def test_without_hours_no_time_is_on_the_steps_pages() -> None:
    of = hiding("hours")
    steps = {"etch": Step("etch", "etch", typical=60), "prime": Step("prime", "prime coat"), "fit": Step("fit", "fit")}
    pages = texts(edition(replace(of, steps=steps), PUBLIC))
    for name in ("steps.html", "steps/etch.html"):
        assert "1 h" not in pages[name]
        assert "Hours" not in pages[name]
        assert "Typical" not in pages[name]


def test_what_is_private_gives_no_page_no_row_and_no_address() -> None:
    secret = session(
        "2024-05-02", "Secret", private=True, uses=(Use(at(4), "zinc primer", volume("5")),),
        work=(WorkLine(at(3), ("axle",), "hush", minutes=10, material="zinc primer", amount=volume("7")),),
    )  # fmt: skip
    line = WorkLine(at(4), ("axle",), "murmur", minutes=10, private=True)
    of = journal(FIRST, replace(SECOND, work=(*SECOND.work, line)), secret)
    pages = texts(edition(of, PUBLIC))
    assert not [name for name, text in pages.items() if "hush" in name + text or "murmur" in name + text]
    assert "steps/hush.html" in texts(edition(of))


def test_a_material_that_only_private_lines_name_has_no_page_in_the_public_edition() -> None:
    of = journal(FIRST, replace(SECOND, uses=(Use(at(9), "moonshine", volume("5"), private=True),)))
    of = replace(of, materials=of.materials | {"moonshine": Material("moonshine")})
    assert "materials/moonshine.html" in texts(edition(of))
    pages = texts(edition(of, PUBLIC))
    assert not [name for name, text in pages.items() if "moonshine" in name + text]


def test_both_editions_use_the_same_addresses() -> None:
    of = journal()
    clash = replace(of, materials={"Zinc-primer": Material("Zinc-primer"), **of.materials})
    owner, public = (set(texts(edition(clash, name))) for name in (OWNER, PUBLIC))
    assert "materials/zinc-primer-2.html" in owner & public


def test_every_link_of_the_pages_leads_to_a_page(example_pages: dict[str, HtmlElement]) -> None:
    kinds = ("steps", "materials", "sessions/", "parts/", "hours", "about")
    for name, tree in example_pages.items():
        if not name.startswith(kinds):
            continue
        for href in every(tree, "main//a/@href"):
            target = normpath(join(str(Path(name).parent), href.split("#")[0])) if href.split("#")[0] else name
            if target.endswith(".html"):
                assert target in example_pages, (name, href)
