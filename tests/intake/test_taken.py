"""When a photograph was taken, and which session it belongs to."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.intake.taken import Tags, see, session_day, tell
from tests.intake.camera import FORMATS, photograph

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2025, 6, 1, 12, tzinfo=UTC)
FILE_TIME = datetime(2024, 12, 24, 18, tzinfo=UTC).timestamp()

CASES: dict[str, tuple[dict[str, Any], str, str]] = {
    "an offset decides": (
        {"original": "2024:03:09 19:15:02", "original_offset": "-05:00"}, "2024-03-10T01:15:02+01:00", "camera",
    ),
    "an offset without a colon": (
        {"original": "2024:03:09 19:15:02", "original_offset": "+0200"}, "2024-03-09T18:15:02+01:00", "camera",
    ),
    "an offset within the time": ({"original": "2024-03-09T19:15:02.5Z"}, "2024-03-09T20:15:02.500000+01:00", "camera"),
    "no offset: the journal's zone": ({"original": "2024:03:09 19:15:02"}, "2024-03-09T19:15:02+01:00", "camera"),
    "no offset, in summer": ({"original": "2024:07:09 19:15:02"}, "2024-07-09T19:15:02+02:00", "camera"),
    "fractions of a second": (
        {"original": "2024:03:09 19:15:02", "original_fraction": "25"}, "2024-03-09T19:15:02.250000+01:00", "camera",
    ),
    "the offset of the last change, of the same time": (
        {"original": "2024:03:09 19:15:02", "changed": "2024:03:09 19:15:02", "changed_offset": "+00:00"},
        "2024-03-09T20:15:02+01:00", "camera",
    ),
    "the offset of a later change": (
        {"original": "2024:03:09 19:15:02", "changed": "2024:03:10 08:00:00", "changed_offset": "+09:00"},
        "2024-03-09T19:15:02+01:00", "camera",
    ),
    "satellites tell the offset": (
        {"original": "2024:03:09 23:15:02", "gps_day": "2024:03:09", "gps_time": (17.0, 44.0, 10.0)},
        "2024-03-09T18:45:02+01:00", "camera",
    ),
    "satellites of an hour ago that fit no offset": (
        {"original": "2024:03:09 19:15:02", "gps_day": "2024:03:09", "gps_time": (17.0, 7.0, 0.0)},
        "2024-03-09T19:15:02+01:00", "camera",
    ),
    "satellites of another year": (
        {"original": "2024:03:09 19:15:02", "gps_day": "2004:07:25", "gps_time": (18.0, 15.0, 2.0)},
        "2024-03-09T19:15:02+01:00", "camera",
    ),
    "satellites that say nonsense": (
        {"original": "2024:03:09 19:15:02", "gps_day": "2024:13:41", "gps_time": (99.0, 15.0, 2.0)},
        "2024-03-09T19:15:02+01:00", "camera",
    ),
    "an offset of nonsense": (
        {"original": "2024:03:09 19:15:02", "original_offset": "+99:00"}, "2024-03-09T19:15:02+01:00", "camera",
    ),
    "an offset of blanks": (
        {"original": "2024:03:09 19:15:02", "original_offset": "   :  "}, "2024-03-09T19:15:02+01:00", "camera",
    ),
    "digitized only": ({"digitized": "2024:03:09 19:15:02"}, "2024-03-09T19:15:02+01:00", "camera"),
    "satellites only": (
        {"gps_day": "2024:03:09", "gps_time": (18.0, 15.0, 2.0)}, "2024-03-09T19:15:02+01:00", "camera",
    ),
    "the time of change only": ({"changed": "2024:03:09 19:15:02"}, "2024-03-09T19:15:02+01:00", "changed"),
    "nothing": ({}, "2024-12-24T19:00:00+01:00", "file"),
    "a clock never set": ({"original": "0000:00:00 00:00:00"}, "2024-12-24T19:00:00+01:00", "file"),
    "blanks": ({"original": "    :  :     :  :  "}, "2024-12-24T19:00:00+01:00", "file"),
    "1970": ({"original": "1970:01:01 00:00:00"}, "2024-12-24T19:00:00+01:00", "file"),
    "1980": ({"original": "1980:01:01 00:00:00"}, "2024-12-24T19:00:00+01:00", "file"),
    "years to come": ({"original": "2107:02:06 06:28:15"}, "2024-12-24T19:00:00+01:00", "file"),
    "a day that is none": ({"original": "2024:02:30 10:00:00"}, "2024-12-24T19:00:00+01:00", "file"),
    "an hour that is none": ({"original": "2024:02:20 25:00:00"}, "2024-12-24T19:00:00+01:00", "file"),
    "years to come, satellites right": (
        {"original": "2107:02:06 06:28:15", "gps_day": "2024:03:09", "gps_time": (18.0, 15.0, 2.0)},
        "2024-03-09T19:15:02+01:00", "camera",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("tags", "at", "told_by"), CASES.values(), ids=CASES.keys())
def test_the_best_of_what_a_picture_says_is_taken(tags: dict[str, Any], at: str, told_by: str) -> None:
    taken = tell(Tags(**tags), FILE_TIME, BERLIN, NOW)
    assert (taken.at.isoformat(), taken.told_by) == (at, told_by)


@pytest.mark.parametrize("file_time", [0.0, -1e20, 1e20, datetime(2099, 1, 1, tzinfo=UTC).timestamp()])
def test_a_file_time_that_cannot_be_is_not_believed_either(file_time: float) -> None:
    taken = tell(Tags(), file_time, BERLIN, NOW)
    assert (taken.at, taken.told_by) == (NOW, "nobody")


def test_a_clock_that_is_a_little_ahead_is_believed() -> None:
    ahead = (NOW + timedelta(hours=13)).strftime("%Y:%m:%d %H:%M:%S")
    assert tell(Tags(original=ahead), FILE_TIME, BERLIN, NOW).told_by == "camera"


@given(
    st.integers(0, 9000 * 86400).map(lambda seconds: datetime(2000, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)),
    st.integers(-12 * 4, 14 * 4),
    st.integers(-299, 299),
)
def test_satellites_within_five_minutes_tell_the_offset_to_the_quarter(at: datetime, quarters: int, late: int) -> None:
    heard = at - timedelta(minutes=15 * quarters) + timedelta(seconds=late)
    tags = Tags(
        original=at.strftime("%Y:%m:%d %H:%M:%S"),
        gps_day=heard.strftime("%Y:%m:%d"),
        gps_time=(float(heard.hour), float(heard.minute), float(heard.second)),
    )
    expected = at - timedelta(minutes=15 * quarters)
    assert tell(tags, FILE_TIME, BERLIN, NOW).at == expected


@given(st.builds(Tags, *[st.text(max_size=24)] * 8, st.tuples(*[st.floats()] * 3)), st.floats())
def test_whatever_a_picture_says_a_time_is_told(tags: Tags, file_time: float) -> None:
    assert tell(tags, file_time, BERLIN, NOW).at - NOW <= timedelta(days=1)


@pytest.mark.parametrize(
    ("at", "day"),
    [
        ("2024-03-09T19:15", "2024-03-09"),
        ("2024-03-10T00:00", "2024-03-09"),
        ("2024-03-10T03:59:59.9", "2024-03-09"),
        ("2024-03-10T04:00", "2024-03-10"),
        ("2024-03-01T01:00", "2024-02-29"),
    ],
)
def test_a_session_past_midnight_belongs_to_the_evening_before(at: str, day: str) -> None:
    assert session_day(datetime.fromisoformat(at)) == date.fromisoformat(day)


@pytest.mark.parametrize("ending", FORMATS)
def test_every_format_tells_its_time(tmp_path: Path, ending: str) -> None:
    gps = ("2024:03:09", (18.0, 15.0, 2.0))
    file = photograph(tmp_path / f"a{ending}", "2024:03:09 19:15:02", offset="+01:00", fraction="07", gps=gps)
    seen = see(file)
    assert seen.format == FORMATS[ending]
    assert seen.tags == Tags(
        original="2024:03:09 19:15:02", original_offset="+01:00", original_fraction="07",
        gps_day="2024:03:09", gps_time=(18.0, 15.0, 2.0),
    )  # fmt: skip


def test_what_is_no_picture_tells_nothing(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(b"\xff\xd8\xff\xe1 no")
    assert see(tmp_path / "a.jpg").format is None
    assert see(tmp_path / "absent.jpg").format is None
