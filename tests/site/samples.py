"""A small journal from literals with a little of everything, and its pages as trees."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from lxml import html
from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.editions import public_edition
from journalgen.house import trade_lore
from journalgen.ledgers.figures import compute
from journalgen.pictures.model import Fault, Picture, Variant
from journalgen.problems import Problem, Problems
from journalgen.records import (
    Block,
    Decision,
    Found,
    Journal,
    Machine,
    Material,
    Measure,
    PairChoice,
    Part,
    Photo,
    Purchase,
    Session,
    Settings,
    Step,
    Supplier,
    Use,
    WorkLine,
)
from journalgen.site.matter import OWNER, Matter, material_slugs, part_slugs, step_slugs
from journalgen.site.pages import render_pages
from journalgen.site.themes import find_theme
from journalgen.values import Amount, Duration, Limits, Money, Place
from tests.journals import FixedRates
from tests.site.matters import said_in

THEME = find_theme("enamel", Path())
ON = date(2024, 6, 30)
RATES = FixedRates({("EUR", "GBP"): Fraction("0.85"), ("SEK", "GBP"): Fraction("0.0755")})

DATA = frozenset({
    "data/journal.json", "data/hours.csv", "data/purchases.csv", "data/stock.csv", "data/measures.csv",
    "data/steps.csv", "feed.atom",
})  # fmt: skip
"""Files that other modules write beside the pages."""


def at(line: int, file: str = "entries/2024-03-09-a-day.md") -> Place:
    return Place(file, line)


def volume(number: str, unit: str = "mL") -> Amount:
    return Amount(Decimal(number), unit, "volume", {"mL": Fraction(1, 1000), "L": Fraction(1)}[unit])


def length(number: str) -> Amount:
    return Amount(Decimal(number), "mm", "length", Fraction(1, 1000))


def sheets(number: str) -> Amount:
    return Amount(Decimal(number), "sheets", "counted:sheet", Fraction(1))


def session(day: str, title: str, line: int = 1, **fields: object) -> Session:
    when = date.fromisoformat(day)
    place = at(line, f"entries/{day}.md")
    made = Session(place, place, when, title, f"{day}-{title.lower().replace(' ', '-')}")
    return replace(made, **fields)  # type: ignore[arg-type]


def picture(name: str, width: int = 2000, height: int = 1500) -> Picture:
    variants = tuple(
        Variant(w, w * height // width, f"{name}-{w}.avif", f"{name}-{w}.jpg") for w in (480, 960, 1600) if w <= width
    )
    return Picture(width, height, "#5f4c3c", variants)


PARTS = (
    Part("front wheel", at(2, "register/parts.yaml"), assembly="running gear", also_called=("road wheel",),
         number="PQ-17-204", quantity=2, area=Amount(Decimal("0.42"), "m2", "area", Fraction(1)),
         decision="repair", stored="shelf B, box 3", needs=("axle",)),
    Part("axle", at(9, "register/parts.yaml"), assembly="running gear"),
    Part("running gear", at(12, "register/parts.yaml"), assembly="chassis"),
    Part("lamp glass", at(15, "register/parts.yaml"), assembly="lamps", stored="drawer <2>"),
    Part("seat & rail"),
)  # fmt: skip

MATERIALS = (
    Material("zinc primer", at(2, "register/materials.yaml"), kind="coating", colour="#8a8f92"),
    Material("rust converter", at(5, "register/materials.yaml"), kind="acid"),
    Material("320 grit paper", at(8, "register/materials.yaml")),
)

FIRST = session(
    "2024-03-09", "First coat", 1, start=time(19, 15), minutes=150, parts=("front wheel", "axle"),
    work=(
        WorkLine(at(8), ("front wheel",), "etch", 1, 90, "rust converter", volume("120"), Decimal("18"),
                 Decimal("55"), Decimal("16.5"), Duration(2 * 24 * 60), (), "clears by 4 mm", "thick near the hub"),
    ),
    uses=(Use(at(10), "320 grit paper", sheets("2"), ("front wheel",)),),
    purchases=(
        Purchase(at(12), "material", material="rust converter", price=Money(Decimal("6.00"), "GBP"), count=2,
                 amount=volume("50"), party="Corner Stores"),
        Purchase(at(13), "used spare", ("lamp glass",), price=Money(Decimal("18.50"), "EUR"),
                 postage=Money(Decimal("6.00"), "EUR"), party="Muster Lampenteile", ordered=date(2024, 2, 11),
                 arrived=date(2024, 3, 4)),
        Purchase(at(14), "part", ("axle",), what="old stock", price=Money(Decimal("120000"), "ITL")),
    ),
    measures=(
        Measure(at(16), "journal diameter", length("34.981"), ("axle",),
                Limits(length("34.975"), length("35.000"), "34.975 .. 35.000 mm"), length("0.004")),
        Measure(at(17), "wall left", length("0.7"), ("axle",), Limits(length("1.0"), None, "at least 1.0 mm")),
    ),
    decisions=(Decision(at(18), "replace", ("axle",), "bent beyond use"),),
    found=(Found(at(19), "chip at the rim", ("lamp glass",), "moderate"),),
    photos=(
        Photo(at(20), "wheel-1.jpg", ("front wheel",), "before", "as it came off."),
        Photo(at(21), "gone.jpg", ("axle",), "before"),
    ),
    body="Wheel came up well, see [the axle](part:axle).",
)  # fmt: skip

SECOND = session(
    "2024-04-20", "Primer", 1, minutes=60,
    work=(
        WorkLine(at(5, "entries/2024-04-20.md"), ("front wheel",), "prime", 2, None, "zinc primer", volume("100")),
        WorkLine(at(6, "entries/2024-04-20.md"), ("front wheel", "axle"), "fit", None, None),
    ),
    purchases=(
        Purchase(at(8, "entries/2024-04-20.md"), "material", material="zinc primer", amount=volume("1", "L"),
                 price=Money(Decimal("31.90"), "GBP")),
        Purchase(at(9, "entries/2024-04-20.md"), "sale", ("seat & rail",), what="spare bracket",
                 price=Money(Decimal("5"), "GBP")),
    ),
    photos=(
        Photo(at(10, "entries/2024-04-20.md"), "wheel-2.jpg", ("front wheel",), "after"),
        Photo(at(11, "entries/2024-04-20.md"), "whole.jpg", (), "after", "the machine <so far>"),
    ),
    pairs=(PairChoice(at(12, "entries/2024-04-20.md"), "front wheel", "wheel-1.jpg", "wheel-2.jpg"),),
    blocks=(
        Block(at(20, "entries/2024-04-20.md"), "pair", pair=PairChoice(at(20), "front wheel")),
        Block(at(23, "entries/2024-04-20.md"), "measure", measures=(("axle", "journal diameter"),)),
    ),
    body="Two things.\n\n```pair\npart: front wheel\n```\n\nAnd\n\n```measure\naxle: journal diameter\n```\n",
)  # fmt: skip

HAGGLING = session(
    "2024-05-01", "Haggling", 1, minutes=30, parts=("lamp glass",), private=True, body="Not for others: KEEPQUIET.",
    purchases=(Purchase(at(4, "entries/2024-05-01.md"), "tool", what="secret saw",
                        price=Money(Decimal("99"), "GBP"), private=True),),
)  # fmt: skip

PICTURES: Mapping[str, Picture | Fault] = {
    "wheel-1.jpg": picture("aaaa"),
    "wheel-2.jpg": picture("bbbb"),
    "whole.jpg": picture("cccc", 900, 1200),
    "gone.jpg": Fault("absent", "There is no such file."),
}

SETTINGS = Settings(
    "Trolley <17>", home_currency="GBP", time_zone=ZoneInfo("Europe/London"), address="https://example.org/trolley/",
    machine=Machine("Inspection trolley", "1956", "Works shop", "PQ-17-0031", arrived=date(2023, 4, 15)),
    hide=frozenset(),
)  # fmt: skip


def journal(*sessions: Session, settings: Settings = SETTINGS) -> Journal:
    """The sample journal, or the same registers with other sessions."""
    return Journal(
        settings,
        sessions or (FIRST, SECOND, HAGGLING),
        {part.name: part for part in PARTS},
        {material.name: material for material in MATERIALS},
        {name: Supplier(name, private=name == "Corner Stores") for name in ("Corner Stores", "Muster Lampenteile")},
        {"etch": Step("etch", "etch"), "prime": Step("prime", "prime coat"), "fit": Step("fit", "fit")},
    )


def edition(of: Journal | None = None, name: str = OWNER, problems: tuple[Problem, ...] = (), on: date = ON) -> Matter:
    """One edition, computed as the program does it."""
    whole = of or journal()
    shown = whole if name == OWNER else public_edition(whole)
    hidden = frozenset() if name == OWNER else whole.settings.hide
    slugs = {part: slug for part, slug in part_slugs(whole).items() if part in shown.parts}
    figures = compute(shown, RATES, on, Problems())
    materials, steps = material_slugs(whole), step_slugs(whole)
    return Matter(name, shown, figures, PICTURES, hidden, problems, (), slugs, materials, steps, trade_lore(),
                  said_in(whole, name))  # fmt: skip


def hiding(*kinds: str) -> Journal:
    """The sample journal with some kinds of fact hidden from the public."""
    return journal(settings=replace(SETTINGS, hide=frozenset(kinds)))


def texts(matter: Matter) -> dict[str, str]:
    """Every HTML page of an edition as text."""
    return {name: contents.decode() for name, contents in render_pages(matter, THEME) if name.endswith(".html")}


def trees(matter: Matter) -> dict[str, HtmlElement]:
    """Every HTML page of an edition, parsed."""
    return {name: html.document_fromstring(text) for name, text in texts(matter).items()}


@cache
def owner_site() -> dict[str, HtmlElement]:
    """The sample journal's owner edition; not to be changed by a test."""
    return trees(edition())


def words(element: HtmlElement) -> str:
    """What a person reads, with single spaces, also between what stands in different cells or lines."""
    return re.sub(r" ([,.;:])", r"\1", " ".join(" ".join(element.itertext()).split()))


def every(tree: HtmlElement, path: str) -> list[HtmlElement]:
    """The elements of an XPath below the tree."""
    found: list[HtmlElement] = tree.xpath(f".//{path}")
    return found


def one(tree: HtmlElement, path: str) -> HtmlElement:
    """The only element of an XPath below the tree."""
    found = every(tree, path)
    assert len(found) == 1, (path, len(found))
    return found[0]


def of_class(name: str, tag: str = "*") -> str:
    """The XPath of elements that have a class."""
    return f"{tag}[contains(concat(' ', normalize-space(@class), ' '), ' {name} ')]"


def table(tree: HtmlElement, caption: str) -> HtmlElement:
    """The table whose caption begins so."""
    found = [
        found
        for found in every(tree, "table")
        if (said := found.find("caption")) is not None and words(said).startswith(caption)
    ]
    assert len(found) == 1, (caption, len(found))
    return found[0]


def rows(of: HtmlElement) -> list[list[str]]:
    """A table's body as the words of its cells."""
    return [[words(cell) for cell in row if cell.tag in ("td", "th")] for row in every(of, "tbody/tr")]


def foot(of: HtmlElement) -> list[str]:
    """A table's totals."""
    return [words(cell) for cell in one(of, "tfoot/tr")]
