"""Long lists are divided by year: each row on one file, no file heavy, and nothing told of what is private."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from posixpath import dirname, join, normpath
from typing import Final
from urllib.parse import unquote

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html
from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.records import Photo, Purchase, Session, Supplier, Use, WorkLine
from journalgen.site.matter import PUBLIC, Matter
from journalgen.site.pages import Pages
from journalgen.site.pages.yearly import MOST, divide
from journalgen.site.units import EditionUnits
from journalgen.values import Money
from tests.site.samples import (
    SETTINGS,
    THEME,
    at,
    edition,
    every,
    foot,
    journal,
    of_class,
    one,
    rows,
    table,
    texts,
    volume,
    words,
)
from tests.site.samples import session as a_session

HEAVIEST: Final = 500_000
FIRST_DAY: Final = date(2020, 1, 4)
DIVIDED: Final = (
    "sessions", "timeline", "costs", "sources", "materials", "steps/etch", "materials/rust-converter",
    "parts/axle",
)  # fmt: skip


def evening(n: int, day: date, private: bool = False) -> Session:
    """A session with a line of each list that grows; its title tells it from every other."""
    file = f"entries/{n}.md"
    made = a_session(
        day.isoformat(),
        f"Evening {n:04}",
        minutes=60,
        parts=("axle", "front wheel"),
        work=(WorkLine(at(2, file), ("axle",), "etch", None, 30, "rust converter", volume("1"), note="x" * 60),),
        uses=(Use(at(3, file), "zinc primer", volume("10"), ("front wheel",)),),
        purchases=(
            Purchase(at(4, file), "material", material="rust converter", amount=volume("5"), party="Corner Stores",
                     price=Money(Decimal("2.50"), "GBP"), what=f"bottle {n:04}"),
        ),
        photos=(Photo(at(5, file), "wheel-1.jpg", ("axle",), "during", f"caption {n}"),),
    )  # fmt: skip
    return replace(made, page=f"{day}-evening-{n:04}", private=private)


def evenings(count: int, days: int = 3650) -> list[Session]:
    return [evening(n, FIRST_DAY + timedelta(days=n * days // count)) for n in range(count)]


def edition_of(sessions: list[Session], name: str = "owner") -> Matter:
    whole = replace(journal(settings=replace(SETTINGS, address=None)), sessions=tuple(sessions))
    whole = replace(whole, suppliers={"Corner Stores": Supplier("Corner Stores")})
    return edition(whole, name, on=date(2030, 6, 1))


def pages_of(sessions: list[Session], name: str = "owner") -> dict[str, str]:
    return texts(edition_of(sessions, name))


def files_of(pages: dict[str, str], page: str) -> list[str]:
    """The page and its files of years."""
    beside = f"{page}-" if "/" not in page else f"{page}--"
    return [f"{page}.html", *(name for name in pages if name.startswith(beside))]


@pytest.fixture(scope="module")
def many() -> dict[str, str]:
    """Far more than a file holds, over ten years."""
    return pages_of(evenings(900))


@pytest.fixture(scope="module")
def site(many: dict[str, str]) -> dict[str, HtmlElement]:
    return {name: html.document_fromstring(text) for name, text in many.items()}


def test_no_page_is_heavy(many: dict[str, str]) -> None:
    assert max(len(text.encode()) for text in many.values()) < HEAVIEST


@pytest.mark.parametrize("count", [0, 900])
def test_every_piece_of_work_is_found_by_its_name(count: int) -> None:
    """After an edit that only says something else no more is listed than what has to be made again."""
    matter = edition_of(evenings(count)) if count else edition(replace(journal(), sessions=()), PUBLIC)
    work = EditionUnits(Pages(matter, THEME), matter, THEME)
    units = {unit.name: unit for unit in work.all()}
    assert len(units) > (900 if count else 10)
    for name in [*units][:: max(1, len(units) // 40)] + [name for name in units if " " in name or "/" not in name]:
        assert [(unit.name, unit.given) for unit in work.named({name})] == [(name, units[name].given)]
    assert {unit.name for unit in work.named(units.keys())} == units.keys()


def test_one_year_of_many_sessions_is_divided_too() -> None:
    pages = pages_of(evenings(700, days=350))
    assert {"sessions-2020-1.html", "sessions-2020-2.html", "sessions.html"} <= set(pages)
    assert max(len(text.encode()) for text in pages.values()) < HEAVIEST
    first = html.document_fromstring(pages["sessions-2020-1.html"])
    assert words(one(first, "h1")) == "Sessions, 2020 (1/3)"
    assert words(one(first, "h2")) == "2020 (1/3)"


@pytest.mark.parametrize("page", DIVIDED)
def test_every_row_is_on_exactly_one_file(site: dict[str, HtmlElement], many: dict[str, str], page: str) -> None:
    files = files_of(many, page)
    assert len(files) > 3
    name = r"bottle (\d{4})" if page in ("costs", "sources") else r"Evening (\d{4})"
    found: Counter[str] = Counter()
    for file in files:
        found.update(set(re.findall(name, words(one(site[file], "main")))))
    assert found == Counter(f"{n:04}" for n in range(900))


@pytest.mark.parametrize("page", DIVIDED)
def test_a_row_stands_on_the_file_of_its_year(site: dict[str, HtmlElement], many: dict[str, str], page: str) -> None:
    for file in files_of(many, page)[1:]:
        year = file.removesuffix(".html").removeprefix(f"{page}-").lstrip("-")[:4]
        tree = one(site[file], "main")
        days = {str(day)[:4] for day in tree.xpath(".//time/@datetime")}
        assert days == {year}, file


@pytest.mark.parametrize("page", DIVIDED)
def test_the_files_of_a_page_lead_to_each_other(site: dict[str, HtmlElement], many: dict[str, str], page: str) -> None:
    files = files_of(many, page)
    for file in files:
        nav = one(site[file], of_class("files", "nav"))
        links = every(nav, "a")
        assert nav.get("aria-label") == "Years"
        targets = [normpath(join(dirname(file), link.get("href"))) for link in links]
        assert sorted(targets) == sorted(files)
        assert targets[0] == files[0], "the page itself has the newest and comes first"
        assert [t for t, link in zip(targets, links, strict=True) if link.get("aria-current")] == [file]
        said = [words(link) for link in links]
        assert [label[:4] for label in said[1:]] == sorted((label[:4] for label in said[1:]), reverse=True)


def test_every_link_and_fragment_leads_somewhere(site: dict[str, HtmlElement]) -> None:
    ids = {name: set(tree.xpath("//@id")) for name, tree in site.items()}
    for name, tree in site.items():
        assert len(tree.xpath("//@id")) == len(ids[name]), name
        for address in tree.xpath("//a/@href"):
            path, _, fragment = str(address).partition("#")
            target = normpath(join(dirname(name), unquote(path))) if path else name
            if not target.endswith(".html"):
                continue
            assert target in site, (name, address)
            assert not fragment or unquote(fragment) in ids[target], (name, address)


def test_the_file_of_a_year_says_what_it_is(site: dict[str, HtmlElement]) -> None:
    titles = [words(one(tree, "title")) for tree in site.values()]
    assert len(set(titles)) == len(titles)
    year = site["sessions-2022.html"]
    assert words(one(year, "h1")) == "Sessions, 2022"
    assert words(one(year, "title")).startswith("Sessions, 2022: ")
    assert one(year, "meta[@name='description']").get("content").endswith("On this page: 2022.")
    assert [words(step) for step in every(year, f"{of_class('trail', 'nav')}//li")] == ["Sessions", "Sessions, 2022"]
    entry = one(year, f"{of_class('contents', 'nav')}//a[@aria-current]")
    assert (entry.get("href"), entry.get("aria-current")) == ("sessions.html", "true")
    step = site["steps/etch--2022.html"]
    trail = every(step, f"{of_class('trail', 'nav')}//a")
    assert [(words(link), link.get("href")) for link in trail] == [
        ("Steps", "../steps.html"),
        ("etch", "../steps/etch.html"),
    ]


def test_the_page_itself_keeps_the_sums_and_each_file_adds_up(site: dict[str, HtmlElement]) -> None:
    assert "900 sittings at the bench" in words(one(site["sessions.html"], of_class("lead")))
    assert "900 purchases" in words(one(site["costs.html"], of_class("lead")))
    assert "Done 900 times" in words(one(site["steps/etch.html"], of_class("lead")))
    assert every(site["costs.html"], "section[@aria-labelledby='kinds']")
    year = site["costs-2022.html"]
    assert not every(year, "section[@aria-labelledby='kinds']")
    purchases = table(year, "Purchases, oldest first")
    assert foot(purchases)[1] == f"£{len(rows(purchases)) * Decimal('2.50'):.2f}"


def test_a_list_at_the_limit_is_not_divided() -> None:
    at_limit = pages_of(evenings(MOST))
    assert "sessions.html" in at_limit
    assert not [name for name in at_limit if name.startswith("sessions-")]
    assert 'class="files"' not in at_limit["sessions.html"]
    over = pages_of(evenings(MOST + 1))
    assert [name for name in over if name.startswith("sessions-")]


def test_the_division_tells_nothing_of_private_sessions() -> None:
    shown = evenings(300)
    private = [evening(2000 + n, FIRST_DAY + timedelta(days=9 * n), private=True) for n in range(300)]
    both = sorted([*shown, *private], key=lambda session: session.day)
    public, expected = pages_of(both, PUBLIC), pages_of(shown, PUBLIC)
    assert set(public) == set(expected)
    assert public["sessions-2020.html"] == expected["sessions-2020.html"]
    assert len(pages_of(both)) > len(pages_of(shown))


days = st.dates(date(2019, 1, 1), date(2023, 12, 31))
weighed = st.lists(st.tuples(days, st.integers(1, 12)), max_size=80)


def every_row(of: list[tuple[date, int]], most: int) -> Iterator[tuple[int, str]]:
    placed = list(enumerate(of))
    for stretch in divide(placed, lambda row: row[1][0], lambda row: row[1][1], most):
        for place, _ in stretch.rows:
            yield place, stretch.suffix


@given(weighed, st.integers(1, 40))
def test_each_row_once_in_order_and_none_too_heavy(of: list[tuple[date, int]], most: int) -> None:
    placed = list(enumerate(of))
    stretches = divide(placed, lambda row: row[1][0], lambda row: row[1][1], most)
    assert sorted(place for place, _ in every_row(of, most)) == list(range(len(of)))
    assert [stretch.itself for stretch in stretches] == [True] + [False] * (len(stretches) - 1)
    assert len({stretch.suffix for stretch in stretches}) == len(stretches)
    assert len({stretch.label for stretch in stretches}) == len(stretches)
    for stretch in stretches:
        assert [place for place, _ in stretch.rows] == sorted(place for place, _ in stretch.rows)
        assert sum(weight for _, (_, weight) in stretch.rows) <= most or len(stretch.rows) == 1
        assert stretch.itself or len({day.year for _, (day, _) in stretch.rows}) == 1
    assert (len(stretches) == 1) == (sum(weight for _, weight in of) <= most or len(of) == 1)


@given(st.lists(days, min_size=30, max_size=60), days)
def test_a_row_more_in_one_year_leaves_the_files_of_older_years_alone(of: list[date], another: date) -> None:
    def past(all_days: list[date]) -> dict[str, tuple[date, ...]]:
        found = divide(sorted(all_days), lambda day: day, most=8)
        return {s.suffix: s.rows for s in found if not s.itself and s.rows[0].year < another.year}

    before, after = past(of), past([*of, another])
    assert all(after[suffix] == listed for suffix, listed in before.items())
