"""A person writes while the preview runs: what the browser hears, and what stays when something is wrong."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.journals import write_journal
from tests.pictures.samples import corners
from tests.preview.running import PATIENCE, Preview, mark_of, running

ETCH = "---\ntitle: Etched the lever\nhours: 1\nparts: lever\n---\nIt came up well.\n"
PAGE = "/sessions/2024-03-09-etched-the-lever.html"


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return write_journal(
        tmp_path / "trolley", {"entries/2024-03-09-etch.md": ETCH, "register/parts.yaml": "lever: {}\n"}
    )


@pytest.fixture
def shown(journal: Path) -> Iterator[Preview]:
    with running(journal) as preview:
        preview.wait_for(PAGE, "It came up well.")
        preview.wait_until_said("renewed")
        yield preview


def entry(journal: Path) -> Path:
    return journal / "entries" / "2024-03-09-etch.md"


def test_an_edit_is_told_to_its_page_and_to_those_that_depend_on_it(shown: Preview, journal: Path) -> None:
    since = int(mark_of(shown.page(PAGE))["since"])
    with (
        shown.news("hours.html", since) as hours,
        shown.news("404.html", since) as missing,
        shown.news(PAGE[1:], since) as page,
    ):
        first = missing.next()
        assert not first["stale"]
        assert not page.next()["stale"]
        entry(journal).write_text(ETCH.replace("hours: 1", "hours: 2:45"), encoding="utf-8")
        assert page.until("stale")["problems"] == []
        assert "2 h 45 min" in shown.page(PAGE)
        hours.until("stale")
        assert "2 h 45 min" in shown.page("/hours.html")
        assert not missing.next()["stale"]


def test_a_page_that_was_loaded_before_hears_that_it_is_stale_whenever_it_asks(shown: Preview, journal: Path) -> None:
    old = mark_of(shown.page(PAGE))
    assert old["page"] == PAGE[1:]
    told = len(shown.said)
    entry(journal).write_text(ETCH + "And more.\n", encoding="utf-8")
    shown.wait_for(PAGE, "And more.")
    with shown.news(PAGE[1:], int(old["since"]), old["run"]) as news:
        assert news.next()["stale"]
    new = mark_of(shown.wait_for(PAGE, "And more."))
    shown.wait_for_turn(told)
    new = mark_of(shown.page(PAGE))
    with shown.news(PAGE[1:], int(new["since"]), new["run"]) as news:
        assert not news.next()["stale"]
    with shown.news(PAGE[1:], int(new["since"]), "another") as news:
        assert news.next()["stale"]


def test_an_error_leaves_the_page_and_is_told_with_its_place(shown: Preview, journal: Path) -> None:
    with shown.news(PAGE[1:]) as news:
        entry(journal).write_text(ETCH.replace("hours: 1", "hours: many"), encoding="utf-8")
        problem, *others = news.until("problems")["problems"]
        assert others == []
        assert (problem["file"], problem["line"]) == ("entries/2024-03-09-etch.md", 3)
        assert problem["message"] == 'hours: "many" is not a time at the bench.'
        assert problem["remedy"]
        assert problem["source"] == [
            {"number": 2, "text": "title: Etched the lever", "faulty": False},
            {"number": 3, "text": "hours: many", "faulty": True},
            {"number": 4, "text": "parts: lever", "faulty": False},
        ]
        assert "It came up well." in shown.page(PAGE)
        entry(journal).write_text(ETCH + "Mended.\n", encoding="utf-8")
        news.until("problems", [])
    shown.wait_for(PAGE, "Mended.")
    shown.wait_until_said("The page stays as it was until this is mended:")


@pytest.mark.parametrize("gone", ["journal.toml", "register/parts.yaml", "entries"])
def test_what_vanishes_and_comes_back_is_followed(shown: Preview, journal: Path, gone: str) -> None:
    away = journal.parent / "away"
    os.rename(journal / gone, away)
    time.sleep(0.5)
    assert shown.get("/")[0] == 200
    os.rename(away, journal / gone)
    time.sleep(0.5)
    entry(journal).write_text(ETCH + "Back again.\n", encoding="utf-8")
    shown.wait_for(PAGE, "Back again.")


def test_a_new_entry_a_renamed_one_and_one_that_is_deleted(shown: Preview, journal: Path) -> None:
    new = journal / "entries" / "2024" / "2024-04-01-prime.md"
    new.parent.mkdir()
    new.write_text("---\nhours: 1\n---\nPrimed.\n", encoding="utf-8")
    shown.wait_for("/sessions/2024-04-01-prime.html", "Primed.")
    new.rename(new.with_name("2024-04-02-prime.md"))
    shown.wait_for("/sessions/2024-04-02-prime.html", "Primed.")
    assert shown.get("/sessions/2024-04-01-prime.html")[0] == 404
    new.with_name("2024-04-02-prime.md").unlink()
    end = time.monotonic() + PATIENCE
    while shown.get("/sessions/2024-04-02-prime.html")[0] != 404:
        assert time.monotonic() < end
        time.sleep(0.05)


def test_a_burst_is_gathered(shown: Preview, journal: Path) -> None:
    shown.wait_until_said("renewed")
    before = len(shown.said)
    for n in range(60):
        (journal / "entries" / f"2024-05-{n % 30 + 1:02}-{n}.md").write_text(f"---\nhours: 1\n---\nNo. {n}.\n")
        time.sleep(0.01)
    shown.wait_for("/sessions/2024-05-30-59.html", "No. 59.")
    time.sleep(1)
    assert len(shown.said) - before <= 12, shown.said  # of sixty changes


def test_photographs_appear_as_they_are_made(journal: Path) -> None:
    photos = journal / "photos"
    photos.mkdir()
    lines = "".join(f"  - {{file: {n}.jpg, part: lever}}\n" for n in range(12))
    entry(journal).write_text(ETCH.replace("---\nIt", f"photos:\n{lines}---\nIt"), encoding="utf-8")
    for n in range(12):
        corners(2000, 1500).save(photos / f"{n}.jpg", quality=80 + n % 3, comment=bytes([n]))
    (photos / "3.jpg").write_bytes(b"\xff\xd8 no picture at all")
    with running(journal) as shown:
        shown.wait_for(PAGE, "It came up well.")
        with shown.news(PAGE[1:]) as news:
            news.until("pictures", 0)
        page = shown.page(PAGE)
        pictures = page.count("<picture")
        assert pictures >= 11
        name = page.split("pictures/", 1)[1].split('"')[0].split(" ")[0]
        status, headers, body = shown.get(f"/pictures/{name}")
        assert (status, headers["content-type"].split("/")[0]) == (200, "image")
        assert body
        corners(400, 300).save(photos / "3.jpg")
        shown.wait_for(PAGE, 'width="400"')
        assert shown.page(PAGE).count("<picture") == pictures + 1


def test_with_errors_from_the_first_the_sound_entries_are_shown(journal: Path) -> None:
    (journal / "entries" / "2024-03-10-bad.md").write_text("---\nhours: many\n---\n", encoding="utf-8")
    with running(journal) as shown:
        shown.wait_for(PAGE, "It came up well.")
        with shown.news("index.html") as news:
            assert [p["file"] for p in news.next()["problems"]] == ["entries/2024-03-10-bad.md"]


def test_with_nothing_to_show_the_reason_is_shown(journal: Path) -> None:
    (journal / "register" / "parts.yaml").write_text("lever: {area: many}\n", encoding="utf-8")
    with running(journal) as shown:
        shown.wait_until_said("The page stays as it was until this is mended:")
        status, _, body = shown.get("/")
        assert status == 404
        assert b"There is no page yet." in body
        assert b".preview/preview.js" in body
        (journal / "register" / "parts.yaml").write_text("lever: {}\n", encoding="utf-8")
        shown.wait_for(PAGE, "It came up well.")


def test_a_theme_of_the_journals_own_is_followed(journal: Path) -> None:
    theme = journal / "themes" / "mine"
    theme.mkdir(parents=True)
    (theme / "theme.toml").write_text('parent = "enamel"\nfiles = ["enamel.css", "enamel.js"]\n', encoding="utf-8")
    house = Path(__file__).parents[2] / "themes" / "enamel"
    for name in ("enamel.css", "enamel.js"):
        shutil.copy(house / name, theme / name)
    with running(journal, "--theme", str(theme)) as shown:
        shown.wait_until_said("renewed")
        with shown.news(PAGE[1:], int(mark_of(shown.page(PAGE))["since"])) as news:
            news.next()
            with (theme / "enamel.css").open("a") as style:
                style.write("\nbody { outline: 3px solid }\n")
            told = news.until("files")
            assert (told["files"], told["stale"]) == (["enamel.css"], False)
        (theme / "session.html").write_text("{% nonsense %}\n", encoding="utf-8")
        with shown.news(PAGE[1:]) as news:
            problem = news.until("problems")["problems"][0]
            assert problem["file"].endswith("session.html")
            assert problem["line"] == 1
            assert problem["source"][0]["text"] == "{% nonsense %}"
            (theme / "session.html").unlink()
            news.until("problems", [])


def test_a_taken_port_is_told_or_gone_round(journal: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(AssertionError, match=f"Port {port} is taken"), running(journal, "--port", str(port)):
            pass
    other = shutil.copytree(journal, journal.parent / "other")
    with running(journal) as one, running(other) as two:
        assert one.port != two.port
        with pytest.raises(AssertionError, match=f"at http://127.0.0.1:{one.port}/ already"), running(journal):
            pass


@pytest.mark.parametrize("kind", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_when_asked_with_readers_still_there(journal: Path, kind: int) -> None:
    with running(journal) as shown:
        shown.wait_for(PAGE, "It came up well.")
        with shown.news(PAGE[1:]) as news:
            news.next()
            begun = time.monotonic()
            shown.process.send_signal(kind)
            assert shown.process.wait(60) == 0
            assert time.monotonic() - begun < 15  # the browser that waits is not waited for
    assert shown.said[-1] == "The preview has ended."
    assert not [line for line in shown.said if "Traceback" in line or "Warning" in line]


def test_the_journals_own_site_is_left_alone(shown: Preview, journal: Path) -> None:
    assert not (journal / "web").exists()
    assert b".preview" not in (journal / ".journalgen" / "preview" / "owner" / "index.html").read_bytes()


def test_a_journal_that_is_moved_away_is_told_and_goes_on_when_it_is_back(shown: Preview, journal: Path) -> None:
    away = journal.parent / "away"
    with shown.news(PAGE[1:]) as news:
        os.rename(journal, away)
        told = news.until("problems")["problems"][0]["message"]
        assert told == f"There is no journal at {journal} any more."
        os.rename(away, journal)
        news.until("problems", [])
    shown.wait_until_said("It is mended")
    entry(journal).write_text(ETCH + "Still followed.\n", encoding="utf-8")
    shown.wait_for(PAGE, "Still followed.")


def test_the_same_error_is_said_once(shown: Preview, journal: Path) -> None:
    bad = ETCH.replace("hours: 1", "hours: many")
    entry(journal).write_text(bad, encoding="utf-8")
    shown.wait_until_said("The page stays as it was until this is mended:")
    (journal / "entries" / "2024-04-01-more.md").write_text("---\nhours: 1\n---\n", encoding="utf-8")
    time.sleep(1)
    (journal / "entries" / "2024-04-01-more.md").unlink()
    time.sleep(1)
    assert sum("until this is mended" in line for line in shown.said) == 1
    entry(journal).write_text(ETCH, encoding="utf-8")
    shown.wait_until_said("It is mended")


def test_what_a_change_brings_to_be_warned_of_is_said_once(shown: Preview, journal: Path) -> None:
    entry(journal).write_text(ETCH.replace("hours: 1", "hours: 1\nhuors: 2"), encoding="utf-8")
    shown.wait_until_said("warning, unknown-key")
    entry(journal).write_text(ETCH.replace("hours: 1", "hours: 1:30\nhuors: 2"), encoding="utf-8")
    end = time.monotonic() + 60
    while sum("renewed" in line for line in shown.said) < 3 and time.monotonic() < end:
        time.sleep(0.1)
    assert sum("unknown-key" in line for line in shown.said) == 1
