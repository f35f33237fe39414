"""The search in a real browser, from a folder and without a server."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from playwright.sync_api import Page, expect

from journalgen.records import Journal
from journalgen.site.pages import render_pages
from journalgen.site.pages.search import LONGEST, MOST
from journalgen.site.search_index import split
from journalgen.site.themes import find_theme
from tests.browser.conftest import Visit, Visiting
from tests.site.samples import THEME, edition, journal, session
from tests.site.test_search import indexed

pytestmark = pytest.mark.browser

STEP = 60
ODD = (
    "Größe", "STRASSE", "Łódź", "łódź", "ŒUVRE", "œil", "Øre", "Ðorðe", "Þór", "İzmir", "ısı", "ΟΔΟΣ", "οδός", "ﬁnish",
    "e\u0301tude", "Ångström", "a\u0323\u0302o", "chain\u00adguard", "strip-down", "it’s", "M8x1.25", "PQ_17", "½",
    "µm", "№7", "ﷺ", "한국어", "日本語", "Ἀθῆναι", "Йод", "ёлка", "नमस्ते", "สวัสดี", "ŉ", "ǆ", "Ⅷ", "²³", "①", "𝕏yz",
    "𐐀𐐁", "ŀl", "ĳs", "ẞtark", "K\u200dx", "\u212a9", "ſtop", "e\u20dd", "x̱̄", "Æon", "ŋa", "ħa", "ŧa", "ĸa",
)  # fmt: skip
"""Words that fold oddly, each in a session of its own."""


def ask(page: Page, text: str) -> None:
    page.get_by_role("searchbox").press_sequentially(text)
    settle(page)


def settle(page: Page) -> None:
    """Until the index has come and the page says how many it found; before that it says how many there are."""
    expect(page.locator("output")).to_have_text(re.compile(r"^(Nothing|[\d,]+ of)"))


def titles(page: Page) -> list[str]:
    return page.locator(".found h2").all_text_contents()


def write(matter_of: Journal, folder: Path) -> Path:
    """An owner's edition on disk; gives its search page."""
    for name, contents in render_pages(edition(matter_of), THEME):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(contents)
    return folder / "search.html"


def quiet(seen: Visit) -> bool:
    """Nothing was complained of but the pictures that a made journal does not have."""
    return not [said for said in seen.complaints if "ERR_FILE_NOT_FOUND" not in said]


def test_a_beginning_finds_the_part_first_and_its_letters_are_marked(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "search.html") as seen:
        assert not [url for url in seen.asked if "search-index" in url]
        ask(seen.page, "whee")
        assert [url.rpartition("/")[2] for url in seen.asked if "search-" in url] == ["search-index.js"]
        assert titles(seen.page)[0].lower() == "wheel"
        assert seen.page.locator(".found li").first.locator("p.kind").inner_text() == "part"
        marks = seen.page.locator(".found mark").all_inner_texts()
        assert {text.lower() for text in marks} == {"whee"}
        shown = int((seen.page.locator("output").inner_text()).split()[0])
        assert shown == len(titles(seen.page)) > 5
        assert seen.complaints == []


def test_the_middle_of_a_word_is_not_a_beginning(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "search.html") as seen:
        ask(seen.page, "heel")
        assert titles(seen.page) == []
        assert seen.page.locator("output").inner_text().startswith("Nothing found.")


def test_case_and_accents_do_not_count_and_every_word_must_be_there(site: Path, visiting: Visiting) -> None:
    with visiting(site / "public" / "search.html") as seen:
        ask(seen.page, "SILÉNcer oil")
        both = titles(seen.page)
        assert "Brown guard, bare silencer" in both
        seen.page.get_by_role("searchbox").fill("silencer")
        assert set(both) < set(titles(seen.page))


def test_the_script_finds_as_many_entries_for_a_word_as_the_program_put_there(site: Path, visiting: Visiting) -> None:
    folder = site / "public"
    index = indexed({"search-index.js": (folder / "search-index.js").read_bytes()})
    with visiting(folder / "search.html") as seen:
        ask(seen.page, "a")
        for asked in [*list(index)[::31], "the", "w", "20"]:
            wanted = {n for word, entries in index.items() if word.startswith(asked) for n in entries}
            seen.page.get_by_role("searchbox").fill(asked)
            assert seen.page.locator("output").inner_text().split()[0] == str(len(wanted)), asked


def test_a_kind_narrows_and_the_whole_list_comes_back(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "search.html") as seen:
        everything = titles(seen.page)
        ask(seen.page, "wheel")
        seen.page.get_by_label("materials").check()
        assert all(kind == "material" for kind in seen.page.locator(".found .kind").all_inner_texts())
        seen.page.get_by_label("parts").check()
        assert set(seen.page.locator(".found .kind").all_inner_texts()) == {"part"}
        seen.page.get_by_role("searchbox").fill("")
        seen.page.get_by_label("all").check()
        assert titles(seen.page) == everything
        assert seen.page.locator("mark, .within").count() == 0


def test_a_question_in_the_address_is_answered_and_what_is_typed_stays_there(site: Path, visiting: Visiting) -> None:
    with visiting(site / "public" / "search.html") as seen:
        page = seen.page
        page.goto((site / "public" / "search.html").as_uri() + "?q=fuel+tap&kind=part")
        settle(page)
        assert page.get_by_role("searchbox").input_value() == "fuel tap"
        assert page.get_by_label("parts").is_checked()
        assert titles(page)[0].lower() == "fuel tap"
        page.get_by_role("searchbox").fill("brake & lever")
        page.reload()
        settle(page)
        assert page.get_by_role("searchbox").input_value() == "brake & lever"
        assert "brake lever" in [title.lower() for title in titles(page)]
        assert seen.complaints == []


def test_a_word_of_the_text_alone_is_told_and_its_link_leads_to_it(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "search.html") as seen:
        page = seen.page
        ask(page, "oil")
        row = page.locator(".found li", has=page.locator(".within")).first
        assert re.fullmatch(r"in the text: oil.*", row.locator(".within").inner_text())
        link = row.get_by_role("link")
        assert ":~:text=oil" in (link.get_attribute("href") or "")
        title = link.text_content() or ""
        link.click()
        expect(page.locator("h1").first).to_have_text(title, ignore_case=True)
        page.go_back()
        settle(page)
        assert page.get_by_role("searchbox").input_value() == "oil"
        assert title in titles(page)


def test_a_caption_leads_to_its_photograph(site: Path, visiting: Visiting) -> None:
    with visiting(site / "public" / "search.html") as seen:
        page = seen.page
        page.get_by_label("photographs").check()
        ask(page, "masking off")
        page.locator(".found a").first.click()
        place = page.evaluate("location.hash.slice(1)")
        assert place.startswith("photo-")
        assert "masking off" in (page.locator(f"[id='{place}'] img").get_attribute("alt") or "")
        assert page.locator(f"[id='{place}']").evaluate("e => e.getBoundingClientRect().top") < 900


def test_it_works_from_the_keyboard_and_enter_goes_nowhere(site: Path, visiting: Visiting) -> None:
    with visiting(site / "public" / "search.html") as seen:
        page = seen.page
        page.get_by_role("searchbox").focus()
        page.keyboard.type("silencer")
        page.keyboard.press("Enter")
        settle(page)
        assert page.url.partition("?")[0].endswith("/search.html")
        for _ in range(3):  # the button, the kinds, the first result
            page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('.found li') === document.querySelector('.found li')")
        page.keyboard.press("Enter")
        expect(page.locator("h1").first).to_have_text("silencer", ignore_case=True)


def test_without_script_the_page_is_the_whole_list(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "search.html", script=False) as seen:
        assert seen.page.locator("form").is_hidden()
        assert "whole list" in seen.page.locator("noscript").inner_text()
        rows = seen.page.locator(".found li")
        assert rows.count() > 150
        assert rows.last.is_visible()
        assert not [url for url in seen.asked if url.endswith("search.js")]


def test_an_index_that_cannot_be_had_is_told(tmp_path: Path, visiting: Visiting) -> None:
    page = write(journal(), tmp_path)
    (tmp_path / "search-index.js").unlink()
    with visiting(page) as seen:
        seen.page.get_by_role("searchbox").press_sequentially("axle")
        expect(seen.page.locator("output")).to_have_text("The index could not be read.")
        assert titles(seen.page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_on_a_phone_nothing_overflows_and_fingers_find_their_mark(site: Path, visiting: Visiting, scheme: str) -> None:
    with visiting(site / "owner" / "search.html", width=320, scheme=scheme) as seen:
        page = seen.page
        ask(page, "oil")
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
        for target in page.locator(".find-line > *, .find-kinds label, .found li").all():
            box = target.bounding_box()
            assert box is not None
            assert box["height"] >= 44
        row = page.locator(".found li").nth(2)
        box = row.bounding_box()
        assert box is not None
        row.click(position={"x": box["width"] - 3, "y": box["height"] - 3})  # all of a row is its link
        assert "/search.html" not in page.url


# made journals


def test_many_entries_are_fetched_at_first_use_and_shown_by_and_by(tmp_path: Path, visiting: Visiting) -> None:
    many = tuple(session("2023-01-01", f"Turn {n}", private=False, body="The lathe turns.") for n in range(MOST + 30))
    path = write(replace(journal(), sessions=many), tmp_path)
    with visiting(path) as seen:
        page = seen.page
        assert page.locator(".found li").count() == 0
        assert not [url for url in seen.asked if "search-" in url]
        ask(page, "lathe")
        assert {url.rpartition("/")[2] for url in seen.asked if "search-" in url} == {
            "search-index.js",
            "search-list.js",
        }
        assert page.locator("output").inner_text().startswith(f"{MOST + 30} of ")
        assert len(titles(page)) == STEP
        page.get_by_role("button", name="Show more").click()
        assert len(titles(page)) == 2 * STEP
        assert page.evaluate("document.activeElement === document.querySelectorAll('.found a')[60]")
        page.get_by_role("searchbox").fill("turn 629")
        assert titles(page) == ["Turn 629"]
        assert page.get_by_role("button", name="Show more").is_hidden()
        page.get_by_role("searchbox").fill("")
        assert len(titles(page)) == STEP
        assert quiet(seen)
    with visiting(path, script=False) as seen:
        assert {"sessions.html", "parts.html"} <= {
            link.get_attribute("href") for link in seen.page.locator("main a").all()
        }


def long_record(folder: Path) -> Path:
    """Three years, each with an index of its own."""
    years = [
        session(f"{2021 + n % 3}-01-01", f"Turn {n:04}", body=f"The lathe turns, as in {2021 + n % 3}.")
        for n in range(2 * LONGEST)
    ]
    return write(replace(journal(), sessions=tuple(sorted(years, key=lambda s: s.day))), folder)


def test_the_index_of_a_long_record_comes_by_years_and_is_searched_as_one(tmp_path: Path, visiting: Visiting) -> None:
    with visiting(long_record(tmp_path)) as seen:
        page = seen.page
        ask(page, "lathe")
        asked = [url.rpartition("/")[2] for url in seen.asked if "search-" in url]
        assert asked[:2] == ["search-index-parts.js", "search-list-parts.js"]
        assert {"search-index-newest.js", "search-index-2022.js", "search-list-2021.js"} <= set(asked)
        expect(page.locator("output")).to_have_text(re.compile(f"^{2 * LONGEST:,} of "))
        assert page.locator(".found time").first.get_attribute("datetime") == "2023-01-01"
        page.get_by_role("searchbox").fill("turn 0001")
        assert titles(page) == ["Turn 0001"]
        page.get_by_role("searchbox").fill("axle")
        assert titles(page)[0] == "axle"
        page.get_by_role("searchbox").fill("2021 lathe")
        assert set(page.locator(".found time").evaluate_all("all => all.map(e => e.dateTime)")) == {"2021-01-01"}
        assert page.locator(".found mark").count() > 0
        page.get_by_role("searchbox").fill("")
        assert page.locator("mark, .within").count() == 0
        assert quiet(seen)


def test_what_came_of_a_long_record_is_searched_though_a_year_of_it_is_missing(
    tmp_path: Path, visiting: Visiting
) -> None:
    path = long_record(tmp_path)
    (tmp_path / "search-index-2022.js").unlink()
    with visiting(path) as seen:
        seen.page.get_by_role("searchbox").press_sequentially("lathe")
        said = seen.page.locator("output")
        expect(said).to_have_text(re.compile(r"^1,06\d of .*The index could not be read\.$"))
        seen.page.get_by_role("searchbox").fill("turn 0002")
        assert titles(seen.page) == ["Turn 0002"]


def test_what_fits_a_title_best_comes_first_and_the_newest_of_equals(tmp_path: Path, visiting: Visiting) -> None:
    told: list[tuple[str, str, str]] = [
        ("2023-01-01", "Old talk", "a gudgeon in passing"), ("2023-02-01", "New talk", "a gudgeon in passing"),
        ("2023-03-01", "Gudgeons drawn", ""), ("2023-01-15", "Gudgeon", ""), ("2023-01-20", "Gudgeon and lever", ""),
        ("2022-12-01", "A gudgeonpin", ""), ("2023-05-01", "Long", "word " * 40 + "gudgeons"),
    ]  # fmt: skip
    sessions = sorted((session(day, title, body=body) for day, title, body in told), key=lambda s: s.day)
    with visiting(write(replace(journal(), sessions=tuple(sessions)), tmp_path)) as seen:
        ask(seen.page, "gudgeon")
        assert titles(seen.page) == [
            "Gudgeon", "Gudgeon and lever", "Gudgeons drawn", "A gudgeonpin", "New talk", "Old talk", "Long",
        ]  # fmt: skip


@pytest.fixture
def odd(tmp_path: Path) -> Callable[[], Path]:
    def made() -> Path:
        sessions = [
            session("2024-01-01", f"Item {chr(97 + n // 26)}{chr(97 + n % 26)}", body=f"{'. ' * 60}{word}")
            for n, word in enumerate(ODD)
        ]
        bare = replace(journal(), sessions=tuple(sessions), parts={}, materials={}, suppliers={})
        return write(bare, tmp_path)

    return made


def test_the_script_folds_and_splits_as_the_program_does(odd: Callable[[], Path], visiting: Visiting) -> None:
    with visiting(odd()) as seen:
        page = seen.page
        box = page.get_by_role("searchbox")
        box.fill("item")
        settle(page)
        for n, word in enumerate(ODD):
            wanted = split(word)
            assert wanted, word
            box.fill(word)
            rows = {row.locator("h2").inner_text(): row for row in page.locator(".found li").all()}
            title = f"Item {chr(97 + n // 26)}{chr(97 + n % 26)}"
            assert title in rows, (word, wanted)
            shown = rows[title].inner_text().partition("in the text: ")[2].split(", ")
            noted = [found.lower() for found in rows[title].locator("mark").all_inner_texts()]
            assert set(wanted) <= set(shown) or noted, (word, wanted, shown)


@pytest.mark.parametrize(
    ("title", "asked", "marked"),
    [
        ("Große Räder", "gross rader", ["Groß", "Räder"]), ("E\u0301tude in bench", "etu", ["E\u0301tu"]),
        ("Łódź works", "lodz", ["Łódź"]), ("The ﬁnish", "fi", ["ﬁ"]), ("Ice, icy, nice", "ic", ["Ic", "ic"]),
        ("Rock & <b>roll</b>", "b roll", ["b", "roll", "b"]),
    ],
)  # fmt: skip
def test_the_letters_that_match_are_marked_as_they_stand(
    tmp_path: Path, visiting: Visiting, title: str, asked: str, marked: list[str]
) -> None:
    only = replace(session("2024-01-01", "x", body=""), title=title)
    with visiting(write(replace(journal(), sessions=(only,), parts={}, materials={}), tmp_path)) as seen:
        ask(seen.page, asked)
        assert seen.page.locator(".found h2 mark").all_inner_texts() == marked
        assert titles(seen.page) == [title]


def test_a_theme_without_the_script_shows_the_list(tmp_path: Path, visiting: Visiting) -> None:
    for name, contents in render_pages(edition(), find_theme("plain", tmp_path)):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(contents)
    with visiting(tmp_path / "search.html", width=320) as seen:
        assert seen.page.locator(".found li").count() > 5
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= 320
        assert seen.complaints == []


def test_who_is_in_the_list_when_the_index_comes_stays_there(site: Path, visiting: Visiting) -> None:
    arrives = """() => new Promise(done => {
      document.querySelector("form[data-index]").dispatchEvent(new FocusEvent("focusin"));
      document.querySelector("script[src*=search-index]").addEventListener("load", () => setTimeout(done));
    })"""
    with visiting(site / "owner" / "search.html") as seen:
        link = seen.page.locator(".found a").nth(10)
        link.focus()
        seen.page.evaluate(arrives)
        expect(link).to_be_focused()
        kept = seen.page.evaluate("document.activeElement.href")
        seen.page.evaluate("document.querySelector('[name=q]').value = document.activeElement.textContent.trim()")
        seen.page.evaluate("document.querySelector('form[data-index]').dispatchEvent(new Event('input'))")
        settle(seen.page)
        assert seen.page.evaluate("document.activeElement.href") == kept
