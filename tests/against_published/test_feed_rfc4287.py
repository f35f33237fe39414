"""The feed against the Atom Syndication Format, read by an independent parser.

Source: RFC 4287 (December 2005), sections 4.1.1 (feed), 4.1.2 (entry), 4.1.3 (content), 4.2.6 (id),
4.2.7 (link) and 3.3 (dates, after RFC 3339); tag URIs after RFC 4151, section 2.1. The parser is feedparser.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import feedparser  # type: ignore[import-untyped]
import pytest

from journalgen.site.feed import render_feed
from tests.journals import SETTINGS
from tests.site.matters import read_matter

ATOM = "{http://www.w3.org/2005/Atom}"
FILES = {
    "entries/2024-03-09-first-coat.md": """\
        ---
        date: 2024-03-09
        start: 19:15
        title: First coat & a <bold> word
        hours: 2:30
        parts: axle
        ---
        Came up **well**. See the [axle](part:axle).
        """,
    "entries/2024-07-01-no-words.md": "---\ndate: 2024-07-01\nparts: axle\n---\n",
}
RFC_3339 = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
RFC_4151 = re.compile(
    r"tag:[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?(\.[A-Za-z0-9]([A-Za-z0-9-]*[A-Za-z0-9])?)*"
    r",\d{4}(-\d\d(-\d\d)?)?:([A-Za-z0-9._~!$&'()*+,;=:@/?-]|%[0-9A-Fa-f]{2})*"
)
RFC_4122 = re.compile(r"urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


@pytest.fixture(params=["with address", "without address"])
def feed(request: pytest.FixtureRequest, tmp_path: Path) -> bytes:
    address = 'address = "https://bench.example/trolley/"\n' if request.param == "with address" else ""
    return render_feed(read_matter(tmp_path, FILES, settings=SETTINGS + address))


def test_an_independent_parser_reads_it_without_complaint(feed: bytes) -> None:
    found = feedparser.parse(feed)
    assert not found.bozo
    assert found.version == "atom10"
    assert found.encoding == "utf-8"
    assert found.feed.title == "Test trolley"
    assert [entry.title for entry in found.entries] == ["No words", "First coat & a <bold> word"]
    assert found.entries[1].content[0].type == "text/html"
    assert "<strong>well</strong>" in found.entries[1].content[0].value
    assert found.entries[1].updated_parsed[:5] == (2024, 3, 9, 21, 45)


def test_every_required_element_is_there_once(feed: bytes) -> None:
    root = ET.fromstring(feed)  # noqa: S314 - our own
    assert root.tag == f"{ATOM}feed"
    entries = root.findall(f"{ATOM}entry")
    assert len(entries) == 2
    for element in (root, *entries):
        for name in ("id", "title", "updated"):
            assert len(element.findall(ATOM + name)) == 1, name
        assert RFC_3339.fullmatch(element.findtext(f"{ATOM}updated") or "")
        identifier = element.findtext(f"{ATOM}id") or ""
        assert RFC_4151.fullmatch(identifier) or RFC_4122.fullmatch(identifier)
        # No two alternate links of one type and language.
        assert len([link for link in element.findall(f"{ATOM}link") if link.get("rel") == "alternate"]) == 1
    assert root.findtext(f"{ATOM}author/{ATOM}name")  # stands for every entry that has none of its own
    ids = [element.findtext(f"{ATOM}id") for element in (root, *entries)]
    assert len(set(ids)) == len(ids)


def test_content_is_escaped_html_without_child_elements(feed: bytes) -> None:
    contents = list(ET.fromstring(feed).iter(f"{ATOM}content"))  # noqa: S314 - our own
    assert len(contents) == 2
    for content in contents:
        assert content.get("type") == "html"
        assert len(content) == 0
        assert content.text


def test_a_feed_of_no_sessions_is_a_feed_all_the_same(tmp_path: Path) -> None:
    data = render_feed(read_matter(tmp_path, {}))
    assert not feedparser.parse(data).bozo
    root = ET.fromstring(data)  # noqa: S314 - our own
    assert root.findtext(f"{ATOM}updated") == "2025-09-30T12:00:00+01:00"
    assert root.find(f"{ATOM}entry") is None
