"""What a hostile journal becomes in the files that other programs read: feed, data, tables, calendar."""

from __future__ import annotations

import csv
import io
import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from tests.hostile.journal import ON, texts_below
from tests.hostile.making import run
from tests.html_reader import active, tags_of

icalendar = pytest.importorskip("icalendar", reason="icalendar is not installed")

RUNS = re.compile(r"(?:^|[;\t\r\n])[=+\-@\uff1d\uff0b\uff0d\uff20]|^[\t\r\n]")
NUMBER = re.compile(r"-?\d+(\.\d+)?")
EDITIONS = ("owner", "public")


def tables(hostile: Path) -> list[Path]:
    return [*(hostile / "journal" / "web").glob("*/data/*.csv"), *(hostile / "totals").glob("*.csv")]


def test_no_cell_of_a_table_is_run_and_figures_stay_figures(hostile: Path) -> None:
    assert len(tables(hostile)) == 15
    for table in tables(hostile):
        rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"), newline="")))
        assert len({len(row) for row in rows}) == 1
        assert len(rows) > 50
        assert not [cell for row in rows for cell in row if RUNS.search(cell) and not NUMBER.fullmatch(cell)]
    with (hostile / "totals" / "measures.csv").open(encoding="utf-8", newline="") as stream:
        assert {row["value"] for row in csv.DictReader(stream)} == {"-3"}
    with (hostile / "totals" / "purchases.csv").open(encoding="utf-8", newline="") as stream:
        assert {"-3.00", "-12.00"} <= {row["cost"] for row in csv.DictReader(stream)}


@pytest.mark.parametrize("edition", EDITIONS)
def test_no_page_holds_anything_that_acts(hostile: Path, edition: str) -> None:
    pages = sorted((hostile / "journal" / "web" / edition).rglob("*.html"))
    assert len(pages) > 300
    for page in pages[::4]:  # a browser opens many of the others
        for tag, attributes in tags_of(page.read_text(encoding="utf-8")):
            assert tag not in ("iframe", "frame", "object", "embed", "base", "math", "template", "animate"), page
            assert tag != "style" or page.name == "404.html", page  # that one stands alone
            assert not [
                name for name in attributes if name.startswith("on") or name in ("srcdoc", "formaction", "ping")
            ], page
            address = attributes.get("href", "") or attributes.get("src", "") or attributes.get("action", "")
            scheme = address.partition(":")[0].strip().casefold() if ":" in address.partition("/")[0] else ""
            is_icon = tag == "link" and attributes.get("rel") == "icon"
            assert scheme in ("", "http", "https", "mailto", "tel") or is_icon, (page, address)
            if tag != "a":
                assert not address.startswith("//"), page
                assert scheme == "" or is_icon, (page, address)
            if tag == "script" and attributes.get("type") != "application/ld+json":
                assert re.search(r"(^|/)(enamel|search)\.js$", attributes["src"]), (page, attributes)
            assert "url(" not in attributes.get("style", ""), page
            assert attributes.get("http-equiv", "") in ("", "Content-Security-Policy"), page


@pytest.mark.parametrize("edition", EDITIONS)
def test_data_is_data_and_keeps_what_was_written(hostile: Path, edition: str) -> None:
    data = json.loads((hostile / "journal" / "web" / edition / "data" / "journal.json").read_bytes())
    told = " ".join(texts_below(data))
    assert "<img src=x onerror=hit(1)> caption2" in told


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_feed_is_whole_and_its_entries_hold_no_more_than_marks(hostile: Path, edition: str) -> None:
    root = ET.fromstring((hostile / "journal" / "web" / edition / "feed.atom").read_bytes())  # noqa: S314 - our own
    bodies = [node.text or "" for node in root.iter("{http://www.w3.org/2005/Atom}content")]
    assert len(bodies) == 30
    for body in bodies:
        assert not active(body)


def test_the_blocks_for_machines_are_data(hostile: Path) -> None:
    blocks = 0
    for page in (hostile / "journal" / "web" / "public").rglob("*.html"):
        for text in re.findall(
            r'<script type="application/ld\+json">(.*?)</script>', page.read_text(encoding="utf-8"), re.S
        ):
            json.loads(text)
            blocks += 1
    assert blocks > 100


def test_a_calendar_holds_events_of_its_own_alone(hostile: Path) -> None:
    data = run("calendar", hostile / "journal", "--on", ON).stdout_bytes
    lines = re.sub(rb"\r\n ", b"", data).split(b"\r\n")
    assert all(re.match(rb"[A-Z-]+[:;]|$", line) for line in lines)
    names = {line.partition(b":")[0].partition(b";")[0] for line in lines}
    assert names == {
        b"", b"BEGIN", b"END", b"VERSION", b"PRODID", b"CALSCALE", b"NAME", b"X-WR-CALNAME", b"UID", b"DTSTAMP",
        b"DTSTART", b"SUMMARY", b"DESCRIPTION", b"TRANSP", b"ACTION", b"TRIGGER",
    }  # fmt: skip
    events = icalendar.Calendar.from_ical(data).walk("VEVENT")
    assert len(events) > 90
    assert not [event for event in events if str(event["SUMMARY"]) == "hit"]
