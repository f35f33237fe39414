"""What a body may hold, and what in it points to something else."""

from __future__ import annotations

import textwrap

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.markup import (
    Fence,
    ImageUse,
    find_fences,
    find_images,
    find_references,
    is_allowed,
    own_target,
    parser,
    photo_file,
    plain_text,
    scheme_of,
)
from journalgen.records import Reference
from journalgen.values import Place
from tests.html_reader import active, links_of

FILE = "entries/2024-03-09-a-day.md"


def references(body: str, first_line: int = 1) -> list[tuple[str, str, int, int]]:
    found = find_references(textwrap.dedent(body), FILE, first_line)
    return [(r.kind, r.target, r.place.line, r.place.column) for r in found]


def test_a_reference_tells_kind_target_and_place_in_the_file() -> None:
    found = find_references("The [rim](part:front-wheel) is done.\n", FILE, 12)
    assert found == (Reference(Place(FILE, 12, 5), "part", "front-wheel"),)


def test_references_are_found_in_order_wherever_they_stand() -> None:
    body = """\
    # On the [wheel](part:wheel)

    See *[that
    day](session:2024-03-09)* and
    the [hub][h].

    > - [lever](part:lever)
    >   and [pin](part:pin)

    [h]: part:hub
    """
    assert references(body, 10) == [
        ("part", "wheel", 10, 10),
        ("session", "2024-03-09", 12, 6),
        ("part", "hub", 14, 5),
        ("part", "lever", 16, 5),
        ("part", "pin", 17, 9),
    ]


def test_a_reference_in_a_table_knows_its_row_and_not_its_column() -> None:
    body = """\
    | what | where |
    |------|-------|
    | [a](part:x) | [a](part:x) |
    """
    assert references(body, 3) == [("part", "x", 5, 1), ("part", "x", 5, 1)]


@pytest.mark.parametrize(
    ("written", "target"),
    [
        ("part:front%20wheel", "front wheel"),
        ("<part:front wheel>", "front wheel"),
        ("PART:wheel", "wheel"),
        ("part:Räder", "Räder"),
        ("part:R%C3%A4der", "Räder"),
        ("part:50%25", "50%"),
        ("<part:50 % oil>", "50 % oil"),
        ("part:a/b?c#d", "a/b?c#d"),
        ("part:", ""),
        ("part:a&amp;b", "a&b"),
    ],
)
def test_the_target_of_a_reference_is_percent_decoded(written: str, target: str) -> None:
    assert [r.target for r in find_references(f"[x]({written})", FILE, 1)] == [target]


@pytest.mark.parametrize(
    "body", ["`[x](part:y)`", "    [x](part:y)", "\\[x](part:y)", "<part:y>", "![x](part:y)", "part:y"]
)
def test_what_is_not_a_link_is_no_reference(body: str) -> None:
    assert find_references(body, FILE, 1) == ()


def test_fences_of_the_three_kinds_are_found_in_order_even_in_lists_and_quotes() -> None:
    body = textwrap.dedent("""\
    ```pair
    front wheel
    ```
    - item

      ~~~ photos two of them
      a.jpg
      b.jpg
      ~~~
    > ````Measure
    > axle: runout
    > ````
    ```python
    pair = 1
    ```
    """)
    assert find_fences(body, 20) == (
        Fence("pair", "front wheel\n", 20),
        Fence("photos", "a.jpg\nb.jpg\n", 25),
        Fence("measure", "axle: runout\n", 29),
    )


@pytest.mark.parametrize(
    "body", ["    ```pair\n    x\n    ```", "```\npair\n```", "```pairs\nx\n```", "`pair`", "``` \nx\n```"]
)
def test_other_blocks_place_nothing(body: str) -> None:
    assert find_fences(body, 1) == ()


def test_a_fence_left_open_ends_with_the_body() -> None:
    assert find_fences("a\n\n```pair\nwheel\n", 1) == (Fence("pair", "wheel\n", 3),)


def test_images_tell_target_alternative_text_and_line() -> None:
    body = "One\n![the *old* `hub`](../../photos/2024/a%20b.jpg)\nand ![](https://elsewhere.example/x.png)\n"
    assert find_images(body, 5) == (
        ImageUse("../../photos/2024/a b.jpg", "the old hub", 6),
        ImageUse("https://elsewhere.example/x.png", "", 7),
    )


@pytest.mark.parametrize(
    ("target", "file"),
    [
        ("photos/x.jpg", "x.jpg"),
        ("photos/photos/x.jpg", "photos/x.jpg"),
        ("../../photos/2024/x.jpg", "2024/x.jpg"),
        ("../photos/x.jpg", "x.jpg"),
        ("./photos/x.jpg", "x.jpg"),
        ("..\\..\\photos\\x.jpg", "x.jpg"),
        ("x.jpg", "x.jpg"),
        ("2024/x.jpg", "2024/x.jpg"),
        ("photos/2024/../x.jpg", "x.jpg"),
        ("photos/../journal.toml", None),
        ("photos/../../etc/passwd", None),
        ("../x.jpg", None),
        ("/photos/x.jpg", None),
        ("//host.example/photos/x.jpg", None),
        ("https://host.example/photos/x.jpg", None),
        ("photos/", None),
        ("..", None),
        ("", None),
        ("C:/photos/x.jpg", None),
    ],
)
def test_a_picture_is_a_file_below_photos_or_none(target: str, file: str | None) -> None:
    assert photo_file(target) == file


ALLOWED = [
    "https://example.org/a?b=c:d#e", "HTTP://example.org", "mailto:a@example.org", "tel:+44-20-1234", "part:wheel",
    "session:2024-03-09", "x.html", "../x.html", "#here", "", "?q=a:b", "/x:y", "./a:b", "a/b:c", "%20",
]  # fmt: skip
REFUSED = [
    "javascript:alert(1)", "JaVaScRiPt:alert(1)", " javascript:alert(1)", "java\tscript:alert(1)", "java\nscript:x",
    "\x01javascript:alert(1)", "javascript%3Aalert(1)", "%6Aavascript:alert(1)", "vbscript:x", "data:text/html,x",
    "data:image/png;base64,AAAA", "file:///etc/passwd", "blob:x", "about:blank", "ftp://example.org", "view-source:x",
    "//example.org/x", "/\t/example.org", "\n//example.org", "\\\\example.org\\x", "/\\example.org",
    "\u200bjavascript:x", "\xa0javascript:x", "x:y", ":x",
    "javascript\u00ad:alert(1)", "%00javascript:x", "smb://host/x", "ms-word:x", "intent:x", "jar:x", "feed:x",
]  # fmt: skip


@pytest.mark.parametrize("address", ALLOWED)
def test_an_address_of_the_web_the_journal_or_the_site_is_allowed(address: str) -> None:
    assert is_allowed(address)


@pytest.mark.parametrize("address", REFUSED)
def test_an_address_of_any_other_scheme_is_refused(address: str) -> None:
    assert not is_allowed(address)


@pytest.mark.parametrize("address", REFUSED)
@pytest.mark.parametrize(
    "form", ["[x]({})", "[x](<{}>)", "<{}>", "![x](<{}>)", "[x][r]\n\n[r]: <{}>", "[x]({} 'title')"]
)
def test_a_refused_address_leaves_no_link(address: str, form: str) -> None:
    html = parser().render(form.format(address.replace("\\", "\\\\")))
    assert links_of(html) == []
    assert active(html) == []


@pytest.mark.parametrize(
    "body",
    [
        "[x](java&#115;cript:alert(1))", "[x](javascript&colon;alert(1))", "[x](java&Tab;script:alert(1))",
        "[x](&#x6A;avascript:alert(1))", "<javascript&colon;alert(1)>", "[x](JAVASCRIPT&#58;alert(1))",
    ],
)  # fmt: skip
def test_an_entity_hides_no_scheme(body: str) -> None:
    html = parser().render(body)
    assert links_of(html) == []
    assert "alert(1)" in html


def test_autolinks_are_made_of_web_mail_and_telephone_addresses_only() -> None:
    html = parser().render("<https://example.org> <a@example.org> <tel:+44> <part:wheel> <steam:x>")
    assert links_of(html) == ["https://example.org", "mailto:a@example.org", "tel:+44"]
    assert "&lt;part:wheel&gt; &lt;steam:x&gt;" in html


def test_a_bare_address_is_text() -> None:
    assert parser().render("see https://example.org") == "<p>see https://example.org</p>\n"


def test_raw_html_is_text() -> None:
    assert parser().render("<b>a</b>\n\n<div>\n*b*\n</div>\n") == (
        "<p>&lt;b&gt;a&lt;/b&gt;</p>\n<p>&lt;div&gt;\n<em>b</em>\n&lt;/div&gt;</p>\n"
    )


def test_one_body_leaves_nothing_behind_for_the_next() -> None:
    find_references("[x]: part:wheel", FILE, 1)
    assert find_references("[x]", FILE, 1) == ()


def test_the_scheme_and_the_target_of_an_address() -> None:
    assert (scheme_of("HTTPS://example.org"), scheme_of("a/b:c"), scheme_of("#x")) == ("https", None, None)
    assert own_target("part: front%20wheel ") == ("part", "front wheel")
    assert own_target("https://example.org") is None


def test_plain_text_holds_the_words_without_targets_and_placed_elements() -> None:
    body = textwrap.dedent("""\
    # A *day*

    Took the [wheel](part:secret-name) off,
    see ![the hub](photos/secret.jpg).

    - one `two`
    - <b>three</b>

    | a | b |
    |---|---|
    | c | d |

    ```photos
    secret.jpg
    ```
    ```
    kept as it is
    ```

    [r]: https://secret.example
    """)
    assert plain_text(body) == (
        "A day\nTook the wheel off, see the hub.\none two\n<b>three</b>\na\nb\nc\nd\nkept as it is"
    )


BODIES = st.lists(
    st.sampled_from(
        [
            *"[]()<>!`*_#-|:\\ \n\t\"'&;%?@x",
            "part:",
            "](",
            "```pair\n",
            "~~~",
            "javascript:",
            "http://",
            "&colon;",
            "\x00",
            "é",
        ]
    )
    | st.characters(codec="utf-8"),
    max_size=60,
).map("".join)


@given(BODIES)
def test_any_text_can_be_read_and_none_of_it_acts(body: str) -> None:
    html = parser().render(body)
    assert [finding for finding in active(html) if not finding.startswith(("img", "<img", "part:", "session:"))] == []
    lines = body.count("\n") + body.count("\r") + 1
    assert all(1 <= reference.place.line <= lines for reference in find_references(body, FILE, 1))
    assert all(1 <= fence.line <= lines for fence in find_fences(body, 1))
    assert all(1 <= image.line <= lines for image in find_images(body, 1))
    assert "\x00" not in plain_text(body)
