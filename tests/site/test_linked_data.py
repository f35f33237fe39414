"""What public pages say to machines: the way to them, their picture, and their facts; the owner's say nothing."""

from __future__ import annotations

import json
from typing import Any

import pytest
from msgspec.structs import replace

from journalgen.editions import public_edition
from journalgen.records import Machine
from journalgen.site.matter import OWNER, PUBLIC
from tests.site.samples import FIRST, SETTINGS, edition, every, journal, of_class, one, owner_site, trees, words

OPEN = replace(SETTINGS, hide=frozenset())


def public(settings: Any = OPEN) -> dict[str, Any]:
    return trees(edition(public_edition(journal(settings=settings)), PUBLIC))


def facts(tree: Any) -> list[dict[str, Any]]:
    return json.loads(one(tree, "script[@type='application/ld+json']").text)["@graph"]  # type: ignore[no-any-return]


def meta(tree: Any) -> dict[str, str]:
    return {m.get("property"): m.get("content") for m in every(tree, "meta[@property]")}


def test_the_way_to_a_part_follows_the_tree_of_assemblies() -> None:
    tree = owner_site()["parts/front-wheel.html"]
    steps = every(tree, f"{of_class('trail', 'nav')}//li")
    assert words(steps[0]) == "Parts"
    assert words(steps[-1]) == "front wheel"
    assert steps[-1].get("aria-current") == "page"
    assert every(tree, f"{of_class('trail', 'nav')}//a")[0].get("href") == "../parts.html"


@pytest.mark.parametrize(
    ("page", "above"),
    [
        ("sessions/2024-03-09-first-coat.html", "Sessions"),
        ("steps/etch.html", "Steps"),
        ("materials/rust-converter.html", "Materials"),
    ],
)
def test_every_page_below_a_list_leads_back_to_it(page: str, above: str) -> None:
    tree = owner_site()[page]
    (link,) = every(tree, f"{of_class('trail', 'nav')}//a")
    assert words(link) == above
    assert link.get("href") == f"../{above.lower()}.html"


def test_the_owners_pages_say_nothing_to_machines() -> None:
    for name, tree in owner_site().items():
        assert not every(tree, "script[@type='application/ld+json']"), name
        assert not every(tree, "meta[@property]"), name
        assert one(tree, "meta[@name='robots']").get("content") == "noindex, nofollow"


def test_a_session_is_told_as_an_article() -> None:
    page, site, machine = facts(public()["sessions/2024-03-09-first-coat.html"])
    article = page["mainEntity"]
    assert (article["@type"], article["headline"], article["datePublished"]) == ("Article", FIRST.title, "2024-03-09")
    assert site["about"] == {"@id": machine["@id"]}
    assert page["isPartOf"] == {"@id": site["@id"]}
    assert [step["position"] for step in page["breadcrumb"]["itemListElement"]] == [1, 2]


def test_the_hours_of_a_session_are_not_told_where_they_are_hidden() -> None:
    page = "sessions/2024-03-09-first-coat.html"
    assert "timeRequired" in facts(public()[page])[0]["mainEntity"]
    hidden = public(replace(OPEN, hide=frozenset({"hours"})))
    assert "timeRequired" not in facts(hidden[page])[0]["mainEntity"]


def test_the_data_files_of_the_edition_are_told_and_no_others() -> None:
    def told(settings: Any) -> list[str]:
        data = facts(public(settings)["index.html"])[0]["mainEntity"]
        return [row["name"] for row in data["distribution"]]

    assert told(OPEN) == [
        "journal.json", "hours.csv", "purchases.csv", "stock.csv", "measures.csv", "steps.csv"
    ]  # fmt: skip
    assert told(replace(OPEN, hide=frozenset({"prices", "hours"}))) == [
        "journal.json", "stock.csv", "measures.csv", "steps.csv"
    ]  # fmt: skip


def test_no_text_of_the_journal_ends_the_block_that_holds_it() -> None:
    settings = replace(OPEN, title="</script><script>alert(1)</script>", machine=Machine(name="<!-- & -->"))
    for tree in public(settings).values():
        assert all(s.get("src") or s.get("type") == "application/ld+json" for s in every(tree, "script"))
        assert facts(tree)[1]["name"] == "</script><script>alert(1)</script>"


def test_a_page_has_a_picture_with_a_full_address_where_the_journal_has_one() -> None:
    for name, tree in public().items():
        said = meta(tree)
        assert said["og:image"].startswith("https://example.org/trolley/pictures/"), name
        assert said["og:url"] == one(tree, "link[@rel='canonical']").get("href")
        assert one(tree, "link[@rel='alternate'][not(@type)]").get("hreflang") == "en-GB"
    nowhere = public(replace(OPEN, address=None))["index.html"]
    assert "og:image" not in meta(nowhere)
    assert "og:url" not in meta(nowhere)


def test_a_page_can_be_cited() -> None:
    said = words(one(public()["parts/front-wheel.html"], of_class("cite")))
    assert said == (
        "To cite this page: “front wheel”, Trolley <17>, as of 30 June 2024. "
        "https://example.org/trolley/parts/front-wheel.html"
    )
    assert not every(owner_site()["index.html"], of_class("cite"))


def test_an_identity_number_is_not_told_to_machines() -> None:
    number = SETTINGS.machine.identity_number or "never"
    for tree in trees(edition(journal(), OWNER)).values():
        assert not every(tree, "script[@type='application/ld+json']")
    for tree in public().values():
        assert number not in one(tree, "script[@type='application/ld+json']").text
