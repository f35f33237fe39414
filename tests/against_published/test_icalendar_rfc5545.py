"""Calendars against RFC 5545: read back by the icalendar library, and by the octets."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from journalgen.ledgers.steps_done import steps_done
from journalgen.ledgers.waits import keep_waits
from journalgen.outside.calendar import escape, fold, render_calendar
from journalgen.records import Session
from tests.ledgers.workshop import journal, part, work

icalendar = pytest.importorskip("icalendar", reason="icalendar is not installed")

FIRST = work("2024-07-09", "part: [axle, hub], step: prime, coat: 1, material: red primer", start="10:00")
SECOND = work("2024-07-12", "part: axle, step: prime, coat: 2, material: red primer", start="20:00")


def rendered(*sessions: Session, title: str = "Trolley No. 17", address: str | None = None) -> bytes:
    kept = journal([part("axle"), part("hub")], *sessions)
    return render_calendar(keep_waits(kept, steps_done(kept.sessions)), kept.steps, title, address)


def events(text: bytes) -> list[Any]:
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


def test_every_wait_and_every_open_window_is_an_event_in_utc_with_an_alarm() -> None:
    found = [(str(e["SUMMARY"]), e["DTSTART"].dt) for e in events(rendered(FIRST, SECOND))]
    assert found == [
        ("axle: ready for the next step", datetime(2024, 7, 9, 15, tzinfo=UTC)),
        ("hub: ready for the next step", datetime(2024, 7, 9, 15, tzinfo=UTC)),
        ("hub: window closes", datetime(2024, 7, 16, 11, tzinfo=UTC)),
        ("axle: ready for the next step", datetime(2024, 7, 13, 1, tzinfo=UTC)),
        ("axle: window closes", datetime(2024, 7, 19, 21, tzinfo=UTC)),
    ]
    for event in events(rendered(FIRST, SECOND)):
        (alarm,) = event.walk("VALARM")
        wanted = timedelta(days=-1) if "closes" in event["SUMMARY"] else timedelta(0)
        assert (alarm["ACTION"], alarm["TRIGGER"].dt) == ("DISPLAY", wanted)


def test_two_runs_give_the_same_bytes_and_identifiers_outlive_other_entries() -> None:
    assert rendered(FIRST, SECOND) == rendered(FIRST, SECOND)
    before, after = ({str(e["UID"]) for e in events(rendered(*row))} for row in ((SECOND,), (FIRST, SECOND)))
    assert before < after
    assert len(after) == len(events(rendered(FIRST, SECOND)))
    stamps = {e["DTSTAMP"].dt for e in events(rendered(FIRST))}
    assert stamps == {datetime(2024, 7, 9, 11, tzinfo=UTC)}  # the end of the session


def test_lines_alike_in_one_session_have_identifiers_of_their_own() -> None:
    twice = work("2024-07-09", *["part: axle, step: prime, wait: 4 h"] * 2)
    assert len({str(e["UID"]) for e in events(rendered(twice))}) == 2


def test_the_calendar_has_what_the_standard_asks_of_it() -> None:
    text = rendered(FIRST)
    calendar = icalendar.Calendar.from_ical(text)
    assert (calendar["VERSION"], "journalgen" in calendar["PRODID"]) == ("2.0", True)
    assert text.startswith(b"BEGIN:VCALENDAR\r\n")
    assert text.endswith(b"END:VCALENDAR\r\n")
    assert text.count(b"\n") == text.count(b"\r\n")


def test_an_empty_calendar_is_one_all_the_same() -> None:
    assert events(rendered()) == []


@given(st.text(st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=200))
def test_any_name_comes_back_and_no_line_is_over_75_octets(name: str) -> None:
    line = replace(FIRST.work[0], parts=(name,))
    text = rendered(replace(FIRST, work=(line,)), title=name)
    assert all(len(line) <= 75 for line in text.split(b"\r\n"))
    assert [line.decode("utf-8") for line in text.split(b"\r\n")]  # no letter is cut in two
    assert {str(event["SUMMARY"]) for event in events(text)} == {
        f"{name}: ready for the next step",
        f"{name}: window closes",
    }


def test_texts_are_escaped_and_control_characters_left_out() -> None:
    assert escape("a,b;c\\d\ne\x07") == "a\\,b\\;c\\\\d\\ne"
    assert fold("X:" + "ü" * 60) == b"X:" + "ü".encode() * 36 + b"\r\n " + "ü".encode() * 24 + b"\r\n"


def test_events_lead_to_the_page_of_their_session_where_the_public_edition_lives() -> None:
    address = "https://trolley.example/log"
    page = f"{address}/sessions/{FIRST.page}.html"
    assert {str(event.get("URL")) for event in events(rendered(FIRST, address=address))} == {page}
    quiet = events(rendered(replace(FIRST, private=True), address=address))
    assert quiet
    assert not any("URL" in event for event in (*quiet, *events(rendered(FIRST))))
