"""What is asked of a new journal."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from journalgen.asking.begin_questions import Wishes, ask_wishes, plan
from journalgen.beginning import NewJournal
from tests.asking.scripted import Scripted

DAY = date(2024, 3, 9)


def asked(asker: Scripted, wishes: Wishes | None = None) -> NewJournal:
    wishes = ask_wishes(asker, wishes or Wishes(), Path("trolley"), "trolley", "Europe/London")
    return plan(wishes, "trolley", "Europe/London", "EUR", DAY)


def test_enter_takes_what_stands_in_brackets() -> None:
    asker = Scripted([""] * 7)
    assert asked(asker) == NewJournal(
        "trolley", "GBP", "Europe/London", DAY, "trolley", "en_GB", "en", "metric",
        ("prices", "suppliers", "storage", "numbers"),
    )  # fmt: skip
    assert asker.asked[:4] == [
        "Title [trolley]: ", "Machine [trolley]: ", "Time zone [Europe/London]: ", "Home currency [GBP]: ",
    ]  # fmt: skip
    assert max(map(len, asker.asked + asker.heard)) <= 80


def test_each_answer_is_checked_at_once() -> None:
    asker = Scripted(
        ["Old thing", "Mill", "Mars", "Europe/Zurich", "pounds", "chf", "feet", "Imperial", "klingon", "DE",
         "prices, ours", "hours, prices"]
    )  # fmt: skip
    assert asked(asker) == NewJournal(
        "Old thing", "CHF", "Europe/Zurich", DAY, "Mill", "de_CH", "de", "imperial", ("prices", "hours")
    )
    for said in ("not a time zone", "not the code of a currency", "Write one of: metric", "Did you mean hours?"):
        assert said in " ".join(asker.heard)


def test_one_can_go_back_and_what_is_offered_follows() -> None:
    asker = Scripted(["Old thing", "", "Europe/Zurich", "<", "Europe/London", "", "", "", ""])
    assert asked(asker).currency == "GBP"
    assert asker.asked[3:6] == [
        "Home currency [CHF]: ", "Time zone [Europe/London]: ", "Home currency [GBP]: ",
    ]  # fmt: skip


def test_nothing_may_be_hidden() -> None:
    assert asked(Scripted([""] * 6 + ["none"])).hide == ()


def test_nothing_is_asked_about_what_was_said() -> None:
    asker = Scripted([])
    asked(asker, Wishes("T", "M", "GBP", "UTC", "metric", "en", ()))
    assert asker.asked == []


def test_what_is_usual_goes_by_the_country_of_the_time_zone() -> None:
    usual = {
        ("en", "America/New_York"): "en_US",
        ("en", "UTC"): "en_GB",
        ("en", "Antarctica/Troll"): "en_GB",
        ("de", "Europe/Zurich"): "de_CH",
        ("it", "Europe/London"): "it",
    }
    for (language, zone), locale in usual.items():
        assert plan(Wishes(language=language), "x", zone, "EUR", DAY).locale == locale
