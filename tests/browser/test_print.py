"""A part's page and a session's page on paper: the record, whole and in order, without what only a screen needs."""

from __future__ import annotations

import re
import shutil
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from lxml import html
from pypdf import PdfReader

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml.html import HtmlElement
    from playwright.sync_api import Browser
    from pypdf import PageObject

pytestmark = pytest.mark.browser

PART = "parts/wheel.html"
SESSION = "sessions/2023-06-03-silencer.html"  # a link to another session in its text
LONG = "sessions/2024-03-23-a-long-day-of-flatting.html"
SIZES = {"A4": (595, 842), "Letter": (612, 792)}  # points


def printed(browser: Browser, page: Path, size: str) -> list[PageObject]:
    tab = browser.new_page(viewport={"width": 1280, "height": 900})
    tab.goto(page.as_uri())
    paper = tab.pdf(format=size)
    tab.close()
    return list(PdfReader(BytesIO(paper)).pages)


def words(text: str) -> str:
    """The letters and figures alone: a line broken on paper, or a letter set large, is no difference."""
    return re.sub(r"\s+", "", text).casefold()


def said_by(paper: Sequence[PageObject]) -> str:
    return words("".join(page.extract_text() for page in paper))


def text_of(element: HtmlElement) -> str:
    """What an element says on paper, in letters and figures."""
    return words("".join(_said(element)))


def _said(element: HtmlElement) -> Iterator[str]:
    """Without the words for screen readers or for script; a quantity is followed by what it is in the other system."""
    if not {"vh", "js-only"} & set(element.get("class", "").split()):
        yield element.text or ""
        for child in element:
            yield from _said(child)
            yield child.tail or ""
        if other := element.get("data-other"):
            yield f" ({other})"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", [PART, SESSION, LONG])
def test_the_record_is_on_paper_whole_and_in_order(browser: Browser, site: Path, name: str, size: str) -> None:
    record = html.parse(site / "owner" / name).getroot().get_element_by_id("record")
    paper = printed(browser, site / "owner" / name, size)
    for page in paper:
        assert (page.mediabox.width, page.mediabox.height) == pytest.approx(SIZES[size], abs=1)
    said = said_by(paper)
    headings = [text_of(heading) for heading in record.xpath(".//section[@class='field']/header/h2")]
    assert headings
    rows = ["".join(text_of(cell) for cell in row.xpath("th | td")) for row in record.xpath(".//tr")]
    assert len(rows) > 3
    assert [row for row in rows if row not in said] == []
    in_order(said, headings)
    in_order(said, [text_of(caption) for caption in record.xpath(".//*[@class='photos bare']//figcaption")])


def in_order(said: str, texts: Sequence[str]) -> None:
    """Each text after the one before it."""
    at = 0
    for text in texts:
        found = said.find(text, at)
        assert found >= 0, f"missing or out of order: {text}"
        at = found + len(text)


def test_a_part_on_paper_keeps_its_ledger_in_one_piece(browser: Browser, site: Path) -> None:
    paper = printed(browser, site / "owner" / PART, "A4")
    record = html.parse(site / "owner" / PART).getroot().get_element_by_id("record")
    pages = [words(page.extract_text()) for page in paper]
    ledgers = record.xpath(".//table[@data-sort]")
    assert ledgers
    for ledger in ledgers:
        rows = ["".join(text_of(cell) for cell in row.xpath("th | td")) for row in ledger.xpath(".//tr")]
        assert any(all(row in page for row in rows) for page in pages), ledger.findtext("caption")


@pytest.mark.parametrize("name", [PART, LONG])
def test_no_heading_is_left_alone_at_the_foot(browser: Browser, site: Path, name: str) -> None:
    record = html.parse(site / "owner" / name).getroot().get_element_by_id("record")
    headings = [text_of(heading) for heading in record.xpath(".//h2 | .//section/header/p")]
    paper = [words(page.extract_text()) for page in printed(browser, site / "owner" / name, "A4")]
    assert len(paper) > 2
    for page, following in pairwise(paper):
        assert following
        assert not any(page.endswith(heading) for heading in headings if heading), page[-60:]


@pytest.mark.parametrize("name", [PART, SESSION])
def test_paper_holds_nothing_to_press(browser: Browser, site: Path, name: str) -> None:
    said = said_by(printed(browser, site / "owner" / name, "A4"))
    page = html.parse(site / "owner" / name).getroot()
    contents = "".join(text_of(link) for link in page.xpath("//nav[@class='contents']//a"))
    assert contents
    of_the_screen = (
        "Skip to the record", "Colours", "as the device", "Session before", "Previous", "Drag across",
        "Choose a heading", "Take the record",
    )  # fmt: skip
    assert [unwanted for unwanted in (contents, *map(words, of_the_screen)) if unwanted in said] == []


def test_a_page_on_paper_says_where_it_is_from_and_where_its_links_lead(browser: Browser, site: Path) -> None:
    owner = said_by(printed(browser, site / "owner" / SESSION, "A4"))
    assert words(f"This page: {SESSION}") in owner
    assert words("now that I know (sessions/2023-04-22-two-wheels-and-a-seized-pawl.html)") in owner
    public = said_by(printed(browser, site / "public" / PART, "A4"))
    assert words(f"This page: https://trolley-17.example/{PART}") in public


def test_a_link_beyond_the_site_is_spelled_out(browser: Browser, site: Path, tmp_path: Path) -> None:
    for sheet in (site / "owner").glob("*.css"):
        shutil.copy(sheet, tmp_path)
    spoilt = tmp_path / "sessions" / "with-a-link.html"
    spoilt.parent.mkdir()
    prose, link = '<div class="prose">', '<p><a href="https://paint.example/sheet">sheet</a></p>'
    text = (site / "owner" / SESSION).read_text(encoding="utf-8")
    spoilt.write_text(text.replace(prose, prose + link, 1), encoding="utf-8")
    assert "sheet(https://paint.example/sheet)" in said_by(printed(browser, spoilt, "A4"))
