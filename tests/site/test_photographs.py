"""Photographs: pictures in several widths, or a marked gap."""

from __future__ import annotations

from msgspec.structs import replace

from journalgen.records import Photo
from journalgen.site.matter import PUBLIC
from tests.site.samples import (
    FIRST,
    SECOND,
    at,
    edition,
    every,
    hiding,
    journal,
    of_class,
    one,
    owner_site,
    trees,
    words,
)

PAGE = "sessions/2024-03-09-first-coat.html"


def test_a_picture_offers_every_width_in_both_formats() -> None:
    photos = one(owner_site()[PAGE], "section[@aria-labelledby='photos']")
    img = one(photos, "img")
    assert img.get("srcset") == (
        "../pictures/aaaa-480.jpg 480w, ../pictures/aaaa-960.jpg 960w, ../pictures/aaaa-1600.jpg 1600w"
    )
    assert one(photos, "source").get("srcset") == img.get("srcset").replace(".jpg", ".avif")
    assert img.get("src") == "../pictures/aaaa-960.jpg"
    assert (img.get("width"), img.get("height")) == ("2000", "1500")
    assert img.get("style") == "--tint: #5f4c3c"
    assert img.get("sizes") == one(photos, "source").get("sizes")
    assert "vw" in img.get("sizes")


def test_the_enlarged_view_leads_to_the_largest_picture() -> None:
    tree = owner_site()[PAGE]
    link = one(tree, "a[@data-view]")
    assert link.get("href") == "../pictures/aaaa-1600.jpg"
    assert link.get("data-view") == "as it came off, 9 March 2024"
    assert len(every(tree, "dialog")) == 1


def test_a_photograph_without_a_picture_is_a_marked_gap_that_tells_the_owner_which_and_why() -> None:
    gaps = [words(gap) for gap in every(owner_site()[PAGE], of_class("gap"))]
    assert gaps == ["photos/gone.jpg cannot be shown: There is no such file."]
    assert not every(owner_site()[PAGE], "img[@src='']")


def test_the_public_edition_only_says_that_a_photograph_is_missing() -> None:
    tree = trees(edition(hiding(), PUBLIC))[PAGE]
    assert [words(gap) for gap in every(tree, of_class("gap"))] == ["A photograph is missing here."]


def test_a_photograph_that_nobody_prepared_is_a_gap_too() -> None:
    shown = replace(FIRST, photos=(Photo(at(9), "never-made.jpg", ("axle",)),))
    tree = trees(edition(journal(shown)))[PAGE]
    assert [words(gap) for gap in every(tree, of_class("gap"))] == ["No picture was made of photos/never-made.jpg."]


def test_a_pair_with_a_gap_has_no_wipe() -> None:
    gone = Photo(at(9), "gone.jpg", ("front wheel",), "before")
    site = trees(edition(journal(replace(FIRST, photos=(gone,)), replace(SECOND, pairs=(), blocks=(), body=""))))
    view = one(site["pairs.html"], of_class("pair-view"))
    assert view.get("data-wipe") is None
    assert len(every(view, of_class("gap"))) == 1
    assert not every(site["index.html"], of_class("pair"))


def test_a_wipe_tells_its_part_and_leaves_room_for_its_value() -> None:
    view = one(owner_site()["pairs.html"], of_class("pair-view"))
    assert view.get("data-wipe") == "Wipe, front wheel: share of the before picture"
    assert view.get("data-value") == "{n} %"


def test_without_a_caption_the_text_is_made_of_part_moment_and_day() -> None:
    alts = [img.get("alt") for img in every(owner_site()["parts/front-wheel.html"], "img")]
    assert "front wheel, after, 20 April 2024" in alts


def test_the_names_of_parts_are_escaped_once() -> None:
    shown = replace(FIRST, photos=(Photo(at(9), "whole.jpg", ("nuts & bolts", "axle")),))
    tree = trees(edition(journal(shown)))[PAGE]
    assert "nuts & bolts and axle, during" in words(tree)
    assert "&amp;" not in words(tree)


def test_a_caption_ends_without_a_full_stop_before_the_day() -> None:
    caption = words(one(owner_site()[PAGE], "section[@aria-labelledby='photos']//figure[.//img]/figcaption"))
    assert caption == "as it came off, 9 Mar 2024"


def test_an_upright_pair_is_set_narrow() -> None:
    upright = Photo(at(9), "whole.jpg", ("axle",), "before")
    site = trees(edition(journal(replace(FIRST, photos=(upright, replace(upright, shows="after"))))))
    assert "tall" in one(site["pairs.html"], "figure").get("class")


def test_a_journal_without_pairs_says_so_and_tells_its_owner_how_to_have_one() -> None:
    without = journal(replace(FIRST, photos=()))
    assert "There is no pair yet. A part has one" in words(trees(edition(without))["pairs.html"])
    public = words(trees(edition(replace(without, settings=hiding().settings), PUBLIC))["pairs.html"])
    assert "There is no pair yet." in public
    assert "A part has one" not in public
