"""The record of an edition as JSON: what is in it, and that what is hidden or private is not."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from journalgen.site.matter import OWNER, PUBLIC, Matter
from journalgen.totals import Choice, total, totals_json
from tests.journals import FixedRates
from tests.site.full_journal import FILES, HIDDEN, SHOWN, written
from tests.site.matters import ON, read_matter


def record(matter: Matter) -> dict[str, Any]:
    return json.loads(written(matter)["data/journal.json"])  # type: ignore[no-any-return]


# JSON


def test_the_json_holds_the_whole_record_of_the_owners_edition(tmp_path: Path) -> None:
    found = record(read_matter(tmp_path, FILES, OWNER, SHOWN))
    assert (found["format"], found["edition"], found["on"]) == ("journalgen-journal/1", "owner", "2025-09-30")
    assert found["settings"] == {
        "title": "Test trolley", "home_currency": "GBP", "locale": "en_GB", "language": "en",
        "time_zone": "Europe/London", "units": "metric",
        "machine": {"name": "Trolley", "identity_number": "PQ-17-0031"}, "rates": {"ITL": "0.0004"},
    }  # fmt: skip
    assert found["parts"][0] == {
        "name": "axle", "registered": True, "assembly": "running gear", "quantity": 1, "needs": ["hub"],
        "stored": "SHELFB", "number": "NUMBER-9", "state": "in work", "page": "parts/axle.html",
    }  # fmt: skip
    assert [part["name"] for part in found["parts"]] == ["axle", "hub", "lever", "frame"]
    assert found["materials"] == [{
        "name": "zinc primer", "registered": True, "kind": "coating", "solids": "52",
        "recoat": {"opens": {"minutes": 240, "months": 0}, "closes": {"minutes": 10080, "months": 0}},
        "limits": {"humidity": {"high": {"number": "85", "unit": "%"}, "text": "at most 85 %"}},
        "keeps": {"minutes": 0, "months": 24},
    }]  # fmt: skip
    assert found["suppliers"] == [{"name": "Muster Teile", "where": "OLDTOWN"}]
    assert [session["title"] for session in found["sessions"]] == ["First coat", "PRIVATEDAY"]
    assert found["sessions"][1]["private"] is True


def test_a_session_carries_all_its_lines(tmp_path: Path) -> None:
    session = record(read_matter(tmp_path, FILES, OWNER, SHOWN))["sessions"][0]
    assert session["work"] == [{
        "parts": ["axle", "hub"], "step": "prime", "coat": 1, "minutes": 91, "material": "zinc primer",
        "amount": {"number": "100", "unit": "mL"}, "air": "18", "humidity": "55", "surface": "16.5",
        "result": "=looks well",
    }]  # fmt: skip
    assert (session["date"], session["start"], session["minutes"]) == ("2024-03-09", "19:15", 151)
    assert session["page"] == "sessions/2024-03-09-first-coat.html"
    assert sum(share["minutes"] for share in session["hours"]) == 151
    assert session["measures"][0]["verdict"] == "within"
    assert session["decisions"] == [{"parts": ["hub"], "do": "repair", "why": "PRIVATEWHY", "private": True}]
    assert session["found"] == [{"parts": ["hub"], "condition": "rusted", "severity": "bad"}]
    assert session["photos"] == [{"file": "secret.jpg", "parts": ["hub"], "shows": "during", "private": True}]
    assert session["body"].startswith("The [axle](part:axle)")
    assert session["text"] == "The axle and the day.\nPLATEWORDS"


def test_a_purchase_tells_how_it_became_home_money(tmp_path: Path) -> None:
    bought = record(read_matter(tmp_path, FILES, OWNER, SHOWN))["sessions"][0]["purchases"]
    assert bought[0]["price"] == {"amount": "31.90", "currency": "GBP"}
    assert bought[0]["from"] == "Muster Teile"
    assert bought[0]["cost"] == "63.80"
    assert bought[0]["conversions"] == [
        {"billed": {"amount": "63.80", "currency": "GBP"}, "origin": "home", "home": "63.80"},
        {"billed": {"amount": "6.00", "currency": "EUR"}, "origin": "none"},
    ]
    assert bought[1]["conversions"] == [
        {"billed": {"amount": "40000", "currency": "ITL"}, "origin": "journal", "home": "16.00", "rate": "0.0004"}
    ]
    assert bought[1]["private"] is True
    assert (bought[2]["cost"], bought[2]["by_part"]) == ("-5.00", {"frame": "-5.00"})


def test_the_figures_are_those_of_the_totals(tmp_path: Path) -> None:
    matter = read_matter(tmp_path, FILES, OWNER, SHOWN)
    command = totals_json(total(matter.journal, FixedRates(), Choice(ON)), ())
    figures = record(matter)["figures"]
    assert figures == {key: value for key, value in command.items() if key not in ("format", "journal")}
    assert figures["hours"]["minutes"] == 211


def test_nothing_private_is_in_the_public_data(tmp_path: Path) -> None:
    everything = b"".join(written(read_matter(tmp_path, FILES, PUBLIC, SHOWN)).values())
    for secret in (b"PRIVATE", b"PLATEWORDS", b"2024-03-10", b"secret.jpg", b"40000", b'"private"', b",private"):
        assert secret not in everything, secret
    assert b"SHELFB" in everything  # nothing is hidden here but what is private


def test_nothing_of_a_hidden_kind_is_in_the_public_data(tmp_path: Path) -> None:
    data = written(read_matter(tmp_path, FILES, PUBLIC, HIDDEN))
    assert sorted(data) == ["data/journal.json", "data/measures.csv", "data/steps.csv", "data/stock.csv"]
    everything = b"".join(data.values())
    for secret in (
        b"31.9",
        b"63.8",
        b"Muster",
        b"OLDTOWN",
        b"SHELFB",
        b"NUMBER-9",
        b"PQ-17",
        b"TARGETURL",
        b"19:15",
        b"ITL",
    ):
        assert secret not in everything, secret
    found = json.loads(data["data/journal.json"])
    hidden = {
        "price",
        "paid",
        "cost",
        "money",
        "minutes",
        "hours",
        "stored",
        "number",
        "suppliers",
        "from",
        "rates",
        "start",
    }
    for part in ("parts", "materials", "sessions", "figures", "settings"):
        assert _keys(found[part]) & (hidden - ({"number", "minutes"} if part == "materials" else set())) <= {
            "number" if part == "sessions" else ""  # of an amount
        }
    assert "suppliers" not in found
    for name, cells in data.items():
        assert not name.endswith(".csv") or not hidden & set(cells.decode().split("\r\n")[0].split(","))
    assert found["settings"]["machine"] == {"identity_number": "...31"}


@pytest.mark.parametrize(
    ("kind", "absent", "still"),
    [
        ("prices", ["cost", "purchases.csv", "31.9", "rates"], ["Muster", "SHELFB", "NUMBER-9", "hours.csv"]),
        ("suppliers", ["Muster", "suppliers", '"from"', ",from,"], ["31.90", "SHELFB", "NUMBER-9"]),
        ("storage", ["SHELFB", "stored"], ["31.90", "Muster", "NUMBER-9"]),
        ("numbers", ["NUMBER-9", "PQ-17"], ["31.90", "Muster", "SHELFB"]),
        ("hours", ["hours.csv", "19:15", ",minutes,"], ["31.90", "Muster", "SHELFB"]),
    ],
)
def test_each_kind_is_hidden_by_itself(tmp_path: Path, kind: str, absent: list[str], still: list[str]) -> None:
    data = written(read_matter(tmp_path, FILES, PUBLIC, SHOWN.replace("hide = []", f'hide = ["{kind}"]')))
    everything = "".join(f"{name}\n{text.decode()}" for name, text in data.items())
    assert [word for word in absent if word in everything] == []
    assert [word for word in still if word not in everything] == []


def test_a_hidden_kind_has_no_key_even_if_the_journal_still_holds_it(tmp_path: Path) -> None:
    matter = read_matter(tmp_path, FILES, OWNER, SHOWN)
    found = record(replace(matter, hidden=frozenset({"prices", "suppliers", "storage", "numbers", "hours"})))
    assert not _keys(found["parts"]) & {"stored", "number"}
    assert not _keys(found["sessions"]) & {
        "start",
        "minutes",
        "hours",
        "price",
        "cost",
        "by_part",
        "from",
        "conversions",
    }
    assert not _keys(found["settings"]) & {"rates"}
    assert not _keys(found["figures"]) & {"hours", "money", "cost_bought", "cost_used"}
    assert "suppliers" not in found


def _keys(value: object) -> set[str]:
    if isinstance(value, dict):
        return {*value, *(key for item in value.values() for key in _keys(item))}
    return {key for item in value for key in _keys(item)} if isinstance(value, list) else set()
