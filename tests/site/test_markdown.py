"""Bodies to HTML: what becomes a link, a picture or a placed element, and what stays text."""

from __future__ import annotations

import textwrap

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from journalgen.records import Block, PairChoice, Session
from journalgen.site.markdown import render_body, render_for_feed
from journalgen.values import Place
from tests.attacks import ATTACKS
from tests.html_reader import active, links_of, tags_of, words_of
from tests.journals import entry

PLACE = Place("entries/a.md", 4)


def session(body: str, *blocks: Block) -> Session:
    return replace(entry("---\ndate: 2024-03-09\n---\n"), body=textwrap.dedent(body), blocks=blocks)


def shown(body: str, *blocks: Block, table_label: str = "Table") -> str:
    """The HTML on a page that knows one part, one session and one photograph, and every placed element."""
    pages = {("part", "front wheel"): "../parts/front-wheel.html", ("session", "2024-03-09"): "a.html?b&c"}
    pictures = {"2024/hub.jpg": "<figure>hub</figure>", "rim.jpg": "<figure>rim</figure>"}
    return render_body(
        session(body, *blocks),
        lambda kind, target: pages.get((kind, target)),
        lambda block: f"<aside>{block.kind}</aside>",
        pictures.get,
        table_label=table_label,
    )


def in_feed(body: str, *blocks: Block) -> str:
    return render_for_feed(session(body, *blocks), lambda kind, target: f"https://example.org/{kind}/{target}.html")


# links


def test_a_reference_becomes_a_link_to_the_page() -> None:
    assert shown("The [*front* wheel](part:front%20wheel 'a title').") == (
        '<p>The <a href="../parts/front-wheel.html" title="a title" data-leads="parts/front-wheel.html">'
        "<em>front</em> wheel</a>.</p>\n"
    )


def test_the_address_a_page_gives_is_escaped() -> None:
    assert 'href="a.html?b&amp;c"' in shown("[then](session:2024-03-09)")


def test_a_reference_that_leads_nowhere_is_its_text_alone() -> None:
    assert shown("Off with the [*secret* hub](part:secret 'secret title') and [q](session:2020-01-01).") == (
        "<p>Off with the <em>secret</em> hub and q.</p>\n"
    )


def test_a_link_out_of_the_site_says_nothing_of_where_it_comes_from() -> None:
    assert shown("[x](https://example.org/a)") == (
        '<p><a href="https://example.org/a" rel="noopener noreferrer">x</a></p>\n'
    )


@pytest.mark.parametrize("address", ["mailto:a@example.org", "tel:+441234", "#below", "../costs.html"])
def test_other_links_stay_as_they_are_written(address: str) -> None:
    assert shown(f"[x]({address})") == f'<p><a href="{address}">x</a></p>\n'


def test_a_link_without_words_is_no_link() -> None:
    assert links_of(shown("a [](https://example.org) b")) == []


# headings and tables


def test_headings_stand_below_those_of_the_page() -> None:
    body = "\n\n".join(f"{'#' * level} h" for level in range(1, 7)) + "\n\nSet\n===\n"
    assert [tag for tag, _ in tags_of(shown(body)) if tag != "p"] == ["h3", "h4", "h5", "h6", "h6", "h6", "h3"]
    assert "</h3>" in shown("# x")


def test_a_heading_without_words_is_left_out() -> None:
    assert tags_of(shown("#\n\n# ![x](photos/rim.jpg)\n")) == [("figure", {})]


def test_a_table_scrolls_in_a_named_group_and_aligns_figures_by_class() -> None:
    html = shown("| a | b | c |\n|---|--:|:-:|\n| d | 1 | e |\n", table_label='Table "of" <it>')
    tags = tags_of(html)
    assert tags[0] == (
        "div", {"class": "scroll", "role": "group", "aria-label": 'Table "of" <it>', "tabindex": "0"}
    )  # fmt: skip
    assert [t for t in tags if t[0] in ("th", "td")] == [
        ("th", {"scope": "col"}), ("th", {"scope": "col", "class": "n"}), ("th", {"scope": "col"}),
        ("td", {}), ("td", {"class": "n"}), ("td", {}),
    ]  # fmt: skip
    assert html.count("<div") == html.count("</div>") == 1
    assert "style" not in html


# placed elements

TWO = """\
Before

```pair
front wheel
```

> ~~~photos
> rim.jpg
> ~~~

```
plain
```
"""


def test_each_fence_is_replaced_by_its_own_block_in_order() -> None:
    html = shown(TWO, Block(PLACE, "pair"), Block(PLACE, "photos"))
    assert html == (
        "<p>Before</p>\n<aside>pair</aside>\n<blockquote>\n<aside>photos</aside>\n</blockquote>\n"
        "<pre><code>plain\n</code></pre>\n"
    )


def test_a_block_that_cannot_be_shown_is_its_fence_as_code() -> None:
    html = render_body(
        session("```pair\n<b>x</b>\n```\n", Block(PLACE, "pair")), lambda k, t: None, lambda b: None, lambda f: None
    )
    assert html == "<pre><code>&lt;b&gt;x&lt;/b&gt;\n</code></pre>\n"


def test_a_fence_without_a_block_is_code() -> None:
    assert shown("```pair\nx\n```\n") == "<pre><code>x\n</code></pre>\n"


def test_a_block_may_be_left_out_altogether() -> None:
    html = render_body(
        session(TWO, Block(PLACE, "pair", PairChoice(PLACE, "hub")), Block(PLACE, "photos")),
        lambda k, t: None, lambda b: "", lambda f: None,
    )  # fmt: skip
    assert "rim.jpg" not in html
    assert "front wheel" not in html


# pictures


@pytest.mark.parametrize(
    "target", ["photos/2024/hub.jpg", "../../photos/2024/hub.jpg", "2024/hub.jpg", "photos/2024/h%75b.jpg"]
)
def test_a_photograph_of_the_journal_stands_in_place_of_its_paragraph(target: str) -> None:
    assert shown(f"![the hub]({target})") == "<figure>hub</figure>\n"


def test_photographs_in_a_sentence_stand_below_it() -> None:
    html = shown("The hub ![a](photos/2024/hub.jpg) and rim ![b](photos/rim.jpg) *look* well.\n\nAnd more.")
    assert html == (
        "<p>The hub  and rim  <em>look</em> well.</p>\n<figure>hub</figure>\n<figure>rim</figure>\n<p>And more.</p>\n"
    )


def test_a_photograph_in_a_list_or_a_cell_stays_there() -> None:
    assert "<figure>rim</figure>\n</li>" in shown("- see ![b](photos/rim.jpg)\n- x\n")
    assert "<td><figure>rim</figure>\n</td>" in shown("| a |\n|---|\n| ![b](photos/rim.jpg) |\n")


def test_a_link_around_a_photograph_gives_way_to_it() -> None:
    assert shown("[![b](photos/rim.jpg)](https://example.org)") == "<figure>rim</figure>\n"


@pytest.mark.parametrize(
    "target",
    [
        "https://elsewhere.example/x.png",
        "photos/secret.jpg",
        "../journal.toml",
        "photos/../rim.jpg",
        "part:front",
        "/rim.jpg",
    ],
)
def test_any_other_picture_is_its_alternative_text(target: str) -> None:
    html = shown(f'see ![the *old* "hub" <b>]({target}) there')
    assert html == '<p>see <span class="no-picture">the old &quot;hub&quot; &lt;b&gt;</span> there</p>\n'


def test_a_picture_without_words_that_cannot_be_shown_leaves_nothing() -> None:
    assert shown("![](photos/secret.jpg)\n") == ""


# the feed


def test_in_the_feed_references_are_full_addresses_and_relative_links_are_text() -> None:
    html = in_feed("[a](part:hub) [b](../costs.html) [c](#x) [d](https://example.org)")
    assert links_of(html) == ["https://example.org/part/hub.html", "https://example.org"]
    assert words_of(html) == "a b c d\n"


def test_in_the_feed_pictures_are_told_and_placed_elements_left_out() -> None:
    html = in_feed("![the rim](photos/rim.jpg)\n\n```photos\nrim.jpg\n```\n", Block(PLACE, "photos"))
    assert html.strip() == '<p><span class="no-picture">the rim</span></p>'


def test_a_table_in_the_feed_needs_no_group() -> None:
    assert "<div" not in in_feed("| a |\n|---|\n| b |\n")


# what must never work


@pytest.mark.parametrize("body", ATTACKS)
def test_no_trick_leaves_anything_that_acts(body: str) -> None:
    for html in (shown(body), in_feed(body)):
        assert active(html) == []
        assert tags_of(html) == [] or {tag for tag, _ in tags_of(html)} <= {
            "p", "a", "em", "h3", "div", "table", "thead", "tbody", "tr", "th", "td", "pre", "code", "ul", "li",
            "blockquote", "span", "figure",
        }  # fmt: skip


PIECES = [
    *"[]()<>!`*_#-|:\\ \n\t\"'&;%=/x",
    "](",
    "javascript:",
    "&colon;",
    "&#x6a;",
    "<script>",
    " onclick=",
    "```pair\n",
    "```\n",
    "![",
    "photos/rim.jpg",
    "part:front%20wheel",
    "https://",
    "\n\n",
    "data:",
    "| a |\n|--|\n",
    "\x00",
    "\u200b",
    "<!--",
]


@given(st.lists(st.sampled_from(PIECES), max_size=40).map("".join))
def test_no_mixture_of_pieces_leaves_anything_that_acts(body: str) -> None:
    html = shown(body, Block(PLACE, "pair"))
    assert active(html) == []
    assert html.count("<p>") == html.count("</p>")
    assert len(links_of(html)) == html.count("</a>")
