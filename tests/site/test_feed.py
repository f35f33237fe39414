"""The feed of newest sessions."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from journalgen.pictures.model import Picture, Variant
from journalgen.records import Journal, Machine, Part, Photo, Session, Settings
from journalgen.site.feed import NEWEST, end_of, render_feed
from journalgen.site.matter import OWNER, PUBLIC
from journalgen.values import Place
from tests.html_reader import active, links_of, words_of
from tests.journals import PLACE
from tests.site.matters import matter_of, read_matter

ATOM = "{http://www.w3.org/2005/Atom}"
ADDRESS = "https://Bench.example:8443/trolley"
LIVES = "https://bench.example/trolley"
SETTINGS = Settings("Test trolley", time_zone=ZoneInfo("Europe/London"))


def session(day: date, title: str = "A day", body: str = "Words.", file: str = "", **fields: object) -> Session:
    made = Session(PLACE, PLACE, day, title, f"{day}-a-day", body=body, **fields)  # type: ignore[arg-type]
    return replace(made, place=Place(file or f"entries/{day}.md"))


def feed(*sessions: Session, settings: Settings = SETTINGS, edition: str = PUBLIC) -> ET.Element:
    parts = {name: Part(name) for made in sessions for name in made.parts}
    matter = matter_of(Journal(settings, sessions, parts), edition)
    return ET.fromstring(render_feed(matter))  # noqa: S314 - our own


def text(element: ET.Element, name: str) -> str:
    return element.findtext(ATOM + name) or ""


def links(element: ET.Element) -> dict[str, str]:
    return {link.attrib["rel"]: link.attrib["href"] for link in element.findall(f"{ATOM}link")}


def days(count: int) -> list[date]:
    return [date(2024, 1, 1) + timedelta(days=7 * n) for n in range(count)]


def test_the_newest_thirty_sessions_stand_newest_first() -> None:
    made = [session(day) for day in days(NEWEST + 5)]
    entries = feed(*made).findall(f"{ATOM}entry")
    assert len(entries) == NEWEST
    assert [text(e, "updated")[:10] for e in entries] == [str(day) for day in days(NEWEST + 5)[:4:-1]]


def test_a_session_after_the_day_of_the_figures_is_not_told() -> None:
    assert feed(session(date(2026, 1, 1))).findall(f"{ATOM}entry") == []


@pytest.mark.parametrize(
    ("day", "fields", "ended"),
    [
        (date(2024, 3, 9), {"start": time(19, 15), "minutes": 150}, "2024-03-09T21:45:00+00:00"),
        (date(2024, 7, 9), {"start": time(19, 15), "minutes": 150}, "2024-07-09T21:45:00+01:00"),
        (date(2024, 3, 30), {"start": time(23, 0), "minutes": 180}, "2024-03-31T03:00:00+01:00"),
        (date(2024, 7, 9), {"start": time(19, 15)}, "2024-07-09T19:15:00+01:00"),
        (date(2024, 7, 9), {"minutes": 60}, "2024-07-09T12:00:00+01:00"),
        (date(2024, 3, 9), {}, "2024-03-09T12:00:00+00:00"),
    ],
)
def test_a_session_is_updated_when_it_ended_in_the_journals_time(day: date, fields: dict[str, Any], ended: str) -> None:
    (entry,) = feed(session(day, **fields)).findall(f"{ATOM}entry")
    assert text(entry, "updated") == ended


def test_minutes_of_the_lines_count_where_the_session_states_none(tmp_path: Path) -> None:
    files = {
        "entries/a.md": "---\ndate: 2024-03-09\nstart: 19:00\nwork:\n  - {part: axle, step: etch, hours: 1:30}\n---\n"
    }
    root = ET.fromstring(render_feed(read_matter(tmp_path, files)))  # noqa: S314 - our own
    assert text(root, "updated") == "2024-03-09T20:30:00+00:00"


def test_the_feed_is_as_new_as_its_newest_session() -> None:
    made = (
        session(date(2024, 3, 9), start=time(22), minutes=600),
        session(date(2024, 3, 10), start=time(1), minutes=5),
    )
    assert text(feed(*made), "updated") == "2024-03-10T08:00:00+00:00"


def test_an_odd_offset_of_old_days_is_written_in_universal_time() -> None:
    ended = end_of(session(date(1840, 5, 1), start=time(12)), 0, ZoneInfo("Europe/London"))
    assert ended.isoformat() == "1840-05-01T12:01:15+00:00"


@given(st.dates(), st.none() | st.times().map(lambda t: t.replace(microsecond=0)), st.integers(0, 1440))
def test_every_day_has_an_end_that_can_be_written(day: date, start: time | None, minutes: int) -> None:
    for zone in ("Europe/London", "Pacific/Kiritimati", "America/St_Johns"):
        ended = end_of(session(day, start=start), minutes, ZoneInfo(zone)).isoformat()
        assert len(ended) == len("2024-03-09T12:00:00+00:00")
        assert datetime.fromisoformat(ended).tzinfo is not None


# identifiers


def test_an_entry_keeps_its_identifier_when_it_is_retitled() -> None:
    before = session(date(2024, 3, 9), "First coat", file="entries/x.md")
    after = replace(before, title="Acid", page="2024-03-09-acid")
    for settings in (SETTINGS, replace(SETTINGS, address=ADDRESS)):
        ids = {text(feed(made, settings=settings).find(f"{ATOM}entry"), "id") for made in (before, after)}  # type: ignore[arg-type]
        assert len(ids) == 1


def test_identifiers_are_tags_of_the_address_where_there_is_one() -> None:
    made = [session(day) for day in days(3)]
    root = feed(*made, settings=replace(SETTINGS, address=ADDRESS))
    assert text(root, "id") == "tag:bench.example,2024-01-01:journal/trolley"
    ids = [text(entry, "id") for entry in root.findall(f"{ATOM}entry")]
    assert all(
        i.startswith(f"tag:bench.example,{day}:journal/trolley/") for i, day in zip(ids, days(3)[::-1], strict=True)
    )
    assert len(set(ids)) == 3


def test_without_an_address_identifiers_are_names_made_of_title_and_identity() -> None:
    made = [session(day) for day in days(2)]
    root = feed(*made)
    ids = [text(root, "id"), *(text(entry, "id") for entry in root.findall(f"{ATOM}entry"))]
    assert all(i.startswith("urn:uuid:") and i[23] == "5" for i in ids)
    assert len(set(ids)) == 3
    assert ids == [text(e, "id") for e in (feed(*made), *feed(*made).findall(f"{ATOM}entry"))]
    other = replace(SETTINGS, machine=Machine(identity_number="PQ-17-0031"))
    assert text(feed(*made, settings=other), "id") != ids[0]


@pytest.mark.parametrize(
    ("address", "begins"),
    [
        ("https://bücher.example", "tag:xn--bcher-kva.example,2024-01-01:journal"),
        ("https://[2001:db8::1]/x", "urn:uuid:"),
        ("http://bench.example/a b/ö%20c", "tag:bench.example,2024-01-01:journal/a%20b/%C3%B6%20c"),
    ],
)
def test_an_identifier_is_always_a_uri(address: str, begins: str) -> None:
    found = text(feed(session(days(1)[0]), settings=replace(SETTINGS, address=address)), "id")
    assert found.startswith(begins)
    assert found.isascii()
    assert " " not in found


def test_the_name_of_the_entrys_file_is_not_told() -> None:
    made = session(date(2024, 3, 9), file="entries/bought-for-300.md")
    assert "bought-for-300" not in ET.tostring(feed(made), "unicode")


# addresses and contents


def test_with_an_address_links_are_full_and_the_feed_names_itself() -> None:
    root = feed(session(date(2024, 3, 9)), settings=replace(SETTINGS, address=LIVES))
    assert links(root) == {
        "alternate": "https://bench.example/trolley/index.html",
        "self": "https://bench.example/trolley/feed.atom",
    }
    (entry,) = root.findall(f"{ATOM}entry")
    assert links(entry) == {"alternate": "https://bench.example/trolley/sessions/2024-03-09-a-day.html"}


def test_without_an_address_links_lead_from_the_feed_to_the_page() -> None:
    root = feed(session(date(2024, 3, 9)))
    assert links(root) == {"alternate": "index.html"}
    (entry,) = root.findall(f"{ATOM}entry")
    assert links(entry) == {"alternate": "sessions/2024-03-09-a-day.html"}


def body_of(root: ET.Element) -> str:
    (entry,) = root.findall(f"{ATOM}entry")
    return text(entry, "content")


def test_the_whole_body_is_in_the_feed_with_full_addresses() -> None:
    body = (
        "The [wheel](part:Räder), [then](session:2024-03-09) & [hub](part:secret) [s](session:2000-01-01).\n\n<script>x"
    )
    root = feed(session(date(2024, 3, 9), body=body, parts=("räder",)), settings=replace(SETTINGS, address=LIVES))
    (content,) = root.iter(f"{ATOM}content")
    assert content.attrib == {"type": "html"}
    assert links_of(body_of(root)) == [f"{LIVES}/parts/rader.html", f"{LIVES}/sessions/2024-03-09-a-day.html"]
    assert "&amp; hub s." in body_of(root)
    assert "secret" not in body_of(root)
    assert active(body_of(root)) == []


def pictured(**fields: object) -> ET.Element:
    """The feed of one session of a journal that has an address, with a picture of rim.jpg."""
    made = session(date(2024, 3, 9), photos=(Photo(PLACE, "rim.jpg", caption="the <rim>."),), **fields)
    matter = matter_of(Journal(replace(SETTINGS, address=LIVES), (made,), {}), PUBLIC)
    variants = tuple(Variant(w, w * 3 // 4, f"r-{w}.avif", f"r-{w}.jpg") for w in (480, 960, 1600))
    matter = replace(matter, pictures={"rim.jpg": Picture(2000, 1500, "#aabbcc", variants)})
    return ET.fromstring(render_feed(matter))  # noqa: S314 - our own


FIGURE = (
    f'<figure><img src="{LIVES}/pictures/r-960.jpg" width="960" height="720" alt="the &lt;rim&gt;.">'
    "<figcaption>the &lt;rim&gt;, 9 March 2024</figcaption></figure>\n"
)


@pytest.mark.parametrize(
    ("body", "content"),
    [
        ("Words.", "<p>Words.</p>\n" + FIGURE),
        ("![rim](photos/rim.jpg)\n\nWords.", FIGURE + "\n<p>Words.</p>\n"),
        ("", "<p>A day</p>" + FIGURE),
    ],
)
def test_photographs_are_shown_once_with_full_addresses(body: str, content: str) -> None:
    assert body_of(pictured(body=body)) == content


def test_placed_elements_are_in_the_feed(tmp_path: Path) -> None:
    entry = (
        "---\ndate: 2024-03-09\nmeasures:\n  - {part: axle, what: journal, value: 34.981 mm, limits: 34.975 .. 35 mm}\n"
        "---\nBefore.\n\n```measure\naxle: journal\n```\n"
    )
    root = ET.fromstring(render_feed(read_matter(tmp_path, {"entries/a.md": entry})))  # noqa: S314 - our own
    assert "<p>journal, 34.981 mm (34.975 to 35 mm): within</p>" in body_of(root)


def test_photographs_are_told_in_words_but_for_those_the_public_does_not_have() -> None:
    shown, body = Photo(PLACE, "rim.jpg"), "![the rim](photos/rim.jpg) ![the plate](photos/plate.jpg)"
    made = session(date(2024, 3, 9), body=body, photos=(shown,))
    assert words_of(body_of(feed(made))).split() == ["the", "rim"]
    assert words_of(body_of(feed(made, edition=OWNER))).split() == ["the", "rim", "the", "plate"]


def test_without_an_address_references_in_a_body_are_text() -> None:
    assert body_of(feed(session(date(2024, 3, 9), body="[wheel](part:wheel)", parts=("wheel",)))) == "<p>wheel</p>\n"


def test_the_owners_edition_does_not_live_where_the_public_one_does() -> None:
    root = feed(session(date(2024, 3, 9)), settings=replace(SETTINGS, address=LIVES), edition=OWNER)
    assert "bench.example" not in ET.tostring(root, "unicode")


def test_a_session_without_words_tells_its_parts() -> None:
    (entry,) = feed(session(date(2024, 3, 9), body=" \n", parts=("axle", "a <hub>"))).findall(f"{ATOM}entry")
    assert text(entry, "content") == "<p>axle, a &lt;hub&gt;</p>"


@given(st.text(), st.text())
def test_no_letter_breaks_the_feed(title: str, body: str) -> None:
    root = feed(session(date(2024, 3, 9), title=title, body=body), settings=replace(SETTINGS, title=title))
    expected = "".join(c for c in title if c in "\t\n\r" or 0x20 <= ord(c) <= 0xFFFD or ord(c) > 0xFFFF)
    assert text(root, "title").replace("\r", "\n") == expected.replace("\r\n", "\n").replace("\r", "\n")


def test_a_private_session_is_in_the_owners_feed_only(tmp_path: Path) -> None:
    files = {
        "entries/a.md": "---\ndate: 2024-03-09\ntitle: Open\n---\nx\n",
        "entries/b.md": "---\ndate: 2024-03-10\ntitle: Closed\nprivate: yes\n---\nx\n",
    }
    public = render_feed(read_matter(tmp_path, files))
    owner = render_feed(read_matter(tmp_path, files, OWNER))
    assert b"Open" in public
    assert b"Closed" not in public
    assert b"2024-03-10" not in public
    assert b"Closed" in owner


def test_an_identity_number_that_is_hidden_cannot_be_guessed_from_the_feed(tmp_path: Path) -> None:
    settings = 'title = "T"\nhome_currency = "GBP"\n[machine]\nidentity_number = "{}"\n'
    feeds = {
        render_feed(read_matter(tmp_path / n, {}, settings=settings.format(number)))
        for n, number in (("a", "PQ-17-0031"), ("b", "XX-99-9931"))
    }
    assert len(feeds) == 1
