"""What an inspection finds in a site that is about to be published, and where it says that it was written."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from journalgen.outside.publishing.digests import read_site
from journalgen.outside.revealing.inspection import inspect_site
from journalgen.outside.revealing.model import Finding
from journalgen.outside.revealing.patterns import find_money, find_patterns
from journalgen.outside.revealing.saying import finding_lines, shown_line
from journalgen.outside.revealing.texts import read_links, read_words
from journalgen.reading.journal import read_journal
from tests.journals import SETTINGS, write_journal
from tests.outside.sites import write_site

FILES = {
    "register/parts.yaml": """
        axle: {number: PQ-17-204, stored: "shelf B, box 3"}
        lamp: {stored: rafters}
        """,
    "register/suppliers.yaml": """
        Quillet Hardware: {site: https://quillet.example/shop, also called: [Quillet]}
        farmer: {place: OLDTOWN}
        The neighbour: {private: yes}
        """,
    "entries/2024-03-09-etch.md": """
        ---
        hours: 1
        parts: axle
        bought:
          - {part: axle, price: 240 GBP, from: Quillet Hardware}
          - {part: lamp, price: 18.50 EUR, private: yes, note: from a man who wants no thanks}
        ---
        BODY
        """,
    "entries/2024-03-10-quarrel.md": """
        ---
        title: The quarrel about the price
        private: yes
        ---
        We stood in the yard and shouted at each other for an hour. Then it rained.
        """,
}


QUARREL = "2024-03-10-the-quarrel-about-the-price"


def inspect(
    home: Path, files: dict[str, bytes | str], *, hide: str | None = None, made: set[str] | None = None, body: str = "-"
) -> tuple[Finding, ...]:
    """The findings in a site of these files; without `hide` what a new journal hides is hidden."""
    settings = SETTINGS + '[machine]\nidentity_number = "PQ-17-0031"\n'
    if hide is not None:
        settings += f"[editions.public]\nhide = {hide}\n"
    texts = {name: text.replace("BODY", body) for name, text in FILES.items()}
    journal = write_journal(home / "journal", texts, settings)
    site = {name: data.encode() if isinstance(data, str) else data for name, data in files.items()}
    folder = write_site(home / "site", site)
    record = read_journal(journal).journal
    local = read_site(folder, journal / ".journalgen")
    return inspect_site(folder, local, made if made is not None else set(site), record, journal)


def page(text: str) -> str:
    return f"<!doctype html><title>t</title><p>{text}</p>"


def kinds(findings: tuple[Finding, ...]) -> list[tuple[str, str, bool]]:
    return [(finding.kind, finding.what, finding.stops) for finding in findings]


@pytest.mark.parametrize(
    ("text", "kind", "what"),
    [
        ("Write to a.maker+old@workshop.example.org.", "email", "a.maker+old@workshop.example.org"),
        ("ring +44 20 7946 0123 after six", "telephone", "+44 20 7946 0123"),
        ("ring 01632 960123 after six", "telephone", "01632 960123"),
        ("(01632) 960-123", "telephone", "(01632) 960-123"),
        ("Tel.: 960 123 4", "telephone", "Tel.: 960 123 4"),
        ("tél 01 23 45 67 89", "telephone", "tél 01 23 45 67 89"),
        ("the shed at 14b Old Mill Lane, behind", "address", "14b Old Mill Lane"),
        ("Werkstatt: Lampenstraße 12a", "address", "Lampenstraße 12a"),
        ("au 3 bis, rue de la Gare", "address", "3 bis, rue de la Gare"),
        ("in via Garibalda, 7", "address", "via Garibalda, 7"),
        ("found at 51.50135, -0.14189 in a ditch", "position", "51.50135, -0.14189"),
        ("at 51°30′05″N 0°08′31″W", "position", "51°30′05″N 0°08′31″W"),
        ("frame number WDB12345678901234 under paint", "identity-number", "WDB12345678901234"),
        ("pay to DE89 3704 0044 0532 0130 00", "account", "DE89 3704 0044 0532 0130 00"),
    ],
)
def test_what_has_a_known_form_is_found(text: str, kind: str, what: str) -> None:
    assert (kind, what) in {(hit.kind, hit.what) for hit in find_patterns(text)}


@pytest.mark.parametrize(
    "text",
    [
        "On 2024-03-09 at 19:15 for 2:30 h, 34.981 mm within 34.975 .. 35.000 mm.",
        "0.35 L of 2024/03/09 paint, 320 grit, 12 x 1.5 thread, part 0123, 10 000 km",
        "The wheel turned 3 times in 14 Days; via the yard, 12 of them.",
        "60 %, 16.5 degC, 3.1415926 and 1.2345, not a place",
        "AAAAAAAAAAAAAAAAA, 12345678901234567, ABCDEFGHJKLMNPRST",
        "a @ b, name@, @name, 5@6",
        "M12.5,33.2L14.1234,51.0022",
    ],
)
def test_what_only_looks_like_it_is_left_alone(text: str) -> None:
    assert not list(find_patterns(text))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("paid £240 for it", [("£240", "240", "GBP")]),
        ("1,234.50 EUR and 1.234,50 EUR", [("1,234.50 EUR", "1234.50", "EUR"), ("1.234,50 EUR", "1234.50", "EUR")]),
        ("SEK 12 000", [("SEK 12 000", "12000", "SEK")]),
        ("18.5 €", [("18.5 €", "18.5", "EUR")]),
        ("320 grit, 12 ABC, AXLE 4, 3 USDA", []),
    ],
)
def test_amounts_of_money_are_read_however_they_are_written(text: str, found: list[tuple[str, str, str]]) -> None:
    assert [(written, str(money.amount), money.currency) for written, money in find_money(text)] == found


def test_words_are_read_out_of_pages_their_tags_and_their_data() -> None:
    page = (
        b"<style>a{content:'no'}</style><script>var no</script><p>Am<b>ount</b> &amp; more</p>"
        b'<img alt="a lamp" src="x.jpg"><a href="mailto:a@b.example">write</a>'
        b'<script type="application/ld+json">{"name": "axle"}</script>'
    )
    words = read_words("a.html", page)
    assert "Amount & more" in words
    assert {"a lamp", "a@b.example", '{"name": "axle"}'} <= set(words.split("\n"))
    assert "no" not in words.split()
    assert "hidden & seen" in read_words(
        "feed.atom", b"<content>&lt;p&gt;hidden &amp;amp; &lt;i&gt;seen&lt;/i&gt;</content>"
    )
    assert "one\ntwo" in read_words("data.json", b'{"a": "one\\ntwo"}')


def test_a_site_that_tells_nothing_has_no_findings(tmp_path: Path) -> None:
    files: dict[str, bytes | str] = {
        "index.html": page('The axle came up well. <a href="a.html">a</a>'),
        "a.html": page("a"),
    }
    assert not inspect(tmp_path, files)


@pytest.mark.parametrize(
    ("text", "kind", "what"),
    [
        ("it came from Quillet\n hardware in a box", "hidden-supplier", "Quillet Hardware"),
        ("see quillet.example/shop", "hidden-supplier", "quillet.example/shop"),
        ("a gift of the neighbour", "hidden-supplier", "The neighbour"),
        ("put it on shelf b, box 3 again", "hidden-storage", "shelf B, box 3"),
        ("stamped PQ-17-204", "hidden-number", "PQ-17-204"),
        ("plate PQ-17-0031", "hidden-number", "PQ-17-0031"),
        ("it cost £240", "hidden-price", "£240"),
        ("it cost 240.00 GBP", "hidden-price", "240.00 GBP"),
        ("The quarrel about the price", "private-session", "The quarrel about the price"),
        (
            "We stood in the yard and <b>shouted</b> at each other for an hour.",
            "private-session",
            "We stood in the yard and shouted at each other for an hour.",
        ),
        (QUARREL, "private-session", QUARREL),
        ("from a man who wants no thanks", "private-line", "from a man who wants no thanks"),
    ],
)
def test_what_the_journal_hides_stops_it(tmp_path: Path, text: str, kind: str, what: str) -> None:
    assert (kind, what, True) in kinds(inspect(tmp_path, {"index.html": page(text)}))


@pytest.mark.parametrize("text", ["from Quillet Hardware", "on shelf B, box 3", "PQ-17-204", "it cost £240"])
def test_what_the_journal_does_not_hide_is_not_even_listed(tmp_path: Path, text: str) -> None:
    assert not inspect(tmp_path, {"index.html": page(text)}, hide="[]")


def test_a_private_supplier_stays_private_where_suppliers_are_shown(tmp_path: Path) -> None:
    findings = inspect(tmp_path, {"index.html": page("a gift of The neighbour")}, hide="[]")
    assert kinds(findings) == [("hidden-supplier", "The neighbour", True)]


@pytest.mark.parametrize(
    ("text", "kind"), [("hung from the rafters", "hidden-storage"), ("a farmer came by", "hidden-supplier")]
)
def test_a_word_of_the_language_is_listed_and_does_not_stop(tmp_path: Path, text: str, kind: str) -> None:
    assert [(found[0], found[2]) for found in kinds(inspect(tmp_path, {"index.html": page(text)}))] == [(kind, False)]


def test_an_amount_that_nothing_was_bought_for_is_listed(tmp_path: Path) -> None:
    assert kinds(inspect(tmp_path, {"index.html": page("a new one is 900 GBP")})) == [("price", "900 GBP", False)]


def test_a_name_of_a_file_may_tell_too(tmp_path: Path) -> None:
    findings = inspect(tmp_path, {"index.html": page("-"), f"sessions/{QUARREL}.html": page("-")})
    assert kinds(findings) == [("private-session", QUARREL, True)]


def test_it_is_told_where_in_the_journal_it_was_written(tmp_path: Path) -> None:
    body = "A good day.\n\nAsk me at keeper@trolley.example about it."
    findings = inspect(tmp_path, {"a.html": page(body), "data/journal.json": json.dumps(body)}, body=body)
    assert [(f.what, f.files, f.places) for f in findings] == [
        ("keeper@trolley.example", ("a.html", "data/journal.json"), ("entries/2024-03-09-etch.md:10",))
    ]
    assert list(finding_lines(findings, ())) == [
        "E-mail address:",
        "  keeper@trolley.example  (entries/2024-03-09-etch.md:10)",
    ]
    assert list(finding_lines(findings, {findings[0].key})) == ["Agreed to before: 1 finding."]


def exif_picture(**tags: object) -> bytes:
    exif = Image.Exif()
    if "gps" in tags:
        exif.get_ifd(0x8825)[1] = "N"
    if "serial" in tags:
        exif.get_ifd(0x8769)[0xA431] = "SN-0042"
    if "make" in tags:
        exif[0x010F] = "Muster"
    out = BytesIO()
    Image.new("RGB", (8, 8)).save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_what_a_camera_wrote_into_a_picture_is_found(tmp_path: Path) -> None:
    plain = BytesIO()
    Image.new("RGB", (8, 8)).save(plain, "JPEG")
    files: dict[str, bytes | str] = {
        "a.jpg": exif_picture(gps=True),
        "b.jpg": exif_picture(serial=True),
        "c.jpg": exif_picture(make=True),
        "d.jpg": plain.getvalue(),
        "e.jpg": b"no picture",
    }
    assert kinds(inspect(tmp_path, files)) == [
        ("picture-identity", "b.jpg: the camera's number", True),
        ("picture-position", "a.jpg: the position where it was taken", True),
        ("camera-data", "a.jpg: what a camera or a program wrote into it", False),
        ("camera-data", "b.jpg: what a camera or a program wrote into it", False),
        ("camera-data", "c.jpg: what a camera or a program wrote into it", False),
        ("not-looked-into", "e.jpg: a picture that cannot be opened", False),
    ]


def test_links_that_lead_nowhere_are_found(tmp_path: Path) -> None:
    links = (
        '<a href="../index.html#top">1</a><a href="b.html">2</a>'
        '<img src="../p%20q.jpg" srcset="r.jpg 1x, ../p%20q.jpg 2x">'
        '<a href="https://elsewhere.example/x">3</a><a href="#here">4</a><a href="mailto:x">5</a>'
        '<a href="../../out.html">6</a>'
        '<img src="data:image/gif;base64,x"><a href="../parts/">7</a><a href=".?x">8</a>'
    )
    files: dict[str, bytes | str] = {
        "index.html": page("-"), "parts/index.html": page("-"), "p q.jpg": b"", "s/a.html": page(links),
    }  # fmt: skip
    found = [f.what for f in inspect(tmp_path, files) if f.kind == "broken-link"]
    assert found == [".", "../../out.html", "b.html", "r.jpg"]
    assert read_links(b"<script>if (a<b) x='<a href=\"no\">'</script><a href='yes'>") == {"yes"}


def test_large_files_and_those_that_were_put_there_by_hand_are_listed(tmp_path: Path) -> None:
    files: dict[str, bytes | str] = {"index.html": page("x" * 600_000), "film.mp4": b"x" * 21_000_000, "notes.txt": "n"}
    assert kinds(inspect(tmp_path, files, made={"index.html"})) == [
        ("added", "film.mp4", False),
        ("added", "notes.txt", False),
        ("oversize", "film.mp4: 21.0 MB", False),
        ("oversize", "index.html: 0.6 MB", False),
    ]


def test_a_second_inspection_finds_the_same_and_a_change_of_what_is_hidden_counts(tmp_path: Path) -> None:
    files: dict[str, bytes | str] = {"index.html": page("from Quillet Hardware, keeper@trolley.example")}
    first = inspect(tmp_path, files)
    assert inspect(tmp_path, files) == first
    assert {f.kind for f in first} == {"hidden-supplier", "email"}
    assert [f.kind for f in inspect(tmp_path, files, hide="[]")] == ["email"]


def test_it_is_said_what_strangers_see_because_it_is_not_hidden() -> None:
    assert shown_line({"prices", "suppliers"}) == "The journal does not hide hours: strangers see them."
    assert shown_line({"prices", "suppliers", "hours"}) is None
