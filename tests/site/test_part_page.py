"""A part's page, its tag, and the page of all tags."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from journalgen.records import Part
from journalgen.site.matter import PUBLIC
from tests.site.samples import (
    FIRST,
    PARTS,
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

WHEEL = "parts/front-wheel.html"


def test_the_large_tag_tells_number_place_decision_and_state() -> None:
    said = words(one(owner_site()[WHEEL], of_class("tag")))
    assert said == (
        "Number PQ-17-204 2 off front wheel Stored: shelf B, box 3 "
        "Decision: repair reuse repair replace make State: fitted"
    )
    assert words(one(owner_site()[WHEEL], f"{of_class('tag-do')}//b")) == "repair"


def test_a_part_in_work_tells_its_last_step() -> None:
    early = trees(edition(on=date(2024, 3, 31)))
    assert words(one(early[WHEEL], of_class("stamp"))) == "State: in work etch"


def test_without_a_number_the_tag_says_so_and_with_numbers_hidden_it_says_nothing() -> None:
    assert "no number" in words(one(owner_site()["parts/axle.html"], of_class("tag")))
    hidden = trees(edition(hiding("numbers", "storage"), PUBLIC))
    assert words(one(hidden[WHEEL], of_class("tag-no"))) == "2 off"
    assert not every(hidden["parts/axle.html"], of_class("tag-no"))
    assert words(one(hidden[WHEEL], of_class("tag-place"))) == ""


def test_a_decision_in_a_session_counts_where_the_register_has_none() -> None:
    assert words(one(owner_site()["parts/axle.html"], f"{of_class('tag-do')}//b")) == "replace"
    assert "Decision: none yet" in words(one(owner_site()["parts/lamp-glass.html"], of_class("tag")))


def test_the_sentence_tells_what_it_belongs_to_and_what_it_needs() -> None:
    said = words(one(owner_site()[WHEEL], of_class("part-top")))
    assert "Belongs to running gear." in said
    assert "Needs axle before it can be fitted." in said
    assert "Also called road wheel." in said
    assert "Area of one: 0.42 m²." in said
    assert "Needed by front wheel." in words(one(owner_site()["parts/axle.html"], of_class("part-top")))
    assert "Not in the register yet." in words(one(owner_site()["parts/seat-rail.html"], of_class("part-top")))


def test_the_first_picture_shows_the_part_as_it_is_now() -> None:
    hero = every(owner_site()[WHEEL], "img")[0]
    assert hero.get("alt") == "front wheel, after, 20 April 2024"
    assert hero.get("loading") is None


def test_the_process_is_drawn_and_stands_as_a_table() -> None:
    section = one(owner_site()[WHEEL], "section[@aria-labelledby='process']")
    label = one(section, f"{of_class('squared')}/svg").get("aria-label")
    assert "3 steps in order of time from 9 March 2024 to 20 April 2024" in label
    assert [row[:4] for row in rows(table(section, "Steps on this part"))] == [
        ["9 Mar 2024", "etch, coat 1", "rust converter", "1 h 30 min"],
        ["20 Apr 2024", "prime coat, coat 2", "zinc primer", "30 min"],
        ["20 Apr 2024", "fit", "", "15 min"],
    ]
    assert "39 days without work on this part are folded at the double line." in words(section)


def test_a_row_of_the_drawing_does_not_say_step_and_material_twice() -> None:
    other = replace(FIRST.work[0], step="zinc-primer", material="zinc primer")
    site = trees(edition(journal(replace(FIRST, work=(FIRST.work[0], other)))))
    drawing = one(one(site[WHEEL], "section[@aria-labelledby='process']"), f"{of_class('squared')}/svg")
    said = [words(text) for text in every(drawing, "text[not(@text-anchor='middle')]")]
    assert "etch, rust converter" in said
    assert "zinc primer" in said


def test_a_part_without_steps_has_no_process() -> None:
    assert not every(owner_site()["parts/lamp-glass.html"], "section[@aria-labelledby='process']")


def test_found_decided_and_measured() -> None:
    axle = owner_site()["parts/axle.html"]
    assert "replace: bent beyond use decided on 9 Mar 2024" in words(one(axle, "section[@aria-labelledby='found']"))
    first = rows(table(axle, "Measures"))[0]
    assert first[1:4] == ["9 Mar 2024", "34.981 ± 0.004 mm", "34.975 to 35.000 mm"]
    glass = words(one(owner_site()["parts/lamp-glass.html"], "section[@aria-labelledby='found']"))
    assert "chip at the rim severity: moderate" in glass


def test_a_finished_pair_is_called_after_and_another_so_far() -> None:
    assert "Before and after" in [words(h) for h in every(owner_site()[WHEEL], "h2")]
    during = replace(FIRST.photos[0], place=at(30), file="wheel-2.jpg", shows="during")
    open_pair = trees(edition(journal(replace(FIRST, photos=(FIRST.photos[0], during)))))
    assert "Before and so far" in [words(h) for h in every(open_pair[WHEEL], "h2")]
    sides = every(open_pair["pairs.html"], f"{of_class('pair-side')}/span")
    assert [words(side) for side in sides] == ["before", "so far"]


def test_costs_are_its_share_of_purchases_and_what_it_used_up() -> None:
    shared = replace(FIRST.purchases[1], parts=("lamp glass", "axle"))
    site = trees(edition(journal(replace(FIRST, purchases=(shared,)))))
    bought = table(site["parts/lamp-glass.html"], "Bought for this part")
    assert "share of this part: £10.41" in rows(bought)[0][2]
    assert foot(bought)[1] == "£10.41"
    wheel = table(owner_site()[WHEEL], "Materials used up")
    assert [row[1:4] for row in rows(wheel)] == [
        ["rust converter", "120 mL", "£14.40 estimated"],
        ["320 grit paper", "2 sheets", "not known"],
        ["zinc primer", "0.1 L", "£3.19"],
    ]
    assert foot(wheel)[1] == "£17.59"


def test_hours_by_step_and_the_sessions_add_up_to_its_hours() -> None:
    tree = owner_site()[WHEEL]
    assert foot(table(tree, "Hours by step"))[-1] == "2 h 15 min"
    sessions = [words(li) for li in every(tree, f"{of_class('sittings')}/li")]
    assert sessions == ["20 Apr 2024 Primer 45 min", "9 Mar 2024 First coat 1 h 30 min"]


def test_every_part_has_one_tag_under_its_own_assembly() -> None:
    tree = owner_site()["parts.html"]
    shown = {
        words(one(section, "h2")): [words(name) for name in every(section, of_class("tag-name"))]
        for section in every(tree, "section")
    }
    assert shown == {
        "chassis": ["running gear"],
        "running gear": ["front wheel", "axle"],
        "lamps": ["lamp glass"],
        "In no assembly": ["seat & rail"],
    }
    assert "5 parts in 3 assemblies." in words(one(tree, of_class("lead")))


def test_an_assembly_that_is_itself_a_part_leads_to_it_and_to_the_one_above() -> None:
    section = one(owner_site()["parts.html"], "section[@aria-labelledby='assembly-running-gear']")
    assert every(section, "h2/a[@href='parts/running-gear.html']")
    assert "belongs to chassis" in words(one(section, "header"))


def test_parts_that_name_each_other_as_assembly_are_still_shown_once() -> None:
    ring = {
        "a": Part("a", at(1), assembly="b"), "b": Part("b", at(2), assembly="a"), "c": Part("c", at(3), assembly="c"),
    }  # fmt: skip
    tree = trees(edition(replace(journal(), parts=ring, sessions=(session("2024-03-01", "Ring"),))))["parts.html"]
    assert sorted(words(name) for name in every(tree, of_class("tag-name"))) == ["a", "b", "c"]


@pytest.mark.parametrize("count", [120, 121, 700])
def test_a_large_tray_has_one_cell_in_a_hundred_and_says_so(count: int) -> None:
    many = {f"part {n}": Part(f"part {n}", at(n + 1)) for n in range(count)}
    tree = trees(edition(replace(journal(), parts=many, sessions=(session("2024-03-01", "Many"),))))["parts.html"]
    cells = every(tree, f"{of_class('tall')}/i")
    assert len(cells) == (count if count <= 120 else 100)
    assert ("one in a hundred" in words(tree)) == (count > 120)
    assert one(tree, of_class("tall")).get("aria-label") == f"All parts: {count} as found"


def test_the_register_of_the_samples_has_a_page_for_every_part() -> None:
    assert len([name for name in owner_site() if name.startswith("parts/")]) == len(PARTS)
