"""Cautions on the pages: shown wherever the work is, folded where there are many, never left out."""

from __future__ import annotations

import pytest
from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.house import trade_lore
from journalgen.records import Journal, Step, WorkLine
from journalgen.site.matter import OWNER, PUBLIC
from tests.site.samples import at, edition, every, journal, of_class, one, session, trees, words


def cautious(steps: tuple[str, ...], safety: str | None = None) -> Journal:
    """A journal with one step of these cautions, done on an axle of a safety class."""
    of = journal(session("2024-03-01", "Day", work=(WorkLine(at(3), ("axle",), "work", minutes=10),)))
    axle = replace(of.parts["axle"], safety=safety)
    return replace(of, parts=of.parts | {"axle": axle}, steps={"work": Step("work", "work", cautions=steps)})


def cautions(of: Journal, page: str, name: str = OWNER) -> list[HtmlElement]:
    return every(trees(edition(of, name))[page], of_class("caution", "aside"))


@pytest.mark.parametrize("page", ["sessions/2024-03-01-day.html", "parts/axle.html", "steps/work.html"])
@pytest.mark.parametrize("name", [OWNER, PUBLIC])
def test_a_steps_cautions_stand_with_title_sentences_source_and_deferring_sentence(page: str, name: str) -> None:
    (found,) = cautions(cautious(("acid",)), page, name)
    acid = trade_lore().by_work["acid"]
    assert found.get("aria-label") == "Caution: Acids"
    assert words(one(found, "h3")) == "Caution. Acids"
    assert [words(li) for li in every(found, "li")] == list(acid.text)
    assert acid.source in words(found)
    assert acid.defer in words(found)


@pytest.mark.parametrize(("count", "open_"), [(1, True), (2, True), (3, False)])
def test_more_than_two_are_folded_and_none_is_left_out(count: int, open_: bool) -> None:
    keys = ("acid", "solvents", "dust")[:count]
    found = cautions(cautious(keys), "sessions/2024-03-01-day.html")
    assert len(found) == count
    assert all((one(aside, "details").get("open") is not None) == open_ for aside in found)
    assert all(every(aside, "li") for aside in found)


@pytest.mark.parametrize("safety", ["brakes", "steering", "fuel", "lifting"])
@pytest.mark.parametrize("page", ["sessions/2024-03-01-day.html", "parts/axle.html"])
def test_work_on_what_must_not_fail_wants_checking_by_a_competent_person(safety: str, page: str) -> None:
    (found,) = cautions(cautious((), safety), page)
    assert "competent person before use" in words(found)


def test_a_part_of_no_class_and_a_step_without_cautions_show_none() -> None:
    of = cautious(())
    assert not cautions(of, "sessions/2024-03-01-day.html")
    assert not cautions(of, "parts/axle.html")
