"""The whole record of one edition as JSON (journalgen-journal/1).

Every key is named here, so that no new field of a record is published unasked. A key is absent
where the journal does not say, or where the edition does not show, what it stands for. Amounts are
decimal strings of at most six places, minutes whole numbers, days ISO 8601.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

import msgspec

from journalgen.editions import HOURS, NUMBERS, PRICES, STORAGE, SUPPLIERS
from journalgen.ledgers.measures import verdict
from journalgen.ledgers.money import Conversion, Cost
from journalgen.ledgers.pairs import Pair
from journalgen.ledgers.quantities import plain
from journalgen.ledgers.session_records import SessionRecord, session_records
from journalgen.pictures.model import Picture
from journalgen.records import MaterialLimits, Measure, Part, Photo, Session
from journalgen.site.data_tables import write_rate
from journalgen.site.matter import Matter
from journalgen.totals import Choice, Totals, billed, totals_json
from journalgen.values import Amount, Duration, Limits, Money, Window

FORMAT: Final = "journalgen-journal/1"

_SETTINGS: Final = ("title", "home_currency", "locale", "language", "time_zone", "units", "address")
_MACHINE: Final = ("name", "year", "maker", "identity_number", "note", "arrived")
_PART: Final = (
    "name", "registered", "assembly", "also_called", "quantity", "area", "route", "decision", "needs", "safety", "note",
)  # fmt: skip
_MATERIAL: Final = (
    "name", "registered", "also_called", "kind", "solids", "film", "loss", "thinner", "density", "recoat", "cure",
    "limits", "keeps", "colour", "hazards", "safety_sheet", "note",
)  # fmt: skip
_SUPPLIER: Final = ("name", "also_called", "where", "site", "kind", "note", "private")
_STEP: Final = (
    "key", "label", "also_called", "family", "wait", "bares", "protects", "repeats", "typical", "limit", "cautions",
)  # fmt: skip
_WORK: Final = (
    "parts", "step", "coat", "material", "amount", "air", "humidity", "surface", "wait", "fitted_with", "result",
    "note", "private",
)  # fmt: skip
_USE: Final = ("material", "amount", "parts", "private")
_PURCHASE: Final = ("kind", "parts", "material", "what", "count", "amount", "ordered", "arrived", "note", "private")
_PRICES: Final = ("price", "postage", "duty", "tax", "paid")
_MEASURE: Final = ("parts", "what", "value", "limits", "uncertainty", "note", "private")
_DECISION: Final = ("parts", "do", "why", "private")
_FOUND: Final = ("parts", "condition", "severity", "private")
_PHOTO: Final = ("parts", "shows", "caption", "private")


def journal_json(matter: Matter) -> bytes:
    """The record of an edition in UTF-8, as it stood on the day of its figures."""
    try:
        return msgspec.json.format(msgspec.json.encode(_journal(matter, _spell)), indent=1) + b"\n"
    except UnicodeEncodeError:  # a file's name that is not text; ten times slower
        text = json.dumps(_journal(matter, lambda session: session), ensure_ascii=False, indent=1)
        return f"{text}\n".encode("utf-8", "backslashreplace")


def amended_json(matter: Matter, before: bytes, hours: bool) -> bytes | None:
    """The same record, from what it was when only what sessions say was other, and with `hours` the hours that they
    state; None if that cannot be made of it."""
    try:
        record = msgspec.json.decode(before, type=dict[str, msgspec.Raw])
        sessions = msgspec.json.decode(record["sessions"], type=list[dict[str, msgspec.Raw]])
        for session, found in zip(matter.figures.sessions, sessions, strict=True):
            _amend(found, _said(session, matter))
        if hours:
            _amend(record, {"parts": _parts(matter), "figures": _figures(matter)})
            for of_session, found in zip(_records(matter), sessions, strict=True):
                _amend(found, _hours(of_session, matter))
        record["sessions"] = msgspec.Raw(msgspec.json.encode(sessions))
        return msgspec.json.format(msgspec.json.encode(record), indent=1) + b"\n"
    except (msgspec.MsgspecError, KeyError, ValueError):  # of a file's name that is not text as well
        return None


def _amend(record: dict[str, msgspec.Raw], by: Mapping[str, object]) -> None:
    for key, value in by.items():
        record[key] = msgspec.Raw(msgspec.json.encode(value))


def _spell(session: dict[str, Any]) -> msgspec.Raw:
    """A session as the text that it will be: forty thousand photographs as rows take ten times the room."""
    return msgspec.Raw(msgspec.json.encode(session))


def _journal(matter: Matter, spell: Callable[[dict[str, Any]], object]) -> dict[str, Any]:
    journal, figures = matter.journal, matter.figures
    found: dict[str, Any] = {
        "$schema": "journal.schema.json",
        "format": FORMAT,
        "edition": matter.edition,
        "on": str(figures.on),
        "settings": _settings(matter),
        "parts": _parts(matter),
        "materials": [_row(material, *_MATERIAL) for material in journal.materials.values()],
        "steps": [_row(step, *_STEP) for step in journal.steps.values() if step.place],
        "routes": [_row(route, "name", "steps") for route in journal.routes.values() if route.place],
        "sessions": [spell(_session(record, matter)) for record in _records(matter)],
        "pairs": [_pair(pair, matter) for pair in figures.pairs.values()],
        "figures": _figures(matter),
    }
    if SUPPLIERS not in matter.hidden:
        found["suppliers"] = [_row(supplier, *_SUPPLIER) for supplier in journal.suppliers.values()]
    return found


def _settings(matter: Matter) -> dict[str, Any]:
    """What the settings say of the journal itself; never where and how it is published."""
    settings = matter.journal.settings
    found = _row(settings, *_SETTINGS) | {"machine": _row(settings.machine, *_MACHINE)}
    if PRICES not in matter.hidden:
        found["rates"] = {currency: write_rate(Fraction(rate)) for currency, rate in settings.rates}
    return found


def _records(matter: Matter) -> Iterable[SessionRecord]:
    figures = matter.figures
    return session_records(figures.sessions, figures.hours, figures.money).values()


def _parts(matter: Matter) -> list[dict[str, Any]]:
    return [_part(part, matter) for part in matter.journal.parts.values()]


def _part(part: Part, matter: Matter) -> dict[str, Any]:
    found = _row(part, *_PART, *_unless(STORAGE, matter, "stored"), *_unless(NUMBERS, matter, "number"))
    found["state"] = matter.figures.states.get(part.name)
    page = matter.part_page(part.name)
    return found | ({"page": page} if page else {})


def _session(record: SessionRecord, matter: Matter) -> dict[str, Any]:
    session = record.session
    return {
        "date": str(session.day),
        "title": session.title,
        "page": matter.session_page(session.page),
        **_row(session, "parts", *_unless(HOURS, matter, "start")),
        "work": [_row(line, *_WORK, *_unless(HOURS, matter, "minutes")) for line in session.work],
        "materials": _rows(session.uses, _USE),
        "purchases": [_purchase(cost, matter) for cost in record.costs],
        "measures": [_measure(measure) for measure in session.measures],
        "decisions": _rows(session.decisions, _DECISION),
        "found": _rows(session.found, _FOUND),
        "photos": [_picture(photo, matter) | _row(photo, *_PHOTO) for photo in session.photos],
        **_words(session, matter),
        **_hours(record, matter),
    }


def _hours(record: SessionRecord, matter: Matter) -> dict[str, Any]:
    if HOURS in matter.hidden:
        return {}
    rows = [_row(share, "part", "step", "minutes") for share in record.shares]
    return {"minutes": record.minutes, "hours": rows}


def _words(session: Session, matter: Matter) -> dict[str, Any]:
    """What the body says. The body as written names pages and photographs that the public may not see."""
    said: dict[str, Any] = _said(session, matter)
    if matter.owner:
        said |= {"file": session.place.file} | _row(session, "private")
    return said


def _said(session: Session, matter: Matter) -> dict[str, str]:
    said = {"text": matter.said[session.page]}
    return said | ({"body": str(session.body)} if matter.owner else {})


def _purchase(cost: Cost, matter: Matter) -> dict[str, Any]:
    purchase = cost.purchase
    found = _row(purchase, *_PURCHASE)
    if SUPPLIERS not in matter.hidden and purchase.party:
        found["to" if purchase.kind == "sale" else "from"] = purchase.party
    if PRICES not in matter.hidden:
        found |= _row(purchase, *_PRICES)
        found |= {
            "day_paid": str(cost.day),
            "cost": f"{cost.home:f}",
            "conversions": [_conversion(conversion) for conversion in cost.conversions],
            "by_part": {part: f"{share:f}" for part, share in cost.shares},
        }
    return found


def _conversion(conversion: Conversion) -> dict[str, Any]:
    found = _row(conversion, "billed", "rate_day", "origin")
    if conversion.home is not None:
        found["home"] = f"{conversion.home:f}"
    if conversion.rate is not None:
        found["rate"] = write_rate(conversion.rate)
    return found


def _measure(measure: Measure) -> dict[str, Any]:
    said = verdict(measure)
    return _row(measure, *_MEASURE) | ({"verdict": said} if said else {})


def _pair(pair: Pair, matter: Matter) -> dict[str, Any]:
    """From the ledger: a choice that a person made may name a photograph that is private."""
    return {
        "part": pair.part,
        "before": _picture(pair.before.photo, matter),
        "after": _picture(pair.after.photo, matter),
        "finished": pair.finished,
    }


def _picture(photo: Photo, matter: Matter) -> dict[str, Any]:
    """Where the site keeps the largest picture of a photograph; the original's name is the owner's business."""
    made = matter.pictures.get(photo.file)
    found = {"picture": f"pictures/{made.variants[-1].jpeg}"} if isinstance(made, Picture) else {}
    return ({"file": photo.file} if matter.owner else {}) | found


def _figures(matter: Matter) -> dict[str, Any]:
    """The ledgers' totals, in the shape of the command's, without what is hidden."""
    figures = matter.figures
    choice = Choice(on=figures.on)
    totals = Totals(matter.journal, choice, figures.sessions, figures.hours, figures.money, figures.stock)
    found = totals_json(totals, matter.problems)
    gone = ["format", "journal"]
    gone += ["money"] if PRICES in matter.hidden else []
    gone += ["hours"] if HOURS in matter.hidden else []
    gone += [] if matter.owner else ["problems"]
    found = {key: value for key, value in found.items() if key not in gone}
    if PRICES in matter.hidden:
        found["materials"] = {name: _without_costs(row) for name, row in found["materials"].items()}
    return found


def _without_costs(row: dict[str, Any]) -> dict[str, Any]:
    return {key: row[key] for key in ("unit", "bought", "used", "left")}


def _unless(kind: str, matter: Matter, name: str) -> tuple[str, ...]:
    return () if kind in matter.hidden else (name,)


def _rows(records: Iterable[object], names: tuple[str, ...]) -> list[dict[str, Any]]:
    return [_row(record, *names) for record in records]


def _row(record: object, *names: str) -> dict[str, Any]:
    """The named fields of a record, without those that say nothing. A count of nought says something."""
    found = {}
    for name in names:
        value = getattr(record, name)
        if value is None or value is False or value == ():
            continue
        spelt = value if type(value) in _AS_THEY_ARE else _value(value)
        if spelt is not None:
            found[name] = spelt
    return found


_AS_THEY_ARE: Final = frozenset({str, int, bool})


def _value(value: object) -> Any:
    """One value in JSON's own kinds; None where it says nothing."""
    spell = _KINDS.get(type(value))
    return spell(value) if spell else str(value)  # a time zone, by its name


_KINDS: Final[dict[type, Callable[[Any], Any]]] = {
    type(None): lambda value: None,
    str: str,
    int: int,
    bool: bool,
    Decimal: plain,
    Fraction: plain,
    date: date.isoformat,
    time: lambda value: value.isoformat("minutes"),
    tuple: lambda value: [_value(item) for item in value],
    Money: lambda value: {"amount": billed(value.amount, value.currency), "currency": value.currency},
    Amount: lambda value: {"number": plain(value.number), "unit": value.unit},
    Duration: lambda value: {"minutes": value.minutes, "months": value.months},
    Window: lambda value: _row(value, "opens", "closes"),
    Limits: lambda value: _row(value, "low", "high", "text"),
    MaterialLimits: lambda value: _row(value, "humidity", "surface", "air", "above_dew_point") or None,
}
