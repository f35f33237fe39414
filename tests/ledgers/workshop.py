"""A small workshop for the craft ledgers: steps, routes, materials and parts as literals."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

from msgspec.structs import replace

from journalgen.ledgers.craft import Craft
from journalgen.ledgers.hours import keep_hours
from journalgen.ledgers.money import keep_money, rules_of
from journalgen.ledgers.stock import keep_stock
from journalgen.problems import Problems
from journalgen.reading.amounts import parse_limits, parse_measured
from journalgen.records import Journal, Material, MaterialLimits, Part, Route, Session, Settings, Step
from journalgen.values import Amount, Duration, Place, Window
from tests.journals import FixedRates, entry, rules

HOUR, DAY = 60, 24 * 60
LONDON = ZoneInfo("Europe/London")

STEPS = [
    Step("take off", "Take off", family="take off", typical=45),
    Step("degrease", "Degrease", family="clean", typical=40),
    Step("strip", "Strip", family="strip", bares=True, typical=80),
    Step("blast", "Blast", family="strip", bares=True, typical=75, limit=Duration(8 * HOUR)),
    Step("etch", "Acid rust treatment", family="etch", wait=Duration(2 * DAY), bares=True, repeats=True, typical=60),
    Step("prime", "Primer", family="prime", wait=Duration(16 * HOUR), protects=True, repeats=True, typical=45),
    Step("flat", "Flat back", family="flat", repeats=True, typical=55),
    Step("enamel", "Enamel", family="finish", wait=Duration(DAY), protects=True, repeats=True, typical=40),
    Step("inspect", "Inspect", family="inspect", typical=20),
    Step("polish", "Polish", family="polish"),
    Step("fit", "Fit", family="fit", typical=50),
]
ROUTES = [
    Route("painted", ("take off", "degrease", "strip", "etch", "prime", "flat", "enamel", "fit")),
    Route("bright", ("take off", "degrease", "polish", "fit")),
]
PRIMER = Material(
    "red primer",
    kind="coating",
    solids=Decimal(50),
    film=Decimal(40),
    loss=Decimal(20),
    recoat=Window(Duration(4 * HOUR), Duration(7 * DAY)),
    limits=MaterialLimits(
        humidity=parse_limits("at most 85 %"), surface=parse_limits("5 .. 35 degC"), air=parse_limits("at least 8 degC")
    ),
)
GLOSS = Material(
    "gloss",
    kind="coating",
    solids=Decimal(45),
    film=Decimal(36),
    recoat=Window(Duration(DAY), Duration(0, 1)),
    cure=Duration(14 * DAY),
    limits=MaterialLimits(above_dew_point=parse_measured("5 degC")),
)
MATERIALS = [PRIMER, GLOSS, Material("acid", kind="acid"), Material("paper", kind="abrasive")]


def square_metres(number: str) -> Amount:
    return Amount(Decimal(number), "m2", "area", Fraction(1))


def part(name: str, route: str | None = None, **more: object) -> Part:
    """A registered part."""
    return replace(Part(name, Place("register/parts.yaml", 1), route=route), **more)  # type: ignore[arg-type]


def day(when: str, text: str = "", title: str = "work") -> Session:
    """The session of an entry's front matter, with its page."""
    session = entry(f"---\ndate: {when}\n{text}\n---\n", file=f"entries/{when}-{title}.md")
    return replace(session, page=f"{when}-{title}")


def work(when: str, *lines: str, start: str = "", hours: str = "2") -> Session:
    """A session of work lines in their short form: `part: axle, step: etch`."""
    begun = f"start: {start}\n" if start else ""
    return day(when, f"{begun}hours: {hours}\nwork:\n" + "\n".join(f"  - {{{line}}}" for line in lines))


def journal(
    parts: Iterable[Part], *sessions: Session, zone: ZoneInfo = LONDON, materials: Iterable[Material] = MATERIALS
) -> Journal:
    """A journal of the workshop; parts that only sessions name become rows without a place."""
    rows = {row.name: row for row in parts}
    for session in sessions:
        for name in [n for line in session.work for n in line.parts]:
            rows.setdefault(name, Part(name))
    return Journal(
        settings=Settings("Test trolley", home_currency="GBP", time_zone=zone),
        sessions=tuple(sorted(sessions, key=lambda s: s.day)),
        parts=rows,
        materials={row.name: row for row in materials},
        steps={row.key: row for row in STEPS},
        routes={row.name: row for row in ROUTES},
    )


def craft(kept: Journal, on: str, problems: Problems | None = None) -> Craft:
    """The craft ledgers of a journal on a day."""
    found = Problems() if problems is None else problems
    last = date.fromisoformat(on)
    sessions = tuple(session for session in kept.sessions if session.day <= last)
    money = keep_money(sessions, rules_of(kept, FixedRates()), Problems())
    stock = keep_stock(sessions, money.costs, kept.materials, last, Problems())
    hours = keep_hours(sessions, Problems())
    kept_craft = Craft(kept, sessions, lambda: hours, lambda: stock, last, found)
    kept_craft.keep_all()
    return kept_craft


def told(kept: Journal, on: str = "2030-01-01") -> list[str]:
    """The rules that the craft ledgers report."""
    problems = Problems()
    craft(kept, on, problems)
    return rules(problems)


def at(text: str, zone: ZoneInfo = LONDON) -> datetime:
    """An instant from a time on the wall, for days on which the clocks do not change."""
    return datetime.fromisoformat(text).replace(tzinfo=zone)
