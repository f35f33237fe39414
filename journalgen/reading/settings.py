"""`journal.toml` to settings, with the defaults filled in and every fault reported."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any, Final, TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from msgspec import Struct

from journalgen.knowledge import currencies
from journalgen.languages import LANGUAGES
from journalgen.problems import Problems
from journalgen.reading.dates import parse_day
from journalgen.reading.money import parse_currency
from journalgen.reading.names import nearest
from journalgen.reading.numbers import parse_decimal
from journalgen.reading.targets import KEYS as TARGET_KEYS
from journalgen.reading.targets import SECRET as TARGET_SECRET
from journalgen.reading.targets import parse_target
from journalgen.reading.toml import fault_in_toml
from journalgen.reading.unreadable import Unreadable
from journalgen.records import Machine, Settings, Statement
from journalgen.values import Place

FILE: Final = "journal.toml"
HIDEABLE: Final = ("prices", "suppliers", "storage", "numbers", "hours")
NONE: Final = "none"
SYSTEMS: Final = ("metric", "imperial")
_TOP: Final = (
    "title", "home_currency", "locale", "language", "time_zone", "units", "address", "theme",
    "machine", "dossier", "rates", "editions", "targets",
)  # fmt: skip
_DOSSIER: Final = ("keeper", "owner", "purpose", "costs")
_MACHINE: Final = ("name", "year", "maker", "identity_number", "note", "arrived")

V = TypeVar("V")


def parse_settings(text: str, folder: str, problems: Problems) -> Settings | None:
    """The settings of a journal; None, with the fault reported, if the file is not TOML.

    `folder` is the journal folder's name, the title of a journal that has none.
    """
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as fault:
        line, column, reason = fault_in_toml(text, fault)
        place = Place(FILE, line) if column is None else Place(FILE, line, column)
        problems.error(place, "toml", f"This is not TOML: {reason}.", "Look at the quotes and brackets of this line.")
        return None
    return _Reader(text, problems).settings(data, folder)


class _Reader(Struct):
    text: str
    problems: Problems

    def place(self, *keys: str) -> Place:
        """Where a key stands: the first line that sets it after its table's heading."""
        lines = self.text.splitlines()
        start = self._heading(lines, keys[:-1]) or 0
        wanted = re.compile(rf'\s*"?{re.escape(keys[-1])}"?\s*[=.]')
        at = next((i for i in range(start, len(lines)) if wanted.match(lines[i])), None)
        found = at if at is not None else self._heading(lines, keys)
        return Place(FILE, (start if found is None else found) + 1)

    def _heading(self, lines: list[str], keys: tuple[str, ...]) -> int | None:
        """The line of the heading of a table, `[editions.public]`."""
        heading = re.compile(r"\s*\[\s*" + r"\s*\.\s*".join(rf'"?{re.escape(key)}"?' for key in keys) + r"\s*[\].]")
        return next((i for i, line in enumerate(lines) if keys and heading.match(line)), None)

    def settings(self, data: dict[str, Any], folder: str) -> Settings:
        self.unknown_keys(data, _TOP, ())
        home = self.value(data, "home_currency", parse_currency)
        if home is None:
            self.problems.warning(
                self.place("home_currency"),
                "home-currency-missing",
                "The journal does not say its home currency; EUR is taken.",
                'Add home_currency = "EUR", or your own.',
            )
        address = self.value(data, "address", _address)
        return Settings(
            title=self.value(data, "title", _filled) or folder or "Journal",
            home_currency=home or "EUR",
            home_decimals=currencies()[home or "EUR"],
            locale=self.value(data, "locale", _locale) or "en_GB",
            language=self.value(data, "language", parse_language) or "en",
            time_zone=self.value(data, "time_zone", parse_time_zone) or ZoneInfo("UTC"),
            units=self.value(data, "units", parse_units) or "metric",
            address=address.rstrip("/") if address else None,
            theme=self.value(data, "theme", _filled),
            theme_place=self.place("theme") if "theme" in data else None,
            machine=self.machine(self.table(data, "machine")),
            statement=self.statement(self.table(data, "dossier")),
            rates=self.rates(self.table(data, "rates")),
            hide=self.hidden(self.table(data, "editions")),
            targets=self.targets(self.table(data, "targets")),
        )

    def table(self, data: dict[str, Any], key: str) -> dict[str, Any]:
        value = data.get(key, {})
        if isinstance(value, dict):
            return value
        self.problems.error(
            self.place(key), "toml", f"{key} should be a table.", f"Write [{key}] on a line of its own."
        )
        return {}

    def value(self, data: dict[str, Any], key: str, parse: Callable[[str], V | None], *above: str) -> V | None:
        if key not in data:
            return None
        try:
            return parse(_text(data[key]))
        except Unreadable as fault:
            self.problems.error(self.place(*above, key), fault.rule, f"{key}: {fault.message}", fault.remedy)
            return None

    def unknown_keys(self, data: dict[str, Any], known: tuple[str, ...], above: tuple[str, ...]) -> None:
        for key in data:
            if key not in known:
                near = nearest(key, known)
                report = self.problems.error if near in ("editions", "hide", "public") else self.problems.warning
                report(
                    self.place(*above, key),
                    "unknown-key",
                    f"`{key}` is not a key of {'.'.join(above) or FILE}, so it is not used.",
                    f"Did you mean `{near}`?" if near else f"The keys are {', '.join(known)}.",
                )

    def machine(self, data: dict[str, Any]) -> Machine:
        self.unknown_keys(data, _MACHINE, ("machine",))
        return Machine(
            name=self.value(data, "name", _filled, "machine"),
            year=self.value(data, "year", _filled, "machine"),
            maker=self.value(data, "maker", _filled, "machine"),
            identity_number=self.value(data, "identity_number", _filled, "machine"),
            note=self.value(data, "note", _filled, "machine"),
            arrived=self.value(data, "arrived", parse_day, "machine"),
        )

    def statement(self, data: dict[str, Any]) -> Statement:
        self.unknown_keys(data, _DOSSIER, ("dossier",))
        costs = data.get("costs", True)
        if not isinstance(costs, bool):
            # Taken for no: what was not meant to be told must not be.
            self.problems.error(
                self.place("dossier", "costs"), "toml", "costs should be true or false.", "Write costs = false."
            )
            costs = False
        return Statement(
            keeper=self.value(data, "keeper", _filled, "dossier"),
            owner=self.value(data, "owner", _filled, "dossier"),
            purpose=self.value(data, "purpose", _filled, "dossier"),
            costs=costs,
        )

    def rates(self, data: dict[str, Any]) -> tuple[tuple[str, Decimal], ...]:
        found = {}
        for key in data:
            rate = self.value(data, key, _rate, "rates")
            try:
                code = parse_currency(key)
            except Unreadable as fault:
                self.problems.error(self.place("rates", key), fault.rule, fault.message, fault.remedy)
                continue
            if rate is not None:
                found[code] = rate
        return tuple(found.items())

    def hidden(self, editions: dict[str, Any]) -> frozenset[str]:
        """What the public edition hides; everything that a new journal hides, where it does not say."""
        self.unknown_keys(editions, ("public",), ("editions",))
        default = Settings(title="").hide
        if "public" not in editions:
            return default
        public = self.table(editions, "public")
        self.unknown_keys(public, ("hide",), ("editions", "public"))
        listed = public.get("hide", sorted(default))
        place = self.place("editions", "public", "hide")
        if not isinstance(listed, list) or not all(isinstance(kind, str) for kind in listed):
            self.problems.error(
                place, "hide", "`hide` should be a list of kinds.", 'Write hide = ["prices", "numbers"].'
            )
            return frozenset(HIDEABLE)
        for kind in listed:
            if kind not in HIDEABLE:
                fault = _not_hideable(kind)
                self.problems.error(place, fault.rule, fault.message, fault.remedy)
        return frozenset(kind for kind in listed if kind in HIDEABLE)

    def targets(self, data: dict[str, Any]) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
        found = []
        for name in data:
            row = {key: str(value) for key, value in self.table(data, name).items()}
            try:
                parse_target(name, row)
            except Unreadable as fault:
                place = self.target_place(name, fault.rule)
                self.problems.error(place, fault.rule, f"targets.{name}: {fault.message}", fault.remedy)
                continue
            self.unknown_keys(row, TARGET_KEYS, ("targets", name))
            found.append((name, tuple(row.items())))
        return tuple(found)

    def target_place(self, name: str, rule: str) -> Place:
        """Where a target stands; of one that holds a secret never that line, since lines of problems are shown."""
        place = self.place("targets", name)
        lines = self.text.splitlines()
        if rule == TARGET_SECRET and "=" in lines[place.line - 1]:
            return Place(FILE, len(lines) + 1)
        return place


def _text(value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, (str, int, Decimal, date)):
        raise Unreadable("toml", "This should be a text between quotes.", 'Write key = "value".')
    return str(value)


def _filled(text: str) -> str | None:
    return " ".join(text.split()) or None


def _rate(text: str) -> Decimal:
    rate = parse_decimal(text)
    if rate <= 0:
        raise Unreadable("rate", "A rate must be more than nothing.", "Write home units for one foreign unit.")
    return rate


def _address(text: str) -> str:
    if not re.fullmatch(r"https?://[^\s/?#<>\"']+(/[^\s?#<>\"']*)?", text):
        raise Unreadable("address", f'"{text}" is not a web address.', 'Write "https://" and where the site will live.')
    return text


def parse_time_zone(text: str) -> ZoneInfo:
    """A time zone by its name."""
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        near = _zone_near(text)
        remedy = f"Did you mean {near}?" if near else "Write a name such as Europe/London."
        raise Unreadable("time-zone", f'"{text}" is not a time zone.', remedy) from None


def _zone_near(text: str) -> str | None:
    """The zone that someone means by a city's name, or who minds no capitals."""
    from zoneinfo import available_timezones

    zones = sorted(available_timezones())
    wanted = text.strip().casefold().replace(" ", "_")
    named = [zone for zone in zones if wanted in (zone.casefold(), zone.casefold().rpartition("/")[2])]
    return next((zone for zone in named if "/" in zone), None) or nearest(text, zones)


def _locale(text: str) -> str:
    from babel import Locale, UnknownLocaleError

    try:
        return str(Locale.parse(text.replace("-", "_")))
    except (UnknownLocaleError, ValueError):
        raise Unreadable("locale", f'"{text}" is not a locale.', "Write a name such as en_GB or de_DE.") from None


def parse_language(text: str) -> str:
    """A language that pages can speak."""
    return _one_of("language", LANGUAGES)(text)


def parse_units(text: str) -> str:
    """A system of units."""
    return _one_of("system of units", SYSTEMS)(text)


def parse_hide(text: str) -> tuple[str, ...]:
    """Kinds of fact with commas between them, or `none`, as someone types what the public edition shall hide."""
    kinds = [kind.strip().casefold() for kind in text.split(",") if kind.strip()]
    if kinds == [NONE]:
        return ()
    for kind in kinds:
        if kind not in HIDEABLE:
            raise _not_hideable(kind)
    return tuple(kind for kind in HIDEABLE if kind in kinds)


def _not_hideable(kind: str) -> Unreadable:
    near = nearest(kind, HIDEABLE)
    hint = f"Did you mean {near}? " if near else ""
    return Unreadable("hide", f'"{kind}" is not a kind that can be hidden.', f"{hint}Write {', '.join(HIDEABLE)}.")


def _one_of(what: str, words: tuple[str, ...]) -> Callable[[str], str]:
    def parse(text: str) -> str:
        if text not in words:
            raise Unreadable("word", f'"{text}" is not a {what} known here.', f"Write one of: {', '.join(words)}.")
        return text

    return parse
