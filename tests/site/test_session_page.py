"""A session's page and card."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from journalgen.problems import Problem
from journalgen.records import Block, PairChoice, Photo
from journalgen.site.matter import PUBLIC
from tests.site.samples import (
    FIRST,
    HAGGLING,
    SECOND,
    at,
    edition,
    every,
    foot,
    hiding,
    journal,
    of_class,
    one,
    owner_site,
    rows,
    session,
    table,
    trees,
    words,
)

FIRST_PAGE = "sessions/2024-03-09-first-coat.html"
SECOND_PAGE = "sessions/2024-04-20-primer.html"


def facts(page: str) -> dict[str, str]:
    """The facts of the large card."""
    found = one(owner_site()[page], of_class("card-facts", "dl"))
    return {words(name): words(name.getnext()) for name in every(found, "dt")}


def test_the_card_tells_hours_parts_what_was_used_and_what_was_spent() -> None:
    assert facts(FIRST_PAGE) == {
        "Hours": "2 h 30 min",
        "Parts": "front wheel, axle",
        "Used": "rust converter 120 mL, 320 grit paper 2 sheets",
        "Spent": "£32.82, and ITL 120,000 not converted",
    }


def test_the_card_says_nothing_rather_than_leaving_a_gap() -> None:
    site = trees(edition(journal(session("2024-03-01", "Only looked"))))
    assert words(one(site["sessions/2024-03-01-only-looked.html"], of_class("card-facts", "dl"))) == (
        "Hours nothing Parts nothing Used nothing Spent nothing"
    )


def test_the_owner_finds_the_problems_of_an_entry_on_its_page() -> None:
    made = journal(session("2024-03-01", "Etch"), session("2024-03-02", "Prime"))
    own, other = (Problem(found.place, "warning", "too-early", f"{found.title}!", "Wait.") for found in made.sessions)
    site = trees(edition(made, problems=(own, other)))
    told = one(site["sessions/2024-03-01-etch.html"], of_class("problems", "details"))
    assert words(told).startswith("1 problem")
    assert "Etch!" in words(told)
    assert "Prime!" not in words(told)
    assert told.get("open") is not None
    public = trees(edition(made, PUBLIC, problems=(own, other)))
    assert every(public["sessions/2024-03-01-etch.html"], of_class("problems", "details")) == []


def test_the_blocks_beside_the_hours_are_as_wide_as_the_hours() -> None:
    assert one(owner_site()[FIRST_PAGE], of_class("blocks", "span")).get("style") == "--h: 2.50"


def test_the_work_adds_up_to_the_session_with_what_no_line_names() -> None:
    work = table(owner_site()[FIRST_PAGE], "Work done")
    assert rows(work) == [
        ["front wheel", "etch, coat 1 to stand 2 days; clears by 4 mm; thick near the hub", "rust converter", "120 mL",
         "1 h 30 min", "11 Mar 2024, 21:45"],
        ["axle", "(unspecified)", "", "", "1 h", ""],
    ]  # fmt: skip
    assert foot(work) == ["The session", "2 h 30 min", ""]


def test_a_line_of_several_parts_stands_once_with_all_its_minutes_and_the_steps_label() -> None:
    work = table(owner_site()[SECOND_PAGE], "Work done")
    assert [row[:2] + row[4:] for row in rows(work)] == [
        ["front wheel", "prime coat, coat 2", "30 min"],
        ["front wheel, axle", "fit", "30 min"],
    ]


def test_conditions_and_times_are_shown() -> None:
    said = words(one(owner_site()[FIRST_PAGE], "section[@aria-labelledby='air']"))
    assert "Air 18 °C" in said
    assert "Surface 16.5 °C" in said
    assert "Humidity 55 %" in said
    assert "Started 19:15, ended 21:45" in said


def test_purchases_and_sales_stand_apart() -> None:
    tree = owner_site()[SECOND_PAGE]
    assert [row[0] for row in rows(table(tree, "Purchases in this session"))] == ["zinc primer, 1 L"]
    assert [row[0] for row in rows(table(tree, "Sales in this session"))] == ["spare bracket"]
    assert words(one(tree, "section[@aria-labelledby='bought']/header")) == "Bought £26.90, with what was sold"


def test_measures_come_with_their_limits_and_verdicts() -> None:
    found = rows(table(owner_site()[FIRST_PAGE], "Measures"))
    assert [row[:4] + row[5:] for row in found] == [
        ["journal diameter", "axle", "34.981 ± 0.004 mm", "34.975 to 35.000 mm", "within"],
        ["wall left", "axle", "0.7 mm", "at least 1.0 mm", "outside"],
    ]
    assert len(every(table(owner_site()[FIRST_PAGE], "Measures"), "svg")) == 2


def test_findings_and_decisions_name_their_parts() -> None:
    tree = owner_site()[FIRST_PAGE]
    assert words(one(tree, "section[@aria-labelledby='found']//dl")) == "lamp glass chip at the rim severity: moderate"
    assert words(one(tree, "section[@aria-labelledby='decided']//dl")) == "axle replace: bent beyond use"


def test_the_body_is_rendered_with_its_references() -> None:
    told = one(owner_site()[FIRST_PAGE], "section[@aria-labelledby='told']")
    assert every(told, "a[@href='../parts/axle.html']")
    assert "Wheel came up well" in words(told)


def test_what_the_body_places_is_not_shown_again() -> None:
    tree = owner_site()[SECOND_PAGE]
    told = one(tree, "section[@aria-labelledby='told']")
    assert [img.get("alt") for img in every(told, "img")] == ["as it came off.", "front wheel, after, 20 April 2024"]
    assert "34.981 ± 0.004 mm" in words(told)
    photos = one(tree, "section[@aria-labelledby='photos']")
    assert [img.get("alt") for img in every(photos, "img")] == ["the machine <so far>"]


def test_a_measure_that_the_body_places_is_not_listed_again() -> None:
    block = Block(at(20), "measure", measures=(("axle", "journal diameter"),))
    placed = replace(FIRST, body="```measure\naxle: journal diameter\n```\n", blocks=(block,))
    tree = trees(edition(journal(placed)))[FIRST_PAGE]
    told = one(tree, "section[@aria-labelledby='told']")
    assert [row[0] for row in rows(table(told, "Measures"))] == ["journal diameter"]
    listed = one(tree, "section[@aria-labelledby='measures']")
    assert [row[0] for row in rows(table(listed, "Measures"))] == ["wall left"]


def test_what_a_block_may_not_show_leaves_no_trace_in_the_public_edition() -> None:
    secret = Photo(at(9), "secret-corner.jpg", ("axle",), private=True)
    shown = session(
        "2024-03-01", "Blocks", photos=(secret,),
        body="```photos\nsecret-corner.jpg\n```\n\n```pair\npart: axle\n```\n",
        blocks=(Block(at(5), "photos", files=("secret-corner.jpg",)),
                Block(at(8), "pair", pair=PairChoice(at(8), "axle"))),
    )  # fmt: skip
    page = "sessions/2024-03-01-blocks.html"
    public = trees(edition(replace(hiding(), sessions=(shown,)), PUBLIC))[page]
    assert "secret-corner" not in words(public)
    assert "pair" not in words(one(public, "main"))
    owner = trees(edition(replace(hiding(), sessions=(shown,))))[page]
    assert "photos/secret-corner.jpg" in words(owner)


def test_a_picture_in_the_text_is_the_photograph_of_that_name() -> None:
    body = "Look: ![](photos/wheel-1.jpg)\n\n![](elsewhere.jpg)"
    shown = session("2024-03-01", "In words", photos=FIRST.photos, body=body)
    tree = trees(edition(journal(shown)))["sessions/2024-03-01-in-words.html"]
    told = one(tree, "section[@aria-labelledby='told']")
    assert [img.get("alt") for img in every(told, "img")] == ["as it came off."]


@pytest.mark.parametrize(
    ("page", "before", "after"),
    [(FIRST_PAGE, "none", "Primer, 20 April 2024"), (SECOND_PAGE, "First coat, 9 March 2024", "Haggling, 1 May 2024")],
)
def test_a_session_leads_to_the_one_before_and_the_one_after(page: str, before: str, after: str) -> None:
    turn = one(owner_site()[page], of_class("turn", "nav"))
    assert words(turn) == f"Session before {before} Session after {after}"


def test_the_last_session_has_none_after_it_yet() -> None:
    assert words(one(owner_site()["sessions/2024-05-01-haggling.html"], of_class("turn", "nav"))).endswith("none yet")


def test_the_tags_of_every_part_it_names_stand_at_its_end() -> None:
    tags = every(owner_site()[FIRST_PAGE], f"{of_class('slip')}//{of_class('tag-name')}")
    assert [words(tag) for tag in tags] == ["front wheel", "axle", "lamp glass"]


def test_without_prices_purchases_are_listed_without_figures() -> None:
    tree = trees(edition(hiding("prices", "suppliers"), PUBLIC))[FIRST_PAGE]
    bought = table(tree, "Purchases in this session")
    assert [words(head) for head in every(bought, "thead//th")] == ["What", "For", "Kind"]
    assert rows(bought)[2] == ["old stock", "axle", "part"]


def test_sessions_are_listed_newest_first_by_year() -> None:
    older = session("2023-12-31", "Last of the old year", minutes=60)
    tree = trees(edition(journal(older, FIRST, SECOND, HAGGLING)))["sessions.html"]
    assert [words(h) for h in every(tree, "h2")] == ["2024", "2023"]
    assert [words(h) for h in every(tree, of_class("card-title"))] == [
        "Haggling private", "Primer", "First coat", "Last of the old year"
    ]  # fmt: skip
