"""What is asked of a new journal; each answer may be left to what stands in brackets."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any, Final, TypeVar
from zoneinfo import available_timezones

from msgspec import Struct
from msgspec.structs import replace

from journalgen.answers import read_line
from journalgen.asking.asker import BACK, Asker, Offer, ask, go_through
from journalgen.beginning import HIDDEN, NewJournal
from journalgen.columns import cut, wrap
from journalgen.knowledge import currencies
from journalgen.languages import LANGUAGES, SOURCE
from journalgen.places import currency_of, locale_of
from journalgen.reading.money import parse_currency
from journalgen.reading.settings import (
    HIDEABLE,
    NONE,
    SYSTEMS,
    parse_hide,
    parse_language,
    parse_time_zone,
    parse_units,
)
from journalgen.terminal import WIDTH, one_line

Value = TypeVar("Value")
_LONGEST: Final = 40  # columns of what stands in brackets


class Wishes(Struct, frozen=True):
    """What was said of a new journal; None for what was not."""

    title: str | None = None
    machine: str | None = None
    currency: str | None = None
    time_zone: str | None = None
    units: str | None = None
    language: str | None = None
    hide: tuple[str, ...] | None = None


def plan(wishes: Wishes, name: str, zone: str, currency: str, day: date) -> NewJournal:
    """The journal as wished, with defaults for the rest: the folder's `name`, this computer's `zone`."""
    default = NewJournal(title=name, currency=currency, time_zone=zone, day=day)
    language, zone = wishes.language or default.language, wishes.time_zone or zone
    return replace(
        default,
        title=wishes.title or name,
        machine=wishes.machine,
        currency=wishes.currency or currency,
        time_zone=zone,
        units=wishes.units or default.units,
        language=language,
        locale=locale_of(language, zone),
        hide=default.hide if wishes.hide is None else wishes.hide,
    )


def ask_wishes(asker: Asker, wishes: Wishes, folder: Path, name: str, zone: str) -> Wishes:
    """The wishes with the answers; nothing is asked about what was said. The home currency offered is the zone's."""
    for line in wrap(one_line(f"A new journal in {folder}."), WIDTH):
        asker.tell(line)
    asker.tell(f"Enter takes what stands in brackets; {BACK} goes back to the question before.")
    asker.tell("Ctrl-C ends and writes nothing.")
    open_ones = [question for question in _questions(name, zone) if getattr(wishes, question.field) is None]
    return go_through(asker, wishes, [question.ask for question in open_ones])


class _Question(Struct, frozen=True):
    """What is asked about one field of the wishes."""

    field: str
    words: str
    read: Callable[[str], Any]
    usual: Callable[[Wishes], Any]  # what Enter takes, from what is known by then
    offers: Sequence[str] = ()
    before: str = ""  # told before it is asked

    def ask(self, asker: Asker, wishes: Wishes) -> Wishes:
        """The wishes with the answer."""
        usual = self.usual(wishes)
        shown = cut(one_line(_spell(usual)), _LONGEST)
        if self.before:
            asker.tell(self.before)
        offers = [Offer(word) for word in self.offers]
        return replace(wishes, **{self.field: ask(asker, f"{self.words} [{shown}]: ", self.read, usual, offers=offers)})


def _questions(name: str, zone: str) -> Iterator[_Question]:
    yield _Question("title", "Title", read_line, lambda wishes: name)
    yield _Question("machine", "Machine", read_line, lambda wishes: wishes.title)
    yield _Question(
        "time_zone", "Time zone", lambda text: str(parse_time_zone(read_line(text))), lambda wishes: zone, _zones()
    )
    yield _Question(
        "currency",
        "Home currency",
        parse_currency,
        lambda wishes: currency_of(wishes.time_zone or zone) or "EUR",
        sorted(currencies()),
    )
    yield _Question("units", "Units, metric or imperial", _lower(parse_units), lambda wishes: SYSTEMS[0], SYSTEMS)
    languages = f"Language of the pages, one of {' '.join(LANGUAGES)}"
    yield _Question("language", languages, _lower(parse_language), lambda wishes: SOURCE, LANGUAGES)
    hideable = f"Pages for others can leave out {', '.join(HIDEABLE[:-1])} and {HIDEABLE[-1]}."
    yield _Question("hide", f"Leave out, or {NONE}", parse_hide, lambda wishes: HIDDEN, HIDEABLE, hideable)


def _spell(value: object) -> str:
    return ", ".join(value) or NONE if isinstance(value, tuple) else str(value)


def _lower(read: Callable[[str], Value]) -> Callable[[str], Value]:
    return lambda text: read(text.strip().casefold())


def _zones() -> list[str]:
    return sorted(available_timezones())
