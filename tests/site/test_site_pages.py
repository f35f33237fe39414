"""What holds for every page of a site: links lead somewhere, nothing acts by itself, nothing is undefined."""

from __future__ import annotations

import re
from itertools import pairwise
from posixpath import dirname, join, normpath
from urllib.parse import unquote

import pytest
from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.pictures.model import Picture
from journalgen.site.matter import PUBLIC, Matter
from journalgen.site.pages import Pages, render_pages
from tests.site.samples import (
    DATA,
    FIRST,
    PICTURES,
    SETTINGS,
    THEME,
    edition,
    every,
    hiding,
    journal,
    of_class,
    one,
    owner_site,
    texts,
    trees,
    words,
)

EDITIONS = {
    "owner": edition(),
    "public": edition(hiding(), PUBLIC),
    "all hidden": edition(hiding("prices", "suppliers", "storage", "numbers", "hours"), PUBLIC),
    "empty": edition(replace(journal(), sessions=())),
    "nothing at all": edition(replace(journal(), sessions=(), parts={}, materials={}, suppliers={})),
}


SECRETS = (
    "£", "GBP", "EUR", "ITL", "Spent", "purchases.csv", "Corner Stores", "Muster", "shelf B", "drawer", "PQ-17",
    "hours.csv", "2 h 30", "19:15", "KEEPQUIET", "Haggling", "secret saw",
)  # fmt: skip


@pytest.fixture(params=EDITIONS.values(), ids=list(EDITIONS), scope="module")
def site(request: pytest.FixtureRequest) -> dict[str, HtmlElement]:
    return trees(request.param)


def picture_files() -> set[str]:
    return {
        f"pictures/{name}"
        for found in PICTURES.values()
        if isinstance(found, Picture)
        for variant in found.variants
        for name in (variant.avif, variant.jpeg)
    }


def addresses(tree: HtmlElement) -> list[str]:
    """Everything a page refers to."""
    found = [str(a) for a in tree.xpath("//@href | //@src")]
    for srcset in tree.xpath("//@srcset"):
        found += [candidate.split()[0] for candidate in srcset.split(",")]
    return found


def test_every_link_leads_to_a_file_of_the_site_and_every_fragment_to_an_element(site: dict[str, HtmlElement]) -> None:
    files = {*site, *DATA, *picture_files(), "enamel.css", "enamel.js", "search.js"}
    ids = {name: set(tree.xpath("//@id")) for name, tree in site.items()}
    checked = 0
    for name, tree in site.items():
        for address in addresses(tree):
            if address.startswith(("https://example.org/trolley/", "data:")):
                continue
            path, _, fragment = address.partition("#")
            target = normpath(join(dirname(name), unquote(path))) if path else name
            assert target in files, (name, address)
            if fragment:
                assert unquote(fragment) in ids[target], (name, address)
            checked += 1
    assert checked > 20 * len(site)


def test_ids_are_unique_and_labels_name_an_element(site: dict[str, HtmlElement]) -> None:
    for name, tree in site.items():
        ids = tree.xpath("//@id")
        assert len(ids) == len(set(ids)), name
        for label in tree.xpath("//@aria-labelledby"):
            assert label in ids, (name, label)


def test_nothing_of_the_programs_inside_shows(site: dict[str, HtmlElement]) -> None:
    for name, tree in site.items():
        said = " ".join(tree.text_content().split())
        for slip in ("None", "Undefined", "Fraction(", "Decimal(", "{{", "{%", "%(", " ,", "<bound", "datetime."):
            assert slip not in said, (name, slip, said[max(0, said.find(slip) - 60) :][:120])


def test_nothing_acts_by_itself(site: dict[str, HtmlElement]) -> None:
    properties = re.compile(r"--(tint|h|v|c): [#0-9a-zA-Z.]+")
    for name, tree in site.items():
        run = [s for s in every(tree, "script") if s.get("type") != "application/ld+json"]  # which is data
        own = name == "404.html"  # shown at any address, so it fetches nothing and brings its style
        also = ["search.js"] if name == "search.html" and every(tree, "form") else []
        wanted = [] if own else ["../" * name.count("/") + "enamel.js", *also]
        assert [script.get("src") for script in run] == wanted
        assert len(every(tree, "style")) == own
        assert not [a for element in tree.iter() for a in element.attrib if a.startswith("on")], name
        for style in tree.xpath("//@style"):
            assert properties.fullmatch(style), (name, style)
        policy = one(tree, "meta[@http-equiv='Content-Security-Policy']").get("content")
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "unsafe-eval" not in policy


def test_every_page_says_what_it_is(site: dict[str, HtmlElement]) -> None:
    titles = [words(one(tree, "title")) for tree in site.values()]
    assert len(set(titles)) == len(titles)
    for name, tree in site.items():
        assert tree.get("lang") == "en-GB"
        assert len(every(tree, "h1")) == 1, name
        assert one(tree, "meta[@name='description']").get("content")
        feed = one(tree, "link[@type='application/atom+xml']").get("href")
        known = every(tree, "link[@rel='canonical']") and name == "404.html"
        assert feed == ("https://example.org/trolley/" if known else "../" * name.count("/")) + "feed.atom"
        assert words(one(tree, "footer/p[1]")).startswith("Assembled on 30 Jun 2024")


def test_headings_do_not_leave_out_a_level(site: dict[str, HtmlElement]) -> None:
    for name, tree in site.items():
        levels = [int(h.tag[1]) for h in tree.iter("h1", "h2", "h3", "h4", "h5", "h6")]
        assert all(after <= before + 1 for before, after in pairwise(levels)), (name, levels)


def test_pictures_have_sizes_an_alternative_text_and_wait_but_for_the_first(site: dict[str, HtmlElement]) -> None:
    for name, tree in site.items():
        for img in every(tree, "img"):
            if name == "search.html":  # small pictures beside what they show
                assert img.get("alt") == ""
                continue
            assert img.get("alt"), name
            assert int(img.get("width")) > 0
            assert int(img.get("height")) > 0
            assert [s.get("type") for s in img.xpath("ancestor::picture//source")] == ["image/avif"]
        assert all(img.get("loading") == "lazy" for img in every(tree, "img")[1:]), name


def test_the_contents_list_only_pages_of_the_edition() -> None:
    contents = {
        key: [words(a) for a in every(trees(matter)["index.html"], f"{of_class('contents', 'nav')}//a")]
        for key, matter in EDITIONS.items()
    }
    assert contents["owner"] == [
        "Machine", "Sessions", "Parts", "Pairs", "Timeline", "Steps", "Hours", "Costs", "Materials",
        "Sources", "Search", "About",
    ]  # fmt: skip
    assert contents["all hidden"] == [
        "Machine", "Sessions", "Parts", "Pairs", "Timeline", "Steps", "Materials", "Search", "About"
    ]  # fmt: skip


def test_the_current_page_is_marked_in_the_contents_and_so_is_the_one_above_it() -> None:
    site = owner_site()
    assert words(one(site["hours.html"], "a[@aria-current='page']")) == "Hours"
    assert words(one(site["parts/axle.html"], "a[@aria-current='true']")) == "Parts"
    assert words(one(site["sessions/2024-03-09-first-coat.html"], "a[@aria-current='true']")) == "Sessions"


def test_hidden_kinds_of_fact_leave_no_page_no_word_and_no_data_link() -> None:
    pages = texts(EDITIONS["all hidden"])
    assert not {"costs.html", "hours.html"} & set(pages)
    for name, text in pages.items():
        for hidden in SECRETS:
            assert hidden not in text, (name, hidden)
        assert not re.search(r"\d h\b|\d min\b|\d:\d\d\b", re.sub(r'datetime="[^"]*"', "", text)), name


def test_the_public_edition_has_no_trace_of_what_is_private_and_says_that_it_is_public() -> None:
    for name, text in texts(EDITIONS["public"]).items():
        for hidden in ("KEEPQUIET", "Haggling", "secret saw", "Corner Stores", "data-edition", "class=\"private\"",
                       "gone.jpg", "There is no such file"):  # fmt: skip
            assert hidden not in text, (name, hidden)
        assert "Public edition." in text


def test_the_owners_edition_marks_what_is_private_wherever_it_stands() -> None:
    site = owner_site()
    marked = {
        name: [words(mark.getparent()) for mark in every(tree, of_class("private", "span"))]
        for name, tree in site.items()
    }
    assert any("Haggling" in text for text in marked["index.html"])
    assert any("Haggling" in text for text in marked["sessions.html"])
    assert any("Haggling" in text for text in marked["timeline.html"])
    assert any("Haggling" in text for text in marked["parts/lamp-glass.html"])
    assert any("secret saw" in text for text in marked["costs.html"])
    assert any("Corner Stores" in text for text in marked["costs.html"])
    assert site["index.html"].find("body").get("data-edition") == "owner"


def test_the_canonical_address_is_the_public_editions_own() -> None:
    site = trees(EDITIONS["public"])
    canonical = one(site["parts/axle.html"], "link[@rel='canonical']").get("href")
    assert canonical == "https://example.org/trolley/parts/axle.html"
    assert not every(owner_site()["parts/axle.html"], "link[@rel='canonical']")
    nowhere = edition(journal(settings=replace(SETTINGS, address=None, hide=frozenset())), PUBLIC)
    assert not every(trees(nowhere)["index.html"], "link[@rel='canonical']")


def test_names_with_markup_in_them_are_shown_as_they_are_written() -> None:
    site = owner_site()
    assert words(one(site["index.html"], "h1")) == "Trolley <17>"
    assert "drawer <2>" in words(site["parts/lamp-glass.html"])
    assert words(one(site["parts/seat-rail.html"], "h1")) == "seat & rail"


def test_the_page_for_what_is_missing_asks_for_nothing_above_it() -> None:
    tree = owner_site()["404.html"]
    assert not [address for address in addresses(tree) if address.startswith("..")]
    assert "There is no page at this address." in words(tree)
    assert every(tree, "main//a[@href='index.html']")
    public = trees(EDITIONS["public"])["404.html"]
    assert every(public, "main//a[@href='https://example.org/trolley/index.html']")


def test_an_empty_journal_tells_how_to_write_the_first_entry() -> None:
    tree = trees(EDITIONS["nothing at all"])["index.html"]
    assert "date: 2024-06-30" in one(tree, "pre").text_content()
    assert "entries/2024/2024-06-30-first-session.md" in words(tree)
    assert not every(tree, of_class("tray"))


def test_sessions_after_the_day_of_assembly_have_no_page() -> None:
    early = trees(edition(on=FIRST.day))
    assert [name for name in early if name.startswith("sessions/")] == ["sessions/2024-03-09-first-coat.html"]
    assert "Primer" not in words(early["sessions.html"])


def test_the_themes_stylesheet_and_script_are_copied_as_they_are() -> None:
    files = dict(render_pages(EDITIONS["owner"], THEME))
    assert files["enamel.css"] == (THEME.folder / "enamel.css").read_bytes()
    assert files["enamel.js"] == (THEME.folder / "enamel.js").read_bytes()


def test_one_page_can_be_rendered_by_itself_and_is_the_same() -> None:
    matter: Matter = EDITIONS["owner"]
    pages = Pages(matter, THEME)
    assert pages.render("parts/axle.html").decode() == texts(matter)["parts/axle.html"]
    with pytest.raises(KeyError):
        pages.render("sessions/2020-01-01-never.html")


def test_the_words_of_every_page_come_from_the_catalogue() -> None:
    class Shouting:
        def gettext(self, message: str, /) -> str:
            return message.upper() if "%" not in message and "{" not in message else message

        def ngettext(self, one: str, many: str, n: int, /) -> str:
            return self.gettext(one if n == 1 else many)

    loud = {name: data.decode() for name, data in render_pages(EDITIONS["owner"], THEME, Shouting())}
    assert ">MACHINE<" in loud["index.html"]
    assert "BEFORE AND AFTER" in loud["index.html"]
    assert "OUTSIDE WORK" not in loud["costs.html"]
    assert "USED SPARE" in loud["costs.html"]
    for word in ("Sessions", "Assembled by", "Latest sessions", "Spent", "fitted</", "reuse"):
        assert f">{word}<" not in loud["index.html"], word


def test_both_editions_use_the_same_address_for_a_part() -> None:
    public = {name for name in trees(EDITIONS["public"]) if name.startswith("parts/")}
    assert public
    assert public <= set(owner_site())
