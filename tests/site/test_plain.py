"""The theme plain, over every sample edition: no script, one picture format, and all that enamel says."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path, PurePosixPath

import pytest
from lxml import html
from lxml.html import HtmlElement

from journalgen.site.pages import render_pages
from journalgen.site.themes import find_theme
from tests.site.samples import DATA, THEME, every, one, words
from tests.site.test_site_pages import EDITIONS

PLAIN = find_theme("plain", Path())
SCRIPTED = {"script", "dialog", "button", "input", "select", "details", "noscript", "source", "picture", "svg"}


@cache
def site(edition: str) -> dict[str, bytes]:
    return dict(render_pages(EDITIONS[edition], PLAIN))


def pages(edition: str) -> dict[str, HtmlElement]:
    return {
        name: html.document_fromstring(page.decode()) for name, page in site(edition).items() if name.endswith(".html")
    }


@pytest.mark.parametrize("edition", EDITIONS)
def test_nothing_needs_a_script_or_a_new_picture_format(edition: str) -> None:
    for name, page in pages(edition).items():
        found = SCRIPTED & {element.tag for element in page.iter()}
        assert not found, f"{name}: use the marks of marks/script.html, or give plain a template of its own"
        attributes = {attribute for element in page.iter() for attribute in element.attrib}
        assert not {a for a in attributes if a.startswith("on") or a in ("style", "srcset", "loading", "data-view")}
        assert not every(page, "*[contains(@class, 'js-only')]"), name
        assert b"avif" not in site(edition)[name]
        policy = one(page, "meta[@http-equiv='Content-Security-Policy']").get("content", "")
        assert "script-src" not in policy
        assert policy.startswith("default-src 'none'")
        assert ("unsafe" in policy) == (name == "404.html")  # which brings the few rules of its style with it


def test_it_brings_one_small_stylesheet() -> None:
    files = {name: page for name, page in site("owner").items() if not name.endswith(".html")}
    assert list(files) == ["plain.css"]
    assert len(files["plain.css"]) < 6000
    assert b"url(" not in files["plain.css"]
    assert b"@import" not in files["plain.css"]


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_link_leads_to_a_page_and_a_place_there_is(edition: str) -> None:
    made = pages(edition)
    known = set(site(edition)) | DATA
    ids = {name: {element.get("id") for element in every(page, "*[@id]")} for name, page in made.items()}
    for name, page in made.items():
        for address in [a.get("href") for a in every(page, "a[@href]")] + [e.get("href") for e in every(page, "link")]:
            if re.match(r"[a-z]+:", address):
                continue
            file, _, place = address.partition("#")
            target = resolved(name, file) if file else name
            assert target in known or target.startswith("pictures/"), (name, address)
            assert not place or place in ids[target], (name, address)


def resolved(page: str, address: str) -> str:
    """An address as a file from the site's root."""
    parts: list[str] = list(PurePosixPath(page).parent.parts)
    for part in PurePosixPath(address).parts:
        if part == "..":
            parts.pop()
        else:
            parts.append(part)
    return "/".join(parts)


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_page_has_one_heading_and_the_same_fields_as_in_enamel(edition: str) -> None:
    for name, page in render_pages(EDITIONS[edition], THEME):
        if not name.endswith(".html"):
            continue
        ours, theirs = pages(edition)[name], html.document_fromstring(page.decode())
        assert len(every(ours, "h1")) == 1, name
        headings = [words(heading) for heading in every(ours, "h2")]
        assert headings == [words(heading) for heading in every(theirs, "h2")], name
        wanted = len(every(theirs, "table"))
        assert len(every(ours, "table")) >= wanted, name


def test_what_enamel_draws_is_said_in_words() -> None:
    made = pages("owner")
    parts = made["parts.html"]
    assert {words(cell) for cell in every(parts, "tr/td[last()]")} == {"in work", "fitted", "as found"}
    assert "2 fitted, 1 in work, 2 as found" in words(parts)
    months = one(made["costs.html"], "section[@aria-labelledby='months']")
    assert every(months, "table")
    assert "April 2024" in words(months)


def test_a_pair_stands_side_by_side_with_both_days() -> None:
    pair = every(pages("owner")["pairs.html"], "figure[@class='pair']")[0]
    assert len(every(pair, "img")) == 2
    assert re.search(r"before, 9 Mar 2024.*after, 20 Apr 2024", words(pair))


def test_the_contents_are_a_list_of_links_with_this_page_marked() -> None:
    for name in ("hours.html", "parts.html"):
        contents = one(pages("owner")[name], "nav[@class='contents']")
        assert [a.get("href") for a in every(contents, "a[@aria-current='page']")] == [name]
        assert len(every(contents, "li//a")) > 8
