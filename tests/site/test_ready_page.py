"""What the index says can be done, and the about page of originality, against the ledgers."""

from __future__ import annotations

from datetime import date

import lxml.html
import pytest

from journalgen.house import example_folder
from journalgen.ledgers.figures import compute
from journalgen.ledgers.originality import ORIGINS
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.site.matter import OWNER, Matter, part_slugs
from journalgen.site.pages import render_pages
from journalgen.site.said import Said
from tests.journals import FixedRates
from tests.site.samples import THEME


@pytest.fixture(scope="module")
def matter() -> Matter:
    journal = read_journal(example_folder()).journal
    figures = compute(journal, FixedRates(), date(2024, 5, 1), Problems())
    return Matter(OWNER, journal, figures, {}, part_slugs=part_slugs(journal), said=Said().of(journal.sessions))


@pytest.fixture(scope="module")
def pages(matter: Matter) -> dict[str, lxml.html.HtmlElement]:
    wanted = ("index.html", "about.html")
    return {name: lxml.html.fromstring(contents) for name, contents in render_pages(matter, THEME) if name in wanted}


def test_the_index_lists_what_the_ledger_says_and_counts_the_rest(
    matter: Matter, pages: dict[str, lxml.html.HtmlElement]
) -> None:
    found = matter.figures.craft.readiness
    can, waits, lacks = pages["index.html"].xpath("//section[@aria-labelledby='tonight']//section")
    startable = list(dict.fromkeys(start.part for start in found.can_start))
    assert can.xpath(".//li/a/text()") == startable[:6]
    assert f"and {len(startable) - 6} more" in can.text_content()
    assert waits.xpath(".//li/a/text()") == [wait.part for wait in found.waiting][:6]
    assert "until 4 May 2024, 16:15" in waits.text_content()
    assert "window closes 25 May 2024" in waits.text_content()
    assert lacks.xpath(".//li/a/text()")[:4] == [row.part for row in found.blocked][:4]


def test_the_share_done_is_never_shown_larger_than_it_is(
    matter: Matter, pages: dict[str, lxml.html.HtmlElement]
) -> None:
    (shown,) = pages["index.html"].xpath("//dt[text()='Done']/following-sibling::dd/span[@class='big']/text()")
    share = matter.figures.craft.progress.share * 100
    assert int(shown.split()[0]) <= share < int(shown.split()[0]) + 1


def test_the_pieces_by_origin_are_the_ledgers(matter: Matter, pages: dict[str, lxml.html.HtmlElement]) -> None:
    (table,) = pages["about.html"].xpath("//section[@aria-labelledby='originality']//table")
    foot = [cell.text for cell in table.xpath(".//tfoot//td")]
    machine = matter.figures.craft.originality.machine
    assert foot == [str(machine.counts[origin]) for origin in ORIGINS] + [str(machine.pieces)]
    shares = [span.text for span in table.xpath(".//tfoot//span")]
    assert shares == [f"{round(machine.share(origin) * 100)} %" for origin in ORIGINS]
    assert len(table.xpath(".//tbody/tr")) == len(matter.figures.craft.originality.assemblies)
