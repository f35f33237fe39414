"""What people type after a verb, turned into what the verbs work with; wrong usage is said in one line."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

import click

from journalgen.slugs import key

if TYPE_CHECKING:
    from journalgen.records import Journal, Material

Value = TypeVar("Value")
_MOST_NAMED = 3


class Day(click.ParamType[date]):
    """A day, as entries write it."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        from journalgen.reading.dates import parse_day
        from journalgen.reading.unreadable import Unreadable

        try:
            return value if isinstance(value, date) else parse_day(value)
        except Unreadable as fault:
            self.fail(f"{fault.message} {fault.remedy}", param, ctx)


def read_as(parse: Callable[[str], Value], text: str, option: str) -> Value:
    """A value as entries write it. Raises BadParameter for what cannot be read."""
    from journalgen.reading.unreadable import Unreadable

    try:
        return parse(text)
    except Unreadable as fault:
        raise click.BadParameter(f"{fault.message} {fault.remedy}", param_hint=option) from None


def zone_name(given: str | None) -> str:
    """The time zone that was asked for, else this computer's, else UTC."""
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    link = os.path.realpath("/etc/localtime")
    name = given or os.environ.get("TZ") or link.partition("zoneinfo/")[2] or "UTC"
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        if given:
            raise click.BadParameter(
                f"{name} is not a time zone. Write a name such as Europe/London.", param_hint="--time-zone"
            ) from None
        return "UTC"
    return name


def find_part(text: str, journal: Journal) -> str:
    """The name of a part, or `(general)`. Raises BadParameter with the nearest name for any other text."""
    from journalgen.records import GENERAL

    return GENERAL if text == GENERAL else _find(text, journal.part_spellings(), "part", "--part")


def find_assembly(text: str, journal: Journal) -> str:
    """The name of an assembly. Raises BadParameter with the nearest name for any other text."""
    from journalgen.ledgers.assemblies import list_assemblies

    names = (assembly.name for assembly in list_assemblies(journal.parts))
    return _find(text, {key(name): name for name in names}, "assembly", "--assembly")


def find_material(text: str, journal: Journal) -> Material:
    """The material of a name. Raises BadParameter with the nearest name where there is none."""
    spellings = {key(other): row.name for row in journal.materials.values() for other in row.also_called}
    spellings |= {key(name): name for name in journal.materials}
    return journal.materials[_find(text, spellings, "material", "MATERIAL")]


def _find(text: str, spellings: Mapping[str, str], what: str, option: str) -> str:
    from journalgen.reading.names import nearest_spelling

    known = spellings.get(key(text))
    if known is None:
        article = "an" if what[0] in "aeiou" else "a"
        near = nearest_spelling(text, spellings)
        holding = dict.fromkeys(name for other, name in spellings.items() if key(text) in other) if text.strip() else {}
        names = [near] if near else list(holding)[:_MOST_NAMED]
        hint = f" Did you mean {' or '.join(names)}?" if names else ""
        raise click.BadParameter(f'"{text}" is not {article} {what} of this journal.{hint}', param_hint=option)
    return known
